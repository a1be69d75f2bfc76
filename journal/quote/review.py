"""From agreed to actual: where the money of a finished job went, step by step, in an order in which nothing counts twice.

extras → quantity at the quoted price → price on the quantity used → hours agreed beyond or short of the plan → hours at
the quoted rate → rate → overhead and machines → rework. Every step is what it did to the profit, in cents: above zero it left more. They add up to the difference
between the profit expected and the profit made, to the cent.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import TYPE_CHECKING

from journal.errors import BadInput
from journal.quote.variance import price_variance, quantity_variance, whole_cents

if TYPE_CHECKING:
    from collections.abc import Sequence


class Cause(StrEnum):
    """What moved the profit, in the order of the steps."""

    BESIDE = "quoted beside the plan"
    EXTRAS = "extras"
    QUANTITY = "quantity"
    PRICE = "price"
    AGREED = "hours agreed beside the plan"
    HOURS = "hours"
    RATE = "rate"
    OVERHEAD = "overhead"
    MACHINES = "machines"
    REWORK = "rework"


@dataclass(frozen=True, slots=True)
class Used:
    """One kind of material.

    Attributes:
        name: as the shop calls it.
        quoted_cents: in the quote.
        at_quoted_prices_cents: what was used, at the prices the quote rested on.
        cents: what was used, at what it cost.
    """

    name: str
    quoted_cents: int
    at_quoted_prices_cents: int
    cents: int

    def __post_init__(self) -> None:
        for field in ("quoted_cents", "at_quoted_prices_cents", "cents"):
            if getattr(self, field) < 0:
                raise BadInput(f"{self.name}, {field.removesuffix('_cents')}", getattr(self, field), "0 or more")


@dataclass(frozen=True, slots=True)
class Side:
    """One side of the comparison: as quoted, or as it went; materials apart.

    Attributes:
        price_cents: before tax; extras left out.
        minutes: of one person, work done again left out; with what nobody planned.
        wage_cents, overhead_cents: of those minutes.
        machines_cents: of all running hours.
        rework_minutes: the allowance for them, or those logged as done again.
        rework_cents: wage and overhead of those.
    """

    price_cents: int
    minutes: float
    wage_cents: int
    overhead_cents: int
    machines_cents: int
    rework_minutes: float = 0.0
    rework_cents: int = 0

    def __post_init__(self) -> None:
        for field in ("minutes", "rework_minutes"):
            value = getattr(self, field)
            if not (math.isfinite(value) and value >= 0):
                raise BadInput(field.replace("_", " "), value, "a finite number, 0 or more")
        if self.wage_cents and not self.minutes:
            raise BadInput("wage", self.wage_cents, "the minutes it was paid for")

    @property
    def work_cents(self) -> int:
        """All but materials."""
        return self.wage_cents + self.overhead_cents + self.machines_cents + self.rework_cents


@dataclass(frozen=True, slots=True)
class Step:
    """What one cause did to the profit; `name` says more, such as which material."""

    cause: Cause
    cents: int
    name: str = ""


@dataclass(frozen=True, slots=True)
class Bridge:
    """From the profit expected to the profit made; the steps add up to the difference."""

    expected_cents: int
    steps: tuple[Step, ...]
    made_cents: int

    def of(self, cause: Cause) -> int:
        """All steps of one cause together."""
        return sum(step.cents for step in self.steps if step.cause is cause)

    @property
    def by_cause(self) -> tuple[Step, ...]:
        """One step a cause, in order; causes that moved nothing are left out."""
        return tuple(Step(cause, cents) for cause in Cause if (cents := self.of(cause)))


def bridge(
    quoted: Side,
    went: Side,
    materials: Sequence[Used],
    *,
    extras_cents: int = 0,
    beside_cents: int = 0,
    beyond_minutes: float = 0.0,
) -> Bridge:
    """The steps from agreed to actual.

    Args:
        quoted: as quoted.
        went: as it went; its price is the one agreed.
        materials: with both sides.
        extras_cents: agreed since, before tax; below zero taken away.
        beside_cents: cost that was quoted without a line to show for it (above zero), or left out (below): it is taken
            back first, so that the other steps start from lines.
        beyond_minutes: of the quoted minutes, those agreed beyond what the plan came to; below zero, short of it. What
            they cost or saved by themselves is a step of its own, and the hours are then held against the plan.
    """
    expected = quoted.price_cents - quoted.work_cents - sum(one.quoted_cents for one in materials) - beside_cents
    steps = [
        (Cause.BESIDE, "", Fraction(beside_cents)),
        (Cause.EXTRAS, "", Fraction(extras_cents + went.price_cents - quoted.price_cents)),
        *((Cause.QUANTITY, one.name, -_quantity(one)) for one in materials),
        *((Cause.PRICE, one.name, -_price(one)) for one in materials),
        *_work(quoted, went, Fraction(beyond_minutes)),
    ]
    cents = whole_cents([exact for _, _, exact in steps])
    kept = tuple(Step(cause, whole, name) for (cause, name, _), whole in zip(steps, cents, strict=True) if whole)
    made = went.price_cents + extras_cents - went.work_cents - sum(one.cents for one in materials)
    return Bridge(expected, kept, made)


def _quantity(one: Used) -> Fraction:
    """An amount of money at standard prices is a quantity whose price is one."""
    return quantity_variance(one.quoted_cents, one.at_quoted_prices_cents, 1)


def _price(one: Used) -> Fraction:
    if not one.at_quoted_prices_cents:
        return Fraction(one.cents)
    paid = Fraction(one.cents, one.at_quoted_prices_cents)
    return price_variance(1, paid, one.at_quoted_prices_cents)


def _work(quoted: Side, went: Side, beyond: Fraction) -> tuple[tuple[Cause, str, Fraction], ...]:
    before, after = Fraction(quoted.minutes), Fraction(went.minutes)
    paid = Fraction(went.wage_cents) / after if after else Fraction(0)
    # Hours nobody quoted have no quoted rate: what they were paid at stands for it.
    rate = Fraction(quoted.wage_cents) / before if before else paid
    carried = Fraction(quoted.overhead_cents) / before if before else Fraction(0)
    return (
        (Cause.AGREED, "", beyond * (rate + carried)),
        (Cause.HOURS, "", -quantity_variance(before - beyond, after, rate)),
        (Cause.RATE, "", -price_variance(rate, paid, after)),
        (Cause.OVERHEAD, "", quoted.overhead_cents - went.overhead_cents - beyond * carried),
        (Cause.MACHINES, "", Fraction(quoted.machines_cents - went.machines_cents)),
        (Cause.REWORK, "", Fraction(quoted.rework_cents - went.rework_cents)),
    )


@dataclass(frozen=True, slots=True)
class Earning:
    """What is left of a price for an hour of anybody's work once materials, overhead and machines are paid."""

    profit_cents: int
    minutes: float
    earned_cents: int

    @property
    def cents_per_hour(self) -> int | None:
        """None when no hours are known."""
        return round(self.earned_cents * 60 / self.minutes) if self.minutes else None


def earning(price_cents: int, materials_cents: int, side: Side, overhead_of_rework_cents: int) -> Earning:
    """Profit and earned an hour of one side; the wage is what is earned, so only the rest is taken off.

    Args:
        price_cents: with extras, before tax.
        materials_cents: all of them.
        side: as quoted, or as it went.
        overhead_of_rework_cents: the part of `side.rework_cents` that is overhead.
    """
    profit = price_cents - materials_cents - side.work_cents
    earned = price_cents - materials_cents - side.overhead_cents - side.machines_cents - overhead_of_rework_cents
    return Earning(profit, side.minutes + side.rework_minutes, earned)
