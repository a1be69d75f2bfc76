"""Where a project in build will end up, in hours, money and days, and how that moved since it was begun."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

import numpy as np

from journal import units
from journal.desk import estimate as estimates
from journal.desk import paces
from journal.desk.own_steps import own_steps
from journal.desk.progress_work import Work
from journal.desk.ratio_records import rework_share
from journal.desk.ratios import known_by, read_ratios
from journal.desk.remembered import Remembered
from journal.desk.shop import read_shop
from journal.errors import JournalError
from journal.pace import integrate
from journal.pace.explain import sentences
from journal.pace.progress import Ending, Piece, forecast
from journal.pace.ratios import Kind
from journal.records.queries import log as log_records
from journal.records.queries import projects as project_records
from journal.records.queries import purchases as purchase_records
from journal.records.words import FINISHED, ProjectState
from journal.working import Spread

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence
    from datetime import date

    from numpy.typing import NDArray
    from sqlalchemy.orm import Session

    from journal.desk.estimate import ProjectEstimate
    from journal.desk.ratios import Ratios
    from journal.desk.shop import ShopView
    from journal.pace.design import Row
    from journal.pace.model import Book, Integrator
    from journal.records.queries.log import LoggedRow, QuantityRow
    from journal.records.queries.projects import ProjectRow

    Floats = NDArray[np.float64]

_MOST_STEPS = 8
_SHARES = (0.1, 0.5, 0.9)
_WEEK = 7


@dataclass(frozen=True, slots=True)
class Dates:
    """When it may be ready to deliver: one time in ten by `early`, as likely by `likely` as after, nine in ten by `late`."""

    early: date
    likely: date
    late: date


@dataclass(frozen=True, slots=True)
class Step:
    """How it looked at the end of a day: hours spent by then, and those it would come to."""

    on: date
    spent_minutes: float
    minutes: Spread


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """Where a project will end up.

    Attributes:
        project: which.
        ending: operation by operation; `ending.by_doubt` is what to watch.
        spent_minutes: all hours so far: planned, unplanned, done again.
        beside_minutes: the part of them nobody planned; rework_minutes: the part done again.
        minutes: all hours in the end, an allowance for both in what is still to come.
        left: the same, still to come.
        agreed_minutes: what was promised; None when nothing was.
        over_agreed: chance that it takes more than that; None when nothing was promised.
        cost: cents in the end, wage and overhead included; None where the parts cannot be priced.
        bought_cents: receipts so far; materials_cents: what is counted for materials, the dearer of receipts and plan.
        quoted_cost_cents: what it was quoted to cost; None when it was not.
        finish: when the work may be through, at the shop's usual hours a week; waits for glue and finish not added.
        week_minutes: those hours, this project's part of them.
        history: how this looked day by day, the last being today.
        explained: operation → what moved its prediction, in a sentence.
        silent: operations without a log although later stages have begun; counted as still to come.
        without_plan: what was logged and is not in the plan.
        own_left: typed minutes of the maker's own steps still to come, in `left` with the same allowance.
    """

    project: ProjectRow
    ending: Ending
    spent_minutes: float
    beside_minutes: float
    rework_minutes: float
    minutes: Spread
    left: Spread
    agreed_minutes: float | None
    over_agreed: float | None
    cost: Spread | None
    bought_cents: int
    materials_cents: int
    quoted_cost_cents: int | None
    finish: Dates
    week_minutes: float
    history: tuple[Step, ...]
    explained: Mapping[str, str]
    silent: tuple[str, ...]
    without_plan: tuple[str, ...]
    own_left: float = 0.0


_seen: Remembered[Whereabouts] = Remembered(8)
_endings: Remembered[Ending] = Remembered(64)


def progress(
    session: Session, project_id: int, today: date, *, done: Collection[str] = (), with_history: bool = True
) -> Whereabouts:
    """Where a project will end up, from its plan and its log; the same journal is worked out once.

    Args:
        session: a session.
        project_id: which.
        today: logs after it are left out.
        done: operations and stages that are done, as the user says; the others as `journal.desk.progress_work` tells.
        with_history: how it looked on earlier days too, each of which takes a calibration; else only today.

    Raises:
        MissingReference: no such project.
        JournalError: it has no plan to measure by, or nothing in it is known to the book.
    """
    rests_on = (project_id, today, frozenset(done), with_history)
    return _seen.of_journal(
        session, rests_on, lambda: _read(session, project_id, today, done, with_history=with_history)
    )


def _read(session: Session, project_id: int, today: date, done: Collection[str], *, with_history: bool) -> Whereabouts:
    project = project_records.get_project(session, project_id)
    quantities = log_records.operation_quantities(session, project_id=project_id)
    logged = [row for row in log_records.log_lines(session, project_id=project_id) if row.on_date <= today]
    taught = paces.learn(session, today)
    shop = read_shop(session, today)
    ratios = read_ratios(session, shop, today, taught=taught)
    work = Work(
        project.code,
        tuple(q for q in quantities if q.quantity > 0 or q.setups > 0),
        frozenset(done),
        paces.shop_book(session),
        own_steps(session, [project], shop).get(project_id, ()),
    )
    if not work.baselines():
        raise JournalError(f"project {project.code} has no plan yet; list its parts, and their work follows from them")
    past = tuple(row for row in taught.evidence.rows if row.project != project.code)
    seen = _look(work, past, logged, today)
    hours = _all_hours(seen, ratios, shop)
    left = np.maximum(hours - seen.spent_minutes, 0.0)
    priced = _estimate(session, project_id, today)
    bought = _bought(session, project_id)
    materials = max(bought, _line_cents(priced, "Materials"))
    week = _week_minutes(session, shop, ratios)
    history = _history(work, past, logged, today, ratios, shop) if with_history else []
    return Whereabouts(
        project=project,
        ending=seen.ending,
        spent_minutes=seen.spent_minutes,
        beside_minutes=seen.beside_minutes,
        rework_minutes=seen.rework_minutes,
        minutes=_spread(hours),
        left=_spread(left),
        agreed_minutes=project.agreed_minutes,
        over_agreed=float(np.mean(hours > project.agreed_minutes)) if project.agreed_minutes else None,
        cost=_cost(priced, hours, materials),
        bought_cents=bought,
        materials_cents=materials,
        quoted_cost_cents=project.quoted_cost_cents,
        finish=_finish(left, week, today),
        week_minutes=week,
        history=(*history, Step(today, seen.spent_minutes, _spread(hours))),
        explained=_explained(seen.ending, shop),
        silent=work.silent(logged),
        without_plan=tuple(sorted({row.what for row in logged if not row.rework} - work.covered(logged))),
        own_left=seen.own_left,
    )


def _explained(ending: Ending, shop: ShopView) -> dict[str, str]:
    so_far = math.log1p(ending.so_far) if ending.so_far is not None else None
    return sentences(ending.beliefs, ending.book, ending.today, so_far, shown=shop.shown)


@dataclass(frozen=True, slots=True)
class Remaining:
    """What is still to come of a project, for its dates.

    Attributes:
        ending: piece by piece, as in `Whereabouts`.
        minutes: equally likely minutes still to come, an allowance for the unplanned and for rework in them, shape (n,).
        own_minutes: of them, those typed for steps of the maker's own.
        over: stages that seem over.
    """

    ending: Ending
    minutes: Floats
    own_minutes: float = 0.0
    over: frozenset[str] = frozenset()


def remaining(session: Session, projects: Sequence[ProjectRow], today: date) -> dict[int, Remaining]:
    """What is still to come of projects that are not finished, by id; those without a plan to measure by are left out.

    A constant number of statements.
    """
    taught = paces.learn(session, today)
    shop = read_shop(session, today)
    ratios = read_ratios(session, shop, today, taught=taught)
    quantities = log_records.operation_quantities(
        session, states=[state for state in ProjectState if state not in FINISHED]
    )
    logged = [row for row in paces.logged(session) if row.on_date <= today]
    book, own = paces.shop_book(session), own_steps(session, projects, shop)
    found = {}
    for project in projects:
        mine = tuple(q for q in quantities if q.project_id == project.id and (q.quantity > 0 or q.setups > 0))
        work = Work(project.code, mine, frozenset(), book, own.get(project.id, ()))
        if work.baselines():
            past = tuple(row for row in taught.evidence.rows if row.project != project.code)
            here = [row for row in logged if row.project_id == project.id]
            seen = _look(work, past, here, today)
            left = np.maximum(_all_hours(seen, ratios, shop) - seen.spent_minutes, 0.0)
            found[project.id] = Remaining(seen.ending, left, seen.own_left, work.over(here))
    return found


def standing(
    code: str, quantities: Sequence[QuantityRow], logged: Sequence[LoggedRow], book: Book
) -> tuple[Piece, ...]:
    """How far each operation of one project's plan has come; nothing is forecast.

    Args:
        code: the project's number.
        quantities: its plan, as built where that was noted.
        logged: its time.
        book: the operations known.
    """
    plan = tuple(row for row in quantities if row.quantity > 0 or row.setups > 0)
    return Work(code, plan, frozenset(), book).pieces(logged)


@dataclass(frozen=True, slots=True)
class _Look:
    """A forecast and the hours that stand beside the plan."""

    ending: Ending
    spent_minutes: float
    beside_minutes: float
    rework_minutes: float
    own_left: float


def _look(
    work: Work,
    past: tuple[Row, ...],
    logged: Sequence[LoggedRow],
    today: date,
    integrator: Integrator = integrate.DEFAULT,
) -> _Look:
    pieces = work.pieces(logged)
    ending = _endings.get(
        (today, work.code, pieces, integrator, past),
        lambda: forecast(past, work.code, pieces, work.book, today=today, integrator=integrator),
    )
    rework = sum(row.minutes for row in logged if row.rework)
    spent = sum(row.minutes for row in logged)
    return _Look(ending, spent, spent - rework - ending.spent_minutes, rework, work.own_left(logged))


def _all_hours(seen: _Look, ratios: Ratios, shop: ShopView) -> Floats:
    """Draws of all minutes in the end: what is left of the plan grows by what nobody plans and by rework."""
    return np.asarray(seen.spent_minutes + (seen.ending.left_draws + seen.own_left) * _growth(ratios, shop))


def _growth(ratios: Ratios, shop: ShopView) -> float:
    beside, again = ratios.factor(Kind.UNPLANNED), ratios.factor(Kind.REWORK)
    unplanned = (1 + shop.allowances["unplanned_share"]) * (beside.mean if beside else 1.0)
    rework = (1 + rework_share()) * (again.mean if again else 1.0)
    return 1 + max(unplanned - 1, 0.0) + max(rework - 1, 0.0)


def _history(
    work: Work, past: tuple[Row, ...], logged: Sequence[LoggedRow], today: date, ratios: Ratios, shop: ShopView
) -> list[Step]:
    """How it looked before the first day of work and after some of the days that followed."""
    days = sorted({row.on_date for row in logged if row.on_date < today})
    if not days:
        return []
    picked = [days[0] - timedelta(days=1), *_evenly(days, _MOST_STEPS)]
    newest: dict[str, date] = {}
    for row in past:
        newest[row.project] = max(row.on, newest.get(row.project, row.on))
    steps = []
    for day in picked:
        known = tuple(row for row in past if newest[row.project] <= day)
        seen = _look(work, known, [row for row in logged if row.on_date <= day], day, integrate.QUICK)
        then = known_by(ratios, day, (Kind.UNPLANNED, Kind.REWORK))
        steps.append(Step(day, seen.spent_minutes, _spread(_all_hours(seen, then, shop))))
    return steps


def _evenly(days: Sequence[date], most: int) -> list[date]:
    if len(days) <= most:
        return list(days)
    places = np.unique(np.linspace(0, len(days) - 1, most).round().astype(int))
    return [days[place] for place in places.tolist()]


def _estimate(session: Session, project_id: int, today: date) -> ProjectEstimate | None:
    """Today's estimate; None where the parts cannot be made or priced, and only the hours can be told."""
    try:
        return estimates.estimate_project(session, project_id, today)
    except JournalError:
        return None


def _line_cents(priced: ProjectEstimate | None, name: str) -> int:
    return int(next((line.value for line in priced.made.costs if line.name == name), 0)) if priced else 0


def _bought(session: Session, project_id: int) -> int:
    return sum(
        sum(line.price_cents for line in receipt.lines) + receipt.freight_cents + receipt.tax_cents
        for receipt in purchase_records.purchases(session, project_id=project_id)
    )


def _cost(priced: ProjectEstimate | None, hours: Floats, materials_cents: int) -> Spread | None:
    if priced is None:
        return None
    rates = priced.made.rates
    an_hour = rates.wage_cents_per_hour + rates.overhead_cents_per_hour
    machines = _line_cents(priced, "Machines")
    cents = hours / 60 * an_hour + materials_cents + machines
    return Spread(*(float(units.round_half_up(float(value))) for value in np.quantile(cents, _SHARES)))


def _week_minutes(session: Session, shop: ShopView, ratios: Ratios) -> float:
    """Bench minutes a week as they have been here, shared by the projects in build."""
    in_build = project_records.all_projects(session, [ProjectState.IN_BUILD])
    factor = ratios.factor(Kind.BENCH_HOURS)
    whole = shop.row.minutes_per_week * (factor.range.p50 if factor else 1.0)
    return whole / max(len(in_build), 1)


def _finish(left: Floats, week_minutes: float, today: date) -> Dates:
    days = np.ceil(np.quantile(left, _SHARES) / week_minutes * _WEEK)
    return Dates(*(today + timedelta(days=min(int(day), 36_500)) for day in days))


def _spread(draws: Floats) -> Spread:
    return Spread(*(float(value) for value in np.quantile(draws, _SHARES)))
