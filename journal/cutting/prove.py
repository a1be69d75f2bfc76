"""Closing the gap: choose from every pattern that a cheaper plan could use, for a slack that grows until it is the gap."""

from __future__ import annotations

from math import ceil, inf
from typing import TYPE_CHECKING

from journal.cutting.choose import choose
from journal.cutting.highs import Limits
from journal.cutting.near import Near, TooMany

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from journal.cutting.bound import Held
    from journal.cutting.choose import Solve
    from journal.cutting.clock import Clock
    from journal.cutting.layout import Board
    from journal.cutting.model import Model
    from journal.cutting.pricing import Pricer

_SLOW_START = 0.05  # of the gap, the first slack
_GROWTH = 3
_MOST_PATTERNS = 40_000


class Proof:
    """A plan and the points that no plan can stay under, by the solver's word where above `held`."""

    def __init__(self, model: Model, pricer: Pricer, held: Held, boards: Sequence[Board], bound: int) -> None:
        """`pricer` in loose cells; `held` and `bound` in points."""
        self.model = model
        self.near = Near(pricer, held)
        self.held = held
        self.boards = list(boards)
        self.points = model.points(store for store, _ in boards)
        self.bound = bound

    def gap(self) -> int:
        """Slack that a plan of one point less would need, in parts of a point."""
        return (self.points - 1) * self.held.scale - self.held.total

    def run(self, clock: Clock, nodes: int, solve: Solve, better: Callable[[], None], *, share: float) -> None:
        """Raises the bound or lowers the cost until they meet, the patterns are too many, or time is up.

        A slack below the gap may take `share` of the time that is left, and its end unfinished is the end of the proof.
        """
        slack = max(self.held.scale, int(self.gap() * _SLOW_START))
        while self.bound < self.points and not clock.over():
            slack = min(max(slack, self.bound * self.held.scale - self.held.total), self.gap())
            try:
                patterns = self.near.patterns(slack, _MOST_PATTERNS, clock)
            except TooMany:
                return
            seconds = clock.left() * (1.0 if slack == self.gap() else share)
            choice = choose(self.model, patterns, Limits(nodes, seconds), solve, start=self.boards)
            self.keep(choice.boards)
            beyond = (self.held.total + slack) // self.held.scale + 1
            reached = beyond if choice.bound == inf else min(beyond, ceil(max(choice.bound, 0.0)))
            self.bound = max(self.bound, min(reached, self.points))
            better()
            if not choice.finished:
                return
            slack *= _GROWTH

    def keep(self, boards: Sequence[Board] | None) -> None:
        """Takes a plan over when it is better."""
        if boards is None:
            return
        points = self.model.points(store for store, _ in boards)
        if points < self.points:
            self.points, self.boards = points, list(boards)
