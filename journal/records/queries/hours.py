"""Hours of the whole shop, day by day."""

from dataclasses import dataclass
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from journal.records.tables import TimeEntry


@dataclass(frozen=True, slots=True)
class DayRow:
    """One day's person-minutes, over all projects and the shop's own time."""

    on_date: date
    minutes: float


def minutes_by_day(session: Session) -> tuple[DayRow, ...]:
    """Person-minutes of every day with time, oldest first. One statement.

    Imported time is left out: a spreadsheet may hold a whole project's hours on the day it was delivered.
    """
    query = (
        select(TimeEntry.on_date, func.sum(TimeEntry.seconds * TimeEntry.people))
        .where(TimeEntry.removed_at.is_(None), TimeEntry.import_id.is_(None))
        .group_by(TimeEntry.on_date)
        .order_by(TimeEntry.on_date)
    )
    return tuple(DayRow(on_date, float(seconds) / 60) for on_date, seconds in session.execute(query))
