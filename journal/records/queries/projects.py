"""Projects: the list, one of them, adding and changing."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, ScalarSelect, func, or_, select
from sqlalchemy.orm import Session

from journal.errors import BadInput, MissingReference
from journal.records.queries.values import require_from, require_text, require_version, to_value
from journal.records.tables import Part, Plan, Project, TimeEntry
from journal.records.words import ProjectState

_NEWEST_FIRST = Project.code.desc(), Project.id.desc()


@dataclass(frozen=True, slots=True, kw_only=True)
class ProjectDraft:
    """What is known of a project; all but its number and title can wait."""

    code: str
    title: str
    client_kind: str = ""
    benches: int = 1
    state: ProjectState = ProjectState.ENQUIRY
    adhesive: str | None = None
    finish: str | None = None
    coats: int = 2
    design_word: str | None = None
    design_values: dict[str, Any] | None = None
    enquired_on: date | None = None
    agreed_on: date | None = None
    started_on: date | None = None
    delivered_on: date | None = None
    agreed_price_cents: int | None = None
    agreed_minutes: float | None = None
    quoted_cost_cents: int | None = None
    promised_on: date | None = None
    note: str = ""

    def __post_init__(self) -> None:
        require_text("number", self.code, "a number for the project, such as 26-007")
        require_text("title", self.title, "a few words")
        require_from("benches", self.benches, 1, "a whole number from 1")
        require_from("coats", self.coats, 0, "a whole number from 0")
        require_from("agreed price", self.agreed_price_cents, 0, "an amount, 0 or more")
        require_from("agreed time", self.agreed_minutes, 0, "a time, 0 or more")
        require_from("quoted cost", self.quoted_cost_cents, 0, "an amount, 0 or more")
        if self.state not in set(ProjectState):
            raise BadInput("state", self.state, ", ".join(ProjectState))


@dataclass(frozen=True, slots=True, kw_only=True)
class ProjectRow(ProjectDraft):
    """A stored project; `version` counts its changes."""

    id: int
    created_at: datetime
    updated_at: datetime
    version: int

    def draft(self, **changes: object) -> ProjectDraft:
        """The project as a draft, with some fields changed."""
        return to_value(ProjectDraft, self, **changes)


@dataclass(frozen=True, slots=True)
class ProjectCounts:
    """A project with what hangs on it: parts in the present plan, its version (0: none), entries, person-minutes."""

    project: ProjectRow
    parts: int
    plan_version: int
    entries: int
    minutes: float


def list_projects(
    session: Session, states: Sequence[ProjectState] = (), *, words: str = "", most: int | None = None, after: int = 0
) -> tuple[ProjectCounts, ...]:
    """Projects with their counts, newest number first. One statement.

    All of them, unless states are named or `words` that each must stand somewhere in its number, title, client or note;
    with `most`, that many of them `after` so many.
    """
    wanted = select(Project.id).where(*_speaking_of(words), *_in_any(states)).order_by(*_NEWEST_FIRST)
    # Which ones comes first, else a database counts for every project what it then shows of forty.
    chosen = wanted.limit(most).offset(after).subquery()
    query = select(Project, *_counts()).where(Project.id.in_(select(chosen.c.id))).order_by(*_NEWEST_FIRST)
    return tuple(_with_counts(*row) for row in session.execute(query))


def all_projects(session: Session, states: Sequence[ProjectState] = ()) -> tuple[ProjectRow, ...]:
    """Every project, or those in some states, without what hangs on it; newest number first. One statement."""
    query = select(Project).where(*_in_any(states)).order_by(*_NEWEST_FIRST)
    return tuple(to_value(ProjectRow, row) for row in session.scalars(query))


def newest_with_a_plan(session: Session, most: int) -> tuple[ProjectRow, ...]:
    """The newest projects that have one. One statement."""
    query = select(Project).where(select(Plan.id).where(Plan.project_id == Project.id).exists())
    return tuple(to_value(ProjectRow, row) for row in session.scalars(query.order_by(*_NEWEST_FIRST).limit(most)))


def count_by_state(session: Session, *, words: str = "") -> dict[ProjectState, int]:
    """How many projects there are in each state that has any; with `words`, of those that `list_projects` would find."""
    query = select(Project.state, func.count()).where(*_speaking_of(words)).group_by(Project.state)
    return {state: count for state, count in session.execute(query)}  # noqa: C416 - a row is no pair to mypy


def get_project(session: Session, project_id: int) -> ProjectRow:
    """One project; MissingReference when there is none."""
    return to_value(ProjectRow, stored(session, project_id))


def find_project(session: Session, code: str) -> ProjectRow:
    """One project by its number; MissingReference lists the others."""
    row = session.scalar(select(Project).where(Project.code == code))
    if row is None:
        raise MissingReference("project", code, _codes(session))
    return to_value(ProjectRow, row)


def next_code(session: Session, year: int) -> str:
    """The next free number of a year, such as 26-001 in 2026, before any project of that year."""
    start = f"{year % 100:02d}-"
    codes = session.scalars(select(Project.code).where(Project.code.startswith(start, autoescape=True)))
    used = [int(tail) for tail in (code.removeprefix(start) for code in codes) if tail.isascii() and tail.isdigit()]
    return f"{start}{max(used, default=0) + 1:03d}"  # three digits, so that a number never reads like a month


def add_project(session: Session, draft: ProjectDraft, now: datetime) -> ProjectRow:
    """Keep a new project; its number must be free."""
    _require_free(session, draft.code)
    row = Project(**asdict(draft), created_at=now, updated_at=now)
    session.add(row)
    session.flush()
    return to_value(ProjectRow, row)


def change_project(
    session: Session, project_id: int, draft: ProjectDraft, *, read_version: int, now: datetime
) -> ProjectRow:
    """Keep a changed project; refuses when it changed since version `read_version` was read."""
    row = stored(session, project_id)
    require_version(f"project {row.code}", row.version, read_version)
    if draft.code != row.code:
        _require_free(session, draft.code)
    for name, value in asdict(draft).items():
        setattr(row, name, value)
    row.updated_at = now
    session.flush()
    return to_value(ProjectRow, row)


def stored(session: Session, project_id: int, *, lock: bool = False) -> Project:
    """The row itself, for the other query files; locked where the database can lock one row."""
    row = session.get(Project, project_id, with_for_update=lock or None)
    if row is None:
        raise MissingReference("project", str(project_id), _codes(session))
    return row


def _in_any(states: Sequence[ProjectState]) -> list[ColumnElement[bool]]:
    return [Project.state.in_(states)] if states else []


def _speaking_of(words: str) -> list[ColumnElement[bool]]:
    columns = (Project.code, Project.title, Project.client_kind, Project.note)
    return [or_(*(column.icontains(word, autoescape=True) for column in columns)) for word in words.split()]


def _counts() -> tuple[ScalarSelect[int], ScalarSelect[int], ScalarSelect[int], ScalarSelect[int]]:
    here = Part.project_id == Project.id, Part.removed_at.is_(None)
    live = TimeEntry.project_id == Project.id, TimeEntry.removed_at.is_(None)
    spent = func.coalesce(func.sum(TimeEntry.seconds * TimeEntry.people), 0)
    return (
        select(func.count(Part.id)).where(*here).scalar_subquery(),
        select(func.coalesce(func.max(Plan.version), 0)).where(Plan.project_id == Project.id).scalar_subquery(),
        select(func.count(TimeEntry.id)).where(*live).scalar_subquery(),
        select(spent).where(*live).scalar_subquery(),
    )


def _with_counts(row: Project, parts: int, plan_version: int, entries: int, seconds: int) -> ProjectCounts:
    return ProjectCounts(to_value(ProjectRow, row), parts, plan_version, entries, float(seconds) / 60)


def _codes(session: Session) -> list[str]:
    return list(session.scalars(select(Project.code).order_by(Project.code.desc()).limit(20)))


def _require_free(session: Session, code: str) -> None:
    if session.scalar(select(Project.id).where(Project.code == code)) is not None:
        raise BadInput("number", code, "one that no other project has")
