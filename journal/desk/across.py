"""Across jobs: where this shop makes and loses money, by design, wood, kind of client and year.

Every finished job is reckoned in one go; what it cost is the sum that its own Review shows (`journal.desk.actual_cost`).
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from enum import StrEnum
from typing import TYPE_CHECKING

from journal import units
from journal.desk import actual_cost
from journal.desk.remembered import Remembered
from journal.desk.shop import read_shop
from journal.records.queries import finished
from journal.records.queries import projects as project_records
from journal.records.words import FINISHED

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.desk.actual_cost import Cost
    from journal.records.queries.projects import ProjectRow


class By(StrEnum):
    """What jobs are put together by."""

    DESIGN = "design"
    WOOD = "wood"
    CLIENT = "client"
    YEAR = "year"


@dataclass(frozen=True, slots=True)
class Job:
    """A finished job in one line; None where it is not known.

    Attributes:
        project_id, code, title, design, wood, client, year: which; "" where nobody said.
        feet: of bench, all of them together.
        price_cents: agreed, extras included, before tax.
        cost_cents: materials, wage, overhead and machines.
        minutes, rework_minutes: of one person; the latter are among the former.
        quoted_minutes: agreed.
        days_late: after the promised day; below zero early.
        paid_cents: came in, with tax.
    """

    project_id: int
    code: str
    title: str
    design: str
    wood: str
    client: str
    year: str
    feet: float | None
    price_cents: int | None
    cost_cents: int
    minutes: float
    rework_minutes: float
    quoted_minutes: float | None
    days_late: int | None
    paid_cents: int

    def of(self, by: By) -> str:
        """What it is put together by."""
        return {By.DESIGN: self.design, By.WOOD: self.wood, By.CLIENT: self.client, By.YEAR: self.year}[by]


@dataclass(frozen=True, slots=True)
class Group:
    """Jobs put together; a figure is None where no job of it has what it takes.

    Attributes:
        name: "" for those nobody said it of.
        jobs: how many.
        price_cents, profit_cents: sums over those with a price.
        margin: profit ÷ price, all together.
        minutes_per_foot: hours of the jobs with a length ÷ feet of bench.
        rework: share of all hours.
        overrun: hours ÷ hours agreed − 1, all together.
        days_late: the mean of those with a promise.
        paid_cents: came in.
    """

    name: str
    jobs: int
    price_cents: int
    profit_cents: int
    margin: float | None
    minutes_per_foot: float | None
    rework: float | None
    overrun: float | None
    days_late: float | None
    paid_cents: int


_jobs: Remembered[tuple[Job, ...]] = Remembered(2)


def jobs(session: Session, today: date) -> tuple[Job, ...]:
    """Every finished job, newest number first, with the time logged by the end of a day.

    A constant number of statements; the same journal is read once.
    """
    return _jobs.of_journal(session, ("across", today), lambda: _read(session, today))


def narrowed(found: Sequence[Job], wanted: dict[By, str]) -> tuple[Job, ...]:
    """Those that are of all that is wanted."""
    return tuple(job for job in found if all(job.of(by) == name for by, name in wanted.items()))


def grouped(found: Sequence[Job], by: By) -> tuple[Group, ...]:
    """Jobs put together, what brought most profit first."""
    held: dict[str, list[Job]] = {}
    for job in found:
        held.setdefault(job.of(by), []).append(job)
    groups = [_group(name, inside) for name, inside in held.items()]
    return tuple(sorted(groups, key=lambda group: (-group.profit_cents, group.name)))


def _group(name: str, inside: Sequence[Job]) -> Group:
    price = sum(job.price_cents for job in inside if job.price_cents is not None)
    profit = sum(job.price_cents - job.cost_cents for job in inside if job.price_cents is not None)
    long = [(job.minutes, job.feet) for job in inside if job.feet and job.minutes]
    quoted = [(job.minutes, job.quoted_minutes) for job in inside if job.quoted_minutes and job.minutes]
    late = [job.days_late for job in inside if job.days_late is not None]
    minutes = sum(job.minutes for job in inside)
    return Group(
        name=name,
        jobs=len(inside),
        price_cents=price,
        profit_cents=profit,
        margin=profit / price if price else None,
        minutes_per_foot=_over(long),
        rework=sum(job.rework_minutes for job in inside) / minutes if minutes else None,
        overrun=ratio - 1 if (ratio := _over(quoted)) is not None else None,
        days_late=sum(late) / len(late) if late else None,
        paid_cents=sum(job.paid_cents for job in inside),
    )


def _over(pairs: Sequence[tuple[float, float]]) -> float | None:
    """The sum of the first ÷ that of the second."""
    below = sum(one for _, one in pairs)
    return sum(one for one, _ in pairs) / below if below else None


def _read(session: Session, today: date) -> tuple[Job, ...]:
    projects = project_records.all_projects(session, FINISHED)
    costs = actual_cost.costs(session, projects, read_shop(session, today), today)
    lengths, woods, paid = finished.longest_parts(session), finished.woods(session), finished.paid(session)
    return tuple(_job(project, costs[project.id], lengths, woods, paid) for project in projects)


def _job(project: ProjectRow, cost: Cost, lengths: dict[int, int], woods: dict[int, str], paid: dict[int, int]) -> Job:
    ended: date | None = project.delivered_on or project.agreed_on
    promised, delivered = project.promised_on, project.delivered_on
    length = lengths.get(project.id)
    return Job(
        project_id=project.id,
        code=project.code,
        title=project.title,
        design=project.design_word or "",
        wood=woods.get(project.id, ""),
        client=project.client_kind,
        year=str(ended.year) if ended else "",
        feet=units.to_feet(length) * project.benches if length else None,
        price_cents=project.agreed_price_cents,
        cost_cents=cost.cents,
        minutes=cost.paid.minutes + cost.paid.rework_minutes,
        rework_minutes=cost.paid.rework_minutes,
        quoted_minutes=project.agreed_minutes,
        days_late=(delivered - promised).days if promised and delivered else None,
        paid_cents=paid.get(project.id, 0),
    )


def heads(of: type[Job | Group]) -> tuple[str, ...]:
    """Column names of a table, as a spreadsheet gets them."""
    return tuple(field.name for field in fields(of) if field.name != "project_id")
