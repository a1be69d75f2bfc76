"""What is a step of the plan, and which order keeps every precedence?"""

from __future__ import annotations

import heapq
from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import reference
from journal.errors import BadInput
from journal.working import Spread

if TYPE_CHECKING:
    from collections.abc import Iterable

    from journal.build.waits import Wait

NO_TIME = Spread(0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Work:
    """So much of one operation within a step."""

    code: str
    quantity: float
    setups: int

    @property
    def baseline_minutes(self) -> float:
        """Minutes by the starting book."""
        operation = reference.operations()[self.code]
        return self.setups * operation.setup_minutes + self.quantity * operation.minutes_per_unit


@dataclass(frozen=True, slots=True)
class Step:
    """One step.

    Attributes:
        key: its identity, which outlives changed dimensions.
        title: as a maker says it.
        stage: code of its stage.
        works: operations and how much of each.
        after: keys of the steps that must be done before.
        wait: on the clock, between those and this; None when it may follow at once.
        machines: kinds of machine it is set up on.
        cautions: keys of the cautions that apply.
        minutes: at the bench, for all its people together.
        notes: what the maker should know, own notes last.
        anytime: goes on alongside the others and waits for none.
    """

    key: str
    title: str
    stage: str
    works: tuple[Work, ...] = ()
    after: tuple[str, ...] = ()
    wait: Wait | None = None
    machines: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    minutes: Spread = NO_TIME
    notes: tuple[str, ...] = ()
    anytime: bool = False


@dataclass(frozen=True, slots=True)
class StepPlan:
    """All steps, in an order that keeps every precedence."""

    steps: tuple[Step, ...]

    def find(self, key: str) -> Step | None:
        """The step of this key."""
        return next((step for step in self.steps if step.key == key), None)

    @property
    def cautions(self) -> tuple[str, ...]:
        """Every caution that applies, once, in the order in which it is first needed."""
        return tuple(dict.fromkeys(key for step in self.steps for key in step.cautions))

    @property
    def oily(self) -> tuple[str, ...]:
        """Keys of the steps after which oily rags must be dealt with the same day."""
        return tuple(step.key for step in self.steps if "rags" in step.cautions)


def waiting_hours(plan: StepPlan) -> float:
    """Hours on the clock that no hands can shorten: the longest sum of waits along the steps that come after each other."""
    longest: dict[str, float] = {}
    for step in plan.steps:
        before = max((longest[key] for key in step.after), default=0.0)
        longest[step.key] = before + (step.wait.hours if step.wait else 0.0)
    return max(longest.values(), default=0.0)


def in_order(steps: Iterable[Step]) -> tuple[Step, ...]:
    """The steps so that each comes after what it needs, else in the order given.

    Raises:
        BadInput: two steps of one key, a step that needs one that is not there, or steps that wait for each other.
    """
    listed = list(steps)
    place = {step.key: number for number, step in enumerate(listed)}
    if len(place) < len(listed):
        raise BadInput("steps", [step.key for step in listed], "a key of its own for each step")
    waiting = {step.key: set(step.after) for step in listed}
    missing = {key for needs in waiting.values() for key in needs} - set(place)
    if missing:
        raise BadInput("steps", ", ".join(sorted(missing)), "steps that are in the plan")
    followers: dict[str, list[str]] = {key: [] for key in place}
    for key, needs in waiting.items():
        for need in needs:
            followers[need].append(key)
    free = [place[key] for key, needs in waiting.items() if not needs]
    heapq.heapify(free)
    done: list[Step] = []
    while free:
        step = listed[heapq.heappop(free)]
        done.append(step)
        for key in followers[step.key]:
            waiting[key].discard(step.key)
            if not waiting[key]:
                heapq.heappush(free, place[key])
    if len(done) < len(listed):
        stuck = [step.title for step in listed if waiting[step.key]]
        raise BadInput("steps", ", ".join(stuck), "steps that do not wait for each other in a ring")
    return tuple(done)
