"""What the hours of a job in build have brought so far: the plan as agreed against what the logged hours cost.

The second opinion beside the forecast, which anybody can check by hand. A piece of work that is done has brought all of its
plan; one that is open the share of it that its hours so far are of its likely hours in the end; one to come nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import reference, units
from journal.desk import actual_cost, promises
from journal.desk.review_promise import promised
from journal.desk.shop import read_shop
from journal.pace.progress import State
from journal.quote.earned import Earned
from journal.records.queries import finished
from journal.working import Basis, Line, counted

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.desk.progress import Whereabouts
    from journal.desk.shop import ShopView
    from journal.pace.progress import PieceForecast


@dataclass(frozen=True, slots=True)
class EarnedSoFar:
    """What the hours have brought.

    Attributes:
        index: cents of the plan that each cent spent has brought.
        end_cents: what all hours cost in the end, at that pace.
        planned_cents: what they were to cost, as agreed.
        line: how `end_cents` comes about.
        plan_minutes: what the plan of the agreement came to, whatever was agreed; None where that is not known.
    """

    index: float
    end_cents: int
    planned_cents: int
    line: Line
    plan_minutes: float | None = None


@dataclass(frozen=True, slots=True)
class _Plan:
    """The hours as agreed.

    Attributes:
        line: what they were to cost.
        overhead_cents_per_minute: as it was reckoned.
        minutes: of each operation, by which the cost lies on the pieces of work; empty where that is not known.
        whole_minutes: all of the plan, its allowances included; None where that is not known.
    """

    line: Line
    overhead_cents_per_minute: float
    minutes: Mapping[str, float]
    whole_minutes: float | None = None


def earned_so_far(session: Session, found: Whereabouts, today: date) -> EarnedSoFar | None:
    """What the hours have brought; time after today is left out.

    The plan is what was agreed: the hours of the quote at its wage and overhead, else of the plan as it was that day.

    None where no hours were agreed, or no logged time has brought anything of the plan yet.
    """
    if not found.agreed_minutes:
        return None
    shop = read_shop(session, today)
    plan = _plan(session, found, found.agreed_minutes, shop, today)
    planned, spent, done = plan.line, _spent(session, found.project.id, plan, shop, today), _done(found, plan)
    known = Earned(whole=planned.value, done=done.value, spent=spent.value)
    if known.cost_index is None or known.at_this_rate is None:
        return None
    brought = f"{_money(done.value, shop)} ÷ {_money(spent.value, shop)}"
    rest = f"({_money(planned.value, shop)} − {_money(done.value, shop)}) ÷ {known.cost_index:.4g}"
    line = Line(
        "Cost of the hours in the end",
        units.round_half_up(known.at_this_rate),
        "cents",
        f"{_money(spent.value, shop)} + {rest}",
        Basis.WORKED,
        "spent so far, and the rest of the plan at the pace so far",
        parts=(
            spent,
            planned,
            done,
            Line("Plan brought for each unit of money spent", known.cost_index, "", brought, Basis.WORKED),
        ),
    )
    return EarnedSoFar(known.cost_index, int(line.value), int(planned.value), line, plan.whole_minutes)


def _plan(session: Session, found: Whereabouts, minutes: float, shop: ShopView, today: date) -> _Plan:
    project = found.project
    agreed = promised(session, project, promises.agreed(session, project.id), today)
    if agreed is None or not agreed.minutes:
        return _plan_of_now(minutes, shop)
    wage, overhead = (_money(cents, shop) for cents in (agreed.wage_cents, agreed.overhead_cents))
    line = Line(
        "Hours as agreed",
        agreed.wage_cents + agreed.overhead_cents,
        "cents",
        f"{units.format_hours(agreed.minutes)}: wage {wage} + overhead {overhead}",
        Basis.WORKED,
        agreed.source,
    )
    operations = {one.code: one.minutes for one in agreed.operations}
    whole = sum(operations.values()) + agreed.allowance_minutes + agreed.rework_minutes
    return _Plan(line, agreed.overhead_cents / agreed.minutes, operations, whole)


def _plan_of_now(minutes: float, shop: ShopView) -> _Plan:
    """Where the plan of that day can no longer be estimated: the shop's rates of now."""
    rates = shop.rates()
    an_hour = rates.wage_cents_per_hour + rates.overhead_cents_per_hour
    line = Line(
        "Hours as agreed",
        units.round_half_up(minutes / 60 * an_hour),
        "cents",
        f"{units.format_hours(minutes)} × {_money(an_hour, shop)}",
        Basis.WORKED,
        "at the shop’s wage and overhead of now",
    )
    return _Plan(line, rates.overhead_cents_per_hour / 60, {})


def _spent(session: Session, project_id: int, plan: _Plan, shop: ShopView, today: date) -> Line:
    """All logged time, with what nobody planned and what was done again: the hours agreed allow for both."""
    rows = finished.spent(session, today, project_id=project_id).get(project_id, [])
    paid = actual_cost.paid(rows, shop)
    minutes, wage = paid.minutes + paid.rework_minutes, paid.wage_cents + paid.rework_wage_cents
    rate = plan.overhead_cents_per_minute
    overhead = units.round_half_up(minutes * rate)
    hours = units.format_hours(minutes)
    worked = f"{hours} × {_money(60 * rate, shop)}"
    return Line(
        "Spent on hours so far",
        wage + overhead,
        "cents",
        f"{_money(wage, shop)} + {_money(overhead, shop)}",
        Basis.WORKED,
        parts=(
            Line("Wage", wage, "cents", "", Basis.LOGS, f"{hours}, each at the wage of who put it in"),
            Line("Overhead", overhead, "cents", worked, Basis.LOGS, "at the rate as agreed"),
        ),
    )


def _done(found: Whereabouts, plan: _Plan) -> Line:
    """The cost of the hours lies on the pieces of work by their minutes in the plan, else by those of the starting book."""
    pieces = found.ending.pieces
    weights = [sum(plan.minutes.get(code, 0.0) for code, _ in one.piece.shares) for one in pieces]
    weighed = "as they were planned"
    if not sum(weights):
        weights, weighed = [one.piece.baseline_minutes for one in pieces], "as the starting book weighs them"
    names = _names(found)
    lines = tuple(
        _piece(one, cents, names, f"{weight / sum(weights):.1%} of the hours, {weighed}")
        for one, cents, weight in zip(pieces, units.share(int(plan.line.value), weights), weights, strict=True)
        if one.piece.state is not State.TO_COME
    )
    begun = f"{len(lines)} of {counted(len(pieces), 'piece')} of work begun"
    return Line("Done of it", sum(int(line.value) for line in lines), "cents", begun, Basis.WORKED, parts=lines)


def _piece(one: PieceForecast, planned_cents: int, names: Mapping[str, str], source: str) -> Line:
    piece = one.piece
    name = names.get(piece.name, piece.name)
    if piece.state is State.DONE:
        return Line(name, planned_cents, "cents", "done: all of its plan", Basis.WORKED, source)
    likely = max(one.minutes.p50, piece.logged_minutes)
    cents = units.round_half_up(planned_cents * piece.logged_minutes / likely)
    so_far, in_the_end = units.format_minutes(piece.logged_minutes), units.format_minutes(likely)
    worked = f"open: {so_far} of likely {in_the_end}"
    return Line(name, cents, "cents", worked, Basis.WORKED, source)


def _names(found: Whereabouts) -> dict[str, str]:
    operations = {code: entry.name for code, entry in found.ending.book.items()}
    return {code: stage.name for code, stage in reference.stages().items()} | operations


def _money(cents: float, shop: ShopView) -> str:
    return units.format_money(units.round_half_up(cents), shop.currency)
