"""Every pattern that a plan cheaper than bound + slack can use.

Under a worth that no board holds more of than its price, a plan's cost is the bound plus what each of its boards and
patterns falls short by, and nothing falls short by less than nothing. So a plan within the slack has no pattern that
alone falls short by more. Only full patterns are listed: a plan with others is as good with the pieces filled up.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.cutting.knapsack import fill_tables
from journal.cutting.pricing import Cross, Rip

if TYPE_CHECKING:
    from collections.abc import Iterator

    from journal.cutting.bound import Held
    from journal.cutting.clock import Clock
    from journal.cutting.knapsack import Table
    from journal.cutting.model import Model
    from journal.cutting.pricing import Counts, Pricer


_STEPS = 10  # of a walk for each pattern there may be
_LISTED = 300_000  # cells of a table that are worth copying to a list, which is read faster


class TooMany(Exception):  # noqa: N818 - caught by the proof, never shown
    """More patterns than the proof can use."""


class Near:
    """Shortfalls under one worth."""

    def __init__(self, pricer: Pricer, held: Held) -> None:
        """`pricer` in loose cells; `held` in points."""
        self.model: Model = pricer.model
        self.pricer = pricer
        self.held = held
        self.limits = [pricer.segment_limits(kind, self.model.demand) for kind, _ in self.model.groups]
        self.tables: list[Table] = []
        for group in range(len(self.model.groups)):
            values = held.priced.segment[group]
            self.tables.append(fill_tables(pricer.lengths[group], values, self.limits[group], pricer.along[group].most))
        self.opening = [
            max(0, self.model.price(number) * held.scale - sum(places))
            for number, places in enumerate(held.priced.place)
        ]
        self.least = [self._least_short(group) for group in range(len(self.model.groups))]

    def _least_short(self, group: int) -> list[int | None]:
        """For each length the least that a board with such a segment falls short by; None when no board holds one."""
        values, sizes = self.held.priced.segment[group], self.pricer.lengths[group]
        lengths = self.model.kinds[self.model.groups[group][0]].lengths
        found: list[int | None] = [None] * len(lengths)
        for store, where, _, room in self._layouts(group):
            for number, length in enumerate(lengths):
                if length > room:
                    continue
                rest = self.pricer.along[group].of(room) - sizes[number]
                held = values[number] + int(self.tables[group][-1, rest])
                short = self.opening[store] + max(0, self.held.priced.place[store][where] - held)
                known = found[number]
                found[number] = short if known is None else min(known, short)
        return found

    def _layouts(self, group: int) -> Iterator[tuple[int, int, int, int]]:
        for number, store in enumerate(self.model.stores):
            if store.limit == 0:
                continue
            for where, layouts in enumerate(store.places):
                for which, layout in enumerate(layouts):
                    if layout.group == group:
                        yield number, where, which, layout.room

    def patterns(self, slack: int, cap: int, clock: Clock) -> list[Rip | Cross]:
        """All full patterns within the slack (parts of a point).

        Raises:
            TooMany: when there are more than `cap`, or looking for them takes too many steps or too long.
        """
        budget = _Budget(cap, _STEPS * cap)
        found: list[Rip | Cross] = []
        tables = [self.pricer.strips(kind, self.held.worth, self.model.demand) for kind in range(len(self.model.kinds))]
        for group, (kind, _) in enumerate(self.model.groups):
            for number, least in enumerate(self.least[group]):
                if clock.over():
                    raise TooMany
                if least is not None and least <= slack and self.limits[group][number]:
                    found += self._rips(group, number, slack - least, tables[kind], budget)
            found += self._crosses(group, slack, budget)
        return found

    def _rips(
        self, group: int, number: int, slack: int, tables: tuple[Table, list[int]], budget: _Budget
    ) -> Iterator[Rip]:
        kind, across = self.model.groups[group]
        pieces = self.model.kinds[kind].pieces
        walk = _Walk(
            sizes=[piece.across for piece in pieces],
            values=tables[1],
            of=[piece.of for piece in pieces],
            left=list(self.model.demand),
            tables=tables[0],
            unit=self.pricer.across[kind].unit,
        )
        first = self.pricer.upto[kind][number - 1] if number else 0
        need = self.held.priced.segment[group][number] - slack
        for counts in walk.fillings(first, self.pricer.upto[kind][number], across, need, budget):
            yield Rip(group, number, counts)

    def _crosses(self, group: int, slack: int, budget: _Budget) -> Iterator[Cross]:
        lengths = self.model.kinds[self.model.groups[group][0]].lengths
        walk = _Walk(
            sizes=list(lengths),
            values=self.held.priced.segment[group],
            of=list(range(len(lengths))),
            left=list(self.limits[group]),
            tables=self.tables[group],
            unit=self.pricer.along[group].unit,
        )
        for store, where, which, room in self._layouts(group):
            if slack >= self.opening[store]:
                need = self.held.priced.place[store][where] - (slack - self.opening[store])
                for counts in walk.fillings(0, len(lengths), room, need, budget):
                    yield Cross(store, where, which, counts)


@dataclass(slots=True)
class _Budget:
    """Patterns and steps that are left."""

    patterns: int
    steps: int


class _Walk:
    """All fillings of a room, highest number first. `of` says which count in `left` a size takes from."""

    def __init__(
        self, *, sizes: list[int], values: list[int], of: list[int], left: list[int], tables: Table, unit: int
    ) -> None:
        self.sizes = sizes
        self.values = values
        self.of = of
        self.left = left
        self.best = tables.tolist() if tables.size <= _LISTED else tables
        self.unit = unit
        self.counts: list[tuple[int, int]] = []
        self.found: list[Counts] = []
        self.smallest: list[int] = []
        self.first = 0

    def fillings(self, first: int, last: int, room: int, need: int, budget: _Budget) -> list[Counts]:
        """Full fillings by the first `last` sizes worth `need` at least, with one of number `first` or higher."""
        self.found, self.first = [], first
        self.smallest = sorted(range(last), key=lambda number: self.sizes[number])
        if self.best[last][room // self.unit] >= need:
            self._descend(last, room, need, budget)
        return self.found

    def _descend(self, number: int, rest: int, need: int, budget: _Budget) -> None:
        budget.steps -= 1
        if budget.steps < 0 or budget.patterns < 0:
            raise TooMany
        if number == self.first and not self.counts:
            return
        if number == 0:
            if self._is_full(rest):
                budget.patterns -= 1
                self.found.append(tuple(reversed(self.counts)))
            return
        number -= 1
        size, value, which = self.sizes[number], self.values[number], self.of[number]
        row, left, unit = self.best[number], self.left, self.unit
        for count in range(min(left[which], rest // size), 0, -1):
            after = rest - count * size
            if row[after // unit] >= need - count * value:
                self.counts.append((number, count))
                left[which] -= count
                self._descend(number, after, need - count * value, budget)
                left[which] += count
                self.counts.pop()
        if row[rest // unit] >= need:
            self._descend(number, rest, need, budget)

    def _is_full(self, rest: int) -> bool:
        """Whether no size that is left goes in any more."""
        for number in self.smallest:
            if self.sizes[number] > rest:
                return True
            if self.left[self.of[number]]:
                return False
        return True
