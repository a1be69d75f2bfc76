"""What the database drivers refuse, said in plain words, in one place.

What is left as it is are faults of this program: a statement that no database understands, a row that breaks a rule.
"""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

from sqlalchemy.exc import DatabaseError, IntegrityError, OperationalError
from sqlalchemy.orm.exc import StaleDataError

from journal.errors import Conflict, Unavailable

if TYPE_CHECKING:
    from collections.abc import Iterator

_BUSY = "the journal is busy with another change; nothing was changed, try again"
_DAMAGED = (
    "the journal's file is damaged; nothing was changed. Stop the journal, look at it with `journal check` and restore "
    "the newest backup"
)
_GONE = (
    "the database cannot be reached; nothing was changed. See that its server runs, and that its address is right "
    "(JOURNAL_DATABASE_URL), then try again"
)
_FULL = "the disk is full; nothing was changed. Make room on it, then send it again"

# SQLite's result codes by the beginnings of their names (sqlite.org/rescode.html).
_OF_SQLITE = (
    ("SQLITE_BUSY", _BUSY),
    ("SQLITE_LOCKED", _BUSY),
    ("SQLITE_FULL", _FULL),
    ("SQLITE_CANTOPEN", "the journal's file cannot be opened; see that its folder and disk are there and may be read"),
    ("SQLITE_IOERR", "the disk did not do as asked; nothing was changed. See that it is there and has room"),
    ("SQLITE_CORRUPT", _DAMAGED),
    ("SQLITE_NOTADB", _DAMAGED),
)
_NOT_WRITABLE = (
    "SQLITE_READONLY",
    "the journal's file and folder may only be read; nothing was changed. Let their owner write to them",
)
# PostgreSQL's codes by their beginnings (its manual, appendix A).
_OF_SERVER = (
    ("08", _GONE),
    ("57P", _GONE),
    ("53100", _FULL),
    ("53300", "the server of the database has no connection left; nothing was changed, try again"),
    ("55P03", _BUSY),
    ("40", _BUSY),
)
_SERVER_NOT_WRITABLE = ("25006", "the server of the database only lets it be read; nothing was changed")


@contextmanager
def in_words(*, writes: bool = True) -> Iterator[None]:
    """Turn what a driver refuses into an error that a user can be shown.

    Raises:
        Conflict: somebody else changed it first.
        Unavailable: the disk or the database does not do as asked.
    """
    try:
        yield
    except StaleDataError as error:
        raise Conflict("this record", "open it again and repeat the change") from error
    except IntegrityError as error:
        if "unique" not in str(error.orig).lower():
            raise
        raise Conflict("this list", "open it again and repeat the change") from error
    except DatabaseError as error:
        said = said_of(error, writes=writes)
        if said is None:
            raise
        raise Unavailable(said) from error


def said_of(error: DatabaseError, *, writes: bool = True) -> str | None:
    """What to say of a driver's error; None where it is a fault of this program.

    In a session that only reads, a refusal to write is such a fault.
    """
    name = getattr(error.orig, "sqlite_errorname", None)
    if name is not None:
        return said_of_sqlite(name, writes=writes)
    code = getattr(error.orig, "sqlstate", None)
    if code is None:  # PostgreSQL's driver has no code where it met no server
        return _GONE if isinstance(error, OperationalError) and hasattr(error.orig, "sqlstate") else None
    known = (*_OF_SERVER, _SERVER_NOT_WRITABLE) if writes else _OF_SERVER
    return next((said for beginning, said in known if code.startswith(beginning)), None)


def said_of_sqlite(name: str, *, writes: bool = True) -> str | None:
    """The same of a result code of SQLite, by its name."""
    known = (*_OF_SQLITE, _NOT_WRITABLE) if writes else _OF_SQLITE
    return next((said for beginning, said in known if name.startswith(beginning)), None)
