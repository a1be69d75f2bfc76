"""The search for one part of a problem: programme, dives, rework, proof, in that order, as far as time or work allow.

Every step keeps the best plan so far and the highest bound; when they meet the search is over.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, gcd
from typing import TYPE_CHECKING

from journal.cutting.bound import hold, material_worth, next_total
from journal.cutting.clock import Clock
from journal.cutting.dive import dive
from journal.cutting.highs import Limits
from journal.cutting.master import Master, converge
from journal.cutting.pricing import Pricer
from journal.cutting.prove import Proof
from journal.cutting.rework import Rework

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from journal.cutting.bound import Held
    from journal.cutting.choose import Solve
    from journal.cutting.layout import Board
    from journal.cutting.model import Model

_NEAREST = (1.0, 0.6, 0.5)  # fractions that dives round up first, one dive each
_QUICK_LOTS = ((5, 30, 10),)  # boards taken apart at once, nodes, tries
_LOTS = ((5, 30, 100), (8, 30, 100))
_LARGE_LOTS = ((8, 30, 400), (12, 50, 200), (16, 200, 200))
_MOST_ROWS = 300  # of a programme whose proof is worth trying
_TURNS = 60  # steps a dive may take back
_NODES = 10**7
_TRIFLE = 3.0  # seconds at most for fewer boards once the cost is proven


@dataclass(frozen=True, slots=True)
class Work:
    """How programmes are solved, and when all must end."""

    solve: Solve
    clock: Clock


class Hunt:
    """One part: its best plan, its bounds, and what was learnt on the way.

    Attributes:
        boards: the best plan, None when there is none yet.
        points: of it.
        bound: points no plan can stay under.
        certified_cents: the bound in cents that `worth` (cents ÷ `scale`) bears.
        unplaced: blanks that the first plan found no place for.
        short: pieces that the boards certainly cannot yield, when the programme found so.
    """

    def __init__(self, model: Model, work: Work, report: Callable[[], None]) -> None:
        self.model = model
        self.work = work
        self.report = report
        self.pricer = Pricer(model)
        self.loose = self.pricer if self.pricer.exact else Pricer(model, loose=True)
        self.boards: list[Board] | None = None
        self.points = 0
        self.bound = 0
        self.certified_cents = 0
        self.worth: tuple[int, ...] = ()
        self.scale = 1
        self.short = 0
        self.unplaced: dict[str, int] = {}
        self.held: Held | None = None
        self.master: Master | None = None
        self._certify(material_worth(model))

    @property
    def cents(self) -> int:
        """Cost of the best plan."""
        return self.points // self.model.scale

    @property
    def bound_cents(self) -> int:
        """The bound in cents, as the prices add up to it."""
        return max(self.certified_cents, self._cents(self.bound))

    def met(self) -> bool:
        """Whether cost and boards are proven."""
        return self.boards is not None and self.bound >= self.points

    def take(self, boards: Sequence[Board] | None) -> None:
        """Keeps a plan that is better than the best."""
        if boards is None:
            return
        points = self.model.points(store for store, _ in boards)
        if self.boards is None or points < self.points:
            self.boards, self.points = list(boards), points
            self.report()

    def quick(self) -> None:
        """A good plan by counted work alone; the clock only ends it early."""
        if self.met() or self.work.clock.over():
            return
        self.master = Master(self.model, self.pricer, material_worth(self.model))
        whole = converge(self.master, self.work.clock)
        self._certify(self.master.worth())
        if whole and self.master.short() > 1e-6:
            self.short = ceil(self.master.short() - 1e-6)
            if self.boards is None:
                return
        for nearest in _NEAREST if whole else ():
            if self.met() or self.work.clock.over():
                return
            self.take(dive(self.master, self.work.clock, nearest=nearest))
        self._rework(_QUICK_LOTS, self.work.clock)

    def thorough(self, clock: Clock) -> None:
        """On from the quick plan to the proof."""
        if self.boards is None or self.held is None:
            return
        small = self.master is not None and self.master.rows.count <= _MOST_ROWS
        self._rework(_LOTS, Clock((0.3 if small else 0.6) * clock.left(), clock.over))
        self._dive_on(Clock(0.2 * clock.left(), clock.over))
        if small:
            self._prove(clock)
        self._rework(_LARGE_LOTS, clock)

    def _dive_on(self, clock: Clock) -> None:
        """Dives that must be cheaper and may turn back; best where all boards are alike and the gap is one of them."""
        for nearest in _NEAREST:
            if self.master is None or self.met() or clock.over():
                return
            below = (self.points - 0.5) / self.model.scale
            self.take(dive(self.master, clock, nearest=nearest, below=below, turns=_TURNS))

    def _rework(self, lots: Sequence[tuple[int, int, int]], clock: Clock) -> None:
        for lot, nodes, tries in lots:
            if self.master is None or self.held is None or self.boards is None or self.met() or clock.over():
                return
            again = Rework(self.model, self.master.columns, self.held, self.work.solve, clock)
            limits = Limits(nodes, min(2.0, clock.left()), light=True)
            self.take(again.run(self.boards, limits, lot=lot, tries=tries))

    def _prove(self, clock: Clock) -> None:
        if self.boards is None or self.held is None or self.met() or clock.over():
            return
        proof = Proof(self.model, self.loose, self.held, self.boards, self.bound)

        def better() -> None:
            self.bound = max(self.bound, self._raised(proof.bound))
            self.take(proof.boards)
            proof.bound = self.bound
            self.report()

        if self.bound_cents == self.cents:
            clock = Clock(min(_TRIFLE, clock.left()), clock.over)
        proof.run(clock, _NODES, self.work.solve, better)

    def _certify(self, worth: Sequence[float]) -> None:
        """Bounds from a worth of classes, in cents for the certificate and in points for the proof."""
        stores = range(len(self.model.stores))
        cents = hold(self.loose, worth, [store.least_cents for store in self.model.stores])
        raised = next_total(ceil(cents.bound), self._prices())
        if not self.worth or raised > self.certified_cents:
            self.certified_cents, self.worth, self.scale = raised, cents.worth, cents.scale
        held = hold(self.loose, worth, [self.model.price(store) for store in stores])
        if self.held is None or held.bound > self.held.bound:
            self.held = held
        self.bound = max(self.bound, self._raised(ceil(held.bound)))

    def _prices(self) -> list[int]:
        return [price for store in self.model.stores for price in (store.cents, *(each for _, each in store.breaks))]

    def _cents(self, points: int) -> int:
        """Cents that a plan of so many points or more costs: a plan has fewer boards than there are points in a cent."""
        return next_total(max(0, -(-(points + 1) // self.model.scale) - 1), self._prices())

    def _raised(self, points: int) -> int:
        """The next points that prices can add up to, by their common divisor and by the cents in them."""
        cents = max(self.certified_cents, self._cents(points))
        points = max(points, cents * self.model.scale + 1)
        step = gcd(*(price * self.model.scale + 1 for price in self._prices()))
        return -(-points // step) * step
