"""Lessons, loose ends accepted, and closing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, redirect, request, url_for

from journal.desk import closing as desk
from journal.desk import review_aside
from journal.errors import BadInput
from journal.web import forms, state
from journal.web.review.aside import prefix_of
from journal.web.review.blueprint import bp
from journal.web.review.forms import AcceptForm, AsideForm, CloseForm, LessonForm
from journal.web.review.routes import page

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue


@bp.post("/<int:project_id>/review/lessons")
def show_learn(project_id: int) -> ResponseReturnValue:
    """Write a lesson down."""
    form = LessonForm()
    if not form.validate_on_submit():
        return page(project_id, lesson=form), 422
    with state.writing() as session:
        desk.learn(session, project_id, form.lesson.data, now=state.now())
    flash("Written down. It stands on the Price page of the next job of this design or wood.", "good")
    return _back(project_id, "lessons")


@bp.post("/<int:project_id>/review/lessons/<int:lesson_id>/forget")
def show_forget(project_id: int, lesson_id: int) -> ResponseReturnValue:
    """Take a lesson back."""
    with state.writing() as session:
        desk.forget(session, project_id, lesson_id, now=state.now())
    flash("Taken out.", "good")
    return _back(project_id, "lessons")


@bp.post("/<int:project_id>/review/accept")
def show_accept(project_id: int) -> ResponseReturnValue:
    """Leave something unfinished as it is."""
    what = request.form.get("what", "")
    form = AcceptForm(prefix=what)
    if not form.validate_on_submit():
        return page(project_id, accept=(what, form)), 422
    try:
        with state.writing() as session:
            today, now = state.journal().today(), state.now()
            desk.accept(session, project_id, what, form.reason.data, today=today, now=now)
    except BadInput as refusal:
        forms.attach(form, refusal)
        return page(project_id, accept=(what, form)), 422
    flash("Accepted as it is.", "good")
    return _back(project_id, "unfinished")


@bp.post("/<int:project_id>/review/aside")
def show_aside(project_id: int) -> ResponseReturnValue:
    """Keep a surprise out of learning."""
    what = request.form.get("what", "")
    form = AsideForm(prefix=prefix_of(what))
    if not form.validate_on_submit():
        return page(project_id, aside=(what, form)), 422
    try:
        with state.writing() as session:
            review_aside.set_aside(session, project_id, what, form.reason.data, now=state.now())
    except BadInput as refusal:
        forms.attach(form, refusal)
        return page(project_id, aside=(what, form)), 422
    flash("Set aside. Its hours still count; the paces no longer learn from it.", "good")
    return _back(project_id, "surprises")


@bp.post("/<int:project_id>/review/restore")
def show_restore(project_id: int) -> ResponseReturnValue:
    """Learn from a piece again."""
    what, reason = request.form.get("what", ""), request.form.get("reason", "")
    try:
        with state.writing() as session:
            review_aside.restore(session, project_id, what, reason, now=state.now())
    except BadInput as refusal:
        flash(f"Nothing changed: {refusal}", "bad")
        return _back(project_id, "surprises")
    flash("Learned from again.", "good")
    return _back(project_id, "surprises")


@bp.post("/<int:project_id>/review/close")
def show_close(project_id: int) -> ResponseReturnValue:
    """Close the job."""
    form = CloseForm()
    try:
        with state.writing() as session:
            read, today = form.version.data, state.journal().today()
            desk.close(session, project_id, read_version=read, today=today, now=state.now())
    except BadInput as refusal:
        flash(f"Not closed: {refusal}", "bad")
        return _back(project_id, "unfinished")
    flash("Closed. What it taught stays.", "good")
    return _back(project_id, "")


def _back(project_id: int, anchor: str) -> ResponseReturnValue:
    return redirect(url_for("review.show", project_id=project_id, _anchor=anchor or None), code=303)
