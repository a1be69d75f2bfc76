"""Whole plans out of the linear programme: fix what it is sure of, price again for the rest, and go on."""

from __future__ import annotations

from collections import Counter
from math import inf
from typing import TYPE_CHECKING

import numpy as np

from journal.cutting.choose import tidy
from journal.cutting.pricing import Cross, Rip

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from journal.cutting.clock import Clock
    from journal.cutting.layout import Board
    from journal.cutting.master import Master

_SURE = 1e-6


def dive(
    master: Master, clock: Clock, *, nearest: float, below: float = inf, rounds: int = 4, turns: int = 0
) -> list[Board] | None:
    """One plan from the converged programme; None when it ran short of boards, hope or time.

    Args:
        master: converged; its fixes are taken back at the end.
        clock: ends the dive.
        nearest: which broken count is rounded up: the one whose fraction is nearest to this.
        below: cents that the plan must cost less than; beyond them the last step is taken back.
        rounds: how often to price again after each fix.
        turns: how many steps may be taken back and forbidden.
    """
    fixed: dict[int, int] = {}
    try:
        while not clock.over():
            before = dict(fixed)
            rounded = _fix_more(master, fixed, master.amounts(), nearest)
            if fixed == before:
                return _plan(master, fixed)
            _settle(master, fixed, rounds)
            if master.solved and master.objective < below:
                continue
            if rounded is None or turns == 0:
                return None
            turns -= 1
            fixed = before
            master.fix(rounded, fixed.get(rounded, 0), fixed.get(rounded, 0))
            _settle(master, fixed, rounds)
            if not master.solved or master.objective >= below:
                return None
        return None
    finally:
        master.free()
        master.solve()


def _fix_more(master: Master, fixed: dict[int, int], amounts: NDArray[np.float64], nearest: float) -> int | None:
    """Raises the floors; if none rises, rounds one pattern up and says which; `fixed` as it was when all is whole."""
    floors = np.floor(amounts + _SURE).astype(int)
    raised = False
    for column in np.flatnonzero(floors):
        if floors[column] > fixed.get(int(column), 0):
            fixed[int(column)] = int(floors[column])
            master.fix(int(column), int(floors[column]))
            raised = True
    broken = amounts - floors
    open_ = np.flatnonzero(broken > _SURE)
    if raised or not len(open_):
        return None
    # Strips before boards: how boards are filled follows from which segments there are.
    rips = np.array([column for column in open_ if isinstance(master.columns[column], Rip)], dtype=int)
    choose = rips if len(rips) else open_
    best = int(choose[np.argmin(np.abs(broken[choose] - nearest))])
    fixed[best] = int(floors[best]) + 1
    master.fix(best, fixed[best])
    return best


def _settle(master: Master, fixed: dict[int, int], rounds: int) -> None:
    """Solves again, with patterns priced in for what is not yet cut."""
    left, segments = _still_open(master, fixed)
    master.solve()
    for _ in range(rounds):
        if not master.solved or master.improve(left, segments) == 0:
            break
        master.solve()


def _still_open(master: Master, fixed: dict[int, int]) -> tuple[list[int], list[list[int]]]:
    """Pieces of each class not yet ripped, and segments of each group and length not yet crosscut."""
    model = master.model
    left = list(model.demand)
    need = [[0] * len(model.kinds[kind].lengths) for kind, _ in model.groups]
    for column, count in fixed.items():
        pattern = master.columns[column]
        if isinstance(pattern, Rip):
            need[pattern.group][pattern.length] += count
            pieces = model.kinds[model.groups[pattern.group][0]].pieces
            for piece, often in pattern.pieces:
                left[pieces[piece].of] -= often * count
        else:
            group = model.stores[pattern.store].places[pattern.place][pattern.layout].group
            for length, often in pattern.lengths:
                need[group][length] -= often * count
    left = [max(0, one) for one in left]
    more = [master.pricer.segment_limits(kind, left) for kind, _ in model.groups]
    return left, [[max(0, a + b) for a, b in zip(*each, strict=True)] for each in zip(need, more, strict=True)]


def _plan(master: Master, fixed: dict[int, int]) -> list[Board] | None:
    rips: Counter[Rip] = Counter()
    crosses: Counter[Cross] = Counter()
    for column, count in fixed.items():
        pattern = master.columns[column]
        if isinstance(pattern, Rip):
            rips[pattern] += count
        else:
            crosses[pattern] += count
    return tidy(master.model, rips, crosses)
