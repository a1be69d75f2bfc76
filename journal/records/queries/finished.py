"""Sums over finished projects, each read at once for all of them."""

from collections import Counter
from dataclasses import dataclass
from datetime import date

from sqlalchemy import case, func, select
from sqlalchemy.orm import Session

from journal.records.tables import Part, Payment, Project, StockItem, TimeEntry, Worker
from journal.records.words import FINISHED, PaymentKind


@dataclass(frozen=True, slots=True)
class SpentRow:
    """A project's seconds of one person on one piece of work, at one wage; None: at the shop's."""

    operation: str | None
    stage: str | None
    rework: bool
    wage_cents_per_hour: int | None
    seconds: int


def spent(session: Session, until: date, *, project_id: int | None = None) -> dict[int, list[SpentRow]]:
    """What was logged by the end of a day, by finished project; naming one asks for it whatever its state. One statement."""
    wage = Worker.wage_cents_per_hour
    keys = TimeEntry.project_id, TimeEntry.operation, TimeEntry.stage, TimeEntry.rework, wage
    query = (
        select(*keys, func.sum(TimeEntry.seconds * TimeEntry.people))
        .join(Project, Project.id == TimeEntry.project_id)
        .outerjoin(Worker, Worker.id == TimeEntry.worker_id)
        .where(TimeEntry.removed_at.is_(None), TimeEntry.on_date <= until)
        .where(Project.state.in_(FINISHED) if project_id is None else Project.id == project_id)
        .group_by(*keys)
        .order_by(*keys)
    )
    found: dict[int, list[SpentRow]] = {}
    for project, operation, stage, rework, paid_at, seconds in session.execute(query):
        found.setdefault(project, []).append(SpentRow(operation, stage, rework, paid_at, int(seconds)))
    return found


def longest_parts(session: Session) -> dict[int, int]:
    """The length of the longest part, nm, which is how long a bench is; by project. One statement."""
    query = select(Part.project_id, func.max(Part.length_nm)).where(Part.removed_at.is_(None)).group_by(Part.project_id)
    return {project: int(length) for project, length in session.execute(query)}


def woods(session: Session) -> dict[int, str]:
    """The species most of the finished parts are of; by project. One statement."""
    inch = 25_400_000.0  # so that the product stays within a float's exact range
    volume = func.sum(Part.quantity * (Part.thickness_nm / inch) * (Part.width_nm / inch) * (Part.length_nm / inch))
    query = (
        select(Part.project_id, StockItem.species, volume)
        .join(StockItem, StockItem.code == Part.stock_code)
        .where(Part.removed_at.is_(None), StockItem.species.is_not(None))
        .group_by(Part.project_id, StockItem.species)
    )
    found: dict[int, Counter[str]] = {}
    for project, species, amount in session.execute(query):
        found.setdefault(project, Counter())[species] = amount
    return {project: by_wood.most_common(1)[0][0] for project, by_wood in found.items()}


def paid(session: Session) -> dict[int, int]:
    """What came in less what was given back, cents with tax; by project. One statement."""
    net = case((Payment.kind == PaymentKind.REFUND, -Payment.cents), else_=Payment.cents)
    query = select(Payment.project_id, func.sum(net)).group_by(Payment.project_id)
    return {project: int(cents) for project, cents in session.execute(query)}
