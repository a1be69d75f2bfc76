"""The rack as it is, boards added, what was done last and taken back, how cost is counted."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, url_for

from journal.desk import prices, rack_moves, shelf
from journal.desk import rack as desk
from journal.desk.rack_moves import Added
from journal.errors import BadInput
from journal.records.words import WOOD
from journal.web import forms, state
from journal.web.back import go_back
from journal.web.rack import pages
from journal.web.rack.blueprint import bp
from journal.web.rack.forms import METHODS, AddForm, CostForm, stock_choices

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

bp.add_app_template_filter(pages.age, "rack_age")
bp.add_app_template_filter(pages.TOLD.__getitem__, "rack_word")
bp.add_app_template_filter(pages.PER.__getitem__, "rack_per")


@bp.get("")
def index() -> ResponseReturnValue:
    """What is there."""
    today = state.journal().today()
    with state.reading() as session:
        found = desk.shown(session, today)
        projects = desk.projects_by_id(session)
        there = tuple(pages.shelf_line(one, projects) for one in shelf.listed(session))
    planned = sum(board.project_id is not None for board in found.boards)
    page = pages.RackPage(
        rack=found,
        free=len(found.boards) - planned,
        planned=planned,
        offcuts=sum(board.offcut for board in found.boards),
        cost=CostForm(formdata=None, method=found.method.value),
        today=today,
        shelf=there,
    )
    return render_template("rack/index.html", page=page)


@bp.route("/new", methods=["GET", "POST"])
def add() -> ResponseReturnValue:
    """Boards that nobody wrote down when they came."""
    today = state.journal().today()
    with state.reading() as session:
        codes = [stock.item.code for stock in prices.listed(session, today) if stock.item.form in WOOD]
    form = AddForm()
    form.stock.choices = stock_choices(codes)
    if form.is_submitted():
        if form.validate_on_submit() and _added(form):
            flash(f"{form.count.data} of {form.stock.data} on the rack.", "good")
            return redirect(url_for("rack.index"))
        return render_template("rack/add.html", page=pages.AddPage(form)), 422
    return render_template("rack/add.html", page=pages.AddPage(form))


@bp.get("/done")
def history() -> ResponseReturnValue:
    """What was done last."""
    with state.reading() as session:
        return render_template("rack/history.html", page=pages.HistoryPage(desk.history(session)))


@bp.post("/done/<int:act_id>/undo")
def undo(act_id: int) -> ResponseReturnValue:
    """Take something back."""
    form = forms.JournalForm()
    if not form.validate_on_submit():
        raise BadInput("form", "", "the one on the page")
    with state.writing() as session:
        done = rack_moves.undo(session, act_id, today=state.journal().today(), now=state.now())
    flash(f"{done.said[:1].upper()}{done.said[1:]}.", "good")
    return go_back(url_for("rack.index"), code=302)


@bp.post("/cost")
def cost() -> ResponseReturnValue:
    """How cost is counted from now on."""
    form = CostForm()
    if not form.validate_on_submit():
        raise BadInput("counting", form.method.data or "", " or ".join(METHODS.values()))
    with state.writing() as session:
        desk.choose_cost_method(session, form.method.data)
    flash("What wood cost is worked out anew.", "good")
    return redirect(url_for("rack.index"))


def _added(form: AddForm) -> bool:
    added = Added(
        stock_code=form.stock.data,
        count=form.count.data,
        length_nm=form.length.data,
        width_nm=form.width.data,
        cost_cents=form.cost.data or 0,
        offcut=form.offcut.data,
        note=form.note.data,
    )
    try:
        with state.writing() as session:
            rack_moves.add(session, added, today=state.journal().today(), now=state.now())
    except BadInput as refusal:
        forms.attach(form, refusal)
        return False
    return True
