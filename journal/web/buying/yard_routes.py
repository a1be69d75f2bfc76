"""At the yard: tick what is in the cart, say what was there, plan again on the spot, keep the receipt."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, request, url_for

from journal import units
from journal.desk import at_the_yard
from journal.desk import buying as desk
from journal.errors import BadInput, Conflict, NoSolution
from journal.web import state
from journal.web.buying import pages, yard
from journal.web.buying.blueprint import bp
from journal.web.buying.forms import ReceiptForm
from journal.web.buying.routes import trips
from journal.working import counted

if TYPE_CHECKING:
    from collections.abc import Sequence

    from flask.typing import ResponseReturnValue

    from journal.desk.at_the_yard import Receipt, Replanned
    from journal.desk.buying import Shopping
    from journal.web.buying.yard import Read, YardRow

PLAN, BUY = "plan", "buy"


@bp.get("/<int:project_id>/buy/yard")
def buy_yard(project_id: int) -> ResponseReturnValue:
    """The list to tick off."""
    found = _found(project_id)
    return render_template("buying/yard.html", page=_page(found, ticked=request.args.getlist("got")))


@bp.post("/<int:project_id>/buy/yard/<int:number>")
def buy_yard_send(project_id: int, number: int) -> ResponseReturnValue:
    """One trip: planned again with what was there, or bought."""
    found = _found(project_id)
    all_trips = trips(found)
    form = ReceiptForm(prefix=_prefix(number))
    if not 1 <= number <= len(all_trips):
        raise Conflict("the list", "open it again")
    trip = all_trips[number - 1]
    rows = yard.rows_for(found, trip.lines, ())
    others = yard.other_lengths(found, trip.lines)
    typed = yard.read((*rows, *others), request.form)
    sent = _Sent(number, form, typed, len(rows))
    if not form.validate_on_submit() or typed.refused:
        return _again(found, sent), 422
    try:
        if request.form.get("do") == PLAN:
            return _plan(project_id, sent)
        return _buy(found, sent)
    except Conflict:
        return _again(_found(project_id), sent, conflict=True), 409
    except (BadInput, NoSolution) as refusal:
        form.form_errors.append(f"{str(refusal)[:1].upper()}{str(refusal)[1:]}.")
        return _again(found, sent), 422


class _Sent:
    """One trip as it was sent."""

    def __init__(self, number: int, form: ReceiptForm, typed: Read, listed: int) -> None:
        self.number = number
        self.form = form
        self.typed = typed
        self.rows: tuple[YardRow, ...] = typed.rows[:listed]
        self.others: tuple[YardRow, ...] = typed.rows[listed:]

    @property
    def ticked(self) -> list[str]:
        return [row.key for row in self.rows if row.ticked]

    def receipt(self) -> Receipt:
        return at_the_yard.Receipt(
            lines=self.typed.bought,
            supplier=self.form.supplier.data,
            freight_cents=self.form.freight.data or 0,
            tax_cents=self.form.tax.data or 0,
            note=self.form.note.data,
        )


def _plan(project_id: int, sent: _Sent) -> ResponseReturnValue:
    with state.writing() as session:
        done = at_the_yard.plan_with(
            session,
            project_id,
            sent.typed.there,
            today=state.journal().today(),
            now=state.now(),
            stamp=sent.form.stamp.data,
        )
    for one in done:
        flash(_told(one), "good")
    if not done:
        flash("Nothing new was said about what is there, so the plan stays.", "care")
    if sent.form.photos.lost:
        flash(f"Choose again once it is bought, as a page cannot keep files: {sent.form.photos.lost}.", "care")
    return redirect(url_for("buying.buy_yard", project_id=project_id, got=sent.ticked, _anchor="main"))


def _buy(found: Shopping, sent: _Sent) -> ResponseReturnValue:
    receipt, project_id = sent.receipt(), found.project.id
    if sent.form.stamp.data != found.stamp:  # before photos are put on the disk for it
        raise Conflict("the list", "look at it again")
    stored = sent.form.photos.store()
    with state.writing() as session:
        kept = at_the_yard.buy(
            session,
            project_id,
            receipt,
            today=state.journal().today(),
            now=state.now(),
            stamp=sent.form.stamp.data,
            stored=stored,
        )
    paid = sum(line.price_cents for line in kept.lines) + kept.freight_cents + kept.tax_cents
    things = counted(len(kept.lines), "thing")
    flash(f"On the receipt: {things}, {_money(paid)}.", "good")
    return redirect(url_for("buying.buy_yard", project_id=project_id, _anchor="main"))


def _prefix(number: int) -> str:
    """Tells the boxes of one trip's form from those of another on the page."""
    return f"t{number}-"


def _told(one: Replanned) -> str:
    if one.more_cents:
        difference = f"{_money(abs(one.more_cents))} {'more' if one.more_cents > 0 else 'less'}"
    else:
        difference = "for the same money"
    short = f" {one.needs.short} spare could not be had." if one.needs.short else ""
    return f"{one.stock} is planned again: {difference}.{short}"


def _money(cents: int) -> str:
    return state.in_marks(units.format_money(cents, state.display().currency))


def _found(project_id: int) -> Shopping:
    with state.reading() as session:
        return desk.shopping(session, project_id, state.journal().today())


def _page(found: Shopping, *, ticked: Sequence[str] = ()) -> pages.YardPage:
    made = []
    for number, trip in enumerate(trips(found), 1):
        form = ReceiptForm(formdata=None, prefix=_prefix(number), supplier=trip.supplier, stamp=found.stamp)
        rows = yard.rows_for(found, trip.lines, ticked)
        made.append(pages.YardTrip(number, trip.supplier, rows, yard.other_lengths(found, trip.lines), form))
    return pages.YardPage(found.project, tuple(made), found.cents)


def _again(found: Shopping, sent: _Sent, *, conflict: bool = False) -> str:
    """The page with the trip that was refused as it was filled in."""
    page = _page(found)
    sent.form.stamp.data = found.stamp
    sent.form.stamp.raw_data = None
    refilled = []
    for trip in page.trips:
        if trip.number != sent.number:
            refilled.append(trip)
            continue
        if not conflict:
            rows, others = sent.rows, sent.others
        else:  # the list as it is now, with the ticks that still mean something
            rows = tuple(yard.tick(row, sent.ticked) for row in trip.rows)
            others = trip.others
        refilled.append(pages.YardTrip(trip.number, trip.supplier, rows, others, sent.form, conflict))
    return render_template("buying/yard.html", page=pages.YardPage(page.project, tuple(refilled), page.cents))
