"""Where the journal's data is, how it is opened, and the two ways to use it: reading and writing.

One SQLite file in the user's data folder, or PostgreSQL when JOURNAL_DATABASE_URL says so. A reading session cannot
write and never holds up a writer; writers queue, each taking the write lock when it begins, so that two of them never
read the same thing and both decide on it.
"""

from __future__ import annotations

import os
import sqlite3
import time
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError, DisconnectionError
from sqlalchemy.orm import Session

from journal.errors import BadInput, JournalError, Unavailable
from journal.records import changes
from journal.records.in_words import in_words
from journal.records.moment import ACCESS as _ACCESS
from journal.records.turns import LONGEST_WAIT, turn

if TYPE_CHECKING:
    from collections.abc import Iterator

FOLDER_VARIABLE = "JOURNAL_DATA"
URL_VARIABLE = "JOURNAL_DATABASE_URL"
FILE_NAME = "journal.db"
PHOTOS = "photos"  # the folder beside it; a photo lies there under the checksum of its bytes
BUSY_MS = 5_000  # how long a writer waits for its turn before it is told to try again
_PATH, _FILE = "journal_path", "journal_file"  # of a connection: where its file lies, and which file that was
_WRITERS_LOCK = 7_360_552  # any number of our own: PostgreSQL's lock while one session writes


def data_folder(explicit: Path | None = None) -> Path:
    """The folder everything is kept in, made if need be and closed to other users of this computer."""
    named = explicit or os.environ.get(FOLDER_VARIABLE)
    folder = Path(named).expanduser() if named else _user_folder()
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise BadInput("data folder", str(folder), f"a folder that can be made and written to ({error})") from error
    # The user the program runs as, where the system can be asked for that one.
    who = {"effective_ids": True} if os.access in os.supports_effective_ids else {}
    if not os.access(folder, os.R_OK | os.W_OK | os.X_OK, **who):
        raise BadInput("data folder", str(folder), "a folder that may be read and written to; nothing was changed")
    return folder


def database_url(folder: Path) -> URL:
    """The database: JOURNAL_DATABASE_URL when it is set, else the SQLite file in the folder."""
    typed = os.environ.get(URL_VARIABLE)
    return _as_url(typed) if typed else _file_url(folder / FILE_NAME)


def open_engine(where: URL | Path | str, *, busy_ms: int = BUSY_MS) -> Engine:
    """Open a database by its URL or the path of its SQLite file. Nothing is read or made before it is used."""
    url = _as_url(where)
    if url.get_backend_name() == "sqlite":
        # Last in, first out: one request after another then meets the connection that knows whether anything changed.
        # In turn, each of ten connections would be a stranger, and what was worked out would be worked out ten times.
        more = {} if url.database in (None, "", ":memory:") else {"pool_use_lifo": True}
        engine = create_engine(url, connect_args={"timeout": busy_ms / 1000}, **more)
        event.listen(engine, "connect", _prepare_sqlite)
        event.listen(engine, "checkout", _refuse_moved)
        event.listen(engine, "begin", _begin_sqlite)
        changes.watch(engine)
        return engine
    try:
        return create_engine(url, pool_pre_ping=True)
    except ModuleNotFoundError as error:
        raise JournalError(f"PostgreSQL needs the package psycopg beside this program ({error})") from error


def sqlite_file(engine: Engine) -> Path | None:
    """The file behind an engine; None for a database in memory or on a server."""
    url = engine.url
    if url.get_backend_name() != "sqlite" or url.database in (None, "", ":memory:"):
        return None
    return Path(url.database)


@contextmanager
def reading(engine: Engine) -> Iterator[Session]:
    """A session that sees one moment of the database and can change nothing."""
    _refuse_gone(engine)
    options: dict[str, Any] = {_ACCESS: "read"}
    if engine.dialect.name == "postgresql":
        options |= {"postgresql_readonly": True, "isolation_level": "REPEATABLE READ"}
    with in_words(writes=False), Session(engine.execution_options(**options), autoflush=False) as session:
        yield session


@contextmanager
def writing(engine: Engine) -> Iterator[Session]:
    """A session that keeps everything when it ends well and nothing when it does not.

    Raises:
        Conflict: a row was changed by somebody else since it was read.
        Unavailable: the disk is full, the file locked or the server gone.
    """
    _refuse_gone(engine)
    bound = engine.execution_options(**{_ACCESS: "write", changes.TOLD: True})
    with in_words(), turn(sqlite_file(engine)), Session(bound, expire_on_commit=False) as session:
        with session.begin():
            _queue_on_server(session)
            yield session
            write = changes.about_to_keep(session)
        changes.kept(write)


def _queue_on_server(session: Session) -> None:
    """On a server too a writer takes the one lock when it begins, as BEGIN IMMEDIATE does in a file."""
    connection = session.connection()
    if connection.dialect.name == "postgresql":
        connection.exec_driver_sql(f"SET LOCAL lock_timeout = '{int(LONGEST_WAIT)}s'")
        connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_WRITERS_LOCK})")


def _refuse_gone(engine: Engine) -> None:
    """A file that is gone, or on a disk that is, must not be made anew and empty in its place."""
    path = sqlite_file(engine)
    if path is not None and not path.exists():
        raise Unavailable(f"{path} is gone; nothing was changed. Put it or its disk back, or restore a backup")


def _refuse_moved(connection: Any, record: Any, proxy: Any) -> None:  # noqa: ANN401, ARG001 - the pool's own objects
    """A connection would go on writing to a file that was put aside: then one to what lies in its place is opened."""
    if record.info.get(_FILE) not in (None, _identity(record.info[_PATH])):
        raise DisconnectionError


def _identity(path: str) -> tuple[int, int] | None:
    try:
        found = os.stat(path)  # noqa: PTH116 - asked for at each request
    except OSError:
        return None
    return found.st_dev, found.st_ino


def _prepare_sqlite(connection: Any, record: Any) -> None:  # noqa: ANN401 - the driver's own objects
    # The driver's own BEGIN comes too late (at the first write); ours is given in _begin_sqlite.
    connection.isolation_level = None
    cursor = connection.cursor()
    _switch_to_wal(cursor)
    # FULL, not NORMAL: what the page said was saved must still be there after the power fails.
    cursor.execute("PRAGMA synchronous=FULL")
    cursor.execute("PRAGMA foreign_keys=ON")
    (_, _, path) = cursor.execute("PRAGMA database_list").fetchone()
    cursor.close()
    if path:
        record.info.update({_PATH: path, _FILE: _identity(path)})


def _switch_to_wal(cursor: sqlite3.Cursor) -> None:
    """Asked again while another process makes the same new file: SQLite does not wait for this one by itself."""
    give_up = time.monotonic() + BUSY_MS / 1000
    while True:
        try:
            cursor.execute("PRAGMA journal_mode=WAL")
        except sqlite3.OperationalError as error:
            if "locked" not in str(error) or time.monotonic() > give_up:
                raise
            time.sleep(0.01)
        else:
            return


def _begin_sqlite(connection: Connection) -> None:
    access = connection.get_execution_options().get(_ACCESS)
    connection.exec_driver_sql(f"PRAGMA query_only={'ON' if access == 'read' else 'OFF'}")
    connection.exec_driver_sql("BEGIN IMMEDIATE" if access == "write" else "BEGIN")


def _as_url(where: URL | Path | str) -> URL:
    if isinstance(where, Path) or (isinstance(where, str) and "://" not in where):
        return _file_url(Path(where))
    try:
        url = make_url(where)
    except ArgumentError as error:
        raise BadInput(URL_VARIABLE, str(where), "sqlite:///… or postgresql://user@host/name") from error
    if url.drivername in ("postgres", "postgresql"):
        return url.set(drivername="postgresql+psycopg")
    if url.get_backend_name() not in ("sqlite", "postgresql"):
        raise BadInput(URL_VARIABLE, url.drivername, "sqlite:///… or postgresql://user@host/name")
    return url


def _file_url(path: Path) -> URL:
    return URL.create("sqlite", database=str(path.expanduser().absolute()))


def _user_folder() -> Path:
    from platformdirs import user_data_path  # noqa: PLC0415 - only needed when no folder was named

    return user_data_path("shop-build-journal", appauthor=False)
