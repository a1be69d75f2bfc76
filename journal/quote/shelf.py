"""What stands on the shelf: glue, finish, hardware, consumables; how much, for whom it was bought, and what it cost.

What a project bought for itself is its own until it is over, and used first; then comes what is free. Nobody can take
more than is there: what was used beyond it was never typed in, costs nothing here, and is said to. Cost is shared by
amount within what stands together, on average, to the cent: all that came in went out or is left.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction
from types import MappingProxyType
from typing import TYPE_CHECKING

from journal import units
from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping


class Kind(StrEnum):
    """What happened."""

    BOUGHT = "bought"
    TAKEN = "taken"
    COUNTED = "counted"
    LEFT = "left"  # of what was bought for a project no more than this; the rest is used up
    OVER = "over"  # the project is; what it has left is free


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened to one thing on the shelf.

    Attributes:
        kind: what.
        amount: bought, taken, left, or all that was found there; in the smallest unit kept, 0 or more.
        project_id: for whom, or by whom; None: for the shelf, or by nobody in particular.
        cents: what was bought cost; of a count, what a surplus is worth when nothing stands beside it to compare with.
    """

    kind: Kind
    amount: int = 0
    project_id: int | None = None
    cents: int = 0

    def __post_init__(self) -> None:
        if self.amount < 0 or self.cents < 0:
            raise BadInput("shelf", min(self.amount, self.cents), "an amount, 0 or more")
        if self.kind in (Kind.LEFT, Kind.OVER) and self.project_id is None:
            raise BadInput("shelf", "nobody", "the project that is over")


@dataclass(frozen=True, slots=True)
class Used:
    """What a project took: how much of it was there, what that cost, and how much nobody ever typed in."""

    amount: int
    cents: int
    beyond: int


@dataclass(frozen=True, slots=True)
class Standing:
    """One thing on the shelf as it stands.

    Attributes:
        free, free_cents: nobody's.
        own: project → what is left of what was bought for it, and what that cost.
        drawn: project → what it took of what was free, and what that cost.
        used: project (None: nobody in particular) → everything it took.
    """

    free: int
    free_cents: int
    own: Mapping[int, tuple[int, int]] = field(hash=False)
    drawn: Mapping[int, tuple[int, int]] = field(hash=False)
    used: Mapping[int | None, Used] = field(hash=False)

    @property
    def amount(self) -> int:
        """All of it."""
        return self.free + sum(amount for amount, _ in self.own.values())

    @property
    def cents(self) -> int:
        """What it cost."""
        return self.free_cents + sum(cents for _, cents in self.own.values())


def run(events: Iterable[Event]) -> Standing:
    """What is there after all of this, in order of time."""
    shelf = _Shelf()
    for event in events:
        shelf.take_in(event)
    return shelf.standing()


@dataclass(slots=True)
class _Pool:
    """What stands together: an amount and what it cost."""

    amount: int = 0
    cents: int = 0

    def put(self, amount: int, cents: int) -> None:
        self.amount += amount
        self.cents += cents

    def take(self, wanted: int) -> tuple[int, int]:
        """(amount, cents) of as much as there is; the last of it takes the last cent."""
        amount = min(wanted, self.amount)
        cents = units.round_half_up(Fraction(self.cents * amount, self.amount)) if amount else 0
        self.amount -= amount
        self.cents -= cents
        return amount, cents


class _Shelf:
    def __init__(self) -> None:
        self.free = _Pool()
        self.own: dict[int, _Pool] = {}
        self.drawn: dict[int, _Pool] = {}
        self.used: dict[int | None, Used] = {}

    def take_in(self, event: Event) -> None:
        acts = {
            Kind.BOUGHT: self._buy,
            Kind.TAKEN: self._take,
            Kind.COUNTED: self._count,
            Kind.LEFT: self._leave,
            Kind.OVER: self._end,
        }
        acts[event.kind](event)

    def standing(self) -> Standing:
        own = {project: (pool.amount, pool.cents) for project, pool in self.own.items() if pool.amount}
        return Standing(
            self.free.amount,
            self.free.cents,
            MappingProxyType(own),
            MappingProxyType({project: (pool.amount, pool.cents) for project, pool in self.drawn.items()}),
            MappingProxyType(self.used),
        )

    def _buy(self, event: Event) -> None:
        pool = self.free if event.project_id is None else self.own.setdefault(event.project_id, _Pool())
        pool.put(event.amount, event.cents)

    def _take(self, event: Event) -> None:
        mine, mine_cents = self.own.get(event.project_id or 0, _Pool()).take(event.amount)
        free, free_cents = self.free.take(event.amount - mine)
        if free and event.project_id is not None:
            self.drawn.setdefault(event.project_id, _Pool()).put(free, free_cents)
        self._use(event.project_id, Used(mine + free, mine_cents + free_cents, event.amount - mine - free))

    def _use(self, project_id: int | None, more: Used) -> None:
        before = self.used.get(project_id, Used(0, 0, 0))
        self.used[project_id] = Used(
            before.amount + more.amount, before.cents + more.cents, before.beyond + more.beyond
        )

    def _count(self, event: Event) -> None:
        """What is missing goes from what is free first, then from what is longest a project's; its cost goes with it."""
        there = self.free.amount + sum(pool.amount for pool in self.own.values())
        if event.amount > there:
            more = event.amount - there
            known = self.free if self.free.amount else _Pool(event.amount, event.cents)
            self.free.put(more, units.round_half_up(Fraction(known.cents * more, known.amount)))
        missing = max(0, there - event.amount)
        for pool in (self.free, *self.own.values()):
            gone, _ = pool.take(missing)
            missing -= gone

    def _leave(self, event: Event) -> None:
        mine = self.own.get(event.project_id or 0, _Pool())
        amount, cents = mine.take(max(0, mine.amount - event.amount))
        if amount:
            self._use(event.project_id, Used(amount, cents, 0))

    def _end(self, event: Event) -> None:
        left = self.own.pop(event.project_id or 0, _Pool())
        self.free.put(*left.take(left.amount))
