"""The linear programme over cutting patterns: columns are added as they are priced in, until none would help.

Rows: every class is cut often enough; each group's segments of a length are crosscut as often as they are ripped; each
place of a store is filled no more often than boards are opened. Money is in cents (points ÷ scale), so that the solver's
tolerances are small beside it.
"""

from __future__ import annotations

from math import inf
from typing import TYPE_CHECKING

import highspy
import numpy as np

from journal.cutting.highs import solver
from journal.cutting.layout import patterns_of
from journal.cutting.pricing import Cross, Rip, price

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from numpy.typing import NDArray

    from journal.cutting.clock import Clock
    from journal.cutting.layout import Board
    from journal.cutting.model import Model
    from journal.cutting.pricing import Pricer

    Column = Rip | Cross

_TINY = 1e-7
_SHORT = 1e-6  # pieces
_DEAR = 2  # a piece bought elsewhere costs so many times the cheapest board it could be cut from alone
_DEARER = 100  # and so many times more when the programme buys pieces elsewhere all the same
_DEAREST = 1e7  # cents beyond which the solver's tolerances would be felt


class Rows:
    """Row numbers of a model: covers first, then segments by group and length, then places."""

    def __init__(self, model: Model) -> None:
        self.model = model
        count = len(model.demand)
        self.segment: list[int] = []
        for kind, _ in model.groups:
            self.segment.append(count)
            count += len(model.kinds[kind].lengths)
        self.place: list[list[int]] = []
        for store in model.stores:
            self.place.append(list(range(count, count + len(store.places))))
            count += len(store.places)
        self.count = count

    def entries(self, column: Column) -> tuple[list[int], list[float]]:
        """Rows and coefficients of a pattern's column."""
        if isinstance(column, Rip):
            pieces = self.model.kinds[self.model.groups[column.group][0]].pieces
            cut: dict[int, float] = {}
            for piece, count in column.pieces:
                cut[pieces[piece].of] = cut.get(pieces[piece].of, 0.0) + count
            return [*cut, self.segment[column.group] + column.length], [*cut.values(), -1.0]
        group = self.model.stores[column.store].places[column.place][column.layout].group
        segments = [self.segment[group] + length for length, _ in column.lengths]
        counts = [float(count) for _, count in column.lengths]
        return [*segments, self.place[column.store][column.place]], [*counts, -1.0]


class Master:
    """The programme with its columns so far. Columns: dear pieces, boards, then patterns in the order added."""

    def __init__(self, model: Model, pricer: Pricer) -> None:
        self.model = model
        self.pricer = pricer
        self.rows = Rows(model)
        self.columns: list[Column] = []
        self.known: set[Column] = set()
        self.first = len(model.demand) + len(model.stores)
        self.highs = solver()
        cover = len(model.demand)
        lower = np.zeros(self.rows.count)
        lower[:cover] = model.demand
        self._add_rows(lower)
        self.dear = np.array(_alone(model)) * _DEAR
        self._add(self.dear, np.full(cover, inf), [([row], [1.0]) for row in range(cover)])
        prices = np.array([model.price(number) / model.scale for number in range(len(model.stores))])
        limits = np.array([inf if one.limit is None else float(one.limit) for one in model.stores])
        self._add(prices, limits, [(rows, [1.0] * len(rows)) for rows in self.rows.place])
        self.objective = inf
        self.solved = False
        self.value: NDArray[np.float64] = np.zeros(self.first)
        self.dual: NDArray[np.float64] = np.zeros(self.rows.count)
        self.reduced: NDArray[np.float64] = np.zeros(self.first)

    def _add_rows(self, lower: NDArray[np.float64]) -> None:
        none = np.zeros(0, dtype=np.int32)
        count = len(lower)
        starts = np.zeros(count, dtype=np.int32)
        self.highs.addRows(count, lower, np.full(count, inf), 0, starts, none, np.zeros(0))

    def _add(
        self, costs: NDArray[np.float64], upper: NDArray[np.float64], entries: Sequence[tuple[list[int], list[float]]]
    ) -> None:
        starts = np.cumsum([0, *(len(rows) for rows, _ in entries[:-1])]).astype(np.int32)
        index = np.array([row for rows, _ in entries for row in rows], dtype=np.int32)
        value = np.array([one for _, values in entries for one in values], dtype=np.float64)
        self.highs.addCols(len(costs), costs, np.zeros(len(costs)), upper, len(index), starts, index, value)

    def add(self, columns: Iterable[Column]) -> int:
        """Adds the patterns not there yet; how many those were."""
        new = [column for column in dict.fromkeys(columns) if column not in self.known]
        if new:
            self.known.update(new)
            self.columns += new
            zeros = np.zeros(len(new))
            self._add(zeros, zeros + inf, [self.rows.entries(column) for column in new])
        return len(new)

    def add_plan(self, boards: Iterable[Board]) -> None:
        """Adds a plan's patterns: with one to begin with it converges in half the time."""
        rips, crosses = patterns_of(self.model, boards)
        self.add([*sorted(rips, key=repr), *sorted(crosses, key=repr)])

    def solve(self, seconds: float = inf) -> None:
        """Solves with the columns there are; what it found last stays when that takes longer than so many seconds."""
        self.highs.setOptionValue("time_limit", self.highs.getRunTime() + seconds)
        self.highs.run()
        self.solved = self.highs.getModelStatus() == highspy.HighsModelStatus.kOptimal
        if not self.solved:
            return
        found = self.highs.getSolution()
        self.objective = self.highs.getInfo().objective_function_value
        self.value = np.array(found.col_value)
        self.dual = np.array(found.row_dual)
        self.reduced = np.array(found.col_dual)

    def worth(self) -> list[float]:
        """Duals of the classes, in cents."""
        return [max(0.0, float(one)) for one in self.dual[: len(self.model.demand)]]

    def short(self) -> float:
        """Pieces that the boards do not yield in the linear programme."""
        return float(self.value[: len(self.model.demand)].sum())

    def make_dearer(self) -> bool:
        """Raises the price of pieces bought elsewhere; False when it is as high as can be."""
        if self.dear.max() >= _DEAREST:
            return False
        self._price_elsewhere(np.minimum(self.dear * _DEARER, _DEAREST))
        return True

    def count_shortage(self) -> None:
        """Boards cost nothing from now on and a piece bought elsewhere one: the programme then counts what is short."""
        self._price_elsewhere(np.ones(len(self.dear)))
        stores = np.arange(len(self.dear), self.first, dtype=np.int32)
        self.highs.changeColsCost(len(stores), stores, np.zeros(len(stores)))
        self.dear[:] = inf

    def _price_elsewhere(self, prices: NDArray[np.float64]) -> None:
        self.dear = prices
        index = np.arange(len(prices), dtype=np.int32)
        self.highs.changeColsCost(len(index), index, prices)

    def improve(self, demand: Sequence[int], segments: Sequence[Sequence[int]] | None = None) -> int:
        """Prices in the best patterns under the present duals; how many were added."""
        scale = 10**8
        worth = [round(one * scale) for one in self.worth()]
        priced = price(self.pricer, worth, demand, segments=segments)
        new: list[Column] = []
        for rip, value in priced.rips:
            if value / scale > self.dual[self.rows.segment[rip.group] + rip.length] + _TINY:
                new.append(rip)
        for cross, value in priced.crosses:
            if value / scale > self.dual[self.rows.place[cross.store][cross.place]] + _TINY:
                new.append(cross)
        return self.add(new)

    def fix(self, column: int, least: int, most: float | None = None) -> None:
        """Pattern number `column` is used so often at least, and at most when given."""
        self.highs.changeColBounds(self.first + column, float(least), inf if most is None else float(most))

    def free(self) -> None:
        """Takes all fixes back."""
        count = len(self.columns)
        index = np.arange(self.first, self.first + count, dtype=np.int32)
        self.highs.changeColsBounds(count, index, np.zeros(count), np.full(count, inf))

    def set_store(self, store: int, cents: float, least: float, most: float) -> None:
        """A board of a store costs so much, and so many of them are opened."""
        column = len(self.dear) + store
        self.highs.changeColCost(column, cents)
        self.highs.changeColBounds(column, least, most)

    def opened(self, store: int) -> float:
        """How many boards of a store the programme opens."""
        return float(self.value[len(self.dear) + store])

    def likeliest(self, most: int) -> list[Column]:
        """The patterns that cost a plan least to use, so many of each sort."""
        order = np.argsort(self.reduced[self.first :], kind="stable")
        sorted_ = [self.columns[number] for number in order]
        rips = [column for column in sorted_ if isinstance(column, Rip)]
        crosses = [column for column in sorted_ if isinstance(column, Cross)]
        return [*rips[:most], *crosses[:most]]

    def amounts(self) -> NDArray[np.float64]:
        """How often each pattern is used, shape (patterns,)."""
        return self.value[self.first :]


def converge(master: Master, clock: Clock, *, rounds: int = 10_000) -> bool:
    """Solves and prices in turn; True when no pattern would help any more.

    A class with a board without limit is never worth more than that board in the end, so pieces bought elsewhere at twice
    its price leave the programme by themselves; those that only limited boards hold may be worth more, and are made dearer.
    """
    for _ in range(rounds):
        master.solve(clock.left())
        if not master.solved:
            return False
        if master.improve(master.model.demand) == 0 and (master.short() <= _SHORT or not master.make_dearer()):
            return True
        if clock.over():
            return False
    return False


def _alone(model: Model) -> list[float]:
    """For each class the price in cents of the cheapest board without limit that holds it; else of the dearest board."""
    prices = [model.price(number) / model.scale for number in range(len(model.stores))]
    found = [inf] * len(model.demand)
    for store, cents in zip(model.stores, prices, strict=True):
        for layout in (layout for layouts in store.places for layout in layouts if store.limit is None):
            kind, across = model.groups[layout.group]
            for piece in model.kinds[kind].pieces:
                if piece.along <= layout.room and piece.across <= across:
                    found[piece.of] = min(found[piece.of], cents)
    return [max(prices) if cents == inf else cents for cents in found]
