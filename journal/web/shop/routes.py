"""The shop's own data, its allowances, its machines."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, request, url_for

from journal import reference
from journal.desk import own_rates, prices, rates
from journal.desk import settings as desk
from journal.desk.ratios import bench_hours
from journal.desk.shop import read_shop
from journal.errors import BadInput, Conflict, MissingReference
from journal.records.queries.shop import MachineRow, ShopRow
from journal.web import clash, forms
from journal.web.nav import shop_tabs
from journal.web.shop.blueprint import bp
from journal.web.shop.forms import MachineForm, ShopForm, settings_form
from journal.web.shop.pages import (
    AllowancesPage,
    MachineLine,
    MachinesPage,
    missing_kinds,
    setting_section,
    shop_page,
    worked_out_words,
)
from journal.web.state import display, journal, read_amounts_in, reading, writing

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from journal.desk.settings import StampedMachine
    from journal.web.shop.forms import SettingsForm


@bp.route("", methods=["GET", "POST"])
def index() -> ResponseReturnValue:
    """Name, money, hours, habits."""
    if request.method == "POST":
        read_amounts_in(request.form.get("currency", ""))
    with reading() as session:
        row = desk.shop_row(session)
        form = ShopForm.showing(row, prices.usual_species(session, journal().today()))
        shop = read_shop(session, journal().today())
        logged = bench_hours(session, shop, journal().today())
    if form.validate_on_submit() and _keep_shop(row, form):
        flash("The shop’s data are saved. Quotes already issued stay as they are.", "good")
        return redirect(url_for("shop.index"))
    page = shop_page(row, form, shop_tabs(), shop.unsaid, logged)
    return render_template("shop/index.html", page=page), clash.status(form)


@bp.get("/allowances")
def allowances() -> ResponseReturnValue:
    """Every allowance, in groups."""
    return _show_allowances()


@bp.post("/allowances/<group_key>")
def save_allowances(group_key: str) -> ResponseReturnValue:
    """Keep one group; the button “back” sends one allowance to its starting value."""
    desk.find_group(group_key)
    with reading() as session:
        group = next(found for found in desk.setting_groups(session) if found.group.key == group_key)
    form = settings_form(group)
    if form.validate_on_submit() and _keep_settings(group_key, form):
        flash(f"“{group.group.title}” is saved.", "good")
        return redirect(url_for("shop.allowances", _anchor=group_key))
    return _show_allowances(refused=(group_key, form))


@bp.get("/machines")
def machines() -> ResponseReturnValue:
    """The machines on the floor."""
    return _show_machines()


@bp.post("/machines/usual")
def take_usual_machines() -> ResponseReturnValue:
    """List the usual machines as the shop's own."""
    with writing() as session:
        desk.take_usual_machines(session)
    flash("These are yours now; change what differs, and take out of use what you do not have.", "good")
    return redirect(url_for("shop.machines"))


@bp.route("/machines/new", methods=["GET", "POST"])
def add_machine() -> ResponseReturnValue:
    """One more machine."""
    form = MachineForm.showing(None, "")
    if form.validate_on_submit() and _keep_machine(0, form):
        flash(f"{form.label.data} is listed.", "good")
        return redirect(url_for("shop.machines"))
    return _show_machines(new=form)


@bp.route("/machines/<int:machine_id>", methods=["GET", "POST"])
def machine(machine_id: int) -> ResponseReturnValue:
    """One machine, open to be changed."""
    with reading() as session:
        there = {known.row.id: known for known in desk.machines(session)}
    if machine_id not in there:
        raise MissingReference("machine", str(machine_id), [known.row.label for known in there.values()])
    form = MachineForm.showing(there[machine_id].row, there[machine_id].stamp)
    if form.validate_on_submit() and _keep_machine(machine_id, form):
        flash(f"{form.label.data} is saved.", "good")
        return redirect(url_for("shop.machines"))
    return _show_machines(opened=(machine_id, form))


def _keep_shop(row: ShopRow, form: ShopForm) -> bool:
    try:
        with writing() as session:
            desk.save_shop(session, replace(row, **form.values()))  # type: ignore[arg-type]
            own_rates.say(session, own_rates.WAGE, own_rates.OVERHEAD)
    except Conflict:
        clash.show_both(form)
        return False
    except BadInput as refused:
        forms.attach(form, refused)
        return False
    return True


def _keep_settings(group_key: str, form: SettingsForm) -> bool:
    texts = form.texts(without=request.form.get("back", ""))
    try:
        with writing() as session:
            desk.save_settings(session, group_key, texts, system=display().system, stamp=form.stamp.data)
    except Conflict:
        clash.show_both(form, mark="stamp")
        return False
    except BadInput as refused:
        forms.attach(form, refused)
        return False
    return True


def _keep_machine(machine_id: int, form: MachineForm) -> bool:
    try:
        with writing() as session:
            row = MachineRow(id=machine_id, **form.values())  # type: ignore[arg-type]
            desk.save_machine(session, row, stamp=form.stamp.data)
    except Conflict:
        clash.show_both(form, mark="stamp")
        return False
    except BadInput as refused:
        forms.attach(form, refused)
        return False
    return True


def _show_allowances(refused: tuple[str, SettingsForm] | None = None) -> ResponseReturnValue:
    bad_key, bad_form = refused or ("", None)
    with reading() as session:
        groups = desk.setting_groups(session)
    sections = tuple(setting_section(group, bad_form if group.group.key == bad_key else None) for group in groups)
    page = AllowancesPage(
        tabs=shop_tabs(),
        sections=sections,
        own=sum(section.own for section in sections),
        of=sum(len(section.lines) for section in sections),
    )
    return render_template("shop/allowances.html", page=page), clash.status(bad_form)


def _show_machines(
    *, opened: tuple[int, MachineForm] | None = None, new: MachineForm | None = None
) -> ResponseReturnValue:
    open_id, form = opened or (0, None)
    with reading() as session:
        listed, known, twice = desk.machines(session), rates.worked_out(session), rates.counted_twice(session)
    rows = [known.row for known in listed] or desk.usual_machines()
    page = MachinesPage(
        tabs=shop_tabs(),
        lines=tuple(
            MachineLine(
                row,
                form if row.id and row.id == open_id else None,
                worked_out_words(row.cost_cents_per_hour, known.get(row.id)),
            )
            for row in rows
        ),
        listed=bool(listed),
        in_force=any(known.row.active for known in listed),
        missing=_missing(listed),
        new=new,
        twice=twice,
    )
    return render_template("shop/machines.html", page=page), clash.status(form, new)


def _missing(listed: tuple[StampedMachine, ...]) -> tuple[str, ...]:
    return missing_kinds(listed, tuple(reference.machines())) if listed else ()
