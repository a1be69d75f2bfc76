"""Geometry of the small bars: how a pace lies against the book, all on one scale, in times the book."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from journal.working import Spread

WIDTH = 200.0
_SIDE = 6.0  # left and right of the scale
# The scale is in equal steps of doubling, so that half and twice the book lie alike; never narrower than this.
_NARROWEST = (0.5, 2.0)
_MARKS = ((0.125, "⅛"), (0.25, "¼"), (0.5, "½"), (1.0, ""), (2.0, "2×"), (4.0, "4×"), (8.0, "8×"))


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark of the scale: where it stands and what it says."""

    x: float
    label: str


@dataclass(frozen=True, slots=True)
class Bar:
    """A band from `left`, `width` wide, its middle at `middle`; the book at `book`."""

    left: float
    width: float
    middle: float
    book: float


@dataclass(frozen=True, slots=True)
class Scale:
    """A scale of ratios; low < 1 < high."""

    low: float
    high: float

    def x(self, ratio: float) -> float:
        """Where a ratio > 0 stands, to a tenth."""
        share = math.log(ratio / self.low) / math.log(self.high / self.low)
        return round(_SIDE + share * (WIDTH - 2 * _SIDE), 1)

    def bar(self, ratio: Spread) -> Bar:
        """The bar of a range of ratios."""
        left = self.x(ratio.p10)
        return Bar(left, round(self.x(ratio.p90) - left, 1), self.x(ratio.p50), self.x(1.0))

    def marks(self, one: str = "book") -> tuple[Mark, ...]:
        """The doublings that lie on the scale; `one` names what everything is measured by."""
        return tuple(Mark(self.x(ratio), label or one) for ratio, label in _MARKS if self.low <= ratio <= self.high)


def scale_of(ratios: Iterable[Spread]) -> Scale:
    """The scale that holds all of these, and half and twice the book."""
    held = list(ratios)
    return Scale(
        min([_NARROWEST[0], *(ratio.p10 for ratio in held)]),
        max([_NARROWEST[1], *(ratio.p90 for ratio in held)]),
    )
