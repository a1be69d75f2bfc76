"""A project's steps as pieces of work to be scheduled: what is left of each, what it holds, what it waits for.

A step that stands for several glue-ups is taken apart into them, so that each holds its clamps only as long as it needs
them. What goes on alongside (cleaning up, sharpening, rework) is no piece of its own; its time is in all the others.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from journal.days.calendar import midnight
from journal.days.workload import Activity, After, Need
from journal.pace.model import Task as PaceTask
from journal.pace.progress import State
from journal.quote.risk import multipliers

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from numpy.typing import NDArray

    from journal.build.step import Step
    from journal.desk.plan import ProjectPlan
    from journal.desk.progress import Remaining
    from journal.quote.risk import Uncertainty

    Floats = NDArray[np.float64]

CLAMPS, PLACES = "clamps", "places"
# Weeks after it was delivered; it is no part of the promise.
_AFTERWARDS = frozenset({"call_back"})
# A step of so many minutes or more at the bench is shared by the people there are, each doing a part when free (judgement).
_SHARED_MINUTES = 240
# So many of a step’s glue-ups are scheduled one by one; of more, several are taken together.
_MOST_APART = 6
_MINUTES_PER_DAY = 1440
# What must not be interrupted is given room to take so many times as long as is likely (judgement).
_LONGER = 1.5
# Keys of steps that are not interrupted once begun.
_AT_A_STRETCH = ("glue:", "assemble")


@dataclass(frozen=True, slots=True)
class Left:
    """What is left of every operation.

    Attributes:
        minutes: operation → likely person-minutes still to come.
        draws: operation → the same in every draw, shape (n,).
        share: operation begun → share of it still to come.
        last: operation → the last day it was logged.
        begun: whether anything was.
        beside: draws of the factor for what nobody planned, shape (n,).
        over: stages that seem over, and with them the maker's own steps in them.
    """

    minutes: Mapping[str, float]
    draws: Mapping[str, Floats]
    share: Mapping[str, float]
    last: Mapping[str, date]
    begun: bool
    beside: Floats
    over: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Piece:
    """One activity in the making: its minutes are still those at the bench.

    Attributes:
        activity: with whole minutes of 0.
        step, title, stage: of its step.
        bench: likely person-minutes.
        draws: the same in every draw, shape (n,).
    """

    activity: Activity
    step: str
    title: str
    stage: str
    bench: float
    draws: Floats


@dataclass(frozen=True, slots=True)
class Floor:
    """What the shop has for the work.

    Attributes:
        people: in the shop.
        spreaders: people who spread glue together.
        clamps: on hand.
        places: for what stands in clamps or dries; None: no limit.
        longest: minutes the shop is open at a stretch.
        zone: of its days.
    """

    people: int
    spreaders: int
    clamps: int
    places: int | None
    longest: int
    zone: str


def left_of_plan(plan: ProjectPlan, doubt: Uncertainty, draws: int, seed: int) -> Left:
    """All of a plan that is not begun; `doubt` holds what nobody planned."""
    tasks = plan.found.made.takeoff.tasks
    drawn = plan.found.calibration.draw(
        [PaceTask(task.code, task.baseline_minutes) for task in tasks], n=draws, seed=seed
    ).minutes
    columns = {task.code: drawn[:, at] for at, task in enumerate(tasks)}
    beside = multipliers(doubt, draws=draws, seed=seed).unplanned
    return Left(
        {code: float(np.median(column)) for code, column in columns.items()},
        columns,
        {},
        {},
        begun=False,
        beside=beside,
    )


def left_of_build(remaining: Remaining, draws: int) -> Left:
    """What is left of a project in build; in a draw all its work is as much longer or shorter as the whole.

    The maker's own steps stay as typed; the allowance for them lengthens the rest, so that the sum is the whole.
    """
    minutes: dict[str, float] = {}
    to_come: dict[str, float] = {}
    last: dict[str, date] = {}
    begun = False
    for one in remaining.ending.pieces:
        for code, share in one.piece.shares:
            minutes[code] = 0.0 if one.piece.state is State.DONE else share * one.left.p50
            to_come[code] = minutes[code] / (share * one.minutes.p50) if one.minutes.p50 else 1.0
            if one.piece.on is not None:
                last[code], begun = one.piece.on, True
    likely = sum(minutes.values())
    planned = np.maximum(remaining.minutes[:draws] - remaining.own_minutes, 0.0)
    times = planned / likely if likely else np.zeros(draws)
    columns = {code: one * times for code, one in minutes.items()}
    return Left(minutes, columns, to_come, last, begun, np.ones(draws), remaining.over)


def pieces(plan: ProjectPlan, left: Left, floor: Floor, arrivals: Mapping[str, tuple[int, str]]) -> tuple[Piece, ...]:
    """Every piece of work still to be done, in the order of the plan.

    Args:
        plan: the steps.
        left: of every operation.
        floor: what the shop has.
        arrivals: operation → (wall time before which it cannot be done, why).
    """
    return _Making(plan, left, floor, arrivals).made()


def alongside(plan: ProjectPlan, left: Left) -> Floats:
    """Draws of the person-minutes of all that goes on alongside the steps, shape (n,)."""
    codes = {work.code for step in plan.steps.steps if step.anytime for work in step.works}
    return np.asarray(sum((left.draws[code] for code in codes & left.draws.keys()), np.zeros(len(left.beside))))


class _Making:
    def __init__(self, plan: ProjectPlan, left: Left, floor: Floor, arrivals: Mapping[str, tuple[int, str]]) -> None:
        self.left, self.floor, self.arrivals = left, floor, arrivals
        self.steps = [step for step in plan.steps.steps if not step.anytime and step.key not in _AFTERWARDS]
        self.benches = plan.found.project.benches
        self.shares = _shares(self.steps, left)
        self.ends: dict[str, tuple[str, ...]] = {}  # step → its pieces, that others come after
        self.done: dict[str, date] = {}

    def made(self) -> tuple[Piece, ...]:
        found: list[Piece] = []
        for step in self.steps:
            if self._is_done(step):
                self.ends[step.key] = ()
                continue
            made = self._apart(step)
            self.ends[step.key] = tuple(piece.activity.key for piece in made)
            found += made
        return tuple(found)

    def _is_done(self, step: Step) -> bool:
        if not (self.left.begun and step.works) or any(self.shares[step.key].values()):
            return False
        days = [self.left.last[work.code] for work in step.works if work.code in self.left.last]
        if days:
            self.done[step.key] = max(days)
        return True

    def _apart(self, step: Step) -> list[Piece]:
        times = self._times(step)
        count = self._clampings(step, times) if times > 1 else self._shared(step)
        if step.key.startswith("unclamp:") and len(step.after) == 1:
            count = len(self.ends.get(step.after[0], ())) or 1
        whole = self._piece(step, times, count)
        if count == 1:
            return [whole]
        return [self._one_of(step, whole, number, count) for number in range(count)]

    def _clampings(self, step: Step, times: int) -> int:
        """Of so many alike, how many are scheduled: several at once where there are many and the hours allow it."""
        single = self._minutes(step)[0] / times / self._people(step)
        at_once = math.ceil(times / _MOST_APART)
        if single > 0:
            at_once = max(1, min(at_once, int(self.floor.longest / (_LONGER * single))))
        return math.ceil(times / at_once)

    def _people(self, step: Step) -> int:
        return self.floor.spreaders if step.key.startswith("glue:") else 1

    def _shared(self, step: Step) -> int:
        """Parts of a long step for as many people; one of what is done at a stretch."""
        if step.key.startswith(_AT_A_STRETCH):
            return 1
        return self.floor.people if self._minutes(step)[0] >= _SHARED_MINUTES else 1

    def _times(self, step: Step) -> int:
        """How often a step is done by itself: glue-ups one by one, frames one by one."""
        if step.key.startswith("glue:"):
            return max(1, round(sum(work.quantity for work in step.works if work.code == "dry_clamp")))
        return self.benches if step.key == "assemble" else 1

    def _one_of(self, step: Step, whole: Piece, number: int, count: int) -> Piece:
        after = whole.activity.after
        if step.key.startswith("unclamp:"):
            glued = self.ends[step.after[0]]
            if len(glued) == count:
                after = (After(glued[number], after[0].wait, after[0].why),)
        activity = replace(
            whole.activity,
            key=f"{step.key}#{number + 1}",
            title=f"{step.title}, {number + 1} of {count}",
            after=after,
        )
        return replace(whole, activity=activity, bench=whole.bench / count, draws=whole.draws / count)

    def _piece(self, step: Step, times: int, count: int) -> Piece:
        bench, draws = self._minutes(step)
        people = self._people(step)
        at_once = step.key.startswith(_AT_A_STRETCH)
        fits = step.key.startswith("glue:") or _LONGER * bench / count / people <= self.floor.longest
        release, why = self._release(step)
        activity = Activity(
            key=step.key,
            title=step.title,
            minutes=0,
            people=people,
            pauses=not (at_once and fits),
            after=self._after(step),
            needs=self._needs(step, times, count),
            release=release,
            why=why,
        )
        return Piece(activity, step.key, step.title, step.stage, bench, draws)

    def _minutes(self, step: Step) -> tuple[float, Floats]:
        shares = self.shares[step.key]
        if not step.works:  # the maker’s own step, as typed
            typed = 0.0 if step.stage in self.left.over else step.minutes.p50
            return typed, np.full(len(self.left.beside), typed)
        bench = sum(share * self.left.minutes.get(code, 0.0) for code, share in shares.items())
        draws = np.zeros(len(self.left.beside))
        for code, share in shares.items():
            if code in self.left.draws:
                draws = draws + share * self.left.draws[code]
        return bench, draws

    def _after(self, step: Step) -> tuple[After, ...]:
        wait, why = self._wait(step)
        return tuple(After(key, wait, why) for before in step.after for key in (self.ends.get(before, ())))

    def _wait(self, step: Step) -> tuple[int, str]:
        """Minutes on the clock. In clamps it is one round: further rounds follow from the clamps themselves."""
        if step.wait is None:
            return 0, ""
        rounds = self._rounds(step.after[0]) if step.key.startswith("unclamp:") and step.after else 1
        return round(step.wait.hours * 60 / rounds), step.wait.why if rounds == 1 else "in clamps"

    def _rounds(self, glue_key: str) -> int:
        step = next((step for step in self.steps if step.key == glue_key), None)
        if step is None:
            return 1
        times, each = self._times(step), self._clamps(step)
        return math.ceil(times / max(1, self.floor.clamps // each)) if each else 1

    def _clamps(self, step: Step) -> int:
        """Clamps of one of its glue-ups."""
        closed = sum(work.quantity for work in step.works if work.code == "close_clamps")
        return min(round(closed / self._times(step)), self.floor.clamps)

    def _release(self, step: Step) -> tuple[int, str]:
        """What was done already may have to rest still; and what is ordered must have come."""
        releases = [self.arrivals[work.code] for work in step.works if work.code in self.arrivals]
        for before in step.after:
            if before in self.done and step.wait:
                over = midnight(self.done[before], self.floor.zone) + _MINUTES_PER_DAY
                releases.append((over + round(step.wait.hours * 60), step.wait.why))
        return max(releases, default=(0, ""))

    def _needs(self, step: Step, times: int, count: int) -> tuple[Need, ...]:
        needs = [Need(machine) for machine in step.machines]
        stays = self._stays(step)
        if step.key.startswith("glue:"):
            at_once = math.ceil(times / count)
            needs.append(Need(CLAMPS, min(self._clamps(step) * at_once, self.floor.clamps), stays))
        if self.floor.places and (stays or step.key == "assemble"):
            needs.append(Need(PLACES, 1, stays))
        return tuple(needs)

    def _stays(self, step: Step) -> int:
        """Minutes it stands where it is after the work: in clamps, or drying."""
        if not step.key.startswith(("glue:", "coat:")):
            return 0
        return max((self._wait(other)[0] for other in self.steps if step.key in other.after), default=0)


def _shares(steps: Sequence[Step], left: Left) -> dict[str, dict[str, float]]:
    """Step → operation → its share of what is left of it. Of an operation begun, the first steps are taken to be done."""
    whole: dict[str, float] = {}
    for step in steps:
        for work in step.works:
            whole[work.code] = whole.get(work.code, 0.0) + work.baseline_minutes
    done = {code: (1 - left.share.get(code, 1.0)) * minutes for code, minutes in whole.items()}
    passed = dict.fromkeys(whole, 0.0)
    found: dict[str, dict[str, float]] = {}
    for step in steps:
        found[step.key] = {}
        for work in step.works:
            code = work.code
            start, passed[code] = passed[code], passed[code] + work.baseline_minutes
            to_come = max(0.0, passed[code] - max(start, done[code]))
            found[step.key][code] = to_come / (whole[code] - done[code]) if whole[code] > done[code] else 0.0
    return found
