"""Sums over finished projects, each read at once for all of them."""

from collections import Counter
from dataclasses import dataclass

from sqlalchemy import case, func, select
from sqlalchemy.orm import Session

from journal.records.tables import Part, Payment, Project, StockItem, TimeEntry, Worker
from journal.records.words import FINISHED, PaymentKind


@dataclass(frozen=True, slots=True)
class HoursRow:
    """A project's seconds of one person, how many were done again, and those paid at a wage of their own."""

    project_id: int
    seconds: int
    rework_seconds: int
    hired_seconds: int
    hired_cents: float


def hours(session: Session) -> dict[int, HoursRow]:
    """By project. One statement."""
    spent = TimeEntry.seconds * TimeEntry.people
    hired = Worker.wage_cents_per_hour
    query = (
        select(
            TimeEntry.project_id,
            func.sum(spent),
            func.sum(case((TimeEntry.rework, spent), else_=0)),
            func.sum(case((hired.is_not(None), spent), else_=0)),
            func.sum(spent * func.coalesce(hired, 0)),
        )
        .join(Project, Project.id == TimeEntry.project_id)
        .outerjoin(Worker, Worker.id == TimeEntry.worker_id)
        .where(TimeEntry.removed_at.is_(None), Project.state.in_(FINISHED))
        .group_by(TimeEntry.project_id)
    )
    return {
        project: HoursRow(project, int(seconds), int(again), int(theirs), float(paid) / 3600)
        for project, seconds, again, theirs, paid in session.execute(query)
    }


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
