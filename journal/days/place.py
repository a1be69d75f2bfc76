"""One schedule from one order: each activity in turn as early as what is placed already leaves room.

A serial scheme with filling of gaps; for one person's work with waits it can make any schedule in which nothing could
start earlier without moving something else, and one of those is the best (Sprecher, Kolisch & Drexl 1995, from memory,
verify).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.days.profile import Profile

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal.days.calendar import Clock
    from journal.days.workload import Need, Workload


@dataclass(frozen=True, slots=True)
class Placed:
    """A schedule, activity by activity in the workload's order.

    Attributes:
        worked: working time at the start.
        starts, ends: on the wall.
        finish: wall time at which all that counts has ended.
    """

    worked: tuple[int, ...]
    starts: tuple[int, ...]
    ends: tuple[int, ...]
    finish: int


@dataclass(frozen=True, slots=True)
class _Row:
    """An activity with places in stead of keys."""

    minutes: int
    people: int
    pauses: bool
    after: tuple[tuple[int, int], ...]
    needs: tuple[Need, ...]
    release: int


class Scheme:
    """Makes schedules of one workload from a wall time on.

    Args:
        load: what is to be done.
        clock: the openings.
        begin: wall time before which nothing starts.
    """

    def __init__(self, load: Workload, clock: Clock, begin: int) -> None:
        self.load, self.clock, self.begin = load, clock, begin
        place = load.places()
        self.rows = tuple(
            _Row(
                one.minutes,
                one.people,
                one.pauses,
                tuple((place[before.key], before.wait) for before in one.after),
                tuple(need for need in one.needs if need.amount and need.what in load.there),
                max(one.release, begin),
            )
            for one in load.activities
        )
        self.counting = tuple(place for place, one in enumerate(load.activities) if load.counts(one.key))

    def place(self, order: Sequence[int], minutes: Sequence[int] | None = None) -> Placed:
        """The schedule of one order.

        Args:
            order: places of all activities, each after what it comes after.
            minutes: of each activity, in stead of the workload's.

        Raises:
            NoSolution: it does not end in the years the clock knows.
        """
        rows = self.rows
        long = [row.minutes for row in rows] if minutes is None else minutes
        people = Profile(self.load.people)
        held = {what: Profile(amount) for what, amount in self.load.there.items()}
        worked, starts, ends = ([0] * len(rows) for _ in range(3))
        for at in order:
            row, minutes_here = rows[at], long[at]
            ready = row.release
            for before, wait in row.after:
                ready = max(ready, ends[before] + wait)
            if minutes_here == 0:
                worked[at], starts[at], ends[at] = self.clock.reached(ready), ready, ready
                continue
            found, start, end = self._find(row, minutes_here, ready, people, held)
            people.take(found, found + minutes_here, row.people)
            for need in row.needs:
                held[need.what].take(start, end + need.kept, need.amount)
            worked[at], starts[at], ends[at] = found, start, end
        finish = max((ends[at] for at in self.counting), default=self.begin)
        return Placed(tuple(worked), tuple(starts), tuple(ends), finish)

    def _find(
        self, row: _Row, minutes: int, ready: int, people: Profile, held: dict[str, Profile]
    ) -> tuple[int, int, int]:
        """(working time, wall start, wall end) of the first room for an activity."""
        clock = self.clock
        found = clock.reached(ready)
        while True:
            if not row.pauses:
                found = clock.fits(found, minutes)
            free = people.free_from(found, minutes, row.people)
            if free != found:
                found = free
                continue
            start, end = clock.start(found), clock.end(found + minutes)
            for need in row.needs:
                later = held[need.what].free_from(start, end + need.kept - start, need.amount)
                if later > start:
                    found = clock.reached(later)
                    break
            else:
                return found, start, end
