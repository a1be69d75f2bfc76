"""The shop's hours and days off, and what hardware takes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, url_for

from journal import units
from journal.days.hours import DAYS
from journal.desk import hours as desk
from journal.desk.shop import read_shop
from journal.errors import BadInput, BadRows, Conflict
from journal.web import clash, forms
from journal.web.nav import shop_tabs
from journal.web.shop.blueprint import bp
from journal.web.shop.hours_forms import DaysOffForm, HoursForm, ReopenForm, days_off_form, hours_form
from journal.web.state import display, journal, reading, writing

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from journal.desk.hours import HoursSheet
    from journal.web.nav import Link


@dataclass(frozen=True, slots=True)
class HoursPage:
    """What shop/hours.html receives.

    Attributes:
        tabs: the pages of this section.
        sheet: hours, days off, hardware as kept.
        form: the hours of the week, the places, the hardware.
        off: the form for more days off.
        reopen: the form that takes days off away.
        order: the days of the week as the shop counts them, 0 Monday.
    """

    tabs: tuple[Link, ...]
    sheet: HoursSheet
    form: HoursForm
    off: DaysOffForm
    reopen: ReopenForm
    order: tuple[int, ...]


@bp.route("/hours", methods=["GET", "POST"])
def hours() -> ResponseReturnValue:
    """When the shop is open."""
    form = hours_form(_sheet())
    if form.validate_on_submit() and _keep(form):
        flash("The hours are saved. Days of all projects follow from them; what is promised stays.", "good")
        return redirect(url_for("shop.hours"))
    return _show(form=form)


@bp.post("/hours/off")
def hours_off() -> ResponseReturnValue:
    """Some days off."""
    form = days_off_form(journal().today())
    if form.validate_on_submit() and _close(form):
        flash("Closed on those days.", "good")
        return redirect(url_for("shop.hours", _anchor="days-off"))
    return _show(off=form)


@bp.post("/hours/off/<int:row_id>/open")
def hours_open(row_id: int) -> ResponseReturnValue:
    """Open again."""
    if ReopenForm().validate_on_submit():
        with writing() as session:
            desk.reopen(session, row_id)
        flash("Open again on those days.", "good")
    return redirect(url_for("shop.hours", _anchor="days-off"))


def _sheet() -> HoursSheet:
    today = journal().today()
    with reading() as session:
        return desk.sheet(session, read_shop(session, today), today)


def _show(*, form: HoursForm | None = None, off: DaysOffForm | None = None) -> ResponseReturnValue:
    sheet = _sheet()
    page = HoursPage(
        tabs=shop_tabs(),
        sheet=sheet,
        form=form or hours_form(sheet),
        off=off or days_off_form(journal().today()),
        reopen=ReopenForm(formdata=None),
        order=_order(),
    )
    return render_template("shop/hours.html", page=page), clash.status(page.form, page.off)


def _order() -> tuple[int, ...]:
    """The days of the week from the one the shop begins with, 0 Monday."""
    first = units.week_begin(journal().today(), display().week_start).weekday()
    return tuple((first + ahead) % len(DAYS) for ahead in range(len(DAYS)))


def _keep(form: HoursForm) -> bool:
    try:
        with writing() as session:
            desk.save_hours(session, form.days(), form.places.data, form.leads(), stamp=str(form.stamp.data))
    except Conflict:
        clash.show_both(form, mark="stamp")
        return False
    except BadRows as refused:
        for problem in refused.problems:
            form[f"day{problem.line - 1}"].errors = [problem.message]
        return False
    except BadInput as refused:
        forms.attach(form, refused)
        return False
    return True


def _close(form: DaysOffForm) -> bool:
    today = journal().today()
    try:
        with writing() as session:
            desk.close(session, form.first.data, form.last.data, form.why.data or "", today=today)
    except BadInput as refused:
        form.last.errors = [*form.last.errors, f"Expected {refused.expected}."]
        return False
    return True
