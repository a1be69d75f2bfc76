"""Counts and a digest of each table: two journals with the same tally hold the same, whatever database they are in."""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import sha256
from typing import TYPE_CHECKING

from journal.records.keeping.cells import as_text
from journal.records.keeping.rows import all_tables, rows_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sqlalchemy import Connection, Table


@dataclass(frozen=True, slots=True)
class TableTally:
    """How many rows a table has, and the SHA-256 of their text in the order of their keys."""

    rows: int
    sha256: str


def tally(connection: Connection) -> dict[str, TableTally]:
    """The tally of every table by its name."""
    return {table.name: _of(connection, table) for table in all_tables()}


def differences(one: Mapping[str, TableTally], other: Mapping[str, TableTally]) -> tuple[str, ...]:
    """In words, which tables do not hold the same; empty when all do."""
    found = []
    for name in sorted({*one, *other}):
        left, right = one.get(name), other.get(name)
        if left == right:
            continue
        if left is None or right is None:
            found.append(f"{name} is on one side only")
        elif left.rows != right.rows:
            found.append(f"{name} has {left.rows} rows on one side and {right.rows} on the other")
        else:
            found.append(f"{name} differs in what its {left.rows} rows say")
    return tuple(found)


def _of(connection: Connection, table: Table) -> TableTally:
    digest, count = sha256(), 0
    names = sorted(column.name for column in table.columns)
    for row in rows_of(connection, table):
        digest.update("\x1f".join(as_text(row[name]) for name in names).encode() + b"\x1e")
        count += 1
    return TableTally(count, digest.hexdigest())
