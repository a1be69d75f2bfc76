"""Notes as they were written, and every text of the journal that can be searched."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, NamedTuple

from sqlalchemy import func, select

from journal.errors import BadInput, MissingReference
from journal.records.queries.log import EntryRow
from journal.records.queries.values import require_version, to_value
from journal.records.tables import Coat, Lesson, Note, Project, TimeEntry

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping
    from datetime import date, datetime, tzinfo

    from sqlalchemy.orm import Session


@dataclass(frozen=True, slots=True, kw_only=True)
class NoteDraft:
    """A note to keep: about a stage, an operation or a time entry; about none of them, the whole project."""

    project_id: int
    day: date
    text: str
    operation: str | None = None
    stage: str | None = None
    entry_id: int | None = None
    worker_id: int | None = None

    def __post_init__(self) -> None:
        named = [one for one in (self.operation, self.stage, self.entry_id) if one is not None]
        if len(named) > 1:
            raise BadInput("about", ", ".join(map(str, named)), "a stage, an operation or a time entry, one of them")


@dataclass(frozen=True, slots=True, kw_only=True)
class NoteRow(NoteDraft):
    """A stored note; `version` counts its changes."""

    id: int
    version: int
    created_at: datetime
    changed_at: datetime
    removed_at: datetime | None

    def draft(self) -> NoteDraft:
        """What a change may alter."""
        return to_value(NoteDraft, self)


class WrittenRow(NamedTuple):
    """A text somebody wrote, wherever: `id` is that of the note, time entry, coat, lesson or project.

    The shop's own time has no project; a coat, a lesson and a project have neither operation nor stage. A named tuple, because
    there are tens of thousands of them and a frozen dataclass takes ten times as long to make.
    """

    id: int
    project_id: int | None
    operation: str | None
    stage: str | None
    day: date
    text: str


def page_of(
    session: Session, project_id: int, *, removed: bool = False, most: int, after: int = 0
) -> tuple[NoteRow, ...]:
    """Notes of a project, the newest day first; so many of them, after so many. Or only those taken out."""
    query = (
        select(Note)
        .where(Note.project_id == project_id, Note.removed_at.is_not(None) if removed else Note.removed_at.is_(None))
        .order_by(Note.day.desc(), Note.id.desc())
    )
    return tuple(to_value(NoteRow, row) for row in session.scalars(query.limit(most).offset(after)))


def counts_of(session: Session, project_id: int) -> tuple[int, int]:
    """How many notes of a project there are, and how many were taken out."""
    query = select(func.count(Note.id), func.count(Note.removed_at)).where(Note.project_id == project_id)
    every, removed = session.execute(query).one()
    return every - removed, removed


def by_operation(session: Session, project_id: int) -> dict[str, tuple[NoteRow, ...]]:
    """Operation or stage → the notes of a project about it, those about its time entries too, oldest first.

    One statement.
    """
    query = (
        select(Note, func.coalesce(Note.operation, Note.stage, TimeEntry.operation, TimeEntry.stage))
        .outerjoin(TimeEntry, TimeEntry.id == Note.entry_id)
        .where(Note.project_id == project_id, Note.removed_at.is_(None))
        .order_by(Note.day, Note.id)
    )
    found: dict[str, list[NoteRow]] = {}
    for row, code in session.execute(query):
        if code is not None:
            found.setdefault(code, []).append(to_value(NoteRow, row))
    return {code: tuple(rows) for code, rows in found.items()}


def get_note(session: Session, note_id: int) -> NoteRow:
    """One note, also one taken out; MissingReference when there is none."""
    return to_value(NoteRow, _stored(session, note_id))


def entries_of(session: Session, entry_ids: Collection[int]) -> dict[int, EntryRow]:
    """Number → time entry, those taken out too. One statement, also for none."""
    query = select(TimeEntry).where(TimeEntry.id.in_(entry_ids))
    return {row.id: to_value(EntryRow, row) for row in session.scalars(query)}


def add_note(session: Session, draft: NoteDraft, *, now: datetime) -> NoteRow:
    """Keep a note."""
    row = Note(**asdict(draft), created_at=now, changed_at=now, removed_at=None)
    session.add(row)
    session.flush()
    return to_value(NoteRow, row)


def change_note(
    session: Session,
    note_id: int,
    changes: Mapping[str, object],
    *,
    now: datetime,
    read_version: int | None = None,
) -> NoteRow:
    """Change a note, or take it out (`removed_at`) or back; refuses when it changed since `read_version`, if one is named.

    Raises:
        Conflict: it did.
    """
    row = _stored(session, note_id)
    if read_version is not None:
        require_version("this note", row.version, read_version)
    before = to_value(NoteRow, row)
    to_value(NoteDraft, before, **{name: value for name, value in changes.items() if name != "removed_at"})
    moved = {name: value for name, value in changes.items() if getattr(before, name) != value}
    if moved:
        for name, value in moved.items():
            setattr(row, name, value)
        row.changed_at = now
        session.flush()
    return to_value(NoteRow, row)


def notes_written(session: Session) -> tuple[WrittenRow, ...]:
    """Every note there is, with the work it is about: that of its time entry when it is about one."""
    operation = func.coalesce(Note.operation, TimeEntry.operation)
    stage = func.coalesce(Note.stage, TimeEntry.stage)
    query = (
        select(Note.id, Note.project_id, operation, stage, Note.day, Note.text)
        .outerjoin(TimeEntry, TimeEntry.id == Note.entry_id)
        .where(Note.removed_at.is_(None))
    )
    return tuple(map(WrittenRow._make, session.execute(query)))


def entries_written(session: Session) -> tuple[WrittenRow, ...]:
    """Every time entry with a note."""
    own = TimeEntry
    query = select(own.id, own.project_id, own.operation, own.stage, own.on_date, own.note).where(
        own.note != "", own.removed_at.is_(None)
    )
    return tuple(map(WrittenRow._make, session.execute(query)))


def coats_written(session: Session) -> tuple[WrittenRow, ...]:
    """Every coat with a note."""
    query = select(Coat.id, Coat.project_id, Coat.on_date, Coat.note).where(Coat.note != "", Coat.removed_at.is_(None))
    return tuple(WrittenRow(key, project, None, None, day, said) for key, project, day, said in session.execute(query))


def lessons_written(session: Session, zone: tzinfo | None) -> tuple[WrittenRow, ...]:
    """Every lesson, on its day by the clock of a zone; None: the computer's."""
    query = select(Lesson.id, Lesson.project_id, Lesson.at, Lesson.text).where(Lesson.removed_at.is_(None))
    return tuple(
        WrittenRow(key, project, None, None, at.astimezone(zone).date(), said)
        for key, project, at, said in session.execute(query)
    )


def projects_written(session: Session, zone: tzinfo | None) -> tuple[WrittenRow, ...]:
    """Every project with a note among its particulars, as of the day it was begun by the clock of a zone."""
    query = select(Project.id, Project.created_at, Project.note).where(Project.note != "")
    return tuple(
        WrittenRow(key, key, None, None, at.astimezone(zone).date(), said) for key, at, said in session.execute(query)
    )


def titles(session: Session, project_ids: Collection[int]) -> dict[int, tuple[str, str]]:
    """Project → its number and title. One statement, also for none."""
    query = select(Project.id, Project.code, Project.title).where(Project.id.in_(project_ids))
    return {key: (code, title) for key, code, title in session.execute(query)}


def _stored(session: Session, note_id: int) -> Note:
    row = session.get(Note, note_id)
    if row is None:
        raise MissingReference("note", str(note_id), [])
    return row
