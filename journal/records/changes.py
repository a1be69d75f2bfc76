"""Which tables were written since somebody looked, and which ones an answer was read from.

Every write of this program leaves a token of its own in the SQLite file, in the same transaction, and what it wrote is
kept here by that token, beside the token it found. From the token of now back to an earlier one there is then either an
unbroken row of writes, each with its tables, or somebody else wrote too and anything may have changed. Both what is
read and what is written is taken from the statements themselves, so nobody has to say it and nobody can forget to. Where
it cannot be told, everything counts as read, or written.
"""

from __future__ import annotations

import re
import secrets
from collections import OrderedDict
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache, lru_cache
from threading import Lock
from typing import TYPE_CHECKING, Any

from sqlalchemy import event, inspect

from journal.records.base import Base
from journal.records.moment import Moment, moment

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy import Connection, Engine
    from sqlalchemy.orm import Session

TOLD = "journal_told"  # execution option of a connection whose writes are told here as they are kept
_READ, _WRITTEN = "journal_tables_read", "journal_tables_written"
_HARMLESS = frozenset(("SELECT", "PRAGMA", "BEGIN", "COMMIT", "ROLLBACK", "SAVEPOINT", "RELEASE", "EXPLAIN"))
_MOST_WRITES = 4096
_TOKENS = 2**31 - 1  # what SQLite keeps as user_version: a whole number of 32 bits, with a sign


@dataclass(frozen=True, slots=True)
class Seen:
    """When a reading session looked: `token` is None where single tables cannot be told apart."""

    moment: Moment
    where: str = ""
    token: int | None = None


@dataclass(frozen=True, slots=True)
class Write:
    """A write that is about to be kept: what it found, what it leaves, which tables."""

    where: str
    before: int
    after: int
    tables: frozenset[str]


class _Known:
    """The writes of this program, newest last."""

    def __init__(self) -> None:
        self._writes: OrderedDict[tuple[str, int], Write] = OrderedDict()
        self._strangers: set[str] = set()
        self._lock = Lock()

    def stranger(self, where: str) -> None:
        """Something was written that left no token: the next write does not follow upon the last."""
        with self._lock:
            self._strangers.add(where)

    def add(self, write: Write) -> None:
        with self._lock:
            if write.where in self._strangers:
                self._strangers.discard(write.where)
                return
            self._writes[write.where, write.after] = write
            while len(self._writes) > _MOST_WRITES:
                self._writes.popitem(last=False)

    def since(self, where: str, token: int, now: int) -> frozenset[str] | None:
        """The tables written from one token to another; None when that is not known."""
        tables: frozenset[str] = frozenset()
        with self._lock:
            while now != token:
                write = self._writes.get((where, now))
                if write is None:
                    return None
                tables |= write.tables
                now = write.before
        return tables


_known = _Known()


def watch(engine: Engine) -> None:
    """Take note of what is read from and written to this SQLite database."""
    event.listen(engine, "begin", _begun)
    event.listen(engine, "before_cursor_execute", _executed)


def seen(session: Session) -> Seen | None:
    """What a reading session sees; None in a writing one."""
    now = moment(session)
    if now is None:
        return None
    connection = session.connection()
    if connection.dialect.name != "sqlite":
        return Seen(now)
    return Seen(now, str(connection.engine.url), _token(connection))


def unchanged(then: Seen, now: Seen, tables: frozenset[str] | None) -> bool:
    """Whether these tables hold now what they held then; None means all tables, and never a doubt is taken lightly."""
    if then.moment == now.moment:
        return True
    if tables is None or then.where != now.where or then.token is None or now.token is None or then.token == now.token:
        return False
    written = _known.since(now.where, then.token, now.token)
    return written is not None and not written & tables


@contextmanager
def noting(session: Session) -> Iterator[set[str]]:
    """The tables read inside, also by what is noted within it; those of which the session holds rows already count."""
    notes = session.connection().info.setdefault(_READ, [])
    tables = _held(session)
    notes.append(tables)
    try:
        yield tables
    finally:
        notes.pop()
        note(session, tables)


def note(session: Session, tables: set[str] | frozenset[str]) -> None:
    """Something remembered was used that was read from these tables."""
    for outer in session.connection().info.get(_READ, ())[-1:]:
        outer.update(tables)


def about_to_keep(session: Session) -> Write | None:
    """Leave the token of what a writing session wrote; None when that is nothing, or the database no SQLite file."""
    transaction = session.get_transaction()
    if transaction is None or not transaction.is_active:  # ended inside already: kept or taken back, nobody told
        _known.stranger(str(session.get_bind().engine.url))
        return None
    session.flush()
    connection = session.connection()
    tables = connection.info.get(_WRITTEN)
    if connection.dialect.name != "sqlite" or not tables:
        return None
    write = Write(str(connection.engine.url), _token(connection), 1 + secrets.randbelow(_TOKENS), frozenset(tables))
    connection.exec_driver_sql(f"PRAGMA user_version={write.after}")
    return write


def kept(write: Write | None) -> None:
    """It is in the file now."""
    if write is not None:
        _known.add(write)


def _token(connection: Connection) -> int:
    return int(connection.exec_driver_sql("PRAGMA user_version").scalar_one())


def _begun(connection: Connection) -> None:
    connection.info[_READ] = []
    connection.info[_WRITTEN] = set()


def _executed(connection: Connection, cursor: Any, statement: str, *_: object) -> None:  # noqa: ANN401, ARG001 - the driver's own
    named, writes = _tables_of(statement)
    if writes:
        if not connection.get_execution_options().get(TOLD, False):
            _known.stranger(str(connection.engine.url))
        connection.info.setdefault(_WRITTEN, set()).update(named)
    for tables in connection.info.get(_READ, ())[-1:]:
        tables.update(named)


@lru_cache(maxsize=4096)
def _tables_of(statement: str) -> tuple[frozenset[str], bool]:
    """The tables a statement names and, when it writes, those that follow them; and whether it writes."""
    words = re.findall(r"\w+", statement)
    named = _every_table() & frozenset(words)
    if words and words[0].upper() in _HARMLESS:
        return named, False
    return _with_followers(named) if named else _every_table(), True


@cache
def _every_table() -> frozenset[str]:
    import journal.records.tables  # noqa: F401, PLC0415 - only then is every table known; the tables are slow to import

    return frozenset(Base.metadata.tables)


def _with_followers(named: frozenset[str]) -> frozenset[str]:
    """The tables whose rows go, or lose their reference, along with those of these."""
    found = named
    while more := {
        table.name
        for table in Base.metadata.tables.values()
        for key in table.foreign_keys
        if key.ondelete and key.column.table.name in found and table.name not in found
    }:
        found |= more
    return found


def _held(session: Session) -> set[str]:
    """Tables of rows the session has at hand: those are not asked for again by a statement."""
    found: set[str] = set()
    for kind in {type(row) for row in session.identity_map.values()}:
        mapper = inspect(kind)
        found.update(str(table.name) for table in mapper.tables)
        found.update(str(table.name) for one in mapper.relationships for table in one.mapper.tables)
    return found
