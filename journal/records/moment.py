"""Whether anything in the journal has changed since somebody looked, without looking at it all again."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

Moment = tuple[object, ...]

ACCESS = "journal_access"  # how a connection was opened, among its execution options: "read" or "write"
_MARK = "journal_moment"


def moment(session: Session) -> Moment | None:
    """The same moment means the same contents; another one, that something may have been written meanwhile.

    Only a reading session has one, as it sees one moment of the journal. A writing session has none: what it wrote may
    yet be taken back. A moment is good for as long as this process runs.
    """
    connection = session.connection()
    if connection.get_execution_options().get(ACCESS) != "read":
        return None
    if connection.dialect.name == "postgresql":
        # Which transactions count as done from here: it differs as soon as anyone has written anything.
        seen = connection.exec_driver_sql("SELECT current_database(), pg_current_snapshot()::text").one()
        return ("postgresql", str(connection.engine.url), *seen)
    # SQLite tells a connection that another one, of any process, has written; its own writes are counted by the driver.
    # Both are about this one connection, so a mark kept with it belongs to the moment.
    mark = connection.info.setdefault(_MARK, object())
    by_others = connection.exec_driver_sql("PRAGMA data_version").scalar_one()
    return ("sqlite", mark, by_others, getattr(connection.connection.dbapi_connection, "total_changes", None))
