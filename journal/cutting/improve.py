"""Cheaper boards for the segments that a plan has: one swapped for a cheaper one, two merged, or one more for a lower price.

Only boards that are filled in one place are swapped and merged; those with cut-outs stay as they are.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal.cutting.layout import Board, Filling, Strips
    from journal.cutting.model import Model

_ENDLESS = 10**9


@dataclass(frozen=True, slots=True)
class _Load:
    """Segments of one kind, the room they take along a board and the widest of them."""

    kind: int
    along: int
    across: int
    segments: tuple[Strips, ...]

    def joined(self, other: _Load) -> _Load:
        """Both loads one after the other."""
        segments = tuple(sorted(self.segments + other.segments, reverse=True))
        return _Load(self.kind, self.along + other.along, max(self.across, other.across), segments)


@dataclass(frozen=True, slots=True)
class _Home:
    """A layout that fills a whole board, with what the board costs."""

    points: int
    store: int
    layout: int
    group: tuple[int, int]
    along: int


def improve(model: Model, boards: Sequence[Board]) -> list[Board]:
    """The plan with every swap and merge that makes it cheaper, or as it was where price breaks make it dearer."""
    plans = _Improving(model, boards).run(), list(boards)
    return min(plans, key=lambda plan: model.points(store for store, _ in plan))


def reach_breaks(model: Model, boards: Sequence[Board]) -> list[Board]:
    """The plan with a few boards more of a store where their number lowers the price of all by more than they cost."""
    found = list(boards)
    for number, store in enumerate(model.stores):
        mine = [board for board in found if board[0] == number]
        limit = _ENDLESS if store.limit is None else store.limit
        more = [least for least, _ in store.breaks if len(mine) < least <= limit]
        target = min([len(mine), *more], key=lambda count: (store.cost(count), count))
        spread = _spread(mine, target) if mine else None
        if spread is not None:
            found = [board for board in found if board[0] != number] + spread
    return found


def _spread(boards: Sequence[Board], count: int) -> list[Board] | None:
    """The same strips on so many boards of the same store; None when there are not enough to part."""
    whole = [board for board in boards if _part(board) is None]
    open_ = [board for board in boards if _part(board) is not None]
    while len(whole) + len(open_) < count:
        parts = _part(open_.pop()) if open_ else None
        if parts is None:
            return None
        for board in parts:
            (whole if _part(board) is None else open_).append(board)
    return whole + open_


def _part(board: Board) -> tuple[Board, Board] | None:
    """The board less its last segment, or its only segment less its last strip, and a board with just that."""
    store, fillings = board
    filled = [place for place, filling in enumerate(fillings) if filling is not None]
    place, (layout, segments) = max(
        ((place, filling) for place, filling in enumerate(fillings) if filling is not None),
        key=lambda each: (len(each[1][1]), len(each[1][1][0])),
    )
    if len(segments) > 1:
        rest, moved = segments[:-1], segments[-1:]
    elif len(segments[0]) > 1:
        rest, moved = (segments[0][:-1],), (segments[0][-1:],)
    elif len(filled) > 1:
        rest, moved = (), segments
    else:
        return None

    def with_filling(kept: tuple[Strips, ...], *, others: bool) -> Board:
        changed: list[Filling | None] = [filling if others else None for filling in fillings]
        changed[place] = (layout, kept) if kept else None
        return store, tuple(changed)

    return with_filling(rest, others=True), with_filling(moved, others=False)


class _Improving:
    """The boards of a plan by kind, and what is left of the stock."""

    def __init__(self, model: Model, boards: Sequence[Board]) -> None:
        self.model = model
        self.counts = Counter(boards)
        self.stocked = [_ENDLESS if store.limit is None else store.limit for store in model.stores]
        for board, count in self.counts.items():
            self.stocked[board[0]] -= count
        self.homes = sorted(
            (
                _Home(model.price(number), number, which, model.groups[layout.group], layout.room)
                for number, store in enumerate(model.stores)
                if len(store.places) == 1
                for which, layout in enumerate(store.places[0])
            ),
            key=lambda home: (home.points, home.store, home.layout),
        )

    def run(self) -> list[Board]:
        for one in sorted(self.counts, key=_shown):
            if (filling := _only(one)) is not None:
                self._rehouse([one], self._load(one[0], filling))
        loads = {one: self._load(one[0], filling) for one in self.counts if (filling := _only(one)) is not None}
        order = sorted(loads, key=lambda one: (loads[one].along, _shown(one)))
        longest = max((home.along for home in self.homes), default=0)
        for place, one in enumerate(order):
            for other in order[place:]:
                if loads[one].along + loads[other].along > longest:
                    break
                if loads[one].kind == loads[other].kind and self.counts[one] and self.counts[other]:
                    self._rehouse([one, other], loads[one].joined(loads[other]))
        return sorted(self.counts.elements(), key=_shown)

    def _load(self, store: int, filling: Filling) -> _Load:
        layout, segments = filling
        kind = self.model.groups[self.model.stores[store].places[0][layout].group][0]
        pieces = self.model.kinds[kind].pieces
        along = sum(pieces[strips[0]].along for strips in segments)
        across = max(sum(pieces[piece].across for piece in strips) for strips in segments)
        return _Load(kind, along, across, segments)

    def _rehouse(self, gone: Sequence[Board], load: _Load) -> None:
        """Puts the load on the cheapest board that holds it in place of these, as often as there are these and that pays."""
        below = sum(self.model.price(board[0]) for board in gone)
        need = Counter(gone)
        while all(self.counts[board] >= count for board, count in need.items()):
            home = self._home(load, below)
            if home is None:
                return
            for board in gone:
                self.counts[board] -= 1
                self.stocked[board[0]] += 1
            self.counts[home.store, ((home.layout, load.segments),)] += 1
            self.stocked[home.store] -= 1

    def _home(self, load: _Load, below: int) -> _Home | None:
        for home in self.homes:
            if home.points >= below:
                return None
            kind, across = home.group
            fits = kind == load.kind and load.along <= home.along and load.across <= across
            if fits and self.stocked[home.store]:
                return home
        return None


def _shown(board: Board) -> tuple[int, str]:
    return board[0], repr(board[1])


def _only(board: Board) -> Filling | None:
    return board[1][0] if len(board[1]) == 1 else None
