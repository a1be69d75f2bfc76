"""How fast does this shop glue up, by its own clocked glue-ups?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import reference

if TYPE_CHECKING:
    from journal.records.queries.floor import ClockedTotals

# Fewer clocked glue-ups say too little about how fast this shop spreads and clamps.
FEWEST_CLOCKED = 5
SQUARE_FEET_PER_MM2 = 1 / 304.8**2


@dataclass(frozen=True, slots=True)
class GluePace:
    """How fast glue is spread and clamps are closed, by one person; from so many clocked glue-ups, 0: the book."""

    spread_minutes_ft2: float
    close_minutes_clamp: float
    glue_ups: int = 0

    @classmethod
    def of_the_book(cls) -> GluePace:
        """What is believed before any glue-up was clocked."""
        book = reference.operations()
        return cls(book["spread_glue"].minutes_per_unit, book["close_clamps"].minutes_per_unit)

    @classmethod
    def of_the_clock(cls, clocked: ClockedTotals, spreaders: int) -> GluePace:
        """The shop's own, once it has clocked enough of them; the times are those of so many people together."""
        if clocked.glue_ups < FEWEST_CLOCKED or clocked.spread_seconds <= 0:
            return cls.of_the_book()
        square_feet = clocked.area_mm2 * SQUARE_FEET_PER_MM2
        return cls(
            clocked.spread_seconds / 60 * spreaders / square_feet,
            clocked.close_seconds / 60 / clocked.clamps,
            clocked.glue_ups,
        )
