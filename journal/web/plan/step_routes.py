"""A step changed by hand, and a change taken back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import redirect, render_template, url_for

from journal.desk import plan as plan_desk
from journal.desk import projects, steps
from journal.errors import BadInput, MissingReference
from journal.paper.step_sheet import step_line
from journal.records.queries.building import EditDraft
from journal.records.words import EditKind
from journal.web import forms as fields
from journal.web import state
from journal.web.back import go_back
from journal.web.plan.blueprint import bp
from journal.web.plan.forms import AddForm, MoveForm, NoteForm, SplitForm, StepForm
from journal.web.plan.pages import StepPage
from journal.web.plan.routes import show_plan

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from journal.records.queries.building import EditRow


@bp.get("/<int:project_id>/plan/step/<path:key>")
def show_step(project_id: int, key: str) -> ResponseReturnValue:
    """One step, and what can be done with it."""
    return _show(project_id, key)


@bp.post("/<int:project_id>/plan/steps/note")
def show_step_note(project_id: int) -> ResponseReturnValue:
    """Note something on a step."""
    form = NoteForm()
    return _change_step(project_id, form, note=form)


@bp.post("/<int:project_id>/plan/steps/split")
def show_step_split(project_id: int) -> ResponseReturnValue:
    """Split a step in two."""
    form = SplitForm()
    return _change_step(project_id, form, split=form)


@bp.post("/<int:project_id>/plan/steps/move")
def show_step_move(project_id: int) -> ResponseReturnValue:
    """Put a step after another one."""
    form = MoveForm()
    with state.reading() as session:
        form.offer(plan_desk.build_plan(session, project_id, state.journal().today()).steps, form.step.data or "")
    return _change_step(project_id, form, move=form)


@bp.post("/<int:project_id>/plan/steps/drop")
def show_step_drop(project_id: int) -> ResponseReturnValue:
    """Drop a step."""
    form = StepForm()
    if not form.validate_on_submit():
        return _show(project_id, form.step.data or ""), 422
    draft = EditDraft(kind=EditKind.DROP, step_key=form.step.data)
    return _done(_keep(project_id, draft))


@bp.post("/<int:project_id>/plan/steps/add")
def show_step_add(project_id: int) -> ResponseReturnValue:
    """Add a step of one's own."""
    form = AddForm()
    with state.reading() as session:
        form.offer(plan_desk.build_plan(session, project_id, state.journal().today()).steps)
    if not form.validate_on_submit():
        return show_plan(project_id, add=form)
    try:
        return _done(_keep(project_id, form.draft()))
    except BadInput as refusal:
        fields.attach(form, refusal)
        return show_plan(project_id, add=form)


@bp.post("/<int:project_id>/plan/edits/<int:edit_id>/back")
def show_edit_back(project_id: int, edit_id: int) -> ResponseReturnValue:
    """Take a change back."""
    with state.writing() as session:
        row = steps.take_back(session, project_id, edit_id, now=state.now())
    return go_back(_told_at(row), code=302)


@bp.post("/<int:project_id>/plan/edits/<int:edit_id>/again")
def show_edit_again(project_id: int, edit_id: int) -> ResponseReturnValue:
    """Put a change again that was taken back."""
    with state.writing() as session:
        row = steps.put_again(session, project_id, edit_id, now=state.now())
    return _done(row)


def _change_step(
    project_id: int,
    form: NoteForm | MoveForm | SplitForm,
    *,
    note: NoteForm | None = None,
    move: MoveForm | None = None,
    split: SplitForm | None = None,
) -> ResponseReturnValue:
    key = form.step.data or ""
    if not form.validate_on_submit():
        return _show(project_id, key, note=note, move=move, split=split), 422
    try:
        return _done(_keep(project_id, form.draft()))
    except BadInput as refusal:
        fields.attach(form, refusal)
        return _show(project_id, key, note=note, move=move, split=split), 422


def _keep(project_id: int, draft: EditDraft) -> EditRow:
    with state.writing() as session:
        return steps.change(session, project_id, draft, today=state.journal().today(), now=state.now())


def _done(row: EditRow) -> ResponseReturnValue:
    return redirect(_told_at(row))


def _told_at(row: EditRow) -> str:
    return url_for("plan.show", project_id=row.project_id, changed=row.id, _anchor="told")


def _show(
    project_id: int,
    key: str,
    *,
    note: NoteForm | None = None,
    move: MoveForm | None = None,
    split: SplitForm | None = None,
) -> str:
    with state.reading() as session:
        project = projects.one(session, project_id)
        plan = plan_desk.build_plan(session, project_id, state.journal().today())
    step = plan.steps.find(key)
    if step is None:
        raise MissingReference("step", key, [known.title for known in plan.steps.steps])
    number = plan.steps.steps.index(step) + 1
    filled = {
        "note": note or NoteForm(formdata=None, step=key),
        "move": move or MoveForm(formdata=None, step=key, after=plan.steps.steps[number - 2].key if number > 1 else ""),
        "split": split or SplitForm(formdata=None, step=key, text=f"{step.title}, the rest"),
        "drop": StepForm(formdata=None, step=key),
    }
    filled["move"].offer(plan.steps, key)
    return render_template(
        "plan/step.html", page=StepPage(project, step_line(step, number, plan.found.shop.shown), **filled)
    )
