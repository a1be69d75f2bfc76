"""Time entries: keeping and correcting them, and what the paces are learned from."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import NamedTuple

from sqlalchemy import Select, and_, func, insert, select
from sqlalchemy.orm import Session

from journal.errors import BadInput, MissingReference
from journal.records.queries.plan_contents import plan_contents
from journal.records.queries.values import require_from, require_text, to_value
from journal.records.tables import Built, Plan, Project, TimeEntry, TimeEntryChange
from journal.records.words import FINISHED, EntrySource, ProjectState


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryDraft:
    """Time to keep: an operation or a stage, never both. No project: the shop's own time."""

    on_date: date
    seconds: int
    project_id: int | None = None
    operation: str | None = None
    stage: str | None = None
    people: int = 1
    started_at: datetime | None = None
    rework: bool = False
    set_aside_reason: str | None = None
    note: str = ""
    worker_id: int | None = None
    source: EntrySource = EntrySource.TYPED

    def __post_init__(self) -> None:
        if (self.operation is None) == (self.stage is None):
            raise BadInput("work", self.operation or self.stage, "an operation or a stage, one of the two")
        require_from("time", self.seconds, 0, "a time, 0 or more")
        require_from("people", self.people, 1, "a whole number from 1")
        if self.set_aside_reason is not None:
            require_text("set aside", self.set_aside_reason, "the reason it is not to be learned from")


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryRow(EntryDraft):
    """A stored time entry."""

    id: int
    created_at: datetime
    removed_at: datetime | None


class LoggedRow(NamedTuple):
    """One day's person-minutes on one operation or stage of a project.

    A tuple: ten years are thirty thousand of them, made anew after each entry.
    """

    project_id: int
    project_code: str
    on_date: date
    what: str
    by_stage: bool
    minutes: float
    rework: bool
    set_aside: bool
    entries: int


@dataclass(frozen=True, slots=True)
class QuantityRow:
    """How much of an operation a project holds: as built where that was noted, else as its newest plan says."""

    project_id: int
    project_code: str
    operation: str
    quantity: float
    setups: int
    as_built: bool


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """One correction of an entry."""

    entry_id: int
    at: datetime
    field: str
    old: str | None
    new: str | None
    why: str


def first_day(session: Session, project_id: int, operation: str) -> date | None:
    """The first day with time on an operation of a project; None without any."""
    found = select(func.min(TimeEntry.on_date)).where(
        TimeEntry.project_id == project_id, TimeEntry.operation == operation, TimeEntry.removed_at.is_(None)
    )
    return session.scalar(found)


def entries(
    session: Session, *, project_id: int | None = None, since: date | None = None, until: date | None = None
) -> tuple[EntryRow, ...]:
    """Entries not removed, by day; of one project and within days (both ends included) when those are named."""
    query = select(TimeEntry).where(TimeEntry.removed_at.is_(None)).order_by(TimeEntry.on_date, TimeEntry.id)
    if project_id is not None:
        query = query.where(TimeEntry.project_id == project_id)
    if since is not None:
        query = query.where(TimeEntry.on_date >= since)
    if until is not None:
        query = query.where(TimeEntry.on_date <= until)
    return tuple(to_value(EntryRow, row) for row in session.scalars(query))


def add_entry(session: Session, draft: EntryDraft, *, now: datetime) -> EntryRow:
    """Keep one entry."""
    row = TimeEntry(**asdict(draft), created_at=now)
    session.add(row)
    session.flush()
    return to_value(EntryRow, row)


def add_entries(session: Session, drafts: Sequence[EntryDraft], *, now: datetime) -> int:
    """Keep many entries at once, as an import does; answers how many."""
    if drafts:
        session.execute(insert(TimeEntry), [{**asdict(draft), "created_at": now} for draft in drafts])
    return len(drafts)


def change_entry(
    session: Session, entry_id: int, changes: Mapping[str, object], *, why: str, now: datetime
) -> EntryRow:
    """Correct an entry; every changed field is kept with what it was and why."""
    require_text("reason", why, "why the entry is corrected")
    row = _stored(session, entry_id)
    before = to_value(EntryRow, row)
    unknown = sorted(set(changes) - set(asdict(_draft(before))))
    if unknown:
        raise BadInput("time entry", ", ".join(unknown), "fields that an entry has")
    after = _draft(before, **changes)
    for name in changes:
        old, new = getattr(before, name), getattr(after, name)
        if old != new:
            setattr(row, name, new)
            _note_change(session, row, name, (old, new), why=why, now=now)
    session.flush()
    return to_value(EntryRow, row)


def remove_entry(session: Session, entry_id: int, *, why: str, now: datetime) -> None:
    """Take an entry out of every sum; the row and the reason stay."""
    require_text("reason", why, "why the entry is removed")
    row = _stored(session, entry_id)
    if row.removed_at is None:
        row.removed_at = now
        _note_change(session, row, "removed_at", (None, now), why=why, now=now)
        session.flush()


def restore_entry(session: Session, entry_id: int, *, why: str, now: datetime) -> EntryRow:
    """Count a removed entry again, as it was."""
    require_text("reason", why, "why the entry counts again")
    row = _stored(session, entry_id)
    if row.removed_at is not None:
        _note_change(session, row, "removed_at", (row.removed_at, None), why=why, now=now)
        row.removed_at = None
        session.flush()
    return to_value(EntryRow, row)


def changes_of(session: Session, entry_id: int) -> tuple[ChangeRow, ...]:
    """The corrections of an entry, oldest first."""
    query = select(TimeEntryChange).where(TimeEntryChange.entry_id == entry_id).order_by(TimeEntryChange.id)
    return tuple(to_value(ChangeRow, row) for row in session.scalars(query))


def log_lines(
    session: Session, *, project_id: int | None = None, states: Sequence[ProjectState] = ()
) -> tuple[LoggedRow, ...]:
    """Person-minutes by project, day and operation or stage, rework and set-aside time apart. One statement.

    Of one project or of those in some states, when these are named. The shop's own time, which belongs to no project, is
    left out.
    """
    set_aside = TimeEntry.set_aside_reason.is_not(None)
    keys = (Project.id, Project.code, TimeEntry.on_date, TimeEntry.operation, TimeEntry.stage, TimeEntry.rework)
    query = (
        select(*keys, set_aside, func.sum(TimeEntry.seconds * TimeEntry.people), func.count(TimeEntry.id))
        .join(Project, Project.id == TimeEntry.project_id)
        .where(TimeEntry.removed_at.is_(None))
        .group_by(*keys, set_aside)
        .order_by(TimeEntry.on_date, Project.id, TimeEntry.operation, TimeEntry.stage, TimeEntry.rework, set_aside)
    )
    if project_id is not None:
        query = query.where(Project.id == project_id)
    if states:
        query = query.where(Project.state.in_(states))
    words: dict[str, str] = {}
    days: dict[date, date] = {}
    return tuple(
        LoggedRow(
            project,
            words.setdefault(code, code),  # tens of thousands of rows stay in memory; one object a word
            days.setdefault(on_date, on_date),
            words.setdefault(what := operation or stage or "", what),
            operation is None,
            float(seconds) / 60,
            rework,
            bool(aside),
            count,
        )
        for project, code, on_date, operation, stage, rework, aside, seconds, count in session.execute(query)
    )


def operation_quantities(
    session: Session, *, states: Sequence[ProjectState] = FINISHED, project_id: int | None = None
) -> tuple[QuantityRow, ...]:
    """The quantities of projects in these states: the newest plan's, each overridden by what was built.

    Three statements at most. Naming a project asks for that one whatever its state.
    """
    which = Project.id == project_id if project_id is not None else Project.state.in_(states)
    found: dict[tuple[int, str], QuantityRow] = {}
    newest = session.execute(_newest_plans().where(which)).all()
    held = plan_contents(session, {plan: digest for _, _, plan, digest in newest})
    for project, code, plan, _ in newest:
        for line in held[plan].operations:
            found[project, line.code] = QuantityRow(
                project, code, line.code, line.quantity, line.setups, as_built=False
            )
    query = select(Project.id, Project.code, Built.operation, Built.quantity, Built.setups)
    for project, code, name, quantity, setups in session.execute(query.join(Built).where(which)):
        found[project, name] = QuantityRow(project, code, name, quantity, setups, as_built=True)
    return tuple(found[key] for key in sorted(found))


def _newest_plans() -> Select[int, str, int, str]:
    newest = select(Plan.project_id, func.max(Plan.version).label("version")).group_by(Plan.project_id).subquery()
    return (
        select(Project.id, Project.code, Plan.id, Plan.sha256)
        .join(newest, newest.c.project_id == Project.id)
        .join(Plan, and_(Plan.project_id == newest.c.project_id, Plan.version == newest.c.version))
    )


def _stored(session: Session, entry_id: int) -> TimeEntry:
    row = session.get(TimeEntry, entry_id)
    if row is None:
        raise MissingReference("time entry", str(entry_id), [])
    return row


def _draft(row: EntryRow, **changes: object) -> EntryDraft:
    return to_value(EntryDraft, row, **changes)


def _note_change(
    session: Session, row: TimeEntry, field: str, values: tuple[object, object], *, why: str, now: datetime
) -> None:
    old, new = (None if value is None else str(value) for value in values)
    session.add(TimeEntryChange(entry_id=row.id, at=now, field=field, old=old, new=new, why=why))
