"""A workbook (.xlsx) as a sheet of text: the values of its first sheet that holds anything.

Refused before it is opened: too large, or unpacking to far more than a table of this size can be.
"""

from __future__ import annotations

import io
import zipfile
import zlib
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING, Any
from xml.etree.ElementTree import ParseError

from journal.errors import BadInput
from journal.pace.sheet import MOST_COLUMNS, Sheet, make_sheet

if TYPE_CHECKING:
    from collections.abc import Iterator

LARGEST_BYTES = 16 * 1024 * 1024
MOST_UNPACKED = 200 * 1024 * 1024  # a hundred thousand rows of eight cells unpack to about 50 MB
MOST_FILES = 1_000  # in the archive
# Rows are wide where somebody coloured them to the end; in more than a few it is not the table that is wide.
_MOST_WIDE = 1_000
_ZIP, _OLD = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"
_INSTEAD = "a workbook saved as .xlsx, or the sheet saved as CSV"
# What a damaged or made-up workbook makes its reader raise.
_DAMAGED = (
    zipfile.BadZipFile,
    zlib.error,
    ParseError,
    KeyError,
    ValueError,
    TypeError,
    AttributeError,
    IndexError,
    EOFError,
    NotImplementedError,
    RuntimeError,
)


def is_workbook(content: bytes) -> bool:
    """Whether a file is a workbook of either kind, by how it begins."""
    return content.startswith((_ZIP, _OLD))


def read_workbook(content: bytes, name: str) -> Sheet:
    """Read a workbook.

    Raises:
        BadInput: it cannot be read, or is larger than a table of past jobs can be.
    """
    if content.startswith(_OLD):
        raise BadInput(name, "an old or a locked workbook", f"{_INSTEAD}, without a password")
    if len(content) > LARGEST_BYTES:
        raise BadInput(name, f"{len(content):,} bytes", f"at most {LARGEST_BYTES:,}; split it by year")
    try:
        _refuse_bomb(content, name)
        return _read(content, name)
    except BadInput:
        raise
    except _DAMAGED as damage:
        raise BadInput(name, "a workbook that cannot be read", _INSTEAD) from damage


def _refuse_bomb(content: bytes, name: str) -> None:
    """By the archive's own directory; its reader gives no more of a file than the directory says."""
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        files = archive.infolist()
    unpacked = sum(file.file_size for file in files)
    if len(files) > MOST_FILES or unpacked > MOST_UNPACKED:
        raise BadInput(name, f"{len(files):,} files of {unpacked:,} bytes", f"at most {MOST_UNPACKED:,} bytes unpacked")


def _read(content: bytes, name: str) -> Sheet:
    from openpyxl import load_workbook  # noqa: PLC0415 - slow to import and seldom needed

    book = load_workbook(io.BytesIO(content), read_only=True, data_only=True, keep_links=False)
    try:
        sheets = [sheet for sheet in book.worksheets if sheet.sheet_state == "visible"]
        empty: list[str] = []
        for sheet in sheets:
            rows = _rows(sheet)
            first = next((row for row in rows if any(row[1])), None)
            if first is None:
                empty.append(sheet.title)
                continue
            left = [other.title for other in sheets if other.title not in (*empty, sheet.title)]
            notes = [f"only the sheet “{sheet.title}” was read, not {', '.join(left)}"[:300]] if left else []
            return make_sheet(name, _with(first, rows), notes)
    finally:
        book.close()
    raise BadInput(name, None, "a sheet with a row of headings and rows under it")


def _with(first: tuple[int, list[str]], rows: Iterator[tuple[int, list[str]]]) -> Iterator[tuple[int, list[str]]]:
    yield first
    yield from rows


def _rows(sheet: Any) -> Iterator[tuple[int, list[str]]]:  # noqa: ANN401 - openpyxl has no types
    sheet.reset_dimensions()  # a sheet may claim to be far larger than it is
    wide = 0
    for line, row in enumerate(sheet.iter_rows(values_only=True), start=1):
        wide += len(row) > MOST_COLUMNS
        if wide > _MOST_WIDE:
            raise BadInput(f"{sheet.title}, line {line}", f"{len(row):,} columns", f"at most {MOST_COLUMNS}")
        cells = [_text(value) for value in row]
        while cells and not cells[-1]:
            cells.pop()
        yield line, cells


def _text(value: object) -> str:
    """A cell as a person would have typed it."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() else f"{value:.12g}"
    if isinstance(value, datetime):
        return value.date().isoformat()
    if isinstance(value, (date, time)):
        return value.isoformat()
    if isinstance(value, timedelta):
        minutes, seconds = divmod(round(value.total_seconds()), 60)
        return f"{minutes // 60}:{minutes % 60:02d}:{seconds:02d}"
    return str(value).strip()
