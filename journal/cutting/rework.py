"""A few boards at a time are taken apart and planned again, cheaply or as well as can be; the rest stays as it is."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from itertools import islice
from typing import TYPE_CHECKING

from journal.cutting.choose import choose
from journal.cutting.in_turn import InTurn
from journal.cutting.layout import count_pieces
from journal.cutting.master import Master, converge

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from journal.cutting.bound import Held
    from journal.cutting.choose import Solve
    from journal.cutting.clock import Clock
    from journal.cutting.highs import Limits
    from journal.cutting.layout import Board
    from journal.cutting.model import Model
    from journal.cutting.pricing import Pricer

    # The pieces of the boards taken apart, those boards, and the points to stay under; None when it finds no better.
    Again = Callable[[Model, Sequence[Board], int], list[Board] | None]

_LIKELIEST = 150  # patterns of each sort that a lot is planned again from
_PLANS = 3  # in turn for each lot


@dataclass(frozen=True, slots=True)
class Rework:
    """What lots are planned again with.

    Attributes:
        model: the whole problem.
        pricer: in snug cells.
        held: a worth that says how much a board wastes.
        worth: of each class in cents, where plans in turn begin.
        solve: answers the programmes.
        clock: ends it all.
    """

    model: Model
    pricer: Pricer
    held: Held
    worth: Sequence[float]
    solve: Solve
    clock: Clock

    def run(self, boards: Sequence[Board], again: Again, *, lot: int, tries: int) -> list[Board]:
        """A plan no dearer: lots of `lot` boards, those that waste most first, so many tries at most."""
        best = list(boards)
        failed: set[tuple[Board, ...]] = set()
        while True:
            better = None
            for chosen in _lots(self.model, best, self.held, lot, failed):
                if tries <= 0 or self.clock.over():
                    return best
                tries -= 1
                better = self._again(best, chosen, again)
                if better is not None:
                    break
            if better is None:
                return best
            best = better

    def in_turn(self, turn: int) -> Again:
        """A few plans made board after board; another `turn` begins with other worths."""

        def again(smaller: Model, _taken: Sequence[Board], below: int) -> list[Board] | None:
            plans = islice(InTurn(smaller, self.pricer, self.worth, self.clock.over).plans(turn), _PLANS)
            return next((plan for plan in plans if plan and smaller.points(store for store, _ in plan) < below), None)

        return again

    def chosen(self, limits: Limits) -> Again:
        """The best of patterns priced in for just these pieces; none where the programme says that none is cheaper."""

        def again(smaller: Model, taken: Sequence[Board], below: int) -> list[Board] | None:
            master = Master(smaller, self.pricer)
            if not converge(master, self.clock) or master.objective * smaller.scale > below - 0.5:
                return None
            patterns = master.likeliest(_LIKELIEST)
            return choose(smaller, patterns, limits, self.solve, start=taken, stand_ins=True).boards

        return again

    def _again(self, boards: Sequence[Board], chosen: Sequence[int], again: Again) -> list[Board] | None:
        """The plan with these boards planned again, when that is cheaper."""
        model, places = self.model, set(chosen)
        taken = [boards[place] for place in chosen]
        kept = [board for place, board in enumerate(boards) if place not in places]
        points = model.points(store for store, _ in boards)
        below = points - model.points(store for store, _ in kept)
        found = again(_smaller(model, taken, kept), taken, below)
        if found is None or model.points(store for store, _ in kept + found) >= points:
            return None
        return kept + found


def waste(model: Model, board: Board, held: Held) -> int:
    """By how much the worth on a board falls short of its price."""
    pieces = count_pieces(model, [board])
    return model.price(board[0]) * held.scale - sum(held.worth[of] * count for of, count in pieces.items())


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
    pieces = count_pieces(model, taken)
    demand = tuple(pieces[of] for of in range(len(model.demand)))
    used = Counter(store for store, _ in kept)
    stores = tuple(
        store if store.limit is None else replace(store, limit=store.limit - used[number])
        for number, store in enumerate(model.stores)
    )
    return replace(model, demand=demand, stores=stores)
