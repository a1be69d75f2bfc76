"""A spreadsheet as headings and rows of text, whoever made it; here from CSV or tab-separated text.

The first row that holds anything is the headings. Lines of # before it are remarks.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

MOST_ROWS = 100_000
MOST_COLUMNS = 60
LONGEST_CELL = 2_000
_DELIMITERS = "\t,;|"
_EMPTY = "a row of headings and a row for each operation, stage or time entry"


@dataclass(frozen=True, slots=True)
class Sheet:
    """A table of text.

    Attributes:
        name: of the file, or that it was pasted.
        heads: a heading a column; a column without one is called by its place.
        lines: where each row stands in its file, from 1.
        rows: cells without the spaces around them, each row as long as `heads`.
        notes: what was understood without being said.
    """

    name: str
    heads: tuple[str, ...]
    lines: tuple[int, ...]
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...] = ()

    def column(self, place: int) -> tuple[str, ...]:
        """All cells of a column, from 0."""
        return tuple(row[place] for row in self.rows)


def read_text(content: bytes | str, name: str) -> Sheet:
    """Read CSV or tab-separated text.

    Args:
        content: UTF-8 or UTF-16, or as older Windows programs write it (which is noted).
        name: for messages.

    Raises:
        BadInput: it is no text, or no table, or a larger one than can be read.
    """
    text, notes = _decoded(content, name)
    return make_sheet(name, _rows(text, name), notes)


def make_sheet(name: str, numbered: Iterable[tuple[int, list[str]]], notes: Iterable[str] = ()) -> Sheet:
    """A sheet of numbered rows, the first being the headings; empty rows are passed over.

    Raises:
        BadInput: too wide, too long, a cell too long, or no row under the headings.
    """
    rows = ((line, cells) for line, cells in numbered if any(cells))
    line, heads = next(rows, (0, []))
    _check_heads(name, line, heads)
    lines: list[int] = []
    kept: list[tuple[str, ...]] = []
    for line, cells in rows:
        if len(kept) == MOST_ROWS:
            raise BadInput(
                name, f"more than {MOST_ROWS:,} rows", f"at most {MOST_ROWS:,} rows at once; split it by year"
            )
        lines.append(line)
        kept.append(_fitted(cells, len(heads), line, name))
    if not kept:
        raise BadInput(name, "nothing under the headings", _EMPTY)
    return Sheet(name, _named(heads), tuple(lines), tuple(kept), tuple(notes))


def _check_heads(name: str, line: int, heads: list[str]) -> None:
    if not heads:
        raise BadInput(name, None, _EMPTY)
    if len(heads) > MOST_COLUMNS:
        raise BadInput(f"{name}, line {line}", f"{len(heads)} columns", f"at most {MOST_COLUMNS}; leave the others out")
    if len(heads) < 2:
        raise BadInput(f"{name}, line {line}", heads[0], "columns with commas, tabs or semicolons between them")


def _named(heads: list[str]) -> tuple[str, ...]:
    return tuple(head[:60] or f"column {place}" for place, head in enumerate(heads, start=1))


def _fitted(cells: list[str], width: int, line: int, name: str) -> tuple[str, ...]:
    if any(cells[width:]):
        raise BadInput(
            f"{name}, line {line}",
            f"{len(cells)} cells under {width} headings",
            "no more cells than headings; one that holds a comma stands in double quotes",
        )
    longest = max(map(len, cells))
    if longest > LONGEST_CELL:
        raise BadInput(f"{name}, line {line}", f"a cell of {longest:,} characters", f"at most {LONGEST_CELL:,}")
    return (*cells[:width], *[""] * (width - len(cells)))


def _decoded(content: bytes | str, name: str) -> tuple[str, list[str]]:
    notes: list[str] = []
    if isinstance(content, bytes):
        content, notes = _text(content, name)
    content = content.lstrip("\ufeff")
    if "\x00" in content:
        raise BadInput(name, "no text", "CSV or tab-separated text, or a workbook saved as .xlsx")
    if not content.strip():
        raise BadInput(name, None, _EMPTY)
    return content, notes


def _text(content: bytes, name: str) -> tuple[str, list[str]]:
    usual = "utf-16" if content[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    for encoding, notes in ((usual, []), ("cp1252", ["not UTF-8; it was read as older Windows programs write text"])):
        try:
            return content.decode(encoding), notes
        except UnicodeDecodeError:
            continue
    raise BadInput(name, "no text", "CSV or tab-separated text in UTF-8, or a workbook saved as .xlsx")


def _rows(text: str, name: str) -> Iterator[tuple[int, list[str]]]:
    body = io.StringIO(text, newline="")
    skipped, first = _first_line(body)
    if not first:
        raise BadInput(name, "nothing but remarks", _EMPTY)
    delimiter = max(_DELIMITERS, key=first.count)
    reader = csv.reader(body, delimiter=delimiter)
    line = skipped + 1
    try:
        for cells in reader:
            yield line, [cell.strip() for cell in cells]
            line = skipped + reader.line_num + 1
    except csv.Error as refused:
        raise BadInput(f"{name}, line {line}", str(refused), "a row; is a double quote left open?") from None


def _first_line(body: io.StringIO) -> tuple[int, str]:
    """How many lines come before the headings, and the headings; the body stands before them."""
    skipped = 0
    while line := body.readline():
        if line.strip() and not line.lstrip().startswith("#"):
            body.seek(body.tell() - len(line))
            return skipped, line
        skipped += 1
    return skipped, ""
