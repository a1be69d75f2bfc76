"""A few boards at a time are taken apart and planned again as well as their patterns allow; the rest stays as it is."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from journal.cutting.choose import choose
from journal.cutting.layout import patterns_of
from journal.cutting.pricing import Cross, Rip

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from journal.cutting.bound import Held
    from journal.cutting.choose import Solve
    from journal.cutting.clock import Clock
    from journal.cutting.highs import Limits
    from journal.cutting.layout import Board
    from journal.cutting.master import Column
    from journal.cutting.model import Model

_LIKELIEST = 80  # patterns of each sort that a lot is planned again from


@dataclass(frozen=True, slots=True)
class Rework:
    """What lots are planned again with.

    Attributes:
        model: the whole problem.
        pool: patterns to choose from.
        held: a worth that says how much a board wastes.
        solve: answers the programmes.
        clock: ends it all.
    """

    model: Model
    pool: Sequence[Column]
    held: Held
    solve: Solve
    clock: Clock

    def run(self, boards: Sequence[Board], limits: Limits, *, lot: int, tries: int) -> list[Board]:
        """A plan no dearer: lots of `lot` boards, those that waste most first, so many tries at most."""
        best = list(boards)
        failed: set[tuple[Board, ...]] = set()
        while True:
            better = None
            for chosen in _lots(self.model, best, self.held, lot, failed):
                if tries <= 0 or self.clock.over():
                    return best
                tries -= 1
                better = self._again(best, chosen, limits)
                if better is not None:
                    break
            if better is None:
                return best
            best = better

    def _again(self, boards: Sequence[Board], chosen: Sequence[int], limits: Limits) -> list[Board] | None:
        model = self.model
        taken = [boards[place] for place in chosen]
        kept = [board for place, board in enumerate(boards) if place not in set(chosen)]
        smaller = _smaller(model, taken, kept)
        patterns = likeliest(model, _trimmed(smaller, self.pool), self.held, _LIKELIEST)
        choice = choose(smaller, patterns, limits, self.solve, start=taken, stand_ins=True)
        if choice.boards is None:
            return None
        whole = kept + choice.boards
        cheaper = model.points(store for store, _ in whole) < model.points(store for store, _ in boards)
        return whole if cheaper else None


def waste(model: Model, board: Board, held: Held) -> int:
    """By how much the worth on a board falls short of its price."""
    total = model.price(board[0]) * held.scale
    for place, filling in enumerate(board[1]):
        if filling is not None:
            group = model.stores[board[0]].places[place][filling[0]].group
            pieces = model.kinds[model.groups[group][0]].pieces
            total -= sum(held.worth[pieces[piece].of] for strips in filling[1] for piece in strips)
    return total


def _lots(
    model: Model, boards: Sequence[Board], held: Held, lot: int, failed: set[tuple[Board, ...]]
) -> Iterator[tuple[int, ...]]:
    """Windows over the boards in order of waste, the most wasteful with each later half window, and boards spread evenly.

    Lots in `failed` are not tried again, and each one handed out is added to it.
    """
    order = sorted(range(len(boards)), key=lambda place: (-waste(model, boards[place], held), repr(boards[place])))
    step = max(1, lot // 2)
    windows = [order[start : start + lot] for start in range(0, max(1, len(order) - step), step)]
    spread = [order[start :: max(1, len(order) // lot)][:lot] for start in range(max(1, len(order) // lot))]
    mixed = [order[:step] + order[start : start + lot - step] for start in range(lot, len(order), lot - step)]
    for window in [*windows, *mixed, *spread]:
        key = tuple(sorted((boards[place] for place in window), key=repr))
        if key not in failed:
            failed.add(key)
            yield tuple(window)


def _smaller(model: Model, taken: Sequence[Board], kept: Sequence[Board]) -> Model:
    """The same stock, less what the kept boards use, for the pieces of the boards taken apart."""
    demand = [0] * len(model.demand)
    rips, _ = patterns_of(model, taken)
    for rip, often in rips.items():
        pieces = model.kinds[model.groups[rip.group][0]].pieces
        for piece, count in rip.pieces:
            demand[pieces[piece].of] += count * often
    used = Counter(store for store, _ in kept)
    stores = tuple(
        store if store.limit is None else replace(store, limit=store.limit - used[number])
        for number, store in enumerate(model.stores)
    )
    return replace(model, demand=tuple(demand), stores=stores)


def _trimmed(model: Model, pool: Sequence[Column]) -> list[Column]:
    """Patterns cut down to the pieces there are, and to segments that some of them have."""
    rips: dict[Rip, None] = {}
    lengths: set[tuple[int, int]] = set()
    for column in pool:
        if isinstance(column, Rip):
            rip = _trim_rip(model, column)
            if rip is not None:
                rips[rip] = None
                lengths.add((rip.group, rip.length))
    crosses: dict[Cross, None] = {}
    for column in pool:
        if isinstance(column, Cross):
            group = model.stores[column.store].places[column.place][column.layout].group
            kept = tuple((length, count) for length, count in column.lengths if (group, length) in lengths)
            if kept:
                crosses[replace(column, lengths=kept)] = None
    return [*rips, *crosses]


def _trim_rip(model: Model, rip: Rip) -> Rip | None:
    kind = model.kinds[model.groups[rip.group][0]]
    left: dict[int, int] = {}
    kept: list[tuple[int, int]] = []
    for piece, count in rip.pieces:
        of = kind.pieces[piece].of
        room = left.setdefault(of, model.demand[of])
        if min(count, room):
            kept.append((piece, min(count, room)))
            left[of] -= min(count, room)
    if not kept:
        return None
    longest = kind.lengths.index(kind.pieces[kept[-1][0]].along)
    return Rip(rip.group, longest, tuple(kept))


def likeliest(model: Model, pool: Sequence[Column], held: Held, most: int) -> list[Column]:
    """The patterns that fall least short of the worth their room can hold, so many of each sort."""
    short: list[tuple[int, int, Column]] = []
    for number, column in enumerate(pool):
        if isinstance(column, Rip):
            pieces = model.kinds[model.groups[column.group][0]].pieces
            worth = sum(held.worth[pieces[piece].of] * count for piece, count in column.pieces)
            short.append((held.priced.segment[column.group][column.length] - worth, number, column))
        else:
            group = model.stores[column.store].places[column.place][column.layout].group
            worth = sum(held.priced.segment[group][length] * count for length, count in column.lengths)
            opening = model.price(column.store) * held.scale - sum(held.priced.place[column.store])
            missing = held.priced.place[column.store][column.place] - worth
            short.append((max(0, opening) + missing, number, column))
    short.sort(key=lambda each: each[:2])
    rips = [column for _, _, column in short if isinstance(column, Rip)]
    crosses = [column for _, _, column in short if isinstance(column, Cross)]
    return [*rips[:most], *crosses[:most]]
