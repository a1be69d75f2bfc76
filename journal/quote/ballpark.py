"""A figure at the gate: what a design comes to, drawn towards what the shop's own benches of about that size came to.

Benches of other sizes are first brought to the asked size: what a bench takes grows with the area of its top as
(area ÷ area)ᵇ, b read off the design itself at two sizes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Sequence

# One time in ten below, one in ten above: the normal quantile at 0.9.
_Z90 = 1.2815515655446004
# The design's own figure counts as much as so many benches built (judgement).
DESIGN_COUNTS = 3
# A bench smaller or larger than by this factor in the area of its top says little about the one asked for (judgement).
ALIKE = 1.75


@dataclass(frozen=True, slots=True)
class Band:
    """A figure and its range, eight times in ten between low and high; all of one unit, above nought."""

    low: float
    likely: float
    high: float

    def __post_init__(self) -> None:
        if not 0 < self.low <= self.likely <= self.high < math.inf:
            raise BadInput("band", f"{self.low:g}, {self.likely:g}, {self.high:g}", "three rising amounts above nought")


def growth(small_area: float, small: float, large_area: float, large: float) -> float:
    """B of (area ÷ area)ᵇ from a figure at two areas, kept between 0 (no matter how large) and 1 (by the area).

    Raises:
        BadInput: areas that are not two, or figures not above nought.
    """
    if not 0 < small_area < large_area or small <= 0 or large <= 0:
        raise BadInput(
            "areas", f"{small_area:g}, {large_area:g}", "two areas, the larger last, and amounts above nought"
        )
    return min(1.0, max(0.0, math.log(large / small) / math.log(large_area / small_area)))


def brought_to(value: float, area: float, asked_area: float, exponent: float) -> float:
    """A figure of a bench of one area as it would be at the asked one: value × (asked ÷ area)ᵇ."""
    return float(value * (asked_area / area) ** exponent)


def alike(area: float, asked_area: float) -> bool:
    """Whether a bench is near enough in size to say something."""
    return 1 / ALIKE <= area / asked_area <= ALIKE


def blend(design: Band, own: Sequence[float]) -> Band:
    """The design's band drawn towards the shop's own benches.

    In logarithms, with the design's figure counting as k benches of its own scatter s₀ (a normal with unknown mean and
    variance, conjugate prior):

        mean = (k m₀ + Σ y) / (k + n)
        variance = (k s₀² + Σ (y − ȳ)² + k n / (k + n) × (ȳ − m₀)²) / (k + n)

    Without own benches it is the design's band as it stands.

    Args:
        design: the design's figure and range.
        own: figures of own benches, brought to the asked size, each > 0.

    Raises:
        BadInput: a figure that is not above nought.
    """
    if not own:
        return design
    if any(not 0 < value < math.inf for value in own):
        raise BadInput("own benches", min(own), "amounts above nought")
    known = [math.log(value) for value in own]
    k, n = DESIGN_COUNTS, len(known)
    prior = math.log(design.likely)
    scatter = math.log(design.high / design.low) / (2 * _Z90)
    own_mean = sum(known) / n
    squares = sum((y - own_mean) ** 2 for y in known) + k * n / (k + n) * (own_mean - prior) ** 2
    mean = (k * prior + n * own_mean) / (k + n)
    deviation = math.sqrt((k * scatter**2 + squares) / (k + n))
    return Band(math.exp(mean - _Z90 * deviation), math.exp(mean), math.exp(mean + _Z90 * deviation))
