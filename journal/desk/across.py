"""Across jobs: where this shop makes and loses money, by design, wood, kind of client and year.

Every finished job is reckoned in one go: materials at what was used of its receipts and the rack, hours at the wage of who
put them in, overhead at the shop's rate of now. (The Review of one job takes the rates of its own quote.)
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, fields
from enum import StrEnum
from fractions import Fraction
from typing import TYPE_CHECKING

from journal import units
from journal.desk import rack
from journal.desk.remembered import Remembered
from journal.quote.landed import landed
from journal.records.queries import finished
from journal.records.queries import projects as project_records
from journal.records.queries import purchases as purchase_records
from journal.records.queries import rack as rack_records
from journal.records.queries.shop import get_shop
from journal.records.words import FINISHED, RackMoveKind

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.records.queries.finished import HoursRow
    from journal.records.queries.projects import ProjectRow
    from journal.records.queries.shop import ShopRow


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
        cost_cents: materials, wage and overhead.
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


def jobs(session: Session) -> tuple[Job, ...]:
    """Every finished job, newest number first. A constant number of statements; the same journal is read once."""
    return _jobs.of_journal(session, "across", lambda: _read(session))


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


def _read(session: Session) -> tuple[Job, ...]:
    shop = get_shop(session)
    spent, lengths, woods = finished.hours(session), finished.longest_parts(session), finished.woods(session)
    paid, materials = finished.paid(session), _materials(session)
    return tuple(
        _job(one.project, shop, spent.get(one.project.id), materials[one.project.id], lengths, woods, paid)
        for one in project_records.list_projects(session, FINISHED)
    )


def _job(
    project: ProjectRow,
    shop: ShopRow,
    spent: HoursRow | None,
    materials_cents: int,
    lengths: dict[int, int],
    woods: dict[int, str],
    paid: dict[int, int],
) -> Job:
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
        cost_cents=materials_cents + (_work_cents(spent, shop) if spent else 0),
        minutes=spent.seconds / 60 if spent else 0.0,
        rework_minutes=spent.rework_seconds / 60 if spent else 0.0,
        quoted_minutes=project.agreed_minutes,
        days_late=(delivered - promised).days if promised and delivered else None,
        paid_cents=paid.get(project.id, 0),
    )


def _work_cents(spent: HoursRow, shop: ShopRow) -> int:
    own = Fraction(spent.seconds - spent.hired_seconds, 3600) * shop.wage_cents_per_hour
    overhead = Fraction(spent.seconds, 3600) * shop.overhead_cents_per_hour
    return units.round_half_up(own + Fraction(spent.hired_cents) + overhead)


def _materials(session: Session) -> Counter[int]:
    """Project → what its materials cost: what was used of its receipts, and what it drew less what it left."""
    found: Counter[int] = Counter()
    racked = rack_records.racked_lines(session)
    for receipt in purchase_records.purchases(session):
        if receipt.project_id is None or not receipt.lines:
            continue
        prices = [line.price_cents for line in receipt.lines]
        whole = landed(prices, freight_cents=receipt.freight_cents, tax_cents=receipt.tax_cents)
        for line, cost in zip(receipt.lines, whole, strict=True):
            gone = line.quantity if line.used_quantity is None else line.used_quantity + (line.rejected_quantity or 0)
            left = max(line.quantity - gone, 0.0)
            if line.id not in racked:
                found[receipt.project_id] += units.share(cost.cents, [Fraction(gone), Fraction(left)])[0]
    for moves in rack.costed_moves(session).values():
        for move, cents in moves:
            if move.project_id is not None and move.kind in (RackMoveKind.DRAWN, RackMoveKind.RETURNED):
                found[move.project_id] += cents if move.kind is RackMoveKind.DRAWN else -cents
    return found


def heads(of: type[Job | Group]) -> tuple[str, ...]:
    """Column names of a table, as a spreadsheet gets them."""
    return tuple(field.name for field in fields(of) if field.name != "project_id")
