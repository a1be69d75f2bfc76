"""The steps as page and paper show them: runs of one stage, each step with its amounts, waits and cautions."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import reference, units
from journal.build.step_edits import OWN
from journal.working import Basis

if TYPE_CHECKING:
    from journal.build.step import Step, StepPlan, Work
    from journal.build.waits import Wait
    from journal.reference import Caution
    from journal.working import Spread

# Belongs to every machine, so it is said once for all steps.
ALWAYS = "manual"
_HOURS_A_DAY = 24
_DAYS_FROM = 48  # hours from which a wait is told in days
_WHOLE_DAYS_FROM = 10


@dataclass(frozen=True, slots=True)
class StepLine:
    """A step.

    Attributes:
        number: its place, from 1; 0 for what goes on alongside.
        step: itself.
        amounts: what it does, (operation, how much) pairs.
        machines: in words, '' without any.
        wait: what comes before it on the clock, in words.
        cautions: what to mind.
        typed: its minutes are the maker's own; '' else.
    """

    number: int
    step: Step
    amounts: tuple[tuple[str, str], ...]
    machines: str
    wait: str
    cautions: tuple[Caution, ...]
    typed: Basis | None


@dataclass(frozen=True, slots=True)
class StepGroup:
    """Steps of one stage that follow each other; minutes: the middle of their ranges together."""

    name: str
    anchor: str
    lines: tuple[StepLine, ...]
    minutes: float
    waits: str


def step_groups(plan: StepPlan, shown: units.Shown) -> tuple[StepGroup, ...]:
    """Every step in order, in runs of one stage; what goes on alongside comes last, in one.

    Args:
        plan: the steps.
        shown: how the shop writes quantities.
    """
    ordered = [step for step in plan.steps if not step.anytime]
    lines = [step_line(step, number, shown) for number, step in enumerate(ordered, 1)]
    runs = [list(run) for _, run in itertools.groupby(lines, key=lambda line: line.step.stage)]
    groups = [_group(reference.stages()[run[0].step.stage].name, run, place) for place, run in enumerate(runs, 1)]
    alongside = [step_line(step, 0, shown) for step in plan.steps if step.anytime]
    return (*groups, *([_group("All along", alongside, len(groups) + 1)] if alongside else []))


def _group(name: str, lines: list[StepLine], place: int) -> StepGroup:
    waits = [line.step.wait.hours for line in lines if line.step.wait]
    longest = max(waits, default=0.0)
    return StepGroup(
        name,
        f"steps-{place}",
        tuple(lines),
        sum(line.step.minutes.p50 for line in lines),
        clock(longest) if longest >= _HOURS_A_DAY else "",
    )


def step_line(step: Step, number: int, shown: units.Shown) -> StepLine:
    """One step."""
    known = reference.cautions()
    return StepLine(
        number=number,
        step=step,
        amounts=tuple(_amount(work, shown) for work in step.works),
        machines=", ".join(step.machines),
        wait=waits_for(step.wait),
        cautions=tuple(known[key] for key in step.cautions if key != ALWAYS),
        typed=Basis.TYPED if step.key.startswith(OWN) and not step.works else None,
    )


def _amount(work: Work, shown: units.Shown) -> tuple[str, str]:
    operation = reference.operations()[work.code]
    return operation.name, shown.amount(work.quantity, operation.unit)


def waits_for(wait: Wait | None) -> str:
    """“After 21 days: construction lumber rests”; '' for no wait."""
    return f"After {clock(wait.hours)}: {wait.why}" if wait and wait.hours else ""


def clock(hours: float) -> str:
    """Hours on the clock in words: “23 h”, “21 days”."""
    if hours >= _DAYS_FROM:
        days = hours / _HOURS_A_DAY
        return f"{round(days, 0 if days >= _WHOLE_DAYS_FROM else 1):g} days"
    return f"{round(hours, 1):g} h"


def minutes_between(spread: Spread) -> str:
    """The range of a step's minutes: “40 min – 1 h 10 min”; one figure where it has no range."""
    low, high = (units.format_minutes(round(at)) for at in (spread.p10, spread.p90))
    return low if low == high else f"{low} – {high}"
