"""Has the journal changed since? A mark that is another one after every change, whoever made it."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from journal.records.engine import sqlite_file

if TYPE_CHECKING:
    from pathlib import Path

    from sqlalchemy import Engine

Stamp: TypeAlias = tuple[tuple[int, int], ...]


def stamp(engine: Engine) -> Stamp | None:
    """Time and size of the database's file and of its write-ahead log, one of which every commit changes.

    None where the journal is no file: nothing can then be remembered about it. Taken before a session reads anything,
    it is never newer than what that session sees.
    """
    path = sqlite_file(engine)
    if path is None:
        return None
    return tuple(_mark(one) for one in (path, path.with_name(f"{path.name}-wal")))


def _mark(path: Path) -> tuple[int, int]:
    try:
        found = path.stat()
    except FileNotFoundError:  # the log is not there until something is written
        return (0, 0)
    return (found.st_mtime_ns, found.st_size)
