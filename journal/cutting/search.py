"""The search for one part of a problem: a first plan, the programme, plans in turn, rework, proof, as far as time allows.

Every step keeps the best plan so far and the highest bound; when they meet the search is over.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import islice
from math import ceil, gcd, inf
from typing import TYPE_CHECKING

from journal.cutting.bound import hold, material_worth, next_total
from journal.cutting.choose import choose
from journal.cutting.clock import Clock
from journal.cutting.dive import dive
from journal.cutting.highs import Limits
from journal.cutting.improve import reach_breaks
from journal.cutting.in_turn import InTurn
from journal.cutting.master import Master, converge
from journal.cutting.pricing import Pricer
from journal.cutting.prove import Proof
from journal.cutting.rework import Rework
from journal.cutting.tiers import parted_bound

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from journal.cutting.bound import Held
    from journal.cutting.choose import Solve
    from journal.cutting.layout import Board
    from journal.cutting.model import Model

_NEAREST = (1.0, 0.6, 0.5)  # fractions that dives round up first, one dive each
_FIRST_CLASSES = 48  # considered for a board of the first plan
_FEWEST_ROUNDS = 5  # of a programme by counted work: the larger it is, the fewer
_ROWS_AND_ROUNDS = 4e7  # rows × rows × rounds
_ROUNDS = 10_000  # of a programme whose time is limited otherwise
_TO_CONVERGE = 0.6  # of the time at most, when there is a limit
_PLANS = 10  # in turn in the quick plan, and fewer of them the more sizes there are
_FEWEST_PLANS = 2
_CLASSES_AND_PLANS = 300
_QUICK_TURNS = ((4, 12), (6, 12), (8, 8))  # boards taken apart at once and planned again in turn, tries
_TURNS = ((4, 200), (6, 200), (8, 200), (12, 100), (16, 100))
_QUICK_ROWS = 80  # of a programme whose patterns are chosen from all at once in the quick plan
_QUICK_NODES = 30
_LAST_HOPE_NODES = 2000  # when no plan was found otherwise, with stock running short
_LOTS = ((5, 30, 100), (8, 30, 100))  # boards taken apart at once and chosen again, nodes, tries
_LARGE_LOTS = ((8, 30, 400), (12, 50, 200), (16, 200, 200))
_LIKELIEST = 300  # patterns of each sort that a whole plan is chosen from
_MOST_ROWS = 400  # of a programme whose proof is worth trying
_STEPS_BACK = 60  # of a dive
_NODES = 10**7
_SHORT = 1e-6  # pieces
_OFF = 0.3  # of a point that the solver's bound may be off by
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
        self.unparted: int | None = None  # the bound before prices were parted
        self.proven = inf  # seconds after which the cost was
        self.whole = False  # no pattern would help the programme any more
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
        boards = reach_breaks(self.model, boards)
        points = self.model.points(store for store, _ in boards)
        if self.boards is None or points < self.points:
            self.boards, self.points = list(boards), points
            self.report()

    def begin(self) -> None:
        """A first plan, whatever the clock says."""
        worth = [points / self.model.scale for points in material_worth(self.model)]
        first = InTurn(self.model, self.pricer, worth, self.work.clock.over, _FIRST_CLASSES)
        self.take(first.plan(hurry=True))
        self.unplaced = self._named(first.left)

    def quick(self) -> None:
        """A good plan by counted work alone; the clock only ends it early."""
        clock = self.work.clock
        if self.met() or clock.over():
            return
        self.master = Master(self.model, self.pricer)
        rows = self.master.rows.count
        if rows > _QUICK_ROWS:  # a small one converges soon by itself, and then has more patterns to choose from
            self.master.add_plan(self.boards or ())
        if clock.ends is None:
            whole = self._converge(clock, rounds=_FEWEST_ROUNDS + int(_ROWS_AND_ROUNDS / rows**2))
        else:
            whole = self._converge(_part(clock, _TO_CONVERGE))
        if whole and self.boards is None and self.master.short() > _SHORT:
            self._count_shortage()
            return
        self._in_turn()
        if whole and len(self.model.stores) == 1:
            self._dive(clock)
        self._rework_in_turn(_QUICK_TURNS, clock)
        if whole:
            self._part_prices(clock)
        if self.boards is None:
            self._choose_all(Limits(_LAST_HOPE_NODES, clock.left()))
        elif rows <= _QUICK_ROWS:
            self._choose_all(Limits(_QUICK_NODES, clock.left(), light=True))

    def thorough(self, time: Clock) -> None:
        """On from the quick plan to the proof, which is tried before the plan is as good as it gets: it betters plans too."""
        if self.boards is None or self.held is None:
            return
        clock = Clock(time.left(), lambda: time.over() or self._content())
        if not self.whole:
            self._converge(_part(clock, _TO_CONVERGE))
        small = self.master is not None and self.master.rows.count <= _MOST_ROWS
        if small:
            self._choose_all(Limits(_NODES, 0.2 * clock.left()))
        self._rework_in_turn(_TURNS, _part(clock, 0.2 if small else 0.5))
        if small:
            self._prove(_part(clock, 0.4), share=0.6)
        self._rework(_LOTS, _part(clock, 0.4))
        self._dive(_part(clock, 0.2), turns=_STEPS_BACK)
        self._rework(_LARGE_LOTS, _part(clock, 0.3) if small else clock)
        if small:
            self._prove(clock)

    def _content(self) -> bool:
        """Whether the cost is proven, and fewer boards for it have been looked for long enough."""
        if self.boards is None or self.bound_cents < self.cents:
            return False
        now = self.work.clock.spent()
        self.proven = min(self.proven, now)
        return now - self.proven > _TRIFLE

    def _converge(self, clock: Clock, rounds: int = _ROUNDS) -> bool:
        """Prices patterns in and keeps the bound that comes of it; True when no pattern would help any more."""
        if self.master is not None:
            self.whole = converge(self.master, clock, rounds=rounds)
            self._certify(self.master.worth())
            self.report()
        return self.whole

    def _part_prices(self, clock: Clock) -> None:
        """A higher bound where not every board can be had at its lowest price."""
        if self.master is None or not self.pricer.exact or self.met() or clock.over():
            return
        if self.boards is None or not any(store.breaks for store in self.model.stores):
            return
        self.unparted = self.bound
        cents = parted_bound(self.master, self.points, clock)
        if cents > 0:
            self.bound = max(self.bound, min(self.points, self._raised(ceil(cents * self.model.scale - _OFF))))
            self.report()

    def _count_shortage(self) -> None:
        """How many pieces are short whatever the plan; said only when no size was rounded up."""
        if self.master is None or not self.pricer.exact:
            return
        self.master.count_shortage()
        if converge(self.master, self.work.clock):
            self.short = ceil(self.master.short() - _SHORT)

    def _in_turn(self) -> None:
        """The best of a few plans made board after board."""
        if self.master is None or self.met():
            return
        count = max(_FEWEST_PLANS, min(_PLANS, _CLASSES_AND_PLANS // len(self.model.demand)))
        in_turn = InTurn(self.model, self.pricer, self.master.worth(), self.work.clock.over)
        for boards in islice(in_turn.plans(), count):
            self.take(boards)
            self.master.add_plan(boards or ())
            if self.met() or self.work.clock.over():
                break
        self.master.solve(self.work.clock.left())

    def _dive(self, clock: Clock, *, turns: int = 0) -> None:
        """Plans out of the programme; with turns they must be cheaper and may turn back. Best where all boards are alike."""
        for nearest in _NEAREST:
            if self.master is None or self.met() or clock.over():
                return
            below = (self.points - 0.5) / self.model.scale if turns else inf
            self.take(dive(self.master, clock, nearest=nearest, below=below, turns=turns))

    def _choose_all(self, limits: Limits) -> None:
        """The whole plan at once from the likeliest patterns."""
        if self.master is None or self.met() or self.work.clock.over():
            return
        patterns, start = self.master.likeliest(_LIKELIEST), self.boards or ()
        self.take(choose(self.model, patterns, limits, self.work.solve, start=start, stand_ins=True).boards)

    def _rework_in_turn(self, lots: Sequence[tuple[int, int]], clock: Clock) -> None:
        for turn, (lot, tries) in enumerate(lots):
            if self.boards is not None and (again := self._again(clock)) is not None:
                self.take(again.run(self.boards, again.in_turn(turn), lot=lot, tries=tries))

    def _rework(self, lots: Sequence[tuple[int, int, int]], clock: Clock) -> None:
        for lot, nodes, tries in lots:
            if self.boards is not None and (again := self._again(clock)) is not None:
                limits = Limits(nodes, min(2.0, clock.left()), light=True)
                self.take(again.run(self.boards, again.chosen(limits), lot=lot, tries=tries))

    def _again(self, clock: Clock) -> Rework | None:
        """What to rework the plan with; None when it is proven or time is up."""
        if self.master is None or self.held is None or self.met() or clock.over():
            return None
        return Rework(self.model, self.pricer, self.held, self.master.worth(), self.work.solve, clock)

    def _prove(self, clock: Clock, share: float = 0.9) -> None:
        if self.boards is None or self.held is None or self.met() or clock.over():
            return
        # With prices parted the bound is above what the worth of pieces bears, and the proof begins from that.
        begin = self.bound if self.unparted is None else self.unparted
        proof = Proof(self.model, self.loose, self.held, self.boards, begin)

        def better() -> None:
            self.bound = max(self.bound, self._raised(proof.bound))
            self.take(proof.boards)
            proof.bound = self.bound if self.unparted is None else proof.bound
            self.report()

        if self.bound_cents == self.cents:
            clock = Clock(min(_TRIFLE, clock.left()), clock.over)
        proof.run(clock, _NODES, self.work.solve, better, share=share)

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

    def _named(self, left: Sequence[int]) -> dict[str, int]:
        """Pieces left over by the blanks of their class, the first ones first."""
        found: dict[str, int] = {}
        for members, count in zip(self.model.blanks, left, strict=True):
            rest = count
            for name, pieces in members:
                if few := min(rest, pieces):
                    found[name] = few
                    rest -= few
        return found

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


def _part(clock: Clock, share: float) -> Clock:
    """A clock over this share of what is left."""
    return Clock(share * clock.left(), clock.over)
