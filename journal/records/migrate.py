"""Bringing a database to the tables this version knows, without ever harming a file it does not know.

At start-up a database already at HEAD is recognised by one small query; Alembic is imported only when there is work.
"""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from typing import TYPE_CHECKING

from sqlalchemy import Connection, Engine, inspect, text

from journal.errors import JournalError, Unavailable
from journal.places import folder
from journal.records.engine import _ACCESS, sqlite_file
from journal.records.in_words import in_words

if TYPE_CHECKING:
    from pathlib import Path

    from alembic.config import Config

HEAD = "20261129q"  # the newest file in migrations/versions; a test holds it to that

_VERSION_TABLE = "alembic_version"
_LOCKED_SECONDS = 5.0  # how long a start waits for another program to let the file go
_UPGRADE_LOCK = 7_360_551  # any number of our own: PostgreSQL's lock while one process upgrades


class UnknownDatabase(JournalError):  # noqa: N818 - an error's name says what happened, as in errors.py
    """A file or database that is not this program's, is damaged, or is newer than the program."""


def ensure_current(engine: Engine, *, scripts: Path | None = None, head: str = HEAD) -> None:
    """Make a new database, or bring an old one up to date after copying its file beside it.

    The scripts and their head are this program's own unless others are named.

    Raises:
        UnknownDatabase: it is foreign, damaged or newer; nothing in it was touched.
        Unavailable: the disk is full, the file locked or the server gone.
    """
    with in_words():
        found = current(engine)
        if found == head:
            return
        if found is not None:
            _refuse_unknown(found, scripts)
            path = sqlite_file(engine)
            if path is not None:
                copy_before(path, head)
        upgrade(engine, scripts=scripts)


def current(engine: Engine) -> str | None:
    """The revision a database is at; None when it is new and empty.

    Raises:
        UnknownDatabase: it holds something else, or cannot be read.
    """
    path = sqlite_file(engine)
    if path is not None:
        return _file_revision(path)
    with engine.connect() as connection:
        tables = inspect(connection).get_table_names()
        if _VERSION_TABLE in tables:
            return _text(connection.scalar(text(f"SELECT version_num FROM {_VERSION_TABLE}")))  # noqa: S608
    if tables:
        raise UnknownDatabase(f"this database belongs to another program: it holds {_some(tables)}")
    return None


def upgrade(engine: Engine, *, scripts: Path | None = None) -> None:
    """Run every migration not yet run, all in one transaction."""
    from alembic import command  # noqa: PLC0415 - slow to import and seldom needed

    with engine.execution_options(**{_ACCESS: "write"}).connect() as connection:
        _set_foreign_keys(connection, on=False)
        try:
            with connection.begin():
                if connection.dialect.name == "postgresql":
                    connection.execute(text(f"SELECT pg_advisory_xact_lock({_UPGRADE_LOCK})"))
                config = _config(scripts)
                config.attributes["connection"] = connection
                command.upgrade(config, "head")
                _check_foreign_keys(connection)
        finally:
            _set_foreign_keys(connection, on=True)


def copy_before(path: Path, revision: str) -> Path:
    """Copy a database file beside itself, whole even while it is in use, and check the copy; returns its path."""
    copy = _free_name(path.with_name(f"{path.name}.before-{revision}"))
    unfinished = copy.with_name(f"{copy.name}.part")
    unfinished.unlink(missing_ok=True)
    try:
        with closing(sqlite3.connect(path)) as source, closing(sqlite3.connect(unfinished)) as target:
            source.backup(target)
            target.execute("PRAGMA journal_mode=DELETE")  # one file, nothing beside it
            verdict = target.execute("PRAGMA integrity_check").fetchone()[0]
    except sqlite3.DatabaseError as error:
        verdict = str(error)
    if verdict != "ok":
        unfinished.unlink(missing_ok=True)
        raise UnknownDatabase(f"{path} is damaged ({verdict}); restore a backup. Nothing was changed.")
    unfinished.chmod(0o600)
    os.replace(unfinished, copy)  # noqa: PTH105 - says that a half-made copy never carries the final name
    return copy


def _file_revision(path: Path) -> str | None:
    if not path.exists() or path.stat().st_size == 0:
        return None
    _refuse_damaged_head(path)
    try:
        # Read-only: opening a foreign file the usual way would already switch its journal mode.
        where = f"{path.absolute().as_uri()}?mode=ro"
        with closing(sqlite3.connect(where, uri=True, timeout=_LOCKED_SECONDS)) as connection:
            tables = [name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
            if _VERSION_TABLE in tables:
                row = connection.execute(f"SELECT version_num FROM {_VERSION_TABLE}").fetchone()  # noqa: S608
                return _text(row[0]) if row else None
    except sqlite3.DatabaseError as error:
        raise _unreadable(path, error) from error
    if tables:
        raise UnknownDatabase(f"{path} belongs to another program: it holds {_some(tables)}. It was left as it is.")
    return None


def _unreadable(path: Path, error: sqlite3.DatabaseError) -> JournalError:
    """Damage asks for a backup; a file that another program holds, or a folder without permission, does not."""
    name = error.sqlite_errorname
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return Unavailable(f"{path} is locked by another program; end that, then start again. It was left as it is")
    if name.startswith(("SQLITE_CANTOPEN", "SQLITE_READONLY")):
        return Unavailable(f"{path} cannot be opened; see that you may read and write it and its folder")
    return UnknownDatabase(f"{path} cannot be read ({error}); restore a backup. It was left as it is.")


def read_tables(connection: sqlite3.Connection) -> list[str]:
    """The names of the tables in an open SQLite file, Alembic's own left out."""
    query = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name"
    return [name for (name,) in connection.execute(query) if name != _VERSION_TABLE]


def _refuse_damaged_head(path: Path) -> None:
    """The first bytes of the file (SQLite file format, section 1.3): what it is, and how long it should be."""
    try:
        with path.open("rb") as file:
            head = file.read(100)
    except OSError as error:
        raise UnknownDatabase(f"{path} cannot be opened ({error.strerror}); check that you may read it") from error
    if len(head) < 100 or not head.startswith(b"SQLite format 3\x00"):
        raise UnknownDatabase(f"{path} is not a journal file; it was left as it is. Name another data folder.")
    page_bytes = int.from_bytes(head[16:18], "big")
    page_bytes = 65_536 if page_bytes == 1 else page_bytes
    whole = page_bytes * int.from_bytes(head[28:32], "big")
    ahead = path.with_name(f"{path.name}-wal")
    # While the write-ahead log holds anything the file may rightly be behind its own head.
    if not (ahead.exists() and ahead.stat().st_size) and path.stat().st_size < whole:
        raise UnknownDatabase(
            f"{path} is cut short: {path.stat().st_size} of {whole} bytes; restore a backup. It was left as it is."
        )


def _refuse_unknown(revision: str, scripts: Path | None) -> None:
    from alembic.script import ScriptDirectory  # noqa: PLC0415 - as in upgrade

    known = {script.revision for script in ScriptDirectory.from_config(_config(scripts)).walk_revisions()}
    if revision not in known:
        raise UnknownDatabase(
            f"this journal was written by a newer version of the program (its tables are at {revision}, "
            f"unknown to this version); install the newer version. Nothing was changed."
        )


def _config(scripts: Path | None) -> Config:
    from alembic.config import Config  # noqa: PLC0415 - as in upgrade

    config = Config()
    config.set_main_option("script_location", str(scripts or folder("migrations")).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    return config


def _set_foreign_keys(connection: Connection, *, on: bool) -> None:
    """SQLite changes a table by copying and dropping it, which must not look like removing its rows' parents.

    Goes past SQLAlchemy on purpose: the pragma does nothing inside a transaction, and SQLAlchemy would begin one.
    """
    if connection.dialect.name == "sqlite":
        raw = connection.connection.dbapi_connection
        if raw is not None:
            raw.execute(f"PRAGMA foreign_keys={'ON' if on else 'OFF'}")


def _check_foreign_keys(connection: Connection) -> None:
    if connection.dialect.name != "sqlite":
        return
    broken = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
    if broken:
        raise JournalError(f"the upgrade would leave {len(broken)} rows without the row they belong to; undone")


def _free_name(path: Path) -> Path:
    """The path itself, or with a number when an earlier copy has it: a copy is never overwritten."""
    number, free = 1, path
    while free.exists():
        number += 1
        free = path.with_name(f"{path.name}-{number}")
    return free


def _text(value: object) -> str | None:
    return None if value is None else str(value)


def _some(names: list[str]) -> str:
    return ", ".join(sorted(names)[:3]) + (" …" if len(names) > 3 else "")
