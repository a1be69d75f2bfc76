"""What the maker changed in the plan: steps dropped, added, moved, noted; kept apart and put on again each time.

An edit names its step by key. When the parts change so that the step is gone, or a move would break the order of work,
the edit does not fit any more: it is handed back with the reason, and everything else still holds.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

from journal.build.step import Step, StepPlan, in_order
from journal.build.waits import Wait
from journal.errors import BadInput
from journal.working import Spread

if TYPE_CHECKING:
    from collections.abc import Sequence

OWN = "own:"


class EditKind(StrEnum):
    """What is changed."""

    DROP = "drop"
    ADD = "add"
    MOVE = "move"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Edit:
    """One change.

    Attributes:
        kind: what is changed.
        key: the step; for one that is added, a key of its own that starts with “own:”.
        after: the step it is put after, for a move or an addition; blank: the beginning.
        text: title of an added step, or the note.
        minutes: of an added step.
        stage: of an added step.
    """

    kind: EditKind
    key: str
    after: str = ""
    text: str = ""
    minutes: float = 0.0
    stage: str = "shop"

    def __post_init__(self) -> None:
        if self.kind is EditKind.ADD and not self.key.startswith(OWN):
            raise BadInput("key", self.key, f"a key that starts with {OWN}")
        if self.kind in (EditKind.ADD, EditKind.NOTE) and not self.text.strip():
            raise BadInput("text", self.text, "what is to be done, or noted")
        if not 0 <= self.minutes <= 100_000:
            raise BadInput("minutes", self.minutes, "0 to 100,000")


@dataclass(frozen=True, slots=True)
class Misfit:
    """An edit that does not fit the plan any more, and why."""

    edit: Edit
    why: str


def apply_edits(plan: StepPlan, edits: Sequence[Edit]) -> tuple[StepPlan, tuple[Misfit, ...]]:
    """The plan as the maker changed it, and the edits that do not fit.

    Args:
        plan: as worked out from the parts.
        edits: in the order in which they were made.
    """
    misfits: list[Misfit] = []
    for edit in edits:
        changed, why = _apply(plan, edit)
        if why:
            misfits.append(Misfit(edit, why))
        else:
            plan = changed
    return plan, tuple(misfits)


def _apply(plan: StepPlan, edit: Edit) -> tuple[StepPlan, str]:
    """(plan, why not): unchanged when it does not fit."""
    there = plan.find(edit.key)
    if edit.after and plan.find(edit.after) is None:
        return plan, f"the step it was put after, {edit.after}, is not in the plan any more"
    if edit.kind is EditKind.ADD:
        return (plan, "it is in the plan already") if there else (_added(plan, edit), "")
    if there is None:
        return plan, "this step is not in the plan any more"
    if edit.kind is EditKind.DROP:
        return _dropped(plan, there), ""
    if edit.kind is EditKind.NOTE:
        return _replaced(plan, replace(there, notes=(*there.notes, edit.text))), ""
    return _moved(plan, there, edit.after)


def _replaced(plan: StepPlan, step: Step) -> StepPlan:
    return StepPlan(tuple(step if known.key == step.key else known for known in plan.steps))


def _added(plan: StepPlan, edit: Edit) -> StepPlan:
    spread = Spread(edit.minutes, edit.minutes, edit.minutes)
    after = (edit.after,) if edit.after else ()
    step = Step(key=edit.key, title=edit.text, stage=edit.stage, after=after, minutes=spread)
    return StepPlan(_put(plan.steps, step, edit.after))


def _put(steps: Sequence[Step], step: Step, after: str) -> tuple[Step, ...]:
    place = next((number for number, known in enumerate(steps, start=1) if known.key == after), 0)
    return (*steps[:place], step, *steps[place:])


def _dropped(plan: StepPlan, step: Step) -> StepPlan:
    """Without the step: what came after it comes after what came before it, and waits as long as both did."""
    kept = []
    for known in plan.steps:
        if known.key == step.key:
            continue
        if step.key in known.after:
            needs = dict.fromkeys(key for need in known.after for key in (step.after if need == step.key else (need,)))
            kept.append(replace(known, after=tuple(needs), wait=_both(step.wait, known.wait)))
        else:
            kept.append(known)
    return StepPlan(in_order(kept))


def _both(first: Wait | None, second: Wait | None) -> Wait | None:
    if first is None or second is None:
        return first or second
    return Wait(first.hours + second.hours, f"{first.why}; {second.why}")


def _moved(plan: StepPlan, step: Step, after: str) -> tuple[StepPlan, str]:
    others = [known for known in plan.steps if known.key != step.key]
    moved = StepPlan(_put(others, step, after))
    place = {known.key: number for number, known in enumerate(moved.steps)}
    late = [need for need in step.after if place[need] > place[step.key]]
    if late:
        return plan, f"it would come before {_title(plan, late[0])}, which it needs"
    early = [known for known in others if step.key in known.after and place[known.key] < place[step.key]]
    if early:
        return plan, f"it would come after {early[0].title}, which needs it"
    return moved, ""


def _title(plan: StepPlan, key: str) -> str:
    found = plan.find(key)
    return found.title if found else key
