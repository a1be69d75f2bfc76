"""A project's steps changed by hand: dropped, added, moved, split, noted; each change can be taken back, and put again."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING
from uuid import uuid4

from journal.build.step_edits import OWN, apply_edits
from journal.desk import parts
from journal.desk.edited_work import edit_of, edits_of, steps_of
from journal.desk.estimate import work_of
from journal.desk.shop import read_shop
from journal.errors import BadInput, MissingReference
from journal.records.queries import building
from journal.records.queries import projects as project_records
from journal.records.words import EditKind

if TYPE_CHECKING:
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from journal.build.step import StepPlan
    from journal.records.queries.building import EditDraft, EditRow

# These change how much work there is.
_WORK = (EditKind.DROP, EditKind.SPLIT)


def change(session: Session, project_id: int, draft: EditDraft, *, today: date, now: datetime) -> EditRow:
    """Keep a change of a step; a step that is added, or split off, gets a key of its own.

    Raises:
        BadInput: it does not fit the plan as it stands, or says nothing.
        JournalError: the project has no parts, or they cannot be built.
    """
    plan, _ = apply_edits(_whole(session, project_id, today), edits_of(session, project_id))
    named = _named(draft, plan)
    _, misfits = apply_edits(plan, [edit_of(named)])
    if misfits:
        raise BadInput(named.step_title, named.kind.value, f"another change: {misfits[0].why}")
    row = building.add_edit(session, project_id, named, now=now)
    _work_follows(session, project_id, row, say(row), now)
    return row


def one(session: Session, project_id: int, edit_id: int) -> EditRow:
    """A change of a project's steps, taken back or not."""
    return building.get_edit(session, project_id, edit_id)


def take_back(session: Session, project_id: int, edit_id: int, *, now: datetime) -> EditRow:
    """Take a change back; it is kept, so that it can be put again."""
    row = building.take_back_edit(session, project_id, edit_id, now)
    _work_follows(session, project_id, row, f"taken back, {say(row)}", now)
    return row


def put_again(session: Session, project_id: int, edit_id: int, *, now: datetime) -> EditRow:
    """Let a change that was taken back hold again, in its old place among the others."""
    row = building.take_back_edit(session, project_id, edit_id, None)
    _work_follows(session, project_id, row, say(row), now)
    return row


_SAID = {
    EditKind.DROP: "dropped",
    EditKind.ADD: "added",
    EditKind.MOVE: "moved",
    EditKind.SPLIT: "split",
    EditKind.NOTE: "noted",
}


def say(row: EditRow) -> str:
    """A change in words: “dropped Sand”, “added Burn in the mark”."""
    return f"{_SAID[row.kind]} {row.step_title}"


def _whole(session: Session, project_id: int, today: date) -> StepPlan:
    project = project_records.get_project(session, project_id)
    shop, work = read_shop(session, today), work_of(project)
    taken = parts.taken_off(parts.current(session, project_id), shop, work, project.benches)
    return steps_of(taken, shop, work)


def _named(draft: EditDraft, plan: StepPlan) -> EditDraft:
    """The draft with the step's title, and a key for what it brings in."""
    if draft.kind is EditKind.ADD:
        return replace(draft, step_key=f"{OWN}{uuid4().hex[:12]}", step_title=draft.text)
    step = plan.find(draft.step_key)
    if step is None:
        raise MissingReference("step", draft.step_key, [known.title for known in plan.steps])
    into = f"{OWN}{uuid4().hex[:12]}" if draft.kind is EditKind.SPLIT else ""
    return replace(draft, step_title=step.title, into_key=into)


def _work_follows(session: Session, project_id: int, row: EditRow, what: str, now: datetime) -> None:
    """Let the operations of the project's plan follow a change of how much work there is."""
    if row.kind in _WORK:
        parts.keep_steps(session, project_id, what, now=now)
