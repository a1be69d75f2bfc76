"""What boards can hold at most when every piece has a worth, and the cuts that hold it.

For each kind one table gives the most valuable strips beside each other, for all widths and all longest strips at once;
for each group one more gives the most valuable segments after each other. No pattern takes more of a class than is
wanted, nor more segments of a length than there are pieces of that length.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from journal.cutting.knapsack import count_cells, fill_tables, take

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal.cutting.knapsack import Table
    from journal.cutting.model import Layout, Model

    Counts = tuple[tuple[int, int], ...]  # (piece of the kind, or length of the kind; how many), places rising


_PATTERNS = 8  # fillings of a layout priced in at once


@dataclass(frozen=True, slots=True)
class Rip:
    """Strips side by side in a segment of a group; the longest has length number `length`."""

    group: int
    length: int
    pieces: Counts


@dataclass(frozen=True, slots=True)
class Cross:
    """Segments one after the other in one layout of a place; counts by length number."""

    store: int
    place: int
    layout: int
    lengths: Counts


@dataclass(frozen=True, slots=True)
class Segments:
    """How a group's boards are filled best: the table, and for its rows the sizes, values and length numbers."""

    table: Table
    sizes: list[int]
    values: list[int]
    lengths: list[int]

    def worth(self, room: int) -> int:
        """The most that so many cells hold."""
        return int(self.table[-1, room])

    def counts(self, room: int, upto: int | None = None) -> Counts:
        """How often each length in the best filling, with the first `upto` lengths only when given."""
        found = take(self.table, self.sizes, self.values, len(self.sizes) if upto is None else upto, room)
        return tuple(sorted((self.lengths[row], count) for row, count in found.items()))


class Pricer:
    """Tables of one model, in snug or loose cells."""

    def __init__(self, model: Model, *, loose: bool = False) -> None:
        self.model = model
        widest = [0] * len(model.kinds)
        longest = [0] * len(model.groups)
        for kind, across in model.groups:
            widest[kind] = max(widest[kind], across)
        for store in model.stores:
            for layouts in store.places:
                for layout in layouts:
                    longest[layout.group] = max(longest[layout.group], layout.room)
        self.across = [
            count_cells([piece.across for piece in kind.pieces], room)
            for kind, room in zip(model.kinds, widest, strict=True)
        ]
        self.along = [
            count_cells(model.kinds[kind].lengths, room) for (kind, _), room in zip(model.groups, longest, strict=True)
        ]
        self.exact = all(cells.exact for cells in [*self.across, *self.along])
        self.widths = [cells.loose if loose else cells.snug for cells in self.across]
        self.lengths = [cells.loose if loose else cells.snug for cells in self.along]
        self.upto = [[kind.upto(number) for number in range(len(kind.lengths))] for kind in model.kinds]

    def strips(self, kind: int, worth: Sequence[int], demand: Sequence[int]) -> tuple[Table, list[int]]:
        """The kind's table of strips, and the worth of each of its pieces."""
        pieces = self.model.kinds[kind].pieces
        values = [worth[piece.of] for piece in pieces]
        limits = [demand[piece.of] for piece in pieces]
        return fill_tables(self.widths[kind], values, limits, self.across[kind].most), values

    def segment_most(self, group: int, table: Table, worths: Sequence[int]) -> list[int]:
        """For each length of the group's kind the most that strips can be worth of which the longest has that length."""
        kind, across = self.model.groups[group]
        room = self.across[kind].of(across)
        found = []
        first = 0
        for last in self.upto[kind]:
            leading = [
                worths[piece] + int(table[last, room - self.widths[kind][piece]])
                for piece in range(first, last)
                if self.widths[kind][piece] <= room
            ]
            found.append(min(int(table[last, room]), max(leading, default=0)))
            first = last
        return found

    def segment_best(self, group: int, table: Table, worths: Sequence[int]) -> list[tuple[int, dict[int, int]]]:
        """For each length the value and the counts of strips, one of that length among them (none, worth 0, if none fits)."""
        kind, across = self.model.groups[group]
        room = self.across[kind].of(across)
        sizes = self.widths[kind]
        found: list[tuple[int, dict[int, int]]] = []
        first = 0
        for last in self.upto[kind]:
            value, counts = int(table[last, room]), {}
            if value > int(table[first, room]):
                counts = take(table, sizes, worths, last, room)
            else:
                leading = [piece for piece in range(first, last) if sizes[piece] <= room and worths[piece]]
                value = 0
                for piece in leading:
                    beside = worths[piece] + int(table[first, room - sizes[piece]])
                    if beside > value:
                        value = beside
                        counts = {piece: 1} | take(table, sizes, worths, first, room - sizes[piece])
            found.append((value, counts))
            first = last
        return found

    def segment_limits(self, kind: int, demand: Sequence[int]) -> list[int]:
        """For each length how many segments may need it: pieces of that very length."""
        found = self.model.kinds[kind]
        limits = dict.fromkeys(found.lengths, 0)
        for piece in found.pieces:
            limits[piece.along] += demand[piece.of]
        return list(limits.values())

    def segments(
        self, group: int, values: Sequence[int], limits: Sequence[int], lengths: Sequence[int] | None = None
    ) -> Segments:
        """The group's table of segments, of those worth having; values and limits by length number, or of these lengths."""
        numbers = range(len(values)) if lengths is None else lengths
        sizes = [self.lengths[group][number] for number in numbers]
        best = 0
        kept: list[int] = []
        for row, (value, limit, size) in enumerate(zip(values, limits, sizes, strict=True)):
            if value > best and limit:  # no shorter one, of which there are enough to fill a board, is as good
                kept.append(row)
                if limit * size > self.along[group].most:
                    best = value
        sizes, gains = [sizes[row] for row in kept], [values[row] for row in kept]
        table = fill_tables(sizes, gains, [limits[row] for row in kept], self.along[group].most)
        return Segments(table, sizes, gains, [numbers[row] for row in kept])

    def room(self, layout: Layout) -> int:
        """Cells along a layout."""
        return self.along[layout.group].of(layout.room)


@dataclass(frozen=True, slots=True)
class Priced:
    """What boards hold at most under a worth of pieces.

    Attributes:
        segment: for each group, for each length of its kind, the most valuable segment.
        rips: the strips of those worth having, with their value.
        place: for each store, for each place, the most valuable filling.
        crosses: the fillings of every layout, with their value.
    """

    segment: list[list[int]]
    rips: list[tuple[Rip, int]]
    place: list[list[int]]
    crosses: list[tuple[Cross, int]]


def price(
    pricer: Pricer, worth: Sequence[int], demand: Sequence[int], *, segments: Sequence[Sequence[int]] | None = None
) -> Priced:
    """The best cuts for each group and layout, all real.

    Args:
        pricer: in snug cells.
        worth: of each class, whole.
        demand: how many of each class a segment may take at most.
        segments: for each group, for each length, how many a board may take at most; otherwise after the demand.
    """
    model = pricer.model
    tables = [pricer.strips(kind, worth, demand) for kind in range(len(model.kinds))]
    limits = segments or [pricer.segment_limits(kind, demand) for kind, _ in model.groups]
    segment: list[list[int]] = []
    rips: list[tuple[Rip, int]] = []
    boards: list[Segments] = []
    for group, (kind, _) in enumerate(model.groups):
        best = pricer.segment_best(group, *tables[kind])
        segment.append([value for value, _ in best])
        boards.append(pricer.segments(group, segment[-1], limits[group]))
        for number, (value, counts) in enumerate(best):
            if value:
                rips.append((Rip(group, number, tuple(sorted(counts.items()))), value))
    place, crosses = _fill_places(pricer, boards, patterns=True)
    return Priced(segment, rips, place, crosses)


def most(pricer: Pricer, worth: Sequence[int]) -> Priced:
    """Upper bounds on what segments and boards hold, without patterns.

    Args:
        pricer: in loose cells.
        worth: of each class, whole.
    """
    model = pricer.model
    tables = [pricer.strips(kind, worth, model.demand) for kind in range(len(model.kinds))]
    segment = [pricer.segment_most(group, *tables[kind]) for group, (kind, _) in enumerate(model.groups)]
    boards = [
        pricer.segments(group, values, pricer.segment_limits(model.groups[group][0], model.demand))
        for group, values in enumerate(segment)
    ]
    return Priced(segment, [], _fill_places(pricer, boards, patterns=False)[0], [])


def _fill_places(
    pricer: Pricer, boards: Sequence[Segments], *, patterns: bool
) -> tuple[list[list[int]], list[tuple[Cross, int]]]:
    place: list[list[int]] = []
    crosses: list[tuple[Cross, int]] = []
    for number, store in enumerate(pricer.model.stores):
        place.append([])
        for where, layouts in enumerate(store.places):
            best = 0
            for which, layout in enumerate(layouts):
                filled, room = boards[layout.group], pricer.room(layout)
                best = max(best, filled.worth(room))
                if patterns:
                    for upto in _prefixes(filled.table, room):
                        cross = Cross(number, where, which, filled.counts(room, upto))
                        crosses.append((cross, int(filled.table[upto, room])))
            place[-1].append(best)
    return place, crosses


def _prefixes(table: Table, room: int) -> list[int]:
    """How many of the first sizes to fill with: all, and then ever fewer wherever that gives another pattern."""
    values = table[:, room]
    return [int(count) for count in (1 + np.flatnonzero(np.diff(values)))[::-1][:_PATTERNS]]
