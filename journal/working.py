"""A figure with its explanation: what it is, how it was worked out, and where its numbers came from."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from itertools import product
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable


class Basis(StrEnum):
    """Where a number came from, weakest last."""

    TYPED = "typed"  # the user entered it
    LOGS = "logs"  # this shop's own logs
    PRICES = "prices"  # this shop's own price book
    SETTING = "setting"  # a setting of this shop
    PUBLISHED = "published"  # a table with a source
    PRACTICE = "common practice"  # a fact of the trade without a published source
    BOOK = "starting book"  # built in until the shop's logs say otherwise
    WORKED = "worked out"  # from the lines under it


@dataclass(frozen=True, slots=True)
class Spread:
    """A range: one time in ten below p10, one in ten above p90; same unit as the value it belongs to."""

    p10: float
    p50: float
    p90: float


@dataclass(frozen=True, slots=True)
class Line:
    """One line of an estimate, a tree.

    Attributes:
        name: what it is, in trade words.
        value: the figure; cents when unit is "cents".
        unit: the unit of value ("ft", "ft2", "min", "cents", "kg", "bd ft", …).
        working: the formula with its numbers in it.
        basis: where the numbers came from.
        source: the table row, log count or setting behind it, as text.
        spread: the range, when the figure is uncertain.
        parts: the lines it is made of.
    """

    name: str
    value: float
    unit: str
    working: str
    basis: Basis
    source: str = ""
    spread: Spread | None = None
    parts: tuple[Line, ...] = field(default_factory=tuple)

    def walk(self) -> list[Line]:
        """This line and all lines under it, top down."""
        return [self, *(line for part in self.parts for line in part.walk())]


def counted(count: float, word: str, plural: str = "") -> str:
    """A count with its word: “1 board”, “12 boards”, “2 glue-ups”."""
    shown = f"{count:,.0f}" if float(count).is_integer() else f"{count:,.1f}"
    return f"{shown} {word if count == 1 else plural or word + 's'}"


def chance_text(share: float) -> str:
    """A chance in whole per cent, never quite 0 or 100: no draw can promise that."""
    if share < 0.01:
        return "under 1 %"
    if share > 0.99:
        return "over 99 %"
    return f"{round(100 * share)} %"


def reads_right(
    first: float, share: float, result: float, works: Callable[[float, float], float]
) -> tuple[str, str, str]:
    """The three numbers of a sum with the fewest decimals with which somebody who works it out again agrees.

    Args:
        first: what the share is put on.
        share: 0.05 is written “5%”; one that is not nought is never written as nought.
        result: works(first, share) before any rounding.
        works: the sum.

    Returns:
        first, share and result as text; at three decimals each they stand as they are.
    """
    for places, finer in product((1, 2, 3), (0, 1, 2, 3)):
        a, s, found = round(first, places), round(share, finer + 2), round(result, places)
        if (s or not share) and round(works(a, s), places) == found:
            break
    return f"{a:.{places}f}", f"{s:.{finer}%}", f"{found:.{places}f}"
