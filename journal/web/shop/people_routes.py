"""The places at the benches and what an hour of each costs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, url_for

from journal.desk import rates as desk
from journal.errors import BadInput, Conflict
from journal.web import clash, forms
from journal.web.nav import shop_tabs
from journal.web.shop.blueprint import bp
from journal.web.shop.rate_forms import PersonForm
from journal.web.state import display, journal, reading, writing

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from journal.desk.rates import PeopleView, Place
    from journal.web.nav import Link


@dataclass(frozen=True, slots=True)
class PlaceLine:
    """A place, and its form when it is open."""

    place: Place
    form: PersonForm | None


@dataclass(frozen=True, slots=True)
class PeoplePage:
    """What shop/people.html receives.

    Attributes:
        tabs: the pages of this section.
        found: the wage that prices take, and hours without a name.
        lines: the places, those put away last.
        new: the form for one more, when it is open.
        currency: of the amounts, behind their boxes.
    """

    tabs: tuple[Link, ...]
    found: PeopleView
    lines: tuple[PlaceLine, ...]
    new: PersonForm | None
    currency: str


@bp.get("/people")
def people() -> ResponseReturnValue:
    """Who works here."""
    return _show()


@bp.route("/people/new", methods=["GET", "POST"])
def add_person() -> ResponseReturnValue:
    """One more place."""
    form = PersonForm.showing(None, "")
    if form.validate_on_submit() and _keep(0, form):
        flash(f"{form.label.data} is listed.", "good")
        return redirect(url_for("shop.people"))
    return _show(new=form)


@bp.route("/people/<int:worker_id>", methods=["GET", "POST"])
def person(worker_id: int) -> ResponseReturnValue:
    """One place, open to be changed or put away."""
    with reading() as session:
        found = desk.person(session, worker_id)
    form = PersonForm.showing(found.row, found.stamp)
    if form.validate_on_submit() and _keep(worker_id, form):
        flash(f"{form.label.data} is saved.", "good")
        return redirect(url_for("shop.people"))
    return _show(opened=(worker_id, form))


def _keep(worker_id: int, form: PersonForm) -> bool:
    try:
        with writing() as session:
            desk.keep_person(session, form.row(worker_id), stamp=form.stamp.data)
    except Conflict:
        clash.show_both(form, mark="stamp")
        return False
    except BadInput as refused:
        forms.attach(form, refused)
        return False
    return True


def _show(*, opened: tuple[int, PersonForm] | None = None, new: PersonForm | None = None) -> ResponseReturnValue:
    open_id, form = opened or (0, None)
    with reading() as session:
        found = desk.people(session, journal().today())
    lines = tuple(PlaceLine(place, form if place.row.id == open_id else None) for place in found.places)
    page = PeoplePage(shop_tabs(), found, lines, new, display().currency.code)
    return render_template("shop/people.html", page=page), clash.status(form, new)
