"""A backup put in the place of the journal; what was there stays beside it."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.errors import JournalError
from journal.records.engine import FILE_NAME, PHOTOS, open_engine
from journal.records.keeping.backup import unpack
from journal.records.keeping.files import free_name
from journal.records.migrate import ensure_current

if TYPE_CHECKING:
    from datetime import datetime
    from pathlib import Path

    from journal.records.keeping.backup import Contents

# What a journal is, in its data folder: these are changed for those of the backup. The key, the certificate and the
# backups themselves belong to the folder and stay.
_PARTS = (FILE_NAME, f"{FILE_NAME}-wal", f"{FILE_NAME}-shm", PHOTOS)


@dataclass(frozen=True, slots=True)
class Restored:
    """What was restored, and where the journal that was there is now; None where there was none."""

    contents: Contents
    before: Path | None


def restore(path: Path, data: Path, *, now: datetime) -> Restored:
    """Unpack a backup beside the journal, check it, bring it to the present tables, then change the two over.

    Raises:
        DamagedBackup: it cannot be trusted; nothing was changed.
        UnknownDatabase: it was made by a newer version.
        JournalError: the journal is in use, or the disk does not do as asked; nothing was changed.
    """
    _refuse_in_use(data / FILE_NAME)
    fresh = free_name(data / f"restoring-{now:%Y%m%d-%H%M%S}")
    try:
        contents = unpack(path, fresh)
        engine = open_engine(fresh / FILE_NAME)
        try:
            ensure_current(engine)
        finally:
            engine.dispose()
        before = _change_over(fresh, data, now)
    finally:
        _remove(fresh)
    return Restored(contents, before)


def _refuse_in_use(path: Path) -> None:
    """A server that has the file open would go on writing to the one that is put aside."""
    if not path.exists():
        return
    try:
        with closing(sqlite3.connect(path, timeout=0.5, isolation_level=None)) as connection:
            connection.execute("PRAGMA locking_mode=EXCLUSIVE")
            connection.execute("BEGIN EXCLUSIVE")
            connection.execute("ROLLBACK")
            connection.execute("PRAGMA locking_mode=NORMAL")
    except sqlite3.OperationalError as error:
        if "locked" in str(error):
            raise JournalError(f"{path} is in use: stop the journal, then restore. Nothing was changed") from error
    except sqlite3.DatabaseError:
        return  # damaged: that is what a restore is for


def _change_over(fresh: Path, data: Path, now: datetime) -> Path | None:
    there = [data / name for name in _PARTS if (data / name).exists()]
    before = free_name(data / f"before-restore-{now:%Y%m%d-%H%M%S}") if there else None
    moves = [(path, before / path.name) for path in there] if before else []
    moves += [(fresh / name, data / name) for name in (PHOTOS, FILE_NAME) if (fresh / name).exists()]
    done: list[tuple[Path, Path]] = []
    try:
        if before is not None:
            before.mkdir(mode=0o700)
        for old, new in moves:
            old.rename(new)
            done.append((old, new))
    except OSError as error:
        for old, new in reversed(done):
            new.rename(old)
        raise JournalError(f"the files in {data} could not be moved ({error}); all is as it was") from error
    return before


def _remove(folder: Path) -> None:
    """Remove an unpacked folder; only files that unpack made are in it."""
    if folder.is_dir():
        for path in sorted(folder.rglob("*"), reverse=True):
            path.rmdir() if path.is_dir() else path.unlink()
        folder.rmdir()
