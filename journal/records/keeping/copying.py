"""All rows from one database into another, SQLite or PostgreSQL, compared afterwards."""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal.errors import BadInput, JournalError
from journal.records.engine import _ACCESS
from journal.records.keeping.rows import all_tables, is_empty, put_rows, rows_of
from journal.records.keeping.tally import differences, tally
from journal.records.migrate import ensure_current

if TYPE_CHECKING:
    from sqlalchemy import Engine

    from journal.records.keeping.tally import TableTally


def copy_all(source: Engine, target: Engine) -> dict[str, TableTally]:
    """Copy every row into a database that holds none, all or nothing; returns the tally both have.

    Raises:
        BadInput: the target holds a journal already.
        JournalError: the copy does not hold the same; nothing of it was kept.
    """
    ensure_current(source)
    ensure_current(target)
    with (
        source.execution_options(**{_ACCESS: "read"}).connect() as reader,
        target.execution_options(**{_ACCESS: "write"}).connect() as writer,
        reader.begin(),
        writer.begin(),
    ):
        if not is_empty(writer):
            raise BadInput("where to", target.url.render_as_string(), "a database without a journal in it")
        for table in all_tables():
            put_rows(writer, table, rows_of(reader, table))
        before, after = tally(reader), tally(writer)
        if found := differences(before, after):
            raise JournalError(f"the copy is not the same: {'; '.join(found)}. Nothing was kept of it")
        return after
