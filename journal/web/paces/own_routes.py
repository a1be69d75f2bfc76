"""Operations of the shop's own: added, listed, let go while nothing speaks of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, url_for

from journal import reference, units
from journal.desk import own_work as desk
from journal.errors import BadInput, Conflict
from journal.web import forms
from journal.web.paces.blueprint import bp
from journal.web.paces.forms import OwnForm
from journal.web.paces.pages import SECONDS_BELOW, pace_text
from journal.web.state import display, now, reading, writing

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from journal.pace.own import OwnWork


@dataclass(frozen=True, slots=True)
class OwnLine:
    """One operation: its stage's name, and what was typed for one of its unit."""

    work: OwnWork
    stage: str
    pace: str


@dataclass(frozen=True, slots=True)
class OwnPage:
    """What paces/own.html receives: the form to add one, and those there are."""

    form: OwnForm
    lines: tuple[OwnLine, ...]


@bp.get("/own")
def own() -> ResponseReturnValue:
    """The shop's own operations, and a form to add one."""
    return _show(OwnForm(formdata=None).offer())


@bp.post("/own")
def own_add() -> ResponseReturnValue:
    """Add an operation the book does not know."""
    form = OwnForm().offer()
    if not form.validate_on_submit():
        return _show(form), 422
    try:
        with writing() as session:
            added = desk.add(session, form.typed(), now=now())
    except BadInput as refusal:
        forms.attach(form, refusal)
        return _show(form), 422
    flash(f"{added.name} can be logged now, under {reference.stages()[added.stage].name}.", "good")
    return redirect(url_for("paces.own"))


@bp.post("/own/<code>/remove")
def own_remove(code: str) -> ResponseReturnValue:
    """Let go of one that nothing speaks of."""
    try:
        with writing() as session:
            gone = desk.remove(session, code)
    except Conflict as refusal:
        flash(f"{refusal}.", "care")
    else:
        flash(f"{gone.name} is gone.", "good")
    return redirect(url_for("paces.own"))


def _show(form: OwnForm) -> str:
    with reading() as session:
        found = desk.listed(session)
    return render_template("paces/own.html", page=OwnPage(form, tuple(map(_line, found))))


def _line(work: OwnWork) -> OwnLine:
    shown = units.Shown(display().system)
    minutes = work.pace_minutes / shown.units_of(work.unit)
    pace = f"{pace_text(minutes, in_seconds=minutes < SECONDS_BELOW)} a {shown.counted_in(work.unit)}"
    return OwnLine(work, reference.stages()[work.stage].name, pace)
