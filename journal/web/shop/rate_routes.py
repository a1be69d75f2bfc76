"""The shop's rate from its year, and a machine's from what it costs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, request, url_for

from journal.desk import rates as desk
from journal.errors import BadInput, Conflict
from journal.web import clash, forms
from journal.web.nav import shop_tabs
from journal.web.shop.blueprint import bp
from journal.web.shop.rate_forms import MachineCostForm, YearForm
from journal.web.state import display, journal, reading, writing

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from journal.desk.rates import MachineCostView, YearView
    from journal.web.nav import Link

_USE = "use"  # the button that puts the rate in force


@dataclass(frozen=True, slots=True)
class RatePage:
    """What shop/rate.html receives.

    Attributes:
        tabs: the pages of this section.
        form: the shop's year.
        found: what it comes to.
        currency: of the amounts, behind their boxes.
        now_cents: wage and overhead together, as the shop has them.
        share: the billable share kept or offered.
    """

    tabs: tuple[Link, ...]
    form: YearForm
    found: YearView
    currency: str
    now_cents: int
    share: float


@dataclass(frozen=True, slots=True)
class MachineCostPage:
    """What shop/machine_cost.html receives: the section's pages, the form, the machine with its rate, the money."""

    tabs: tuple[Link, ...]
    form: MachineCostForm
    found: MachineCostView
    currency: str


@bp.route("/rate", methods=["GET", "POST"])
def rate() -> ResponseReturnValue:
    """What an hour must bring."""
    with reading() as session:
        found = desk.year(session, journal().today())
    form = YearForm.showing(found.row)
    use = request.form.get("act") == _USE
    if form.validate_on_submit() and _keep_year(form, use=use):
        flash("This is the shop’s rate now." if use else "Kept; the shop’s rate is as it was.", "good")
        return redirect(url_for("shop.rate"))
    page = RatePage(
        tabs=shop_tabs(),
        form=form,
        found=found,
        currency=display().currency.code,
        now_cents=found.shop.wage_cents_per_hour + found.shop.overhead_cents_per_hour,
        share=found.row.billable_bp / 10_000,
    )
    return render_template("shop/rate.html", page=page), clash.status(form)


@bp.route("/machines/<int:machine_id>/cost", methods=["GET", "POST"])
def machine_cost(machine_id: int) -> ResponseReturnValue:
    """What a running hour of a machine costs."""
    with reading() as session:
        found = desk.machine_cost(session, machine_id)
    form = MachineCostForm.showing(found)
    use = request.form.get("act") == _USE
    if form.validate_on_submit() and _keep_machine_cost(machine_id, form, use=use):
        label = found.machine.row.label
        flash(f"{label} costs this from now on." if use else f"Kept; {label} costs what it did.", "good")
        return redirect(url_for("shop.machine_cost", machine_id=machine_id))
    page = MachineCostPage(shop_tabs(), form, found, display().currency.code)
    return render_template("shop/machine_cost.html", page=page), clash.status(form)


def _keep_year(form: YearForm, *, use: bool) -> bool:
    try:
        with writing() as session:
            desk.keep_year(session, form.row(), today=journal().today(), use=use)
    except Conflict:
        clash.show_both(form)
        return False
    except BadInput as refused:
        forms.attach(form, refused)
        return False
    return True


def _keep_machine_cost(machine_id: int, form: MachineCostForm, *, use: bool) -> bool:
    try:
        with writing() as session:
            desk.keep_machine_cost(session, form.row(machine_id), stamp=form.stamp.data, use=use)
    except Conflict:
        clash.show_both(form, mark="stamp")
        return False
    except BadInput as refused:
        forms.attach(form, refused)
        return False
    return True
