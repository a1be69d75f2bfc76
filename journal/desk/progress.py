"""Where a project in build will end up, in hours, money and days, and how that moved since it was begun."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import timedelta
from functools import cache, lru_cache
from typing import TYPE_CHECKING

import numpy as np

from journal import reference, units
from journal.desk import estimate as estimates
from journal.desk import paces
from journal.desk.ratio_records import rework_share
from journal.desk.ratios import known_by, read_ratios
from journal.desk.shop import read_shop
from journal.errors import JournalError
from journal.pace.explain import explain_all
from journal.pace.progress import Ending, Piece, State, forecast
from journal.pace.ratios import Kind
from journal.records.queries import log as log_records
from journal.records.queries import projects as project_records
from journal.records.queries import purchases as purchase_records
from journal.records.words import ProjectState
from journal.working import Spread

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence
    from datetime import date

    from numpy.typing import NDArray
    from sqlalchemy.orm import Session

    from journal.desk.estimate import ProjectEstimate
    from journal.desk.ratios import Ratios
    from journal.desk.shop import ShopView
    from journal.pace.design import Row
    from journal.records.queries.log import LoggedRow, QuantityRow
    from journal.records.queries.projects import ProjectRow

    Floats = NDArray[np.float64]

# Goes on from the first day to the last, so that other stages tell nothing about it.
_ALONGSIDE = "shop"
_LEAST_OF_BOOK = 0.25
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


def progress(session: Session, project_id: int, today: date, *, done: Collection[str] = ()) -> Whereabouts:
    """Where a project will end up, from its plan and its log.

    An operation is done when its as-built quantity was noted, when it is named in `done`, or when work that comes after
    it in the book was logged on a later day (unless it has had under a quarter of the book's minutes: then more of it
    is to come); otherwise one with time is open. The shop stage (cleaning, drawings) goes alongside all others.

    Raises:
        MissingReference: no such project.
        JournalError: it has no plan to measure by, or nothing in it is known to the book.
    """
    project = project_records.get_project(session, project_id)
    quantities = log_records.operation_quantities(session, project_id=project_id)
    logged = [row for row in log_records.log_lines(session, project_id=project_id) if row.on_date <= today]
    taught = paces.learn(session, today)
    shop = read_shop(session, today)
    ratios = read_ratios(session, shop, today, taught=taught)
    work = _Work(project.code, tuple(q for q in quantities if q.quantity > 0 or q.setups > 0), frozenset(done))
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
        history=(*_history(work, past, logged, today, ratios, shop), Step(today, seen.spent_minutes, _spread(hours))),
        explained=explain_all(
            seen.ending.calibration, project=project.code if seen.ending.so_far is not None else None
        ),
        silent=work.silent(logged),
        without_plan=tuple(sorted({row.what for row in logged if not row.rework} - work.covered(logged))),
    )


@dataclass(frozen=True, slots=True)
class _Look:
    """A forecast and the hours that stand beside the plan."""

    ending: Ending
    spent_minutes: float
    beside_minutes: float
    rework_minutes: float


@dataclass(frozen=True, slots=True)
class _Work:
    """The project's plan, as built where that was noted."""

    code: str
    quantities: tuple[QuantityRow, ...]
    done: frozenset[str]

    def baselines(self) -> dict[str, float]:
        """Minutes by the book of every operation in its order, but rework, which is kept apart."""
        book = paces.book()
        rows = {row.operation: row for row in self.quantities if row.operation != paces.REWORK}
        found = {
            code: entry.baseline_minutes(rows[code].setups, rows[code].quantity)
            for code, entry in book.items()
            if code in rows
        }
        return {code: minutes for code, minutes in found.items() if minutes > 0}

    def pieces(self, logged: Sequence[LoggedRow]) -> tuple[Piece, ...]:
        """Operations logged singly or not at all, and stages logged as a whole with the rest of their operations."""
        minutes, last = _tally(logged)
        book = paces.book()
        baselines = self.baselines()
        stages: dict[str, dict[str, float]] = {}
        found = []
        for code, baseline in baselines.items():
            stage = book[code].stage
            if code not in minutes and stage in minutes:
                stages.setdefault(stage, {})[code] = baseline
            else:
                found.append(self._piece(code, stage, {code: baseline}, minutes, last))
        found += [self._piece(stage, stage, inside, minutes, last) for stage, inside in stages.items()]
        return tuple(found)

    def _piece(
        self, name: str, stage: str, inside: Mapping[str, float], minutes: Mapping[str, float], last: Mapping[str, date]
    ) -> Piece:
        whole = sum(inside.values())
        shares = tuple((code, baseline / whole) for code, baseline in inside.items())
        spent = minutes.get(name, 0.0)
        if not spent:
            return Piece(name, stage, shares, whole)
        enough = spent >= _LEAST_OF_BOOK * whole
        state = State.DONE if self._is_done(name, inside, last, enough=enough) else State.OPEN
        return Piece(name, stage, shares, whole, state, spent, last[name])

    def _is_done(self, name: str, inside: Iterable[str], last: Mapping[str, date], *, enough: bool) -> bool:
        as_built = {row.operation for row in self.quantities if row.as_built}
        if name in self.done or as_built.issuperset(inside):
            return True
        return enough and any(day > last[name] for day in _after(name, last))

    def silent(self, logged: Sequence[LoggedRow]) -> tuple[str, ...]:
        """Operations to come of stages that seem over."""
        _, last = _tally(logged)
        to_come = [piece for piece in self.pieces(logged) if piece.state is State.TO_COME]
        return tuple(piece.name for piece in to_come if _after(piece.stage, last))

    def covered(self, logged: Sequence[LoggedRow]) -> set[str]:
        """What was logged and has a piece of the plan."""
        return {piece.name for piece in self.pieces(logged)}


def _tally(logged: Sequence[LoggedRow]) -> tuple[dict[str, float], dict[str, date]]:
    """Minutes and last day by operation or stage; what was done again or is set aside is not progress."""
    minutes: Counter[str] = Counter()
    last: dict[str, date] = {}
    for row in logged:
        if not row.rework and not row.set_aside and row.minutes:
            minutes[row.what] += row.minutes
            last[row.what] = max(row.on_date, last.get(row.what, row.on_date))
    return dict(minutes), last


@cache
def _order() -> dict[str, tuple[int, int]]:
    """Place of every stage and operation in the order of work; a stage comes after its operations."""
    stages = {code: place for place, code in enumerate(reference.stages()) if code != _ALONGSIDE}
    found = {code: (place, len(paces.book())) for code, place in stages.items()}
    for place, (code, entry) in enumerate(paces.book().items()):
        if entry.stage in stages:
            found[code] = (stages[entry.stage], place)
    return found


def _after(name: str, last: Mapping[str, date]) -> list[date]:
    """The last days of everything logged that comes after it; none for what goes alongside."""
    order = _order()
    return [day for what, day in last.items() if name in order and order.get(what, (-1, 0)) > order[name]]


def _look(work: _Work, past: tuple[Row, ...], logged: Sequence[LoggedRow], today: date) -> _Look:
    pieces = work.pieces(logged)
    ending = _forecast(past, work.code, pieces, today)
    rework = sum(row.minutes for row in logged if row.rework)
    spent = sum(row.minutes for row in logged)
    return _Look(ending, spent, spent - rework - ending.spent_minutes, rework)


@lru_cache(maxsize=64)
def _forecast(past: tuple[Row, ...], code: str, pieces: tuple[Piece, ...], today: date) -> Ending:
    return forecast(past, code, pieces, paces.book(), today=today)


def _all_hours(seen: _Look, ratios: Ratios, shop: ShopView) -> Floats:
    """Draws of all minutes in the end: what is left of the plan grows by what nobody plans and by rework."""
    beside, again = ratios.factor(Kind.UNPLANNED), ratios.factor(Kind.REWORK)
    unplanned = (1 + shop.allowances["unplanned_share"]) * (beside.mean if beside else 1.0)
    rework = (1 + rework_share()) * (again.mean if again else 1.0)
    growth = max(unplanned - 1, 0.0) + max(rework - 1, 0.0)
    return np.asarray(seen.spent_minutes + seen.ending.left_draws * (1 + growth))


def _history(
    work: _Work, past: tuple[Row, ...], logged: Sequence[LoggedRow], today: date, ratios: Ratios, shop: ShopView
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
        seen = _look(work, known, [row for row in logged if row.on_date <= day], day)
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
    in_build = project_records.list_projects(session, [ProjectState.IN_BUILD])
    factor = ratios.factor(Kind.BENCH_HOURS)
    whole = shop.row.minutes_per_week * (factor.range.p50 if factor else 1.0)
    return whole / max(len(in_build), 1)


def _finish(left: Floats, week_minutes: float, today: date) -> Dates:
    days = np.ceil(np.quantile(left, _SHARES) / week_minutes * _WEEK)
    return Dates(*(today + timedelta(days=min(int(day), 36_500)) for day in days))


def _spread(draws: Floats) -> Spread:
    return Spread(*(float(value) for value in np.quantile(draws, _SHARES)))
