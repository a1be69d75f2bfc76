"""How much of the wood of a job went into its blanks, and how much was waste: as planned, and as it went.

Board feet are of the size the wood lies on the saw with (softwood dressed, hardwood rough), never of the nominal one, so
that blanks and boards are measured alike. What is left over and goes to the rack is no waste.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Sequence

_A_SHAVING_FEET = 1e-6  # less than that is no wood, and a share of it no figure


@dataclass(frozen=True, slots=True)
class WoodUsed:
    """One kind of wood, or all of a job together; board feet.

    Attributes:
        code: as the shop calls it.
        blanks_feet: in the blanks of the plan; None where the parts no longer tell.
        planned_feet: to be bought by the plan, spares for bad boards included; None likewise.
        bought_feet: bought for the job or drawn from the rack.
        left_feet: of it on the rack again.
        said: whether somebody said what was left; where nobody did, all counts as used.
    """

    code: str
    blanks_feet: float | None
    planned_feet: float | None
    bought_feet: float
    left_feet: float
    said: bool = True

    def __post_init__(self) -> None:
        for field in ("blanks_feet", "planned_feet", "bought_feet", "left_feet"):
            value = getattr(self, field)
            if value is not None and not (math.isfinite(value) and value >= 0):
                raise BadInput(f"{self.code}, {field.replace('_', ' ')}", value, "board feet, 0 or more")

    @property
    def used_feet(self) -> float:
        """What is gone, whatever it went into."""
        return max(self.bought_feet - self.left_feet, 0.0)

    @property
    def planned_waste(self) -> float | None:
        """Share of what was to be bought that no blank holds; None where nothing was planned."""
        return _waste(self.blanks_feet, self.planned_feet)

    @property
    def waste(self) -> float | None:
        """Share of what is gone that no blank of the plan holds.

        Below zero where less is gone than the blanks hold: a receipt is missing, or other wood was taken. None where
        nothing is gone, or nobody said what was left.
        """
        return _waste(self.blanks_feet, self.used_feet) if self.said else None


def together(woods: Sequence[WoodUsed], code: str) -> WoodUsed:
    """All of them as one; unknown where one of them is."""
    return WoodUsed(
        code=code,
        blanks_feet=_sum([wood.blanks_feet for wood in woods]),
        planned_feet=_sum([wood.planned_feet for wood in woods]),
        bought_feet=sum(wood.bought_feet for wood in woods),
        left_feet=sum(wood.left_feet for wood in woods),
        said=all(wood.said for wood in woods),
    )


@dataclass(frozen=True, slots=True)
class Against:
    """What was expected of something, and what it came to, in one unit."""

    expected: float
    actual: float

    @property
    def more(self) -> float | None:
        """Share by which it came to more, below zero to less; None where nothing was expected."""
        return self.actual / self.expected - 1 if self.expected else None


def _waste(blanks: float | None, feet: float | None) -> float | None:
    return 1 - blanks / feet if blanks is not None and feet is not None and feet > _A_SHAVING_FEET else None


def _sum(feet: Sequence[float | None]) -> float | None:
    known = [one for one in feet if one is not None]
    return sum(known) if len(known) == len(feet) else None
