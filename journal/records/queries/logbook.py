"""Time entries as the log shows them: by day, by project, with their corrections; and checks of a person's day."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import and_, func, or_, select

from journal.errors import MissingReference
from journal.records.queries.log import ChangeRow, EntryRow
from journal.records.queries.values import to_value
from journal.records.tables import TimeEntry, TimeEntryChange
from journal.records.words import EntrySource

if TYPE_CHECKING:
    from collections.abc import Collection
    from datetime import date

    from sqlalchemy import ColumnElement
    from sqlalchemy.orm import Session


@dataclass(frozen=True, slots=True)
class Sought:
    """Which entries to list: of these operations or stages (all when empty), speaking of these words, removed ones."""

    codes: frozenset[str] = frozenset()
    words: str = ""
    removed: bool = False


def page_of(session: Session, project_id: int, sought: Sought, *, most: int, after: int) -> tuple[EntryRow, ...]:
    """Entries of a project, the newest day first; so many of them, after so many."""
    query = (
        select(TimeEntry)
        .where(TimeEntry.project_id == project_id, *_found(sought))
        .order_by(TimeEntry.on_date.desc(), TimeEntry.id.desc())
    )
    return tuple(to_value(EntryRow, row) for row in session.scalars(query.limit(most).offset(after)))


def count_of(session: Session, project_id: int, sought: Sought) -> tuple[int, float]:
    """How many entries `page_of` finds in all, and their person-minutes."""
    sums = func.count(TimeEntry.id), func.coalesce(func.sum(TimeEntry.seconds * TimeEntry.people), 0)
    entries, seconds = session.execute(select(*sums).where(TimeEntry.project_id == project_id, *_found(sought))).one()
    return entries, float(seconds) / 60


def get_any(session: Session, entry_id: int) -> EntryRow:
    """One entry, also a removed one; MissingReference when there is none."""
    row = session.get(TimeEntry, entry_id)
    if row is None:
        raise MissingReference("time entry", str(entry_id), [])
    return to_value(EntryRow, row)


def changes_of_all(session: Session, entry_ids: Collection[int]) -> dict[int, tuple[ChangeRow, ...]]:
    """Entry → its corrections, oldest first. One statement."""
    query = select(TimeEntryChange).where(TimeEntryChange.entry_id.in_(entry_ids)).order_by(TimeEntryChange.id)
    found: dict[int, list[ChangeRow]] = {}
    for row in session.scalars(query):
        found.setdefault(row.entry_id, []).append(to_value(ChangeRow, row))
    return {entry: tuple(changes) for entry, changes in found.items()}


def entries_between(session: Session, first: date, last: date) -> tuple[EntryRow, ...]:
    """All entries of some days, both included, by day; not the removed ones."""
    query = (
        select(TimeEntry)
        .where(TimeEntry.on_date.between(first, last), TimeEntry.removed_at.is_(None))
        .order_by(TimeEntry.on_date, TimeEntry.id)
    )
    return tuple(to_value(EntryRow, row) for row in session.scalars(query))


def days_logged(session: Session, first: date, last: date) -> frozenset[date]:
    """The days between two, both included, with time on them; imported time is left out."""
    query = (
        select(TimeEntry.on_date)
        .where(
            TimeEntry.on_date.between(first, last),
            TimeEntry.removed_at.is_(None),
            TimeEntry.import_id.is_(None),
            TimeEntry.seconds > 0,
        )
        .distinct()
    )
    return frozenset(session.scalars(query))


def clocked_since(session: Session, first: date, operations: Collection[str]) -> tuple[EntryRow, ...]:
    """Entries of some operations with a time of day since a day, in the order of their start."""
    query = (
        select(TimeEntry)
        .where(
            TimeEntry.on_date >= first,
            TimeEntry.removed_at.is_(None),
            TimeEntry.operation.in_(operations),
            TimeEntry.started_at.is_not(None),
        )
        .order_by(TimeEntry.started_at)
    )
    return tuple(to_value(EntryRow, row) for row in session.scalars(query))


def seconds_of_day(session: Session, worker_id: int | None, day: date) -> int:
    """What one person has on a day over all projects; nobody named: what is logged without a name, all together."""
    whose: ColumnElement[bool] = (
        TimeEntry.worker_id.is_(None) if worker_id is None else TimeEntry.worker_id == worker_id
    )
    total = select(func.coalesce(func.sum(TimeEntry.seconds), 0)).where(
        whose, TimeEntry.on_date == day, TimeEntry.removed_at.is_(None), TimeEntry.source != EntrySource.IMPORT
    )
    return int(session.scalar(total) or 0)


def with_times(session: Session, worker_id: int, first: date, last: date) -> tuple[EntryRow, ...]:
    """One person's entries of some days that have a time of day."""
    query = select(TimeEntry).where(
        and_(TimeEntry.worker_id == worker_id, TimeEntry.on_date.between(first, last)),
        TimeEntry.started_at.is_not(None),
        TimeEntry.removed_at.is_(None),
    )
    return tuple(to_value(EntryRow, row) for row in session.scalars(query.order_by(TimeEntry.started_at)))


def newest_day(session: Session, project_id: int) -> date | None:
    """The last day with time on a project."""
    query = select(func.max(TimeEntry.on_date)).where(
        TimeEntry.project_id == project_id, TimeEntry.removed_at.is_(None)
    )
    return session.scalar(query)


def _found(sought: Sought) -> list[ColumnElement[bool]]:
    removed = TimeEntry.removed_at.is_not(None) if sought.removed else TimeEntry.removed_at.is_(None)
    named = [or_(TimeEntry.operation.in_(sought.codes), TimeEntry.stage.in_(sought.codes))] if sought.codes else []
    said = [TimeEntry.note.icontains(word, autoescape=True) for word in sought.words.split()]
    return [removed, *named, *said]
