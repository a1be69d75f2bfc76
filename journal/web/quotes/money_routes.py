"""Money in: what is due, what was paid, receipts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, url_for

from journal.desk import payments
from journal.errors import BadInput, Conflict
from journal.paper.quote import receipt_paper
from journal.paper.quote_print import receipt_pdf
from journal.web import filters, forms, state
from journal.web.quotes.blueprint import bp
from journal.web.quotes.draft_routes import pdf_response
from journal.web.quotes.forms import PaymentForm
from journal.web.quotes.pages import MoneyPage

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue


@bp.get("/projects/<int:project_id>/money")
def show_money(project_id: int) -> ResponseReturnValue:
    """What is still owed before unloading."""
    return _show(project_id)


@bp.post("/projects/<int:project_id>/money")
def show_pay(project_id: int) -> ResponseReturnValue:
    """Enter a payment, or a refund."""
    form, today = PaymentForm(), state.journal().today()
    if not form.validate_on_submit():
        return _show(project_id, form), 422
    try:
        with state.writing() as session:
            paid, seen = form.paid(today), form.seen.data
            meant = form.meant.data
            row = payments.pay(session, project_id, paid, seen=seen, today=today, now=state.now(), meant=meant)
    except Conflict:
        return _show(project_id, form, conflict=True), 409
    except BadInput as refusal:
        forms.attach(form, refusal)
        return _show(project_id, form), 422
    except payments.MoreThanOwed as asked:
        more = filters.money(asked.more_cents)
        form.amount.errors = [f"That is {more} more than is owed. Mend it, or tick below to enter it all the same."]
        return _show(project_id, form, over=True), 422
    flash(f"Kept; its receipt is {row.number}.", "good")
    return redirect(url_for("quotes.show_money", project_id=project_id))


@bp.get("/projects/<int:project_id>/money/<int:payment_id>.pdf")
def show_receipt(project_id: int, payment_id: int) -> ResponseReturnValue:
    """A receipt on paper, as it was written."""
    with state.reading() as session:
        said = payments.receipt(session, project_id, payment_id)
    return pdf_response(receipt_pdf(receipt_paper(said)), f"receipt-{said['number']}")


def _show(project_id: int, form: PaymentForm | None = None, *, conflict: bool = False, over: bool = False) -> str:
    today = state.journal().today()
    with state.reading() as session:
        money = payments.money_of(session, project_id)
    if form is None:
        due = money.next_due
        form = PaymentForm(formdata=None, amount=due.left_cents if due else None, on=today, seen=len(money.payments))
    elif conflict:
        form.seen.data = len(money.payments)
    return render_template("quotes/money.html", page=MoneyPage(money, form, conflict, over))
