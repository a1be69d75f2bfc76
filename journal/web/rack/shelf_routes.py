"""One thing on the shelf: how much, whose, what happened to it; taken for a project, or struck off."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, url_for

from journal.desk import rack, shelf
from journal.desk.shelf_events import START
from journal.errors import BadInput
from journal.quote.shelf import Kind
from journal.web import forms, state
from journal.web.rack import pages
from journal.web.rack.blueprint import bp
from journal.web.rack.forms import PourForm, TakeForm, project_choices

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

_BOXES = {"how much": "amount", "for": "project"}


@bp.get("/shelf/<int:key>")
def on_shelf(key: int) -> ResponseReturnValue:
    """The thing with its story."""
    return _show(key, _form(key, empty=True))


@bp.post("/shelf/<int:key>/take")
def take_off_shelf(key: int) -> ResponseReturnValue:
    """Taken for a project, or struck off with the reason."""
    form = _form(key)
    if not form.validate_on_submit():
        return _show(key, form), 422
    project_id = int(form.project.data) if form.project.data else None
    today, now = state.journal().today(), state.now()
    try:
        with state.writing() as session:
            done = shelf.take(session, key, form.amount.data, project_id, form.why.data, today=today, now=now)
    except BadInput as refusal:
        forms.attach(form, BadInput(_BOXES.get(refusal.field, refusal.field), refusal.received, refusal.expected))
        return _show(key, form), 422
    flash(f"{done.said[:1].upper()}{done.said[1:]}.", "good")
    return redirect(url_for("rack.on_shelf", key=key))


def _form(key: int, *, empty: bool = False) -> TakeForm:
    with state.reading() as session:
        liquid, projects = shelf.get(session, key).place.liquid, rack.open_projects(session)
    kind = PourForm if liquid else TakeForm
    form = kind(formdata=None) if empty else kind()
    form.project.choices = project_choices(projects, "no project")
    return form


def _show(key: int, form: TakeForm) -> str:
    with state.reading() as session:
        one, projects = shelf.get(session, key), rack.projects_by_id(session)
    told = [happened for happened in one.story if happened.event.kind is not Kind.LEFT]
    story = tuple(reversed(told))[: pages.STORY_SHOWN]
    page = pages.ShelfView(pages.shelf_line(one, projects), story, projects, form, START)
    return render_template("rack/shelf.html", page=page)
