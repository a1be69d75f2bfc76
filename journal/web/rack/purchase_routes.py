"""Receipts: listed, typed, worked out, kept, put right, taken back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, request, url_for

from journal import units
from journal.desk import photos, rack, receipts
from journal.desk import purchases as desk
from journal.errors import BadInput
from journal.web import forms, state
from journal.web.rack import pages, receipt_form
from journal.web.rack.blueprint import bp
from journal.working import counted

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from journal.records.queries.photos import PhotoDraft
    from journal.records.queries.purchases import PurchaseRow
    from journal.web.rack.receipt_form import Choices, Typed

SHOWN = 60
MORE, WORK, KEEP = "more", "work", "keep"


@bp.get("/purchases")
def purchases() -> ResponseReturnValue:
    """Receipts, the newest first, a page of them at a time."""
    with state.reading() as session:
        found = desk.receipts(session)
        projects = rack.projects_by_id(session)
    last = max(1, -(-len(found) // SHOWN))
    number = min(max(request.args.get("page", 1, type=int), 1), last)
    shown = found[(number - 1) * SHOWN : number * SHOWN]
    return render_template("rack/purchases.html", page=pages.ReceiptsPage(shown, projects, number, last))


@bp.get("/purchases/new")
def new_purchase() -> ResponseReturnValue:
    """An empty receipt; `project` names whom it is for."""
    project_id = request.args.get("project", type=int)
    with state.reading() as session:
        there = receipt_form.choices(session, project_id=project_id)
    return _show(receipt_form.fresh(there, project_id=project_id))


@bp.post("/purchases/new")
def new_purchase_send() -> ResponseReturnValue:
    """The receipt worked out, or kept."""
    with state.reading() as session:
        there = receipt_form.choices(session)
    return _take(there, corrects=None)


@bp.get("/purchases/<int:purchase_id>")
def purchase(purchase_id: int) -> ResponseReturnValue:
    """A kept receipt, to be put right."""
    with state.reading() as session:
        kept = desk.as_typed(session, purchase_id)
        there = receipt_form.choices(session, project_id=kept.project_id)
    return _show(receipt_form.filled(kept, there), corrects=purchase_id)


@bp.post("/purchases/<int:purchase_id>")
def purchase_send(purchase_id: int) -> ResponseReturnValue:
    """Put right: this receipt counts instead of the kept one."""
    with state.reading() as session:
        kept = desk.as_typed(session, purchase_id)
        there = receipt_form.choices(session, project_id=kept.project_id)
    return _take(there, corrects=purchase_id)


@bp.post("/purchases/<int:purchase_id>/take-back")
def take_purchase_back(purchase_id: int) -> ResponseReturnValue:
    """A receipt that should not be there."""
    form = forms.JournalForm()
    if not form.validate_on_submit():
        raise BadInput("form", "", "the one on the page")
    with state.writing() as session:
        desk.take_back(session, purchase_id, today=state.journal().today(), now=state.now())
    flash("The receipt is taken back; it can be undone on the rack.", "good")
    return redirect(url_for("rack.index"))


def _take(there: Choices, *, corrects: int | None) -> ResponseReturnValue:
    typed = receipt_form.sent(there)
    if request.form.get("do") == MORE:
        return _show(typed.more(there), corrects=corrects)
    receipt = receipt_form.read(typed)
    if receipt is None:
        return _show(typed, corrects=corrects), 422
    try:
        if request.form.get("do") == WORK:
            with state.reading() as session:
                worked = receipts.work_out(session, receipt, state.journal().today())
            return _show(typed, worked, corrects=corrects)
        stored = _stored(typed, receipt)
        today, now = state.journal().today(), state.now()
        with state.writing() as session:
            worked = receipts.work_out(session, receipt, today)
            kept = desk.keep(session, receipt, today=today, now=now, corrects=corrects, stored=stored)
    except BadInput as fault:
        receipt_form.attach(typed, fault)
        return _show(typed, corrects=corrects), 422
    flash(_told(kept, worked.to_rack), "good")
    return redirect(_after(receipt.project_id))


def _stored(typed: Typed, receipt: receipts.Receipt) -> tuple[PhotoDraft, ...]:
    """Its photos on the disk; none of a receipt that cannot be taken."""
    if typed.form.photos.pictures:
        with state.reading() as session:
            receipts.work_out(session, receipt, state.journal().today())
    return typed.form.photos.store()


def _told(kept: PurchaseRow, to_rack: int) -> str:
    paid = state.in_marks(units.format_money(kept.cents, state.display().currency))
    boards = f" {counted(to_rack, 'board')} on the rack." if to_rack else ""
    return f"Receipt kept: {counted(len(kept.lines), 'line')}, {paid}.{boards}"


def _after(project_id: int | None) -> str:
    return url_for("buying.buy", project_id=project_id) if project_id else url_for("rack.index")


def _show(typed: Typed, worked: receipts.Worked | None = None, *, corrects: int | None = None) -> str:
    hung = ()
    if corrects is not None:
        with state.reading() as session:
            hung = photos.of_purchase(session, corrects).hung
    return render_template("rack/receipt.html", page=pages.ReceiptPage(typed, worked, corrects, hung))
