"""What is wrong with a journal, and what to do about it. Looks at everything, changes nothing."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import dataclass
from hashlib import sha256
from itertools import islice
from typing import TYPE_CHECKING

from sqlalchemy import select

from journal.records import photo_files
from journal.records.base import canonical, checksum
from journal.records.engine import _ACCESS, PHOTOS, sqlite_file
from journal.records.keeping.rows import all_tables, rows_of
from journal.records.migrate import HEAD, current
from journal.records.tables import Photo

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from sqlalchemy import Connection, Engine, Table

    from journal.records.keeping.rows import Values

_RESTORE = "restore the newest backup from before it happened (journal restore), or keep the row as a warning"
_MOST = 20  # of one kind that are told one by one


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that is wrong: where, what, and what to do."""

    where: str
    what: str
    advice: str

    def __str__(self) -> str:
        return f"{self.where}: {self.what}. {self.advice[:1].upper()}{self.advice[1:]}."


def check(engine: Engine, data: Path) -> tuple[Finding, ...]:
    """Everything that is wrong, the file itself first: while that is damaged nothing else is looked at.

    Args:
        engine: of the journal.
        data: its folder, where the photos are.
    """
    path = sqlite_file(engine)
    damaged = tuple(_file(path)) if path else ()
    if damaged:
        return damaged
    older = tuple(_older(engine))
    with engine.execution_options(**{_ACCESS: "read"}).connect() as connection, connection.begin():
        if older:
            return (*_loose(connection), *older)
        return (*_loose(connection), *_sealed(connection), *_photos(connection, data))


def _older(engine: Engine) -> Iterator[Finding]:
    """Tables of another version are not those that are looked through here."""
    if (revision := current(engine)) != HEAD:
        advice = (
            "start the journal once: it copies the file and brings older tables up to date, or says that they are "
            "newer than the program; then check again"
        )
        yield Finding("the tables", f"they are those of another version ({revision or 'none yet'})", advice)


def _file(path: Path) -> Iterator[Finding]:
    """On a connection of its own: one that met damage cannot even end what it began."""
    try:
        with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)) as connection:
            verdicts = [verdict for (verdict,) in connection.execute(f"PRAGMA integrity_check({_MOST})")]
    except sqlite3.DatabaseError as error:
        verdicts = [str(error)]
    advice = "stop the journal and restore the newest backup (journal restore)"
    yield from (Finding("the database file", verdict, advice) for verdict in verdicts if verdict != "ok")


def _loose(connection: Connection) -> Iterator[Finding]:
    """Rows that belong to a row that is not there. PostgreSQL does not let it come to that."""
    if connection.dialect.name != "sqlite":
        return
    counts: dict[tuple[str, str], int] = {}
    for table, _, parent, _ in connection.exec_driver_sql("PRAGMA foreign_key_check"):
        counts[table, parent] = counts.get((table, parent), 0) + 1
    for (table, parent), count in counts.items():
        yield Finding(table, f"{count} rows belong to rows of {parent} that are not there", _RESTORE)


def _sealed(connection: Connection) -> Iterator[Finding]:
    """Rows that were promised and carry a checksum of what they said."""
    for table in all_tables():
        columns = set(table.columns.keys())
        if {"payload", "sha256"} <= columns:
            yield from _broken(connection, table, _payload_holds)
        if {"parts", "operations", "sha256"} <= columns:
            yield from _broken(connection, table, _plan_holds)


def _broken(connection: Connection, table: Table, holds: Callable[[Values], bool]) -> Iterator[Finding]:
    for row in rows_of(connection, table):
        if not holds(row):
            yield Finding(f"{table.name}, row {row['id']}", "it no longer says what it was stored with", _RESTORE)


def _photos(connection: Connection, data: Path) -> Iterator[Finding]:
    """Photos without their files, files that are not as they were written, and files that no photo knows."""
    known = set(connection.scalars(select(Photo.sha256)))
    yield from _some((found for digest in sorted(known) for found in _photo(data, digest)), "photos", "more of them")
    advice = (
        "it was left alone: a photo whose note was not kept, or a file of your own; look at it, and remove it by hand"
    )
    strangers = (
        Finding(f"{PHOTOS}/{name}", "no photo of the journal is this", advice)
        for name in photo_files.others(data, known)
    )
    yield from _some(strangers, PHOTOS, "more files that no photo of the journal is")


def _photo(data: Path, digest: str) -> Iterator[Finding]:
    where = f"{PHOTOS}/{digest[:2]}/{digest}"
    advice = (
        "take this file out of a backup from before it happened (a backup is a ZIP; the name in it is the same), "
        "or add the same photo once more"
    )
    try:
        whole = photo_files.is_whole(data, digest)
    except FileNotFoundError:
        yield Finding(f"{where}.jpg", "the photo is not there", advice)
    except OSError as error:
        yield Finding(f"{where}.jpg", f"the photo cannot be read ({error.strerror or error})", advice)
    else:
        if not whole:
            yield Finding(f"{where}.jpg", "the photo is not as it was written", advice)
    if not photo_files.is_whole_small(data, digest):
        yield Finding(f"{where}.small.jpg", "the small picture is not there, or not whole", advice)


def _some(findings: Iterator[Finding], where: str, more: str) -> Iterator[Finding]:
    """The first of them, and how many there are beyond."""
    yield from islice(findings, _MOST)
    if rest := sum(1 for _ in findings):
        yield Finding(where, f"{rest} {more}", "do as with the others")


def _payload_holds(row: Values) -> bool:
    paper = row.get("pdf")
    return checksum(row["payload"]) == row["sha256"] and (
        paper is None or sha256(paper).hexdigest() == row["pdf_sha256"]
    )


def _plan_holds(row: Values) -> bool:
    return checksum(canonical({"parts": row["parts"], "operations": row["operations"]})) == row["sha256"]
