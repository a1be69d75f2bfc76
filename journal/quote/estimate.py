"""The estimate of a commission: what it takes, what it costs, how sure that is, and the price that follows.

Lines show means. One contingency line lifts their sum to the cost that is not passed with the chosen confidence
(percentiles do not add), and the margin stands on top: price = cost at that confidence ÷ (1 − margin).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from journal import reference, units
from journal.quote.cost_lines import cost_lines, price_lines
from journal.quote.costing import Materials, Rates, Supplies, materials
from journal.quote.forecast import OperationForecast, forecasts
from journal.quote.quantity_lines import quantity_lines
from journal.quote.risk import (
    Distribution,
    Multipliers,
    Uncertainty,
    multipliers,
    price_for,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from journal.build.steps import Task
    from journal.quote.takeoff import Takeoff
    from journal.quote.throws import Throws
    from journal.working import Line

    Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Estimate:
    """Everything a promise rests on.

    Attributes:
        takeoff: what it takes.
        operations: the work, in the order of the starting book.
        hours: how many hours it may take, work nobody planned included.
        cost: how much it may cost, wage and overhead included, in cents.
        outlay: the same without the owner's wage: what leaves the shop's pocket, in cents.
        expected_cents: sum of the cost lines, all means.
        contingency_cents: what lifts it to the chosen confidence.
        margin_cents: price less both.
        price_cents: what to ask.
        quantities, costs: the lines with their workings.
        missing: what has no price and is left out.
        draws, seed: of the random draws.
        cost_draws: the cost in each of them, for comparing options draw by draw; shape (draws,).
    """

    takeoff: Takeoff
    rates: Rates
    operations: tuple[OperationForecast, ...]
    hours: Distribution
    cost: Distribution
    outlay: Distribution
    expected_cents: int
    contingency_cents: int
    margin_cents: int
    price_cents: int
    quantities: tuple[Line, ...]
    costs: tuple[Line, ...]
    missing: tuple[str, ...]
    draws: int
    seed: int
    cost_draws: Floats = field(compare=False, repr=False)

    @property
    def cautions(self) -> tuple[str, ...]:
        """What to know before trusting the price."""
        if any(operation.logs or operation.stage_logs for operation in self.operations):
            return ()
        contingency = self.rates.money(self.contingency_cents)
        return (
            f"No job has been logged yet. The paces are the starting book’s and may be off by half either way, so {contingency} of contingency is in the price; the first jobs logged make it smaller.",
        )

    @property
    def by_doubt(self) -> tuple[OperationForecast, ...]:
        """The work, what brings most doubt about the hours first."""
        return tuple(sorted(self.operations, key=lambda operation: operation.share, reverse=True))

    @property
    def lines(self) -> tuple[Line, ...]:
        """Every line, top down."""
        return tuple(line for root in (*self.quantities, *self.costs) for line in root.walk())


@dataclass(frozen=True, slots=True)
class Chances:
    """What a typed price means.

    Attributes:
        below_wage: chance that the shop earns less than its own wage.
        out_of_pocket: chance that the price does not cover what leaves the pocket.
        earned_cents_per_hour: likely earning for an hour of anybody's work, (price − outlay) ÷ hours at their medians;
            what hired hands are paid is part of it.
        margin: (price − expected cost) ÷ price; markup: the same over the expected cost.
    """

    price_cents: int
    below_wage: float
    out_of_pocket: float
    earned_cents_per_hour: int
    margin: float
    markup: float


def estimate(takeoff: Takeoff, supplies: Supplies, rates: Rates, uncertainty: Uncertainty, throws: Throws) -> Estimate:
    """Put a price on what a commission takes. The same inputs and throws give the same estimate."""
    minutes = throws.minutes(takeoff.tasks)
    factors = multipliers(uncertainty, draws=throws.draws, seed=throws.seed)
    bought = materials(takeoff, supplies, rates)
    operations = forecasts(takeoff.tasks, minutes, throws, rates)
    hours = (minutes.sum(axis=1) + takeoff.own_minutes) / 60 * factors.unplanned
    machine = _machine_cents(takeoff.tasks, minutes, rates)
    stuff = _material_cents(bought, factors)
    outlay = stuff + machine + hours * (rates.overhead_cents_per_hour + rates.hired_cents_per_hour)
    drawn = outlay + hours * (rates.wage_cents_per_hour - rates.hired_cents_per_hour)
    cost = Distribution.of(drawn)
    planned = sum(operation.mean_minutes for operation in operations) + takeoff.own_minutes
    costs = cost_lines(bought, operations, planned, rates, uncertainty)
    expected = int(sum(line.value for line in costs))
    covered = cost.at(rates.confidence)
    price = max(price_for(covered, rates.margin, rates.rounding_cents), 0)
    contingency = units.round_half_up(covered) - expected
    worked = price_lines(expected, contingency, price, rates, uncertainty)
    return Estimate(
        takeoff=takeoff,
        rates=rates,
        operations=operations,
        hours=Distribution.of(hours),
        cost=cost,
        outlay=Distribution.of(outlay),
        expected_cents=expected,
        contingency_cents=contingency,
        margin_cents=price - expected - contingency,
        price_cents=price,
        quantities=quantity_lines(takeoff, operations, Distribution.of(hours), uncertainty, rates.shown),
        costs=(*costs, *worked),
        missing=bought.missing,
        draws=throws.draws,
        seed=throws.seed,
        cost_draws=drawn,
    )


def chances(made: Estimate, price_cents: int) -> Chances:
    """What a price means for this estimate: how likely it loses, what an hour likely earns."""
    likely = made.hours.at(0.5)
    earned = made.rates.hired_cents_per_hour + (price_cents - made.outlay.at(0.5)) / likely if likely else 0.0
    profit = price_cents - made.expected_cents
    return Chances(
        price_cents=price_cents,
        below_wage=made.cost.chance_above(price_cents),
        out_of_pocket=made.outlay.chance_above(price_cents),
        earned_cents_per_hour=units.round_half_up(earned),
        margin=profit / price_cents if price_cents else 0.0,
        markup=profit / made.expected_cents if made.expected_cents else 0.0,
    )


def _machine_cents(tasks: Sequence[Task], minutes: Floats, rates: Rates) -> Floats:
    book = reference.operations()
    cents_per_minute = np.array(
        [
            book[task.code].machine_share * rates.machine_cents_per_hour.get(book[task.code].machine, 0) / 60
            for task in tasks
        ]
    )
    return np.asarray(minutes @ cents_per_minute)


def _material_cents(bought: Materials, factors: Multipliers) -> Floats:
    varying = (
        bought.boards.value * factors.price * factors.yield_
        + bought.glue.value * factors.glue
        + bought.finish.value * factors.finish
        + bought.hardware.value * factors.price
    )
    return np.asarray(varying + bought.consumables.value)
