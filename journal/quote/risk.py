"""How the cost may turn out: many draws of the same job, and what can be read off them.

Hours come from the calibrated paces, one project effect shared by all operations; material prices move together;
yield, glue and finish used, and work nobody planned vary on their own. Every factor is drawn with mean one, so that the
mean of the draws is the sum of the lines.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from journal.errors import BadInput
from journal.quote.footing import START, Footing

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

DRAWS = 10_000
# Enough points to read a chance to a quarter of a per cent, and few enough to keep with a promise.
POINTS = 401


@dataclass(frozen=True, slots=True)
class Distribution:
    """How a figure may turn out, as its quantiles at evenly spaced chances from 0 to 1; and its mean."""

    quantiles: tuple[float, ...]
    mean: float

    @classmethod
    def of(cls, draws: Floats) -> Distribution:
        """The distribution of draws, shape (n,)."""
        grid = np.linspace(0.0, 1.0, POINTS)
        return cls(tuple(float(q) for q in np.quantile(draws, grid)), float(draws.mean()))

    def at(self, chance: float) -> float:
        """The value that is not passed with this chance.

        Raises:
            BadInput: for a chance outside 0 to 1.
        """
        if not 0 <= chance <= 1:
            raise BadInput("chance", chance, "0 to 1")
        return float(np.interp(chance, np.linspace(0.0, 1.0, len(self.quantiles)), self.quantiles))

    def chance_above(self, value: float) -> float:
        """The chance that it turns out above a value; 0 and 1 beyond what was ever drawn."""
        if value >= self.quantiles[-1]:
            return 0.0
        if value < self.quantiles[0]:
            return 1.0
        return 1.0 - float(np.interp(value, self.quantiles, np.linspace(0.0, 1.0, len(self.quantiles))))

    def bins(self, count: int = 40, *, tail: float = 0.005) -> tuple[tuple[float, float, float], ...]:
        """(from, to, share) for a picture: equal bins between the outer quantiles; the shares add up to 1 − 2 × tail."""
        low, high = self.at(tail), self.at(1 - tail)
        if high <= low:
            return ((low, high, 1.0),)
        edges = np.linspace(low, high, count + 1)
        below = [1.0 - self.chance_above(float(edge)) for edge in edges]
        return tuple(
            (float(a), float(b), p - q) for a, b, q, p in zip(edges, edges[1:], below, below[1:], strict=False)
        )


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """How far things may be off: standard deviations of natural logarithms, and the unplanned share of hours.

    Attributes:
        price: lumber, sheets and hardware against the price book, all together.
        yield_: boards needed against the plan.
        glue, finish: used against the table.
        unplanned_mean, unplanned_sd: hours nobody planned, as a share of those planned.
        footing: where these, and the allowances in the quantities, came from.
    """

    price: float
    yield_: float
    glue: float
    finish: float
    unplanned_mean: float
    unplanned_sd: float
    footing: Footing = START

    def __post_init__(self) -> None:
        for name in ("price", "yield_", "glue", "finish", "unplanned_mean", "unplanned_sd"):
            if not 0 <= getattr(self, name) <= 2:
                raise BadInput(name.strip("_").replace("_", " "), getattr(self, name), "0 to 2")


@dataclass(frozen=True, slots=True)
class Multipliers:
    """Draws of everything but the paces, each of mean one, shape (n,); `unplanned` is 1 + the share nobody planned."""

    price: Floats
    yield_: Floats
    glue: Floats
    finish: Floats
    unplanned: Floats


def multipliers(uncertainty: Uncertainty, *, draws: int, seed: int) -> Multipliers:
    """The same for the same seed, so that options can be compared on common draws."""
    random = np.random.default_rng([seed, 1])
    sds = (uncertainty.price, uncertainty.yield_, uncertainty.glue, uncertainty.finish)
    price, yield_, glue, finish = (_mean_one(random, sd, draws) for sd in sds)
    return Multipliers(price, yield_, glue, finish, 1.0 + _unplanned(random, uncertainty, draws))


def _mean_one(random: np.random.Generator, sd: float, draws: int) -> Floats:
    factors = np.exp(sd * random.standard_normal(draws) - sd * sd / 2)
    return np.asarray(factors / factors.mean())


def _unplanned(random: np.random.Generator, uncertainty: Uncertainty, draws: int) -> Floats:
    """Gamma: never negative, now and then large. Scaled so that the mean holds exactly."""
    mean, sd = uncertainty.unplanned_mean, uncertainty.unplanned_sd
    if mean == 0:
        return np.zeros(draws)
    if sd == 0:
        return np.full(draws, mean)
    shares = random.gamma((mean / sd) ** 2, sd * sd / mean, draws)
    drawn = float(shares.mean())
    # A share almost always nothing and once in a blue moon huge may be nothing in every draw.
    return np.asarray(shares * (mean / drawn)) if drawn > 0 else np.full(draws, mean)


@dataclass(frozen=True, slots=True)
class Range:
    """Four points of a distribution: as often below p50 as above; eight times in ten below p80."""

    p10: float
    p50: float
    p80: float
    p90: float

    @classmethod
    def of(cls, distribution: Distribution) -> Range:
        """The four points."""
        return cls(*(distribution.at(chance) for chance in (0.1, 0.5, 0.8, 0.9)))


def price_for(cost_cents: float, margin: float, rounding_cents: int = 1) -> int:
    """The price that leaves a margin over a cost: cost ÷ (1 − margin), rounded up to the shop's step.

    Args:
        cost_cents: the cost to be covered.
        margin: profit as a share of the price, 0 to under 1. (Markup is profit as a share of the cost.)
        rounding_cents: prices are whole multiples of this.

    Raises:
        BadInput: for a margin of 1 or more: no price leaves all of itself as profit.
    """
    if not 0 <= margin < 1:
        raise BadInput("margin", f"{margin:.0%}", "0% to under 100% of the price")
    return math.ceil(round(cost_cents / (1 - margin) / rounding_cents, 6)) * rounding_cents


def markup_of(margin: float) -> float:
    """Markup (profit over cost) that is the same profit as a margin (profit over price): m ÷ (1 − m)."""
    if not 0 <= margin < 1:
        raise BadInput("margin", f"{margin:.0%}", "0% to under 100% of the price")
    return margin / (1 - margin)


def spread_share(parts: Sequence[Floats]) -> tuple[float, ...]:
    """Share of the variance of a sum that each part brings: cov(part, sum) ÷ var(sum); zeros when nothing varies."""
    total = np.sum(parts, axis=0)
    variance = float(np.var(total))
    if variance == 0:
        return tuple(0.0 for _ in parts)
    centred = total - total.mean()
    return tuple(float(np.mean((part - part.mean()) * centred) / variance) for part in parts)
