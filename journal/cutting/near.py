"""Every pattern that a plan cheaper than bound + slack can use.

Under a worth that no board holds more of than its price, a plan's cost is the bound plus what each of its boards and
patterns falls short by, and nothing falls short by less than nothing. So a plan within the slack has no pattern that
alone falls short by more. Only full patterns are listed: a plan with others is as good with the pieces filled up.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal.cutting.knapsack import fill_tables
from journal.cutting.pricing import Cross, Rip

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from journal.cutting.bound import Held
    from journal.cutting.knapsack import Table
    from journal.cutting.model import Model
    from journal.cutting.pricing import Pricer


_STEPS = 20  # of a walk for each pattern there may be
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
        for group, (kind, _) in enumerate(self.model.groups):
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

    def patterns(self, slack: int, cap: int) -> list[Rip | Cross]:
        """All full patterns within the slack (parts of a point).

        Raises:
            TooMany: when there are more than `cap`, or looking for them takes too many steps.
        """
        found: list[Rip | Cross] = []
        steps = [_STEPS * cap]
        tables = [self.pricer.strips(kind, self.held.worth, self.model.demand) for kind in range(len(self.model.kinds))]
        for group, (kind, _) in enumerate(self.model.groups):
            for number, least in enumerate(self.least[group]):
                if least is not None and least <= slack and self.limits[group][number]:
                    need = self.held.priced.segment[group][number] - (slack - least)
                    self._rips(group, number, need, tables[kind], found, cap, steps)
            self._crosses(group, slack, found, cap, steps)
        return found

    def _rips(
        self,
        group: int,
        number: int,
        need: int,
        tables: tuple[Table, list[int]],
        found: list[Rip | Cross],
        cap: int,
        steps: list[int],
    ) -> None:
        kind, across = self.model.groups[group]
        pieces = self.model.kinds[kind].pieces
        last = self.pricer.upto[kind][number]
        first = self.pricer.upto[kind][number - 1] if number else 0
        sizes = [piece.across for piece in pieces]
        demand = list(self.model.demand)
        of = [piece.of for piece in pieces]

        def done(counts: list[tuple[int, int]]) -> None:
            found.append(Rip(group, number, tuple(reversed(counts))))
            if len(found) > cap:
                raise TooMany

        _walk(
            _Walk(sizes, tables[1], of, demand, tables[0], self.pricer.across[kind].unit, first, done, steps),
            last,
            across,
            need,
        )

    def _crosses(self, group: int, slack: int, found: list[Rip | Cross], cap: int, steps: list[int]) -> None:
        kind, _ = self.model.groups[group]
        lengths = list(self.model.kinds[kind].lengths)
        values = self.held.priced.segment[group]
        for store, where, which, room in self._layouts(group):
            need = self.held.priced.place[store][where] - (slack - self.opening[store])
            if slack < self.opening[store]:
                continue

            def done(counts: list[tuple[int, int]], store: int = store, where: int = where, which: int = which) -> None:
                found.append(Cross(store, where, which, tuple(reversed(counts))))
                if len(found) > cap:
                    raise TooMany

            limits = list(self.limits[group])
            walk = _Walk(
                lengths,
                values,
                list(range(len(lengths))),
                limits,
                self.tables[group],
                self.pricer.along[group].unit,
                None,
                done,
                steps,
            )
            _walk(walk, len(lengths), room, need)


class _Walk:
    """What a walk over all fillings needs; `first`: one piece of this number or higher must be taken."""

    __slots__ = ("done", "first", "left", "of", "sizes", "steps", "tables", "unit", "values")

    def __init__(
        self,
        sizes: Sequence[int],
        values: Sequence[int],
        of: Sequence[int],
        left: list[int],
        tables: Table,
        unit: int,
        first: int | None,
        done: Callable[[list[tuple[int, int]]], None],
        steps: list[int],
    ) -> None:
        self.sizes = sizes
        self.values = values
        self.of = of
        self.left = left
        self.tables = tables
        self.unit = unit
        self.first = first
        self.done = done
        self.steps = steps


def _walk(walk: _Walk, last: int, room: int, need: int) -> None:
    """All full fillings with the first `last` sizes, worth `need` at least, highest number first."""
    sizes, values, of, left, unit, done, steps = (
        walk.sizes,
        walk.values,
        walk.of,
        walk.left,
        walk.unit,
        walk.done,
        walk.steps,
    )
    best = walk.tables.tolist() if walk.tables.size <= _LISTED else walk.tables
    first = walk.first
    smallest = sorted(range(last), key=lambda number: sizes[number])
    counts: list[tuple[int, int]] = []

    def full(rest: int) -> bool:
        for number in smallest:
            if sizes[number] > rest:
                return True
            if left[of[number]]:
                return False
        return True

    def descend(number: int, rest: int, need: int) -> None:
        steps[0] -= 1
        if steps[0] < 0:
            raise TooMany
        if number == 0:
            if counts and full(rest):
                done(counts)
            return
        if first is not None and number == first and not counts:
            return
        number -= 1
        size, value, which = sizes[number], values[number], of[number]
        row = best[number]
        most = min(left[which], rest // size)
        for count in range(most, -1, -1):
            after = rest - count * size
            if row[after // unit] >= need - count * value:
                if count:
                    counts.append((number, count))
                    left[which] -= count
                descend(number, after, need - count * value)
                if count:
                    counts.pop()
                    left[which] += count

    if best[last][room // unit] >= need:
        descend(last, room, need)
