"""Every row of every table, in an order in which each comes after what it points to."""

from __future__ import annotations

from itertools import islice
from typing import TYPE_CHECKING, Any

from sqlalchemy import Integer, Table, func, insert, select, text, update

from journal.records import tables  # noqa: F401 - so that every table is known
from journal.records.base import Base

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from sqlalchemy import Connection

Values = dict[str, Any]

_AT_ONCE = 500


def all_tables() -> tuple[Table, ...]:
    """The tables, each after those its rows point to."""
    return tuple(Base.metadata.sorted_tables)


def rows_of(connection: Connection, table: Table) -> Iterator[Values]:
    """The rows of one table in the order of their keys, as Python values."""
    query = select(table).order_by(*table.primary_key.columns)
    for row in connection.execution_options(yield_per=_AT_ONCE).execute(query):
        yield dict(row._mapping)  # noqa: SLF001 - SQLAlchemy's public name for a row as a mapping


def put_rows(connection: Connection, table: Table, rows: Iterable[Values]) -> int:
    """Write rows as they are, keys included; returns how many."""
    own = _pointing_within(table)
    later: list[Values] = []
    written = 0
    for batch in batched(rows, _AT_ONCE):
        # A row may point to one of its own table that comes after it: that is filled in when all are there.
        later += [row for row in batch if any(row[name] is not None for name in own)]
        connection.execute(insert(table), [row | dict.fromkeys(own) for row in batch])
        written += len(batch)
    for row in later:
        same = [column == row[column.name] for column in table.primary_key.columns]
        connection.execute(update(table).where(*same).values({name: row[name] for name in own}))
    _go_on_counting(connection, table)
    return written


def is_empty(connection: Connection) -> bool:
    """Whether no table holds a row."""
    return all(connection.scalar(select(func.count()).select_from(table)) == 0 for table in all_tables())


def batched(rows: Iterable[Values], size: int) -> Iterator[list[Values]]:
    """The rows, so many at a time."""
    waiting = iter(rows)
    while batch := list(islice(waiting, size)):
        yield batch


def _pointing_within(table: Table) -> tuple[str, ...]:
    return tuple(key.parent.name for key in table.foreign_keys if key.column.table is table)


def _go_on_counting(connection: Connection, table: Table) -> None:
    """PostgreSQL counts its keys apart from its rows: the next key must come after those written here."""
    key = list(table.primary_key.columns)
    if connection.dialect.name != "postgresql" or len(key) != 1 or not isinstance(key[0].type, Integer):
        return
    highest = connection.scalar(select(func.max(key[0])))
    sequence = connection.scalar(
        text("SELECT pg_get_serial_sequence(:name, :key)"), {"name": table.name, "key": key[0].name}
    )
    if sequence and highest is not None:
        connection.execute(text("SELECT setval(:sequence, :highest)"), {"sequence": sequence, "highest": highest})
