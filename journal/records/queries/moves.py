"""How a project went from state to state: each move a row that stays; what stands is what no later move undid."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from journal.records.queries.values import to_value
from journal.records.tables import ProjectMove
from journal.records.words import DepositFate, ProjectState


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveDraft:
    """A move to keep.

    Attributes:
        on_date: the day it happened, as told.
        quote_id: the quote that was accepted; net_cents, tax_cents: what was agreed.
        deposit: what becomes of it, of a project that was cancelled.
        before: what the project said where this move changed it.
        undoes_id: the move this one takes back.
    """

    on_date: date
    from_state: ProjectState
    to_state: ProjectState
    reason: str = ""
    quote_id: int | None = None
    net_cents: int | None = None
    tax_cents: int | None = None
    deposit: DepositFate | None = None
    before: Mapping[str, Any]
    undoes_id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveRow(MoveDraft):
    """A kept move."""

    id: int
    project_id: int
    at: datetime

    @property
    def total_cents(self) -> int | None:
        """What was agreed, with tax."""
        return None if self.net_cents is None else self.net_cents + (self.tax_cents or 0)


def moves(session: Session, project_id: int) -> tuple[MoveRow, ...]:
    """The moves of a project, oldest first. One statement."""
    query = select(ProjectMove).where(ProjectMove.project_id == project_id).order_by(ProjectMove.id)
    return tuple(to_value(MoveRow, row) for row in session.scalars(query))


def acceptances(session: Session) -> dict[int, MoveRow]:
    """The move that stands by which each project was agreed, by the project's id. One statement."""
    query = select(ProjectMove).order_by(ProjectMove.id)
    by_project: dict[int, list[MoveRow]] = {}
    for row in session.scalars(query):
        by_project.setdefault(row.project_id, []).append(to_value(MoveRow, row))
    agreed = {project: agreement(rows) for project, rows in by_project.items()}
    return {project: move for project, move in agreed.items() if move}


def reasons(session: Session, state: ProjectState) -> dict[int, str]:
    """The newest reason given for coming to a state, by the project's id; taken back or not. One statement."""
    columns = ProjectMove.project_id, ProjectMove.reason
    query = select(*columns).where(ProjectMove.to_state == state, ProjectMove.reason != "").order_by(ProjectMove.id)
    return {project_id: reason for project_id, reason in session.execute(query)}  # noqa: C416 - a row is no pair to mypy


def standing(rows: list[MoveRow] | tuple[MoveRow, ...]) -> tuple[MoveRow, ...]:
    """The moves that no later one took back, oldest first; those that take back are not among them."""
    undone = {row.undoes_id for row in rows if row.undoes_id is not None}
    return tuple(row for row in rows if row.undoes_id is None and row.id not in undone)


def agreement(rows: list[MoveRow] | tuple[MoveRow, ...]) -> MoveRow | None:
    """The newest move that stands and says what was agreed."""
    return next((row for row in reversed(standing(rows)) if row.net_cents is not None), None)


def add_move(session: Session, project_id: int, draft: MoveDraft, now: datetime) -> MoveRow:
    """Keep a move."""
    row = ProjectMove(project_id=project_id, at=now, **asdict(draft))
    session.add(row)
    session.flush()
    return to_value(MoveRow, row)
