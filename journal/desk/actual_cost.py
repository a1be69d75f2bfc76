"""What finished jobs cost, to the cent: the one sum that the Review of a job and the page over all jobs both show.

Materials used, hours at the wage of who put them in, overhead, machines. Where a quote or an estimate was kept, overhead
and machines go at its rates, and what nobody noted counts as quoted; else at the shop's rates of now. Nothing of it hangs
on an estimate made afterwards, so it is the same sum for one job and for all of them at once.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from journal import reference, units
from journal.desk import paces, review_actual
from journal.desk.remembered import Remembered
from journal.desk.review_actual import Silent
from journal.desk.review_promise import kept_promises
from journal.records.queries import finished
from journal.records.queries import log as log_records

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.desk.review_actual import Materials, Noted
    from journal.desk.review_promise import Promised
    from journal.desk.shop import ShopView
    from journal.pace.model import Book
    from journal.records.queries.finished import SpentRow
    from journal.records.queries.log import QuantityRow
    from journal.records.queries.projects import ProjectRow

_SECONDS_PER_HOUR = 3600


@dataclass(frozen=True, slots=True)
class Terms:
    """By what a job is reckoned.

    Attributes:
        overhead_cents_per_minute: of one person.
        machine_cents_per_minute: by kind of machine, for its running minute.
        work: (operation, stage, minutes), by which a stage logged as a whole is shared out.
        silent: what counts for materials nobody noted.
    """

    overhead_cents_per_minute: float
    machine_cents_per_minute: Mapping[str, float]
    work: tuple[tuple[str, str, float], ...]
    silent: Silent


@dataclass(frozen=True, slots=True)
class Paid:
    """What hours came to: minutes of one person and their wage, and those done again."""

    minutes: float
    wage_cents: int
    rework_minutes: float
    rework_wage_cents: int


@dataclass(frozen=True, slots=True)
class Cost:
    """What a job cost.

    Attributes:
        materials: line by line.
        paid: hours and wage.
        overhead_cents, rework_overhead_cents: of the hours, and of those done again.
        machines_cents: of all running hours.
    """

    materials: Materials
    paid: Paid
    overhead_cents: int
    rework_overhead_cents: int
    machines_cents: int

    @property
    def cents(self) -> int:
        """All of it."""
        wage = self.paid.wage_cents + self.paid.rework_wage_cents
        overhead = self.overhead_cents + self.rework_overhead_cents
        return self.materials.cents + wage + overhead + self.machines_cents


def cost(session: Session, project: ProjectRow, shop: ShopView, found: Promised, today: date) -> Cost:
    """What one job cost, its materials held against what was promised. A constant number of statements."""
    noted = review_actual.noted(session, project.id)
    spent = finished.spent(session, today, project_id=project.id).get(project.id, [])
    plan = log_records.operation_quantities(session, project_id=project.id)
    terms = _kept(found, shop) if found.kept else _of_now(shop, plan, paces.shop_book(session))
    used = review_actual.materials(
        noted, project, shop, terms.silent, quoted=found.materials, prices_on=found.prices_on
    )
    return _cost(used, spent, terms, shop)


def costs(session: Session, projects: Sequence[ProjectRow], shop: ShopView, today: date) -> dict[int, Cost]:
    """What each of these finished jobs cost, by id. A constant number of statements."""
    settled = replace(shop, hands=())  # who worked how much changes with every entry, and touches no wage of the past
    rests_on = (tuple(projects), settled, today)
    reckoned = _reckoned.of_journal(session, rests_on, lambda: _read(session, projects, settled, today))
    spent = finished.spent(session, today)
    return {project: _cost(one.used, spent.get(project, []), one.terms, shop) for project, one in reckoned.items()}


@dataclass(frozen=True, slots=True)
class _Reckoned:
    """All of a job that does not hang on its hours, which are written all day long."""

    terms: Terms
    used: Materials


_reckoned: Remembered[dict[int, _Reckoned]] = Remembered(1)


def _read(session: Session, projects: Sequence[ProjectRow], shop: ShopView, today: date) -> dict[int, _Reckoned]:
    noted = review_actual.noted(session)
    kept = kept_promises(session, projects, today)
    plans: dict[int, list[QuantityRow]] = {}
    for row in paces.quantities(session):
        plans.setdefault(row.project_id, []).append(row)
    book = paces.shop_book(session)
    found = {}
    for project in projects:
        one = kept.get(project.id)
        terms = _kept(one, shop) if one else _of_now(shop, plans.get(project.id, []), book)
        found[project.id] = _Reckoned(terms, _materials(noted, project, shop, terms, today))
    return found


def _materials(noted: Noted, project: ProjectRow, shop: ShopView, terms: Terms, today: date) -> Materials:
    """Held against nothing: their cost is the same as if they were."""
    return review_actual.materials(noted, project, shop, terms.silent, quoted={}, prices_on=today)


def _cost(used: Materials, spent: Sequence[SpentRow], terms: Terms, shop: ShopView) -> Cost:
    hours = paid(spent, shop)
    rate = terms.overhead_cents_per_minute
    return Cost(
        materials=used,
        paid=hours,
        overhead_cents=units.round_half_up(hours.minutes * rate),
        rework_overhead_cents=units.round_half_up(hours.rework_minutes * rate),
        machines_cents=_machine_cents(spent, terms),
    )


def _kept(found: Promised, shop: ShopView) -> Terms:
    """By what was kept; a machine that was quoted no hours runs at the shop's rate of now."""
    quoted = _running({one.code: one.minutes for one in found.operations})
    machines = _machines_of_now(shop) | {
        machine: found.machines[machine] / minutes
        for machine, minutes in quoted.items()
        if minutes and found.machines.get(machine)
    }
    overhead = found.overhead_cents / found.minutes if found.minutes else shop.row.overhead_cents_per_hour / 60
    work = tuple((one.code, one.stage, one.minutes) for one in found.operations)
    return Terms(overhead, machines, work, Silent(found.materials, shop.allowances["consumables_share"]))


def _of_now(shop: ShopView, plan: Iterable[QuantityRow], book: Book) -> Terms:
    """By the shop's rates of now, the plan's operations by the starting book."""
    work = tuple(
        (row.operation, book[row.operation].stage, book[row.operation].baseline_minutes(row.setups, row.quantity))
        for row in plan
        if row.operation in book and row.operation != paces.REWORK
    )
    silent = Silent(None, shop.allowances["consumables_share"])
    return Terms(shop.row.overhead_cents_per_hour / 60, _machines_of_now(shop), work, silent)


def _machines_of_now(shop: ShopView) -> dict[str, float]:
    return {machine: cents / 60 for machine, cents in shop.rates().machine_cents_per_hour.items()}


def paid(spent: Iterable[SpentRow], shop: ShopView) -> Paid:
    """Hours at the wage of who put them in; a place without one, and time without a place, at the shop's."""
    seconds, cents = Counter[bool](), {True: Fraction(0), False: Fraction(0)}
    for row in spent:
        wage = shop.row.wage_cents_per_hour if row.wage_cents_per_hour is None else row.wage_cents_per_hour
        seconds[row.rework] += row.seconds
        cents[row.rework] += Fraction(row.seconds * wage, _SECONDS_PER_HOUR)
    return Paid(
        seconds[False] / 60, units.round_half_up(cents[False]), seconds[True] / 60, units.round_half_up(cents[True])
    )


def _machine_cents(spent: Iterable[SpentRow], terms: Terms) -> int:
    running = _running(_by_operation(spent, terms.work))
    return units.round_half_up(
        sum(minutes * terms.machine_cents_per_minute.get(machine, 0.0) for machine, minutes in running.items())
    )


def _running(minutes: Mapping[str, float]) -> dict[str, float]:
    """Machine → minutes it ran."""
    book = reference.operations()
    found: Counter[str] = Counter()
    for code, spent in minutes.items():
        if code in book and book[code].machine:
            found[book[code].machine] += spent * book[code].machine_share
    return dict(found)


def _by_operation(spent: Iterable[SpentRow], work: Iterable[tuple[str, str, float]]) -> dict[str, float]:
    """Minutes of each operation; a stage logged as a whole is shared out over those of it not logged by themselves."""
    minutes: Counter[str] = Counter()
    stages: Counter[str] = Counter()
    for row in spent:
        if row.operation:
            minutes[row.operation] += row.seconds / 60
        elif row.stage:
            stages[row.stage] += row.seconds / 60
    logged = set(minutes)
    for stage, whole in stages.items():
        inside = {code: planned for code, of, planned in work if of == stage and code not in logged}
        planned = sum(inside.values())
        for code, share in inside.items():
            minutes[code] += whole * share / planned if planned else 0.0
    return dict(minutes)
