"""The order in which activities are placed so that all is finished soonest, as far as counted work finds it.

The list rule first (longest tail next), then the rule with its tails shaken by seeded dice, then orders near the best. The work is counted in schedules made, never in seconds, so that the same input gives the same
schedule. What was found is `optimal` only when it ends at the bound.
"""

from __future__ import annotations

import heapq
import random
from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.days.bound import lower_bound
from journal.days.critical import tails
from journal.days.place import Scheme
from journal.days.workload import refuse_too_long

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal.days.calendar import Clock
    from journal.days.place import Placed
    from journal.days.workload import Activity, Workload

# How many schedules are made of shaken rules, and near the best; for a bench’s plan the last gain comes well before.
SHAKEN, MOVED = 100, 300
_SHAKE = 0.35
_REACH = 5.0


@dataclass(frozen=True, slots=True)
class Scheduled:
    """One activity in its place.

    Attributes:
        activity: which.
        start, end: on the wall.
        stretches: (from, to) of the work itself, cut where the shop is closed.
        worked: working time at the start.
    """

    activity: Activity
    start: int
    end: int
    stretches: tuple[tuple[int, int], ...]
    worked: int


@dataclass(frozen=True, slots=True)
class Schedule:
    """A schedule of a workload.

    Attributes:
        load: what was scheduled.
        begin: wall time from which.
        rows: in the workload's order.
        order: places in the order in which they were placed.
        finish: wall time at which all that counts has ended.
        bound: wall time before which it cannot.
        seed, tried: of the search, and how many schedules it made.
    """

    load: Workload
    begin: int
    rows: tuple[Scheduled, ...]
    order: tuple[int, ...]
    finish: int
    bound: int
    seed: int
    tried: int

    @property
    def status(self) -> str:
        """“optimal” when nothing can end earlier, else “feasible”."""
        return "optimal" if self.finish == self.bound else "feasible"

    def find(self, key: str) -> Scheduled:
        """The row of one activity."""
        return next(row for row in self.rows if row.activity.key == key)


def schedule(
    load: Workload, clock: Clock, begin: int, *, seed: int = 0, shaken: int = SHAKEN, moved: int = MOVED
) -> Schedule:
    """The best schedule that counted work finds, and its bound.

    Args:
        load: what is to be done.
        clock: the openings.
        begin: wall time before which nothing starts.
        seed: of the dice.
        shaken: schedules to make of shaken rules.
        moved: schedules to make of orders near the best.

    Raises:
        NoSolution: something that must not pause is longer than the shop is ever open, or it takes more than ten years.
    """
    refuse_too_long(load.activities, clock)
    scheme = Scheme(load, clock, begin)
    found = _Search(scheme, stretch(clock), seed)
    bound = lower_bound(scheme, found.best)
    found.shake(shaken, bound)
    found.move(moved, bound)
    best = found.best
    return Schedule(load, begin, _rows(load, clock, best), found.order, best.finish, bound, seed, found.tried)


def by_rule(load: Workload, clock: Clock, begin: int) -> Placed:
    """The schedule of the list rule alone."""
    return _Search(Scheme(load, clock, begin), stretch(clock), 0).best


def stretch(clock: Clock) -> float:
    """Minutes on the clock for each minute of open hours, on average."""
    return max(1.0, (clock.closes[-1] - clock.opens[0]) / clock.total)


def _rows(load: Workload, clock: Clock, placed: Placed) -> tuple[Scheduled, ...]:
    return tuple(
        Scheduled(one, start, end, clock.stretches(worked, one.minutes), worked)
        for one, start, end, worked in zip(load.activities, placed.starts, placed.ends, placed.worked, strict=True)
    )


class _Search:
    def __init__(self, scheme: Scheme, stretch_: float, seed: int) -> None:
        self.scheme = scheme
        self.dice = random.Random(seed)  # noqa: S311 - dice of a search, no secrets
        self.tails = tails(scheme.load.activities, stretch_)
        self.before = [tuple(at for at, _ in row.after) for row in scheme.rows]
        self.followers: list[list[int]] = [[] for _ in scheme.rows]
        for at, before in enumerate(self.before):
            for one in before:
                self.followers[one].append(at)
        place = scheme.load.places()
        self.ahead = tuple(place[key] for key in scheme.load.first)
        self.order = self._by_weight(self.tails)
        self.best = scheme.place(self.order)
        self.tried = 1

    def shake(self, times: int, bound: int) -> None:
        """Orders by tails that dice have made up to a third longer or shorter."""
        for _ in range(times):
            if self.best.finish <= bound:
                return
            self._try(self._by_weight([tail * (1 + _SHAKE * (2 * self.dice.random() - 1)) for tail in self.tails]))

    def move(self, times: int, bound: int) -> None:
        """Orders near the best: by turns one activity moved, and all of them shuffled a few places."""
        for number in range(times):
            if self.best.finish <= bound or len(self.order) <= len(self.ahead) + 1:
                return
            self._try(self._moved(list(self.order)) if number % 2 else self._shuffled())

    def _try(self, order: Sequence[int]) -> None:
        placed = self.scheme.place(order)
        self.tried += 1
        # An order no worse is taken too, so that the search can cross level ground.
        if placed.finish <= self.best.finish:
            self.best = placed
            ahead = len(self.ahead)
            self.order = (*self.ahead, *sorted(order[ahead:], key=lambda at: placed.starts[at]))

    def _by_weight(self, weights: Sequence[float]) -> tuple[int, ...]:
        """What is taken first; then of what may come next the heaviest, in case of a tie the first."""
        done = set(self.ahead)
        missing = [len(set(before) - done) for before in self.before]
        free = [(-weights[at], at) for at, count in enumerate(missing) if not count and at not in done]
        heapq.heapify(free)
        order = list(self.ahead)
        while free:
            _, at = heapq.heappop(free)
            order.append(at)
            for follower in set(self.followers[at]):
                missing[follower] -= 1
                if not missing[follower]:
                    heapq.heappush(free, (-weights[follower], follower))
        return tuple(order)

    def _shuffled(self) -> tuple[int, ...]:
        weights = [0.0] * len(self.order)
        for number, at in enumerate(self.order):
            weights[at] = _REACH * self.dice.random() - number
        return self._by_weight(weights)

    def _moved(self, order: list[int]) -> list[int]:
        place = {at: number for number, at in enumerate(order)}
        ahead = len(self.ahead)
        moved = self.dice.randrange(ahead, len(order))
        at = order[moved]
        low = max((place[before] + 1 for before in self.before[at]), default=ahead)
        low = max(low, ahead)
        high = min((place[after] - 1 for after in self.followers[at]), default=len(order) - 1)
        order.pop(moved)
        order.insert(self.dice.randint(low, high), at)
        return order
