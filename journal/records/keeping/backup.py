"""One file with everything in it, made while the journal is in use, and opened again before it counts as one.

A backup is a ZIP: the database as one SQLite file, whatever the journal itself is kept in, the photos, and a list of
what must be there with its checksums. Nothing in it needs this program to be read.
"""

from __future__ import annotations

import json
import re
import sqlite3
import struct
import tempfile
import zipfile
import zlib
from contextlib import closing
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from hashlib import file_digest
from pathlib import Path
from typing import TYPE_CHECKING

from journal import __version__
from journal.errors import JournalError
from journal.records.engine import FILE_NAME, PHOTOS, open_engine, sqlite_file
from journal.records.keeping.copying import copy_all
from journal.records.keeping.files import free_name, whole_file
from journal.records.migrate import UnknownDatabase, current, read_tables

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy import Engine

FOLDER = "backups"
LIST = "contents.json"
FORMAT = 1
_LARGEST_LIST = 64 * 1024 * 1024  # bytes; half a million photos
_NAME = re.compile(r"journal-\d{8}-\d{6}-[a-z]+(-\d+)?\.zip")


# What Python’s own reader of ZIP files answers to bytes that are not one, or no longer.
_UNREADABLE = (
    zipfile.BadZipFile,
    zlib.error,
    struct.error,
    OSError,
    EOFError,
    NotImplementedError,
    RuntimeError,
    ValueError,
)


class DamagedBackup(JournalError):  # noqa: N818 - an error's name says what happened, as in errors.py
    """A backup that cannot be trusted; says which and why. Nothing was changed."""

    def __init__(self, path: Path, why: str) -> None:
        self.path = path
        super().__init__(f"{path.name} is not a whole backup: {why}. Nothing was changed")


@dataclass(frozen=True, slots=True)
class Contents:
    """What a backup says it holds.

    Attributes:
        made_at: UTC.
        reason: "asked" or "daily".
        revision: of the tables.
        rows: of each table.
        files: SHA-256 of every file in it, the list itself left out.
        version: of the program that made it.
        format: of the backup itself.
    """

    made_at: datetime
    reason: str
    revision: str
    rows: dict[str, int]
    files: dict[str, str]
    version: str
    format: int = FORMAT

    @property
    def photos(self) -> int:
        """How many photos; the small picture of one is a second file."""
        return sum(name.startswith(f"{PHOTOS}/") and not name.endswith(".small.jpg") for name in self.files)


@dataclass(frozen=True, slots=True)
class Backup:
    """A backup that was opened and checked."""

    path: Path
    contents: Contents
    size: int


def make(engine: Engine, data: Path, *, now: datetime, reason: str = "asked", to: Path | None = None) -> Backup:
    """Make a backup in the folder `to` (else `backups` in the data folder), open it again and check all of it.

    Raises:
        JournalError: it could not be written, or what was written is not what is there.
        UnknownDatabase: the journal's own file is damaged.
    """
    path = free_name((to or data / FOLDER) / f"journal-{now.astimezone(UTC):%Y%m%d-%H%M%S}-{reason}.zip")
    with whole_file(path) as unfinished, tempfile.TemporaryDirectory(dir=unfinished.parent) as aside:
        copy = Path(aside) / FILE_NAME
        _copy_database(engine, copy)
        _write(unfinished, copy, data / PHOTOS, now=now, reason=reason)
        contents = check(unfinished)
    return Backup(path, contents, path.stat().st_size)


def check(path: Path) -> Contents:
    """Open a backup and look at everything in it; returns what it holds.

    Raises:
        DamagedBackup: not a backup, or not as it was made.
    """
    try:
        with zipfile.ZipFile(path) as archive, tempfile.TemporaryDirectory() as aside:
            contents = _contents(path, archive)
            _compare_files(path, archive, contents)
            archive.extract(FILE_NAME, aside)
            _check_database(path, Path(aside) / FILE_NAME, contents)
            return contents
    except FileNotFoundError:
        raise DamagedBackup(path, "there is no such file") from None
    except _UNREADABLE as error:
        raise DamagedBackup(path, str(error) or type(error).__name__) from error


def unpack(path: Path, into: Path) -> Contents:
    """Put a checked backup's files into a new folder.

    Raises:
        DamagedBackup: as check.
        JournalError: the files cannot be written.
    """
    contents = check(path)
    try:
        into.mkdir(mode=0o700, parents=True)
        with zipfile.ZipFile(path) as archive:
            for name in contents.files:
                target = into / name
                target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
                with archive.open(name) as source, target.open("wb") as file:
                    for piece in iter(lambda: source.read(1 << 20), b""):
                        file.write(piece)
                target.chmod(0o600)
    except OSError as error:
        raise JournalError(
            f"{into} could not be written: {error.strerror or error}; nothing else was changed"
        ) from error
    return contents


def listed(folder: Path) -> tuple[Path, ...]:
    """The backups in a folder, the newest first; told by their names alone."""
    if not folder.is_dir():
        return ()
    return tuple(sorted((path for path in folder.iterdir() if _NAME.fullmatch(path.name)), reverse=True))


def made_at(path: Path) -> datetime:
    """When a backup was made, by its name."""
    return datetime.strptime(path.name[8:23], "%Y%m%d-%H%M%S").replace(tzinfo=UTC)


def reason_of(path: Path) -> str:
    """Why a backup was made, by its name."""
    return path.stem[24:].partition("-")[0]


def _copy_database(engine: Engine, copy: Path) -> None:
    """The database as one SQLite file, as it is at one moment, while others go on writing."""
    path = sqlite_file(engine)
    if path is None:
        target = open_engine(copy)
        try:
            copy_all(engine, target)
        finally:
            target.dispose()
        _settle(copy)
        return
    try:
        with closing(sqlite3.connect(path)) as source, closing(sqlite3.connect(copy)) as target:
            source.backup(target)
    except sqlite3.DatabaseError as error:
        raise UnknownDatabase(f"{path} is damaged ({error}); restore a backup. Nothing was changed") from error
    _settle(copy)


def _settle(copy: Path) -> None:
    """One file, nothing beside it."""
    with closing(sqlite3.connect(copy)) as connection:
        connection.execute("PRAGMA journal_mode=DELETE")


def _write(path: Path, database: Path, photos: Path, *, now: datetime, reason: str) -> None:
    engine = open_engine(database)
    try:
        revision = current(engine)
    finally:
        engine.dispose()
    _settle(database)
    found = dict(_photos(photos))
    files = {FILE_NAME: database, **{f"{PHOTOS}/{name}": photo for name, photo in found.items()}}
    contents = Contents(
        made_at=now.astimezone(UTC),
        reason=reason,
        revision=revision or "",
        rows=_rows(database),
        files={name: _digest(file) for name, file in files.items()},
        version=__version__,
    )
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr(LIST, json.dumps(asdict(contents) | {"made_at": contents.made_at.isoformat()}, indent=1))
        for name, file in files.items():
            packed = zipfile.ZIP_STORED if name.startswith(PHOTOS) else zipfile.ZIP_DEFLATED
            archive.write(file, name, compress_type=packed)


def _photos(folder: Path) -> Iterator[tuple[str, Path]]:
    """Photos are written once under a name of their own, so a folder that grows meanwhile does no harm."""
    if folder.is_dir():
        for path in sorted(folder.rglob("*")):
            if path.is_file() and not path.name.endswith(".part"):
                yield path.relative_to(folder).as_posix(), path


def _contents(path: Path, archive: zipfile.ZipFile) -> Contents:
    try:
        if archive.getinfo(LIST).file_size > _LARGEST_LIST:
            raise DamagedBackup(path, "its list of contents is absurdly long")
        found = json.loads(archive.read(LIST))
        contents = Contents(**found | {"made_at": datetime.fromisoformat(found["made_at"])})
    except KeyError as error:
        raise DamagedBackup(path, "it is no backup of this journal, it has no list of contents") from error
    except (ValueError, TypeError) as error:
        raise DamagedBackup(path, f"its list of contents cannot be read ({error})") from error
    if contents.format > FORMAT:
        raise DamagedBackup(path, f"it was made by a newer version of the program, {contents.version}")
    return contents


def _compare_files(path: Path, archive: zipfile.ZipFile, contents: Contents) -> None:
    there = {name for name in archive.namelist() if name != LIST}
    for name in sorted(there | contents.files.keys()):
        if name not in there:
            raise DamagedBackup(path, f"{name} is missing")
        if name not in contents.files or not _plain(name):
            raise DamagedBackup(path, f"{name} does not belong in it")
        with archive.open(name) as file:
            if file_digest(file, "sha256").hexdigest() != contents.files[name]:
                raise DamagedBackup(path, f"{name} is not as it was made")
    if FILE_NAME not in there:
        raise DamagedBackup(path, "there is no database in it")


def _plain(name: str) -> bool:
    """A name that stays in the folder it is put into."""
    return name == FILE_NAME or (name.startswith(f"{PHOTOS}/") and ".." not in name.split("/") and "\\" not in name)


def _check_database(path: Path, copy: Path, contents: Contents) -> None:
    try:
        with closing(sqlite3.connect(copy)) as connection:
            verdict = connection.execute("PRAGMA integrity_check").fetchone()[0]
            loose = connection.execute("PRAGMA foreign_key_check").fetchall()
        rows = _rows(copy)
    except sqlite3.DatabaseError as error:
        raise DamagedBackup(path, f"its database cannot be read ({error})") from error
    if verdict != "ok":
        raise DamagedBackup(path, f"its database is damaged ({verdict})")
    if loose:
        raise DamagedBackup(path, f"{len(loose)} rows belong to rows that are missing")
    if rows != contents.rows:
        raise DamagedBackup(path, "its database does not hold the rows it was made with")


def _rows(database: Path) -> dict[str, int]:
    with closing(sqlite3.connect(database)) as connection:
        names = read_tables(connection)
        return {name: connection.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0] for name in names}  # noqa: S608


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return file_digest(file, "sha256").hexdigest()
