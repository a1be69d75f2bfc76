"""A project's work as the maker changed its steps: what was dropped, split or added counts in hours and price.

Materials stay as the parts ask for them: a step is work, and what it uses up is said by the project's parts and coats.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from journal.build.order import StepInput, step_plan
from journal.build.spacers import blocks
from journal.build.step_edits import Edit, EditKind, apply_edits
from journal.build.step_work import edited_tasks, own_work
from journal.build.waits import WaitRules
from journal.records.queries import building

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from journal.build.step import StepPlan
    from journal.desk.shop import ShopView, Work
    from journal.quote.takeoff import Takeoff
    from journal.records.queries.building import EditDraft

# Work is the same however long things rest.
_NO_WAITS = WaitRules(0, 0, 0, 0, 0, 0, 0)


def edits_of(session: Session, project_id: int) -> tuple[Edit, ...]:
    """The changes of a project's steps that hold, in the order in which they were made."""
    return tuple(edit_of(row) for row in building.edits(session, project_id))


def edit_of(row: EditDraft) -> Edit:
    """A kept change as the build room knows it."""
    return Edit(
        kind=EditKind(row.kind.value),
        key=row.step_key,
        after=row.after_key,
        text=row.text,
        minutes=row.minutes,
        stage=row.stage,
        share=row.share,
        into=row.into_key,
        note=row.note,
    )


def steps_of(taken: Takeoff, shop: ShopView, work: Work, waits: WaitRules = _NO_WAITS) -> StepPlan:
    """The steps as the parts ask for them, without minutes."""
    glue, finish = shop.glue(work), shop.finish(work)
    return step_plan(
        StepInput(
            tasks=taken.asked,
            gluing=taken.gluing,
            stocks=[bill.stock for bill in taken.bills],
            blocks=blocks(taken.milled, shop.rules(work).milling),
            minutes={},
            waits=waits,
            clamps=int(shop.allowances["clamps_on_hand"]),
            glue_cautions=glue.cautions,
            finish_cautions=finish.cautions,
            shown=shop.shown,
        )
    )


def with_edits(taken: Takeoff, shop: ShopView, work: Work, edits: Sequence[Edit]) -> Takeoff:
    """What it takes, the work as the maker changed the steps; an edit that does not fit changes nothing."""
    if not edits:
        return taken
    before = steps_of(taken, shop, work)
    after, _ = apply_edits(before, edits)
    return replace(taken, tasks=edited_tasks(taken.asked, before, after), own=own_work(after), unedited=taken.asked)
