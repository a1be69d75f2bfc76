"""What the maker changed in the plan: steps dropped, added, moved, split, noted; kept apart and put on again each time.

An edit names its step by key. When the parts change so that the step is gone, or a move would break the order of work,
the edit does not fit any more: it is handed back with the reason, and everything else still holds.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

from journal import reference, units
from journal.build.step import Step, StepPlan, Work, in_order
from journal.build.waits import Wait
from journal.errors import BadInput
from journal.working import Spread

if TYPE_CHECKING:
    from collections.abc import Sequence

OWN = "own:"
MOST_MINUTES = 100_000


class EditKind(StrEnum):
    """What is changed."""

    DROP = "drop"
    ADD = "add"
    MOVE = "move"
    SPLIT = "split"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Edit:
    """One change.

    Attributes:
        kind: what is changed.
        key: the step; for one that is added, a key of its own that starts with “own:”.
        after: the step it is put after, for a move or an addition; blank: the beginning.
        text: title of an added step or of the part that is split off, or the note.
        minutes: of an added step.
        stage: of an added step.
        share: of the step that is split off.
        into: key of the part that is split off, one of its own that starts with “own:”.
        note: what an added step says beside its title.
    """

    kind: EditKind
    key: str
    after: str = ""
    text: str = ""
    minutes: float = 0.0
    stage: str = "shop"
    share: float = 0.5
    into: str = ""
    note: str = ""

    def __post_init__(self) -> None:
        own = {EditKind.ADD: self.key, EditKind.SPLIT: self.into}.get(self.kind, OWN)
        if not own.startswith(OWN):
            raise BadInput("key", own, f"a key that starts with {OWN}")
        if self.kind in (EditKind.ADD, EditKind.SPLIT, EditKind.NOTE) and not self.text.strip():
            raise BadInput("text", self.text, "what is to be done, or noted")
        if not 0 <= self.minutes <= MOST_MINUTES:
            raise BadInput("minutes", self.minutes, f"0 to {MOST_MINUTES:,}")
        if self.kind is EditKind.ADD and self.stage not in reference.stages():
            raise BadInput("stage", self.stage, f"one of {', '.join(reference.stages())}")
        if not 0 < self.share < 1:
            raise BadInput("share", self.share, "more than 0 and less than 1 of the step")


@dataclass(frozen=True, slots=True)
class Misfit:
    """An edit that does not fit the plan any more, and why; `place` is its place among the edits, from 0."""

    edit: Edit
    why: str
    place: int = 0


def apply_edits(plan: StepPlan, edits: Sequence[Edit]) -> tuple[StepPlan, tuple[Misfit, ...]]:
    """The plan as the maker changed it, and the edits that do not fit.

    Args:
        plan: as worked out from the parts.
        edits: in the order in which they were made.
    """
    misfits: list[Misfit] = []
    for place, edit in enumerate(edits):
        changed, why = _apply(plan, edit)
        if why:
            misfits.append(Misfit(edit, why, place))
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
    if edit.kind is EditKind.SPLIT:
        return (plan, "its part is in the plan already") if plan.find(edit.into) else (_split(plan, there, edit), "")
    return _moved(plan, there, edit.after)


def _replaced(plan: StepPlan, *steps: Step) -> StepPlan:
    """The plan with these steps in the place of the one that has the key of the first."""
    placed = [steps if known.key == steps[0].key else (known,) for known in plan.steps]
    return StepPlan(tuple(step for group in placed for step in group))


def _added(plan: StepPlan, edit: Edit) -> StepPlan:
    spread = Spread(edit.minutes, edit.minutes, edit.minutes)
    after = (edit.after,) if edit.after else ()
    notes = (edit.note,) if edit.note else ()
    step = Step(key=edit.key, title=edit.text, stage=edit.stage, after=after, minutes=spread, notes=notes)
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


def _split(plan: StepPlan, step: Step, edit: Edit) -> StepPlan:
    """A share of the step as one of its own that comes after it; what came after the whole comes after both.

    Each part is set up for itself: a step that was set up once is set up once more.
    """
    shares = [_parted(work, edit.share) for work in step.works]
    minutes = [
        Spread(*(part * at for at in (step.minutes.p10, step.minutes.p50, step.minutes.p90)))
        for part in (1 - edit.share, edit.share)
    ]
    first = replace(step, works=tuple(kept for kept, _ in shares), minutes=minutes[0])
    second = replace(
        step,
        key=edit.into,
        title=edit.text,
        works=tuple(off for _, off in shares),
        minutes=minutes[1],
        after=() if step.anytime else (step.key,),
        wait=None,
        notes=(),
    )
    later = [
        replace(known, after=tuple(edit.into if key == step.key else key for key in known.after))
        for known in plan.steps
    ]
    return _replaced(StepPlan(tuple(later)), first, second)


def _parted(work: Work, share: float) -> tuple[Work, Work]:
    """(what stays, what is split off): quantities add up; each has a set-up where the work has any."""
    off = share * work.quantity
    setups = max(1, units.round_half_up(share * work.setups)) if work.setups else 0
    return (
        Work(work.code, work.quantity - off, max(1, work.setups - setups) if work.setups else 0),
        Work(work.code, off, setups),
    )


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
