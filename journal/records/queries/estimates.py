"""Estimates as they were given: kept as the exact text they were made of, with a checksum."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from journal.errors import MissingReference
from journal.records.base import checksum
from journal.records.queries.plans import get_plan
from journal.records.queries.values import require_text, to_value
from journal.records.tables import Estimate


@dataclass(frozen=True, slots=True)
class EstimateHead:
    """One line of a project's list of estimates."""

    id: int
    plan_version: int
    made_at: datetime
    reason: str


@dataclass(frozen=True, slots=True)
class EstimateRow:
    """An estimate as given. `damaged`: the text no longer matches the checksum it was stored with."""

    id: int
    project_id: int
    plan_version: int
    made_at: datetime
    reason: str
    payload: str
    sha256: str
    tool_version: str
    damaged: bool


def estimates(session: Session, project_id: int) -> tuple[EstimateHead, ...]:
    """The estimates of a project, newest first, without their text."""
    columns = Estimate.id, Estimate.plan_version, Estimate.made_at, Estimate.reason
    query = select(*columns).where(Estimate.project_id == project_id)
    return tuple(
        EstimateHead(*row) for row in session.execute(query.order_by(Estimate.made_at.desc(), columns[0].desc()))
    )


def given(session: Session, project_id: int) -> tuple[EstimateRow, ...]:
    """The estimates of a project with their text, newest first, each checked against its checksum. One statement."""
    query = select(Estimate).where(Estimate.project_id == project_id)
    return tuple(_value(row) for row in session.scalars(query.order_by(Estimate.made_at.desc(), Estimate.id.desc())))


def all_heads(session: Session) -> dict[int, list[EstimateHead]]:
    """Every estimate without its text, newest first, by project. One statement."""
    columns = Estimate.id, Estimate.plan_version, Estimate.made_at, Estimate.reason
    query = select(Estimate.project_id, *columns).order_by(Estimate.made_at.desc(), Estimate.id.desc())
    found: dict[int, list[EstimateHead]] = {}
    for project_id, *head in session.execute(query):
        found.setdefault(project_id, []).append(EstimateHead(*head))
    return found


def with_text(session: Session, estimate_ids: Collection[int]) -> dict[int, EstimateRow]:
    """Estimates by their ids, each checked against its checksum. One statement."""
    return {row.id: _value(row) for row in session.scalars(select(Estimate).where(Estimate.id.in_(estimate_ids)))}


def get_estimate(session: Session, estimate_id: int) -> EstimateRow:
    """One estimate, checked against its checksum; MissingReference when there is none."""
    row = session.get(Estimate, estimate_id)
    if row is None:
        raise MissingReference("estimate", str(estimate_id), [])
    return _value(row)


def add_estimate(
    session: Session,
    project_id: int,
    plan_version: int,
    payload: str,
    *,
    reason: str,
    tool_version: str,
    now: datetime,
) -> EstimateRow:
    """Keep an estimate for good."""
    require_text("estimate", payload, "what the estimate showed")
    get_plan(session, project_id, plan_version)
    row = Estimate(
        project_id=project_id,
        plan_version=plan_version,
        made_at=now,
        reason=reason,
        payload=payload,
        sha256=checksum(payload),
        tool_version=tool_version,
    )
    session.add(row)
    session.flush()
    return _value(row)


def _value(row: Estimate) -> EstimateRow:
    return to_value(EstimateRow, row, damaged=checksum(row.payload) != row.sha256)
