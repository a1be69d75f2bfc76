"""The whole journal as a folder of CSV files, one a table, and back: readable for as long as text is.

The same journal gives the same bytes. Nothing is left out, so the folder can become a journal again.
"""

from __future__ import annotations

import csv
import json
import shutil
from dataclasses import dataclass
from hashlib import file_digest
from typing import TYPE_CHECKING

from journal import __version__
from journal.errors import BadInput, JournalError
from journal.records.engine import _ACCESS, PHOTOS
from journal.records.keeping.cells import as_text, from_text
from journal.records.keeping.files import whole_file
from journal.records.keeping.rows import all_tables, is_empty, put_rows, rows_of
from journal.records.migrate import HEAD, ensure_current

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from sqlalchemy import Connection, Engine, Table

    from journal.records.keeping.rows import Values

LIST = "journal.json"
FORMAT = 1
_LONGEST_CELL = 200_000_000  # characters; a quote keeps its PDF
_READ_ME = (
    "One CSV file a table, UTF-8, a heading line, lines in the order of their keys. Lengths are whole nanometres, money "
    "whole cents (or the currency's smallest unit), moments UTC, days the shop's own. An empty cell is nothing; an "
    "apostrophe before a text is not part of it and keeps a spreadsheet from reading the text as a formula. A photo lies in "
    "photos/ under the SHA-256 of its bytes, its small picture beside it."
)


@dataclass(frozen=True, slots=True)
class Written:
    """What a folder holds: rows of each table, photos."""

    rows: dict[str, int]
    photos: int


def write(engine: Engine, data: Path, to: Path) -> Written:
    """Write the journal into a new or empty folder.

    Raises:
        BadInput: there is something in the folder.
        JournalError: it cannot be written.
    """
    if to.exists() and (not to.is_dir() or any(to.iterdir())):
        raise BadInput("folder", str(to), "a new or an empty folder")
    ensure_current(engine)
    with engine.execution_options(**{_ACCESS: "read"}).connect() as connection, connection.begin():
        rows = {table.name: _write_table(connection, table, to) for table in all_tables()}
    photos = _copy_photos(data / PHOTOS, to / PHOTOS)
    files = {path.relative_to(to).as_posix(): _digest(path) for path in sorted(to.rglob("*")) if path.is_file()}
    found = {
        "about": _READ_ME,
        "format": FORMAT,
        "revision": HEAD,
        "version": __version__,
        "rows": rows,
        "files": files,
    }
    with whole_file(to / LIST) as unfinished:
        unfinished.write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")
    return Written(rows, photos)


def read(engine: Engine, data: Path, source: Path) -> Written:
    """Take such a folder into a journal that holds nothing yet, all of it or nothing.

    Raises:
        BadInput: it is no such folder, a file is not as it was written, or the journal holds something.
    """
    rows = _checked(source)
    ensure_current(engine)
    with engine.execution_options(**{_ACCESS: "write"}).connect() as connection, connection.begin():
        if not is_empty(connection):
            raise BadInput("journal", "one with something in it", "an empty one: name another data folder")
        for table in all_tables():
            _read_table(connection, table, source, rows)
        # Before the rows are kept: none of them is ever without its file.
        photos = _copy_photos(source / PHOTOS, data / PHOTOS)
    return Written(rows, photos)


def _write_table(connection: Connection, table: Table, to: Path) -> int:
    names = [column.name for column in table.columns]
    count = 0
    with whole_file(to / f"{table.name}.csv") as unfinished, unfinished.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)  # lines end as RFC 4180 has it; a lone return in a text is then quoted
        writer.writerow(names)
        for row in rows_of(connection, table):
            writer.writerow([as_text(row[name]) for name in names])
            count += 1
    return count


def _read_table(connection: Connection, table: Table, source: Path, rows: dict[str, int]) -> None:
    path = source / f"{table.name}.csv"
    previous = csv.field_size_limit(_LONGEST_CELL)
    try:
        with path.open(encoding="utf-8", newline="") as file:
            written = put_rows(connection, table, _values(csv.reader(file), table, path.name))
    finally:
        csv.field_size_limit(previous)
    if written != rows.get(table.name):
        raise BadInput(path.name, f"{written} rows", f"the {rows.get(table.name)} that were written")


def _values(lines: Iterator[list[str]], table: Table, name: str) -> Iterator[Values]:
    columns = {column.name: column for column in table.columns}
    head = next(lines, [])
    if set(head) != set(columns):
        raise BadInput(name, ", ".join(head), f"the columns {', '.join(columns)}")
    for line in lines:
        if len(line) != len(head):
            raise BadInput(name, f"{len(line)} cells in a line", f"{len(head)}")
        yield {heading: from_text(cell, columns[heading]) for heading, cell in zip(head, line, strict=True)}


def _checked(source: Path) -> dict[str, int]:
    """The rows that must be there; refuses a folder that is not as it was written."""
    try:
        found = json.loads((source / LIST).read_text(encoding="utf-8"))
        files, rows, revision, version = found["files"], found["rows"], found["revision"], found["version"]
    except FileNotFoundError:
        raise BadInput("folder", str(source), f"a folder written by this program, with {LIST} in it") from None
    except (ValueError, KeyError, TypeError) as error:
        raise BadInput(LIST, str(error), "the list as it was written") from error
    if revision != HEAD:
        expected = (
            f"one written at {HEAD}: take it in with version {version} and upgrade that journal, or restore a backup"
        )
        raise BadInput("folder", f"tables at {revision}", expected)
    there = {path.relative_to(source).as_posix() for path in source.rglob("*") if path.is_file()} - {LIST}
    for name in sorted(there | set(files)):
        if name not in there:
            raise BadInput("folder", f"no {name}", "every file that was written")
        if name in files and _digest(source / name) != files[name]:
            raise BadInput(name, "another content", "the file as it was written")
    return dict(rows)


def _copy_photos(source: Path, to: Path) -> int:
    if not source.is_dir():
        return 0
    found = [path for path in sorted(source.rglob("*")) if path.is_file() and not path.name.endswith(".part")]
    for path in found:
        target = to / path.relative_to(source)
        try:
            target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            shutil.copyfile(path, target)
            target.chmod(0o600)
        except OSError as error:
            raise JournalError(f"{target} could not be written: {error.strerror or error}") from error
    return sum(not path.name.endswith(".small.jpg") for path in found)


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return file_digest(file, "sha256").hexdigest()
