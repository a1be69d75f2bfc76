"""The time entries behind the pace of one operation: its own, and those of its whole stage."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import and_, or_, select

from journal.errors import MissingReference
from journal.records.queries.log import ChangeRow, EntryRow
from journal.records.queries.values import to_value
from journal.records.tables import Project, TimeEntry, TimeEntryChange
from journal.records.words import FINISHED

if TYPE_CHECKING:
    from sqlalchemy import ColumnElement
    from sqlalchemy.orm import Session


@dataclass(frozen=True, slots=True)
class EntryBehind:
    """An entry of a finished project, with that project."""

    entry: EntryRow
    project_id: int
    project_code: str
    project_title: str


def entries_behind(session: Session, operation: str, stage: str) -> tuple[EntryBehind, ...]:
    """Entries of finished projects that may speak of an operation, the newest first. One statement."""
    query = (
        select(TimeEntry, Project.id, Project.code, Project.title)
        .join(Project, Project.id == TimeEntry.project_id)
        .where(_speaks_of(operation, stage))
        .order_by(TimeEntry.on_date.desc(), TimeEntry.id.desc())
    )
    return tuple(EntryBehind(to_value(EntryRow, row), *project) for row, *project in session.execute(query))


def changes_behind(session: Session, operation: str, stage: str) -> dict[int, tuple[ChangeRow, ...]]:
    """The corrections of those entries by entry, each entry's oldest first. One statement."""
    query = (
        select(TimeEntryChange)
        .join(TimeEntry, TimeEntry.id == TimeEntryChange.entry_id)
        .join(Project, Project.id == TimeEntry.project_id)
        .where(_speaks_of(operation, stage))
        .order_by(TimeEntryChange.id)
    )
    found: dict[int, list[ChangeRow]] = {}
    for row in session.scalars(query):
        found.setdefault(row.entry_id, []).append(to_value(ChangeRow, row))
    return {entry: tuple(changes) for entry, changes in found.items()}


def _speaks_of(operation: str, stage: str) -> ColumnElement[bool]:
    named = or_(TimeEntry.operation == operation, TimeEntry.stage == stage)
    return and_(named, TimeEntry.removed_at.is_(None), Project.state.in_(FINISHED))


def get_entry(session: Session, entry_id: int) -> EntryRow:
    """One entry; MissingReference when there is none, or it was removed."""
    row = session.get(TimeEntry, entry_id)
    if row is None or row.removed_at is not None:
        raise MissingReference("time entry", str(entry_id), [])
    return to_value(EntryRow, row)
