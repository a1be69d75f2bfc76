"""The critical path: when could each activity begin and when must it, with all the people and room in the world?

The plain method of the network (Kelley & Walker 1959), in minutes, without calendar; waits count as part of the way.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal.days.workload import Activity


@dataclass(frozen=True, slots=True)
class Times:
    """Minutes from the beginning at which an activity may and must start and end."""

    early_start: float
    early_end: float
    late_start: float
    late_end: float

    @property
    def slack(self) -> float:
        """Minutes it can be put off without putting off the whole; 0 on a critical path."""
        return self.late_start - self.early_start


def critical_times(activities: Sequence[Activity], stretch: float = 1) -> dict[str, Times]:
    """Times of each activity by its key; releases are left out.

    Args:
        activities: each listed after what it comes after.
        stretch: minutes on the clock that a minute of work takes, ≥ 1.
    """
    if stretch < 1:
        raise BadInput("stretch", stretch, "1 or more")
    long = {one.key: one.minutes * stretch for one in activities}
    early: dict[str, float] = {}
    for one in activities:
        early[one.key] = max((early[before.key] + before.wait for before in one.after), default=0) + long[one.key]
    whole = max(early.values(), default=0)
    late = dict.fromkeys(early, whole)
    for one in reversed(activities):
        for before in one.after:
            late[before.key] = min(late[before.key], late[one.key] - long[one.key] - before.wait)
    return {key: Times(early[key] - long[key], early[key], late[key] - long[key], late[key]) for key in early}


def tails(activities: Sequence[Activity], stretch: float) -> list[float]:
    """Minutes on the clock from the start of each activity to the end of the longest way on from it, in their order.

    Args:
        activities: each listed after what it comes after.
        stretch: minutes on the clock that a minute of open hours takes on average, ≥ 1.
    """
    times = critical_times(activities, stretch)
    whole = max((one.late_end for one in times.values()), default=0)
    return [whole - times[one.key].late_start for one in activities]
