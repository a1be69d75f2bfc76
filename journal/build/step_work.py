"""What work is left, and what is added, when the maker has dropped, split or added steps?"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from journal.build.step_edits import OWN

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal.build.step import Step, StepPlan, Work
    from journal.build.steps import Task


@dataclass(frozen=True, slots=True)
class OwnWork:
    """A step of the maker's own: its title, the code of its stage, person-minutes as typed."""

    title: str
    stage: str
    minutes: float


def own_work(plan: StepPlan) -> tuple[OwnWork, ...]:
    """The maker's own steps of a plan that take time."""
    return tuple(OwnWork(step.title, step.stage, step.minutes.p50) for step in plan.steps if _is_own(step))


def _is_own(step: Step) -> bool:
    return step.key.startswith(OWN) and not step.works and step.minutes.p50 > 0


def edited_tasks(tasks: Sequence[Task], before: StepPlan, after: StepPlan) -> tuple[Task, ...]:
    """The operations as the changed steps ask for them.

    Args:
        tasks: as the parts ask for them.
        before: their steps, which together hold every task.
        after: the same steps as the maker changed them.

    Returns:
        The same tasks in their order; one that lost or gained some says so, one whose steps were all dropped is gone.
    """
    whole, left = _works(before), _works(after)
    found: list[Task] = []
    for task in tasks:
        had, has = whole.get(task.code, []), left.get(task.code, [])
        if sorted(had, key=_order) == sorted(has, key=_order):
            found.append(task)
            continue
        lost = task.quantity - sum(work.quantity for work in had)  # nought but for rounding
        changed = replace(
            task,
            quantity=sum(work.quantity for work in has) + lost,
            setups=task.setups + sum(work.setups for work in has) - sum(work.setups for work in had),
            working=f"{task.working}; as the steps were changed",
        )
        if has:
            found.append(changed)
    return tuple(found)


def _works(plan: StepPlan) -> dict[str, list[Work]]:
    found: dict[str, list[Work]] = {}
    for step in plan.steps:
        for work in step.works:
            found.setdefault(work.code, []).append(work)
    return found


def _order(work: Work) -> tuple[float, int]:
    return work.quantity, work.setups
