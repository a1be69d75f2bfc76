"""The price list, a price seen, something added, something put away."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.exceptions import NotFound

from journal import reference
from journal.desk import prices as desk
from journal.errors import BadInput, MissingReference
from journal.records.words import StockForm
from journal.web import filters, forms
from journal.web.nav import Link
from journal.web.prices.forms import (
    FinishForm,
    GlueForm,
    GoodsForm,
    HardwareForm,
    LumberForm,
    PriceForm,
    SheetForm,
    lumber_price_form,
)
from journal.web.prices.pages import (
    AddPage,
    Listing,
    Opened,
    PricesPage,
    past_days,
    per_words,
    price_boxes,
    price_groups,
)
from journal.web.state import journal, reading, writing

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue
    from sqlalchemy.orm import Session

    from journal.desk.prices import PricedStock

bp = Blueprint("prices", __name__, template_folder="templates", url_prefix="/prices")

_KINDS: dict[str, tuple[str, type[LumberForm | GoodsForm]]] = {
    "lumber": ("Lumber", LumberForm),
    "sheet": ("Sheet", SheetForm),
    "glue": ("Glue", GlueForm),
    "finish": ("Finish", FinishForm),
    "hardware": ("Hardware", HardwareForm),
}


@bp.get("")
def index() -> ResponseReturnValue:
    """The price list; `away` names what was just put away, so that it can be taken back."""
    with reading() as session:
        page = _page(session, undo_id=request.args.get("away", default=0, type=int))
    return render_template("prices/index.html", page=page)


@bp.get("/<int:item_id>")
def show(item_id: int) -> ResponseReturnValue:
    """The price list with one thing open: its history, and a form for a price seen."""
    with reading() as session:
        stock = desk.one(session, item_id, journal().today())
        form = _form_for(stock)(date=journal().today())
        page = _page(session, opened=_opened(session, stock, form))
    return render_template("prices/index.html", page=page)


@bp.post("/<int:item_id>/seen")
def see(item_id: int) -> ResponseReturnValue:
    """Keep the prices seen."""
    today = journal().today()
    with reading() as session:
        stock = desk.one(session, item_id, today)
    form = _form_for(stock)(date=today)
    if form.validate_on_submit() and _keep_prices(item_id, form):
        flash(f"{stock.item.code}: {_said(form)}, seen on {filters.day(form.date.data)}.", "good")
        return redirect(url_for("prices.show", item_id=item_id, _anchor=f"item-{item_id}"))
    with reading() as session:
        page = _page(session, opened=_opened(session, stock, form))
    return render_template("prices/index.html", page=page), 422


@bp.post("/<int:item_id>/put-away")
def put_away(item_id: int) -> ResponseReturnValue:
    """Take something off the list."""
    with writing() as session:
        desk.put_away(session, item_id, journal().today())
    return redirect(url_for("prices.index", away=item_id))


@bp.post("/<int:item_id>/take-back")
def take_back(item_id: int) -> ResponseReturnValue:
    """Put something back on the list."""
    with writing() as session:
        desk.take_back(session, item_id, journal().today())
    return redirect(url_for("prices.show", item_id=item_id, _anchor=f"item-{item_id}"))


@bp.route("/add/<kind>", methods=["GET", "POST"])
def add(kind: str) -> ResponseReturnValue:
    """A form for something new to buy, by the name that was missed; its price is typed in the list afterwards."""
    if kind not in _KINDS:
        raise NotFound
    name, form_class = _KINDS[kind]
    form = form_class(stock=request.args.get("stock", ""))
    if form.validate_on_submit():
        item_id = _add(form)
        if item_id:
            flash(f"{form.stock.data} is on the list; now type what it costs.", "good")
            return redirect(url_for("prices.show", item_id=item_id, _anchor=f"item-{item_id}"))
    links = tuple(
        Link(label, url_for("prices.add", kind=key), current=key == kind) for key, (label, _) in _KINDS.items()
    )
    page = AddPage(name, links, form, url_for("prices.add", kind=kind))
    return render_template("prices/add.html", page=page), 422 if form.refused() else 200


def _page(session: Session, *, opened: Opened | None = None, undo_id: int = 0) -> PricesPage:
    today = journal().today()
    listing = Listing(today, desk.usual_wood(session), opened.item_id if opened else 0)
    groups = price_groups(desk.listed(session, today), listing)
    ages = [line.age for group in groups for fold in group.folds for line in fold.lines]
    away = desk.put_away_before(session, today)
    return PricesPage(
        groups=groups,
        things=len(ages),
        starting=sum(age.of > 0 and age.starting == age.of for age in ages),
        stale=sum(age.stale for age in ages),
        opened=opened,
        put_away=away,
        undo=next((item for item in away if item.id == undo_id), None),
    )


def _opened(session: Session, stock: PricedStock, form: PriceForm) -> Opened:
    return Opened(
        item_id=stock.item.id,
        form=form,
        boxes=price_boxes(form, stock, journal().today()),
        history=past_days(desk.history(session, stock.item.id)),
        by_length=stock.item.form is StockForm.DIMENSIONAL,
        per=per_words(stock),
    )


def _form_for(stock: PricedStock) -> type[PriceForm]:
    if stock.item.form is not StockForm.DIMENSIONAL:
        return PriceForm
    priced = {seen.length_nm for seen in stock.prices if seen.length_nm is not None}
    return lumber_price_form(tuple(sorted(priced.union(reference.lengths_sold("softwood")))))


def _keep_prices(item_id: int, form: PriceForm) -> bool:
    """All of the prices typed, or none of them."""
    try:
        with writing() as session:
            for length_nm, price_cents in form.typed():
                desk.see_price(
                    session,
                    item_id,
                    price_cents,
                    length_nm=length_nm,
                    on=form.date.data,
                    today=journal().today(),
                )
    except BadInput as refused:
        forms.attach(form, refused)
        return False
    return True


def _said(form: PriceForm) -> str:
    return ", ".join(
        f"{filters.feet(length_nm)} {filters.money(cents)}" if length_nm else filters.money(cents)
        for length_nm, cents in form.typed()
    )


def _add(form: LumberForm | GoodsForm) -> int:
    """The number of the thing added; 0 when it was refused, and then the form says why."""
    try:
        with writing() as session:
            if isinstance(form, LumberForm):
                added = desk.add_lumber(session, code=form.stock.data, species=form.wood.data, nominal=form.size.data)
            else:
                added = desk.add_goods(
                    session,
                    code=form.stock.data,
                    form=form.of,
                    class_key=form.kind.data,
                    container_ml=form.container_ml,
                )
    except BadInput as refused:
        forms.attach(form, refused)
    except MissingReference as missing:  # only a size can be missing: the rest is chosen from a list
        _show_known_sizes(form, missing)
    else:
        return added.id
    return 0


def _show_known_sizes(form: LumberForm | GoodsForm, missing: MissingReference) -> None:
    known = ", ".join(missing.known)
    field = form.size if isinstance(form, LumberForm) else form.kind
    field.errors = [f"There is no {missing.kind} of “{missing.name}”. Known: {known}."]
