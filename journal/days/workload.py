"""What is to be scheduled: activities, what each comes after and waits for, whom and what it takes.

All minutes are whole. An activity's minutes are minutes the shop is open; its waits run on the clock. It may pause over
closed hours, and then only over those, unless it is one that cannot be interrupted, such as a glue-up.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING

from journal.errors import BadInput, NoSolution

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from journal.days.calendar import Clock


@dataclass(frozen=True, slots=True)
class After:
    """Begins so many minutes on the clock after another has ended; `why` names the wait."""

    key: str
    wait: int = 0
    why: str = ""

    def __post_init__(self) -> None:
        if self.wait < 0:
            raise BadInput("wait", self.wait, "0 minutes or more")


@dataclass(frozen=True, slots=True)
class Need:
    """So much of something from the start of an activity until so many minutes after its end, on the clock."""

    what: str
    amount: int = 1
    kept: int = 0

    def __post_init__(self) -> None:
        if self.amount < 0 or self.kept < 0:
            raise BadInput(self.what, f"{self.amount} for {self.kept} min", "0 or more of it, for 0 minutes or more")


@dataclass(frozen=True, slots=True)
class Activity:
    """One piece of work.

    Attributes:
        key: its identity.
        title: as a maker says it.
        minutes: of open hours, from start to end.
        people: who are all at it all the time.
        pauses: may be interrupted where the shop is closed.
        after: what must have ended before.
        needs: what it holds meanwhile.
        release: wall time before which it cannot begin; 0: any.
        why: what it is released by.
    """

    key: str
    title: str
    minutes: int
    people: int = 1
    pauses: bool = True
    after: tuple[After, ...] = ()
    needs: tuple[Need, ...] = ()
    release: int = 0
    why: str = ""

    def __post_init__(self) -> None:
        if self.minutes < 0:
            raise BadInput(f"minutes of {self.title}", self.minutes, "0 or more")
        if self.people < 0:
            raise BadInput(f"people for {self.title}", self.people, "0 or more")


@dataclass(frozen=True, slots=True)
class Workload:
    """Everything to be done, by whom, with what.

    Attributes:
        activities: each after what it needs, in this order.
        people: in the shop, at once.
        there: how much there is of what is held; what is not named here limits nothing.
        finish: keys of the activities whose end counts; empty: all of them.
        first: keys of those that take people before all others, in this order; they come after none of the others.

    Raises:
        BadInput: a key used twice, or an activity that stands before what it comes after.
        NoSolution: it takes more people, or more of something, than there is.
    """

    activities: tuple[Activity, ...]
    people: int
    there: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}))
    finish: frozenset[str] = frozenset()
    first: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.people < 1:
            raise BadInput("people", self.people, "one person or more")
        seen: set[str] = set()
        ahead = set(self.first)
        for one in self.activities:
            if one.key in seen:
                raise BadInput("activities", one.key, "a key of its own for each")
            missing = [before.key for before in one.after if before.key not in seen]
            if missing:
                raise BadInput(one.title, ", ".join(missing), "activities listed after all that they come after")
            if one.key in ahead and not ahead.issuperset(before.key for before in one.after):
                raise BadInput(one.title, "taken first", "that all it comes after is taken first too")
            seen.add(one.key)
            self._refuse_too_much(one)

    def _refuse_too_much(self, one: Activity) -> None:
        if one.minutes and one.people > self.people:
            raise NoSolution(
                one.title,
                f"it takes {one.people} people at once, and the shop has {self.people}",
                "set the people under Shop to as many, or the number who spread glue under Allowances to fewer",
            )
        for need in one.needs:
            if need.amount > self.there.get(need.what, need.amount):
                raise NoSolution(
                    one.title,
                    f"it takes {need.amount} × {need.what} at once, and there are {self.there[need.what]}",
                    f"have more {need.what}, or do it in smaller pieces",
                )

    def places(self) -> dict[str, int]:
        """Place of each activity by its key."""
        return {one.key: place for place, one in enumerate(self.activities)}

    def counts(self, key: str) -> bool:
        """Whether the end of an activity is part of the finish."""
        return not self.finish or key in self.finish


def refuse_too_long(activities: Sequence[Activity], clock: Clock) -> None:
    """Refuse work that must not be interrupted and is longer than the shop is ever open at a stretch.

    Raises:
        NoSolution: naming the activity and what would do.
    """
    for one in activities:
        if not one.pauses and one.minutes > clock.longest:
            raise NoSolution(
                one.title,
                f"it takes {one.minutes} minutes without a break, and the shop is open {clock.longest} at most",
                "give one day longer hours, glue up in smaller sections, or have two people spread",
            )
