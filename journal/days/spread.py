"""How does the finish fall when minutes and luck vary? The same order of work replayed with many draws of its minutes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from journal.days.place import Scheme
from journal.errors import BadInput

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from journal.days.calendar import Clock
    from journal.days.search import Schedule

    Ints = NDArray[np.int64]
    Floats = NDArray[np.float64]

_WEEK = 7 * 24 * 60
_HALF_WEEK = _WEEK // 2


@dataclass(frozen=True, slots=True)
class Finishes:
    """Equally likely finishes, in order, on the wall."""

    walls: tuple[int, ...]

    def __post_init__(self) -> None:
        if not self.walls:
            raise BadInput("draws", 0, "one draw or more")

    def at(self, chance: float) -> int:
        """The finish not passed with this chance: the first of the draws that so many of them do not pass.

        Raises:
            BadInput: for a chance outside 0 to 1.
        """
        if not 0 <= chance <= 1:
            raise BadInput("chance", chance, "0 to 1")
        place = int(np.ceil(chance * len(self.walls) - 1e-9)) - 1
        return self.walls[max(place, 0)]

    def chance_by(self, wall: int) -> float:
        """The share of draws that are finished by a wall time."""
        return int(np.searchsorted(self.walls, wall, side="right")) / len(self.walls)


def finishes(found: Schedule, clock: Clock, minutes: Floats) -> Finishes:
    """The finish of every draw, the work taken in the schedule's order, each activity as early as there is room.

    Args:
        found: the schedule whose order is kept.
        clock: the openings.
        minutes: shape (draws, activities), in the workload's order, ≥ 0; a glue-up longer than the shop is ever open at a
            stretch is taken to be as long as that: somebody stays until it is done.

    Raises:
        NoSolution: a draw does not end in the years the clock knows.
    """
    activities = found.load.activities
    if minutes.ndim != 2 or minutes.shape[1] != len(activities):
        raise BadInput("minutes", minutes.shape, f"draws × {len(activities)} activities")
    whole = np.rint(minutes).astype(np.int64)
    kept = np.array([clock.total if one.pauses else clock.longest for one in activities], dtype=np.int64)
    scheme = Scheme(found.load, clock, found.begin)
    order = found.order
    walls = [scheme.place(order, row).finish for row in np.minimum(whole, kept).tolist()]
    return Finishes(tuple(sorted(walls)))


def half_weeks(begin: int, finish: int) -> float:
    """Weeks from one wall time to another, rounded up to half a week; half a week at least."""
    return max(-(-(finish - begin) // _HALF_WEEK), 1) / 2
