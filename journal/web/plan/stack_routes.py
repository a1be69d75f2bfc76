"""The stack and its moisture readings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, redirect, url_for

from journal.desk import moisture
from journal.errors import BadInput
from journal.web import forms as fields
from journal.web import state
from journal.web.back import go_back
from journal.web.plan.blueprint import bp
from journal.web.plan.forms import ReadingForm, StackForm
from journal.web.plan.routes import show_plan

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue


@bp.post("/<int:project_id>/plan/readings")
def show_reading_add(project_id: int) -> ResponseReturnValue:
    """Note a reading."""
    form, today = ReadingForm(), state.journal().today()
    if not form.validate_on_submit():
        return show_plan(project_id, reading=form)
    try:
        with state.writing() as session:
            row = moisture.note_reading(session, project_id, form.draft(), today=today, now=state.now())
    except BadInput as refusal:
        fields.attach(form, refusal)
        return show_plan(project_id, reading=form)
    return _done(project_id, row.id)


@bp.post("/<int:project_id>/plan/readings/<int:reading_id>/back")
def show_reading_back(project_id: int, reading_id: int) -> ResponseReturnValue:
    """Take a reading back."""
    with state.writing() as session:
        moisture.take_back(session, project_id, reading_id, now=state.now())
    return go_back(_told_at(project_id, reading_id), code=302)


@bp.post("/<int:project_id>/plan/readings/<int:reading_id>/again")
def show_reading_again(project_id: int, reading_id: int) -> ResponseReturnValue:
    """Put a reading again that was taken back."""
    with state.writing() as session:
        moisture.put_again(session, project_id, reading_id)
    return _done(project_id, reading_id)


@bp.post("/<int:project_id>/plan/stack")
def show_stack(project_id: int) -> ResponseReturnValue:
    """Say since when the lumber is in stickers."""
    form, today = StackForm(), state.journal().today()
    if not form.validate_on_submit():
        return show_plan(project_id, stack=form)
    try:
        with state.writing() as session:
            moisture.say_stacked(session, project_id, form.since.data, today=today)
    except BadInput as refusal:
        fields.attach(form, refusal)
        return show_plan(project_id, stack=form)
    flash("Kept.", "good")
    return redirect(url_for("plan.show", project_id=project_id, _anchor="wood"))


def _done(project_id: int, reading_id: int) -> ResponseReturnValue:
    return redirect(_told_at(project_id, reading_id))


def _told_at(project_id: int, reading_id: int) -> str:
    return url_for("plan.show", project_id=project_id, read=reading_id, _anchor="told")
