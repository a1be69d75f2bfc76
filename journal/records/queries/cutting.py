"""Cutting plans of a project: the newest of each stock, kept as the exact text they were made of."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from journal.errors import MissingReference
from journal.records.base import checksum
from journal.records.queries.plans import get_plan
from journal.records.queries.values import require_from, require_text, to_value
from journal.records.tables import CuttingPlan
from journal.records.words import CuttingStatus


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingDraft:
    """A cutting plan to keep: its text, what it costs and what any plan must cost."""

    payload: str
    status: CuttingStatus
    cost_cents: int
    bound_cents: int
    ended: str = ""

    def __post_init__(self) -> None:
        require_text("cutting plan", self.payload, "the plan as text")
        require_from("cost", self.cost_cents, 0, "an amount, 0 or more")
        require_from("bound", self.bound_cents, 0, "an amount, 0 or more")


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingRow(CuttingDraft):
    """A kept cutting plan. `damaged`: the text no longer matches the checksum it was stored with."""

    id: int
    project_id: int
    plan_version: int
    stock_code: str
    problem_sha256: str
    made_at: datetime
    damaged: bool


def newest(session: Session, project_id: int) -> dict[str, CuttingRow]:
    """The plan in force of each stock, by its code. One statement."""
    last = select(func.max(CuttingPlan.id)).where(CuttingPlan.project_id == project_id)
    query = select(CuttingPlan).where(CuttingPlan.id.in_(last.group_by(CuttingPlan.stock_code)))
    return {row.stock_code: _value(row) for row in session.scalars(query.order_by(CuttingPlan.stock_code))}


def get(session: Session, cutting_id: int) -> CuttingRow:
    """One kept plan, checked against its checksum; MissingReference when there is none."""
    return _value(_stored(session, cutting_id))


def keep(
    session: Session,
    project_id: int,
    stock_code: str,
    draft: CuttingDraft,
    *,
    plan_version: int,
    problem_sha256: str,
    now: datetime,
) -> CuttingRow:
    """Keep a plan; it is in force from now on, and earlier ones stay."""
    get_plan(session, project_id, plan_version)
    row = CuttingPlan(
        project_id=project_id,
        plan_version=plan_version,
        stock_code=stock_code,
        problem_sha256=problem_sha256,
        made_at=now,
    )
    _fill(row, draft)
    session.add(row)
    session.flush()
    return _value(row)


def end_search(session: Session, cutting_id: int, draft: CuttingDraft) -> CuttingRow:
    """Put what a search found in the row that was written when it began."""
    row = _stored(session, cutting_id)
    _fill(row, draft)
    session.flush()
    return _value(row)


def _fill(row: CuttingPlan, draft: CuttingDraft) -> None:
    row.payload, row.sha256 = draft.payload, checksum(draft.payload)
    row.status, row.ended = draft.status, draft.ended
    row.cost_cents, row.bound_cents = draft.cost_cents, draft.bound_cents


def _stored(session: Session, cutting_id: int) -> CuttingPlan:
    row = session.get(CuttingPlan, cutting_id)
    if row is None:
        raise MissingReference("cutting plan", str(cutting_id), [])
    return row


def _value(row: CuttingPlan) -> CuttingRow:
    return to_value(CuttingRow, row, damaged=checksum(row.payload) != row.sha256)
