"""The shop's own designs, and the sizes of the benches it has built."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from journal.errors import BadInput, MissingReference
from journal.records.queries.values import require_text, require_version, to_value
from journal.records.tables import Design, Part, Project, TimeEntry
from journal.records.words import FINISHED


@dataclass(frozen=True, slots=True)
class DesignRow:
    """A stored design; `version` counts its changes."""

    id: int
    word: str
    title: str
    text: str
    archived: bool
    updated_at: datetime
    version: int


@dataclass(frozen=True, slots=True)
class BuiltPart:
    """A part of a finished project, as far as the size of the bench is read off it."""

    quantity: int
    thickness_nm: int
    width_nm: int
    length_nm: int
    stock_code: str


@dataclass(frozen=True, slots=True)
class BuiltBench:
    """A finished project: what was built, for how much, in how many person-minutes, for all its benches together."""

    project_id: int
    code: str
    title: str
    benches: int
    design_word: str | None
    design_values: dict[str, Any] | None
    delivered_on: date | None
    agreed_price_cents: int | None
    minutes: float
    parts: tuple[BuiltPart, ...]


def designs(session: Session, *, archived: bool = False) -> tuple[DesignRow, ...]:
    """The shop's designs by title; those put away instead, when asked for."""
    query = select(Design).where(Design.archived.is_(archived)).order_by(Design.title, Design.id)
    return tuple(to_value(DesignRow, row) for row in session.scalars(query))


def find_design(session: Session, word: str) -> DesignRow | None:
    """A design by its word, put away or not; None when there is none."""
    row = session.scalar(select(Design).where(Design.word == word))
    return to_value(DesignRow, row) if row else None


def design_words(session: Session) -> frozenset[str]:
    """Every word in use, of designs put away as well."""
    return frozenset(session.scalars(select(Design.word)))


def add_design(session: Session, word: str, title: str, text: str, now: datetime) -> DesignRow:
    """Keep a new design; its word must be free."""
    _require_free(session, word, 0)
    row = Design(archived=False, created_at=now, updated_at=now)
    return _keep(session, row, word, title, text)


def change_design(
    session: Session, design_id: int, *, word: str, title: str, text: str, read_version: int, now: datetime
) -> DesignRow:
    """Keep a changed design; refuses when it changed since version `read_version` was read."""
    row = _stored(session, design_id)
    require_version(f"the design “{row.title}”", row.version, read_version)
    _require_free(session, word, design_id)
    row.updated_at = now
    return _keep(session, row, word, title, text)


def put_away(session: Session, design_id: int, *, archived: bool, now: datetime) -> DesignRow:
    """Put a design away, or take it out again."""
    row = _stored(session, design_id)
    row.archived = archived
    row.updated_at = now
    session.flush()
    return to_value(DesignRow, row)


def built_benches(session: Session) -> tuple[BuiltBench, ...]:
    """Finished projects with their parts and hours, newest first. Two statements."""
    live = TimeEntry.project_id == Project.id, TimeEntry.removed_at.is_(None)
    spent = select(func.coalesce(func.sum(TimeEntry.seconds * TimeEntry.people), 0)).where(*live).scalar_subquery()
    query = select(Project, spent).where(Project.state.in_(FINISHED)).order_by(Project.code.desc(), Project.id.desc())
    parts = _parts_of_finished(session)
    return tuple(
        _bench(project, float(seconds), parts.get(project.id, [])) for project, seconds in session.execute(query)
    )


def _bench(project: Project, seconds: float, parts: list[BuiltPart]) -> BuiltBench:
    return to_value(BuiltBench, project, project_id=project.id, minutes=seconds / 60, parts=tuple(parts))


def _parts_of_finished(session: Session) -> dict[int, list[BuiltPart]]:
    columns = Part.project_id, Part.quantity, Part.thickness_nm, Part.width_nm, Part.length_nm, Part.stock_code
    query = select(*columns).join(Project, Project.id == Part.project_id)
    found: dict[int, list[BuiltPart]] = {}
    for project_id, *sizes in session.execute(query.where(Project.state.in_(FINISHED), Part.removed_at.is_(None))):
        found.setdefault(project_id, []).append(BuiltPart(*sizes))
    return found


def _keep(session: Session, row: Design, word: str, title: str, text: str) -> DesignRow:
    require_text("title", title, "a few words")
    row.word, row.title, row.text = word, title, text
    session.add(row)
    session.flush()
    return to_value(DesignRow, row)


def _stored(session: Session, design_id: int) -> Design:
    row = session.get(Design, design_id)
    if row is None:
        raise MissingReference("design", str(design_id), sorted(design_words(session)))
    return row


def _require_free(session: Session, word: str, own_id: int) -> None:
    found = session.scalar(select(Design.id).where(Design.word == word))
    if found is not None and found != own_id:
        raise BadInput("word", word, "one that no other design has")
