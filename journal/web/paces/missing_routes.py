"""Quantities nobody has said: asked for once, a form each, never guessed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, url_for

from journal import units
from journal.desk import quantities as desk
from journal.errors import BadInput, MissingReference
from journal.web import forms
from journal.web.paces.blueprint import bp
from journal.web.paces.forms import QuantityForm, SetupsForm
from journal.web.state import display, reading, writing

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from journal.desk.quantities import Wanted

_SHOWN = 50  # at once; the next come when these are answered


@dataclass(frozen=True, slots=True)
class AskedLine:
    """One quantity: what waits for it, the unit it is asked in, and the boxes for it."""

    wanted: Wanted
    unit: str
    form: QuantityForm | SetupsForm


@dataclass(frozen=True, slots=True)
class MissingPage:
    """What paces/missing.html receives: the quantities asked for, newest first, and how many more there are."""

    lines: tuple[AskedLine, ...]
    more: int
    minutes: float


@bp.get("/missing")
def missing() -> ResponseReturnValue:
    """The quantities the log asks for."""
    return _show()


@bp.post("/missing/<int:project_id>/<operation>")
def missing_say(project_id: int, operation: str) -> ResponseReturnValue:
    """Note how much was done."""
    asked = _asked(project_id, operation)
    if asked is None:
        raise MissingReference("quantity that is asked for", f"{operation} of project {project_id}", [])
    form = _form(asked, formdata=True)
    if not form.validate_on_submit():
        return _show(asked, form), 422
    typed = float(form.quantity.data) if isinstance(form, QuantityForm) else 0.0
    amount = typed / units.Shown(display().system).units_of(asked.unit)
    try:
        with writing() as session:
            desk.say(session, project_id, operation, amount, form.setups.data)
    except BadInput as refusal:
        forms.attach(form, BadInput(form.quantity.label.text, refusal.received, refusal.expected))
        return _show(asked, form), 422
    flash(
        f"Noted: {asked.name} of {asked.project_code}. Its time counts for the paces once the project is finished.",
        "good",
    )
    return redirect(url_for("paces.missing"))


def _asked(project_id: int, operation: str) -> Wanted | None:
    with reading() as session:
        found = desk.wanted(session)
    return next((one for one in found if (one.project_id, one.operation) == (project_id, operation)), None)


def _form(asked: Wanted, *, formdata: bool) -> QuantityForm | SetupsForm:
    kind = QuantityForm if asked.unit else SetupsForm
    # Every form of the page has boxes of its own, so their ids must differ; their names stay.
    form = kind() if formdata else kind(formdata=None)
    for box in form:
        box.id = f"{box.name}-{asked.project_id}-{asked.operation}"
        box.label.field_id = box.id
    if not formdata and asked.unit:
        form.setups.data = 1
    return form


def _show(refused: Wanted | None = None, form: QuantityForm | SetupsForm | None = None) -> str:
    with reading() as session:
        found = desk.wanted(session)
    shown = found[:_SHOWN]
    if refused is not None and refused not in shown:
        shown = (refused, *shown[:-1])
    lines = tuple(_line(one, form if form is not None and one == refused else None) for one in shown)
    page = MissingPage(lines, len(found) - len(shown), sum(one.minutes for one in found))
    return render_template("paces/missing.html", page=page)


def _line(wanted: Wanted, refused: QuantityForm | SetupsForm | None) -> AskedLine:
    unit = units.Shown(display().system).counted_in(wanted.unit)
    return AskedLine(wanted, unit, refused or _form(wanted, formdata=False))
