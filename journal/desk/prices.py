"""What the shop buys and what it pays: prices seen, stock added or put away."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from journal import reference, units
from journal.desk.shop import read_shop
from journal.desk.starting_stock import STARTING
from journal.errors import BadInput, MissingReference
from journal.records.queries import shop as shop_records
from journal.records.queries import stock as stock_records
from journal.records.queries.stock import ItemRow, PriceRow
from journal.records.words import PricePer, StockForm

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.records.queries.stock import PricedItem

DEFAULT_PER = {
    StockForm.DIMENSIONAL: PricePer.PIECE,
    StockForm.ROUGH: PricePer.BOARD_FOOT,
    StockForm.SHEET: PricePer.SHEET,
    StockForm.HARDWARE: PricePer.EACH,
    StockForm.ADHESIVE: PricePer.CONTAINER,
    StockForm.FINISH: PricePer.CONTAINER,
    StockForm.CONSUMABLE: PricePer.EACH,
}
_GOODS = (StockForm.SHEET, StockForm.ADHESIVE, StockForm.FINISH, StockForm.HARDWARE)
DAYS_UNTIL_STALE = 90


@dataclass(frozen=True, slots=True)
class Seen:
    """A price as it is shown: for what, how much, when it was seen.

    Attributes:
        starting: nobody's price yet, it came with the program.
        stale: seen so long ago that it should be looked at again.
    """

    length_nm: int | None
    price_cents: int
    on: date
    starting: bool
    stale: bool


@dataclass(frozen=True, slots=True)
class PricedStock:
    """One thing the shop buys, with its prices in force."""

    item: ItemRow
    per: PricePer
    prices: tuple[Seen, ...]


def listed(session: Session, today: date) -> tuple[PricedStock, ...]:
    """Everything the shop buys, by kind and code, with the prices in force."""
    order = list(StockForm)
    found = [_shown(priced, today) for priced in stock_records.stock_items(session, today)]
    return tuple(sorted(found, key=lambda stock: (order.index(stock.item.form), stock.item.code)))


def one(session: Session, item_id: int, today: date) -> PricedStock:
    """One thing the shop buys.

    Raises:
        MissingReference: there is none of that number.
    """
    for stock in listed(session, today):
        if stock.item.id == item_id:
            return stock
    raise MissingReference("stock", str(item_id), ())


def history(session: Session, item_id: int) -> tuple[PriceRow, ...]:
    """All prices ever seen for it, newest first."""
    return stock_records.price_history(session, item_id)


def see_price(
    session: Session, item_id: int, price_cents: int, *, length_nm: int | None, on: date, today: date
) -> None:
    """Keep a price seen on a day; earlier ones stay.

    Raises:
        BadInput: in the future, or a length for something not sold by length.
    """
    if on > today:
        raise BadInput("date", on, f"a day up to today, {today}")
    stock = one(session, item_id, today)
    if stock.item.form is StockForm.DIMENSIONAL and length_nm is None:
        raise BadInput("length", "", "the length this price is for")
    if stock.item.form is not StockForm.DIMENSIONAL and length_nm is not None:
        raise BadInput("length", units.format_length(length_nm), "nothing: it is not sold by length")
    stock_records.add_price(
        session, PriceRow(item_id=item_id, price_cents=price_cents, per=stock.per, on_date=on, length_nm=length_nm)
    )


def add_lumber(session: Session, *, code: str, species: str, nominal: str) -> ItemRow:
    """Add softwood by its nominal size (“2x8”) or hardwood by its quarter (“8/4”); its dressed size is looked up.

    Raises:
        BadInput: the code is taken, or the size is not in the tables.
    """
    reference.species(species)
    cleaned = nominal.lower().replace("×", "x").replace(" ", "")
    quarters = reference.hardwood_quarters()
    if cleaned in quarters:
        return stock_records.save_item(
            session,
            ItemRow(
                code=code.strip(),
                form=StockForm.ROUGH,
                species=species,
                nominal=cleaned,
                thickness_nm=quarters[cleaned].rough_nm,
                width_nm=units.inches(7),
                length_nm=units.feet(9),
            ),
        )
    thickness, times, width = cleaned.partition("x")
    if not times:
        raise BadInput("size", nominal, f"a nominal size such as 2x8, or a rough thickness: {', '.join(quarters)}")
    dressed_nm = reference.dressed(thickness, width)
    item = ItemRow(
        code=code.strip(),
        form=StockForm.DIMENSIONAL,
        species=species,
        nominal=cleaned,
        thickness_nm=dressed_nm[0],
        width_nm=dressed_nm[1],
    )
    return stock_records.save_item(session, item)


def add_goods(
    session: Session, *, code: str, form: StockForm, class_key: str, container_ml: float | None = None
) -> ItemRow:
    """Add a sheet, a glue, a finish or a piece of hardware (`form`) under the shop's own name for it (`code`).

    `class_key` is its row in the tables; a container of glue or finish holds `container_ml`.

    Raises:
        MissingReference: no such row.
        BadInput: the code is taken, or the container has no size.
    """
    kinds = goods(form)
    if class_key not in kinds:
        raise MissingReference("kind", class_key, tuple(kinds))
    poured = form in (StockForm.ADHESIVE, StockForm.FINISH)
    if poured and not container_ml:
        raise BadInput("container", container_ml, "what a container holds, such as 1 gal")
    sold = reference.sheet_goods()[class_key] if form is StockForm.SHEET else None
    item = ItemRow(
        code=code.strip(),
        form=form,
        class_key=class_key,
        container_ml=container_ml if poured else None,
        nominal=sold.nominal if sold else None,
        thickness_nm=sold.thickness_nm if sold else None,
        width_nm=sold.width_nm if sold else None,
        length_nm=sold.length_nm if sold else None,
    )
    return stock_records.save_item(session, item)


def goods(form: StockForm) -> Mapping[str, str]:
    """What there is of a kind: key and name, in the order of its table.

    Raises:
        MissingReference: lumber, which goes by size and wood instead.
    """
    if form is StockForm.SHEET:
        return {key: f"{sheet.kind}, {sheet.nominal}" for key, sheet in reference.sheet_goods().items()}
    if form is StockForm.ADHESIVE:
        return {key: glue.name for key, glue in reference.adhesives().items()}
    if form is StockForm.FINISH:
        return {key: finish.name for key, finish in reference.finishes().items()}
    if form is StockForm.HARDWARE:
        return {word: word for word, feature in reference.features().items() if feature.hardware}
    raise MissingReference("kind of goods", form.value, [known.value for known in _GOODS])


def put_away(session: Session, item_id: int, today: date) -> None:
    """Take something off the list of what the shop buys; its history stays. Twice is as good as once."""
    _archive(session, item_id, today, archived=True)


def take_back(session: Session, item_id: int, today: date) -> None:
    """Put something back on the list. Twice is as good as once."""
    _archive(session, item_id, today, archived=False)


def put_away_before(session: Session, today: date) -> tuple[ItemRow, ...]:
    """What was taken off the list, by code."""
    return tuple(priced.item for priced in stock_records.stock_items(session, today, archived=True))


def usual_species(session: Session, today: date) -> tuple[str, ...]:
    """The woods the shop buys, for choosing its usual one."""
    shop = read_shop(session, today)
    return tuple(dict.fromkeys(priced.item.species for priced in shop.items if priced.item.species))


def usual_wood(session: Session) -> str:
    """The wood the shop takes when nothing else is said."""
    return shop_records.get_shop(session).default_species


def _archive(session: Session, item_id: int, today: date, *, archived: bool) -> None:
    there = [*(stock.item for stock in listed(session, today)), *put_away_before(session, today)]
    item = next((item for item in there if item.id == item_id), None)
    if item is None:
        raise MissingReference("stock", str(item_id), ())
    stock_records.save_item(session, replace(item, archived=archived))


def _shown(priced: PricedItem, today: date) -> PricedStock:
    seen = tuple(
        Seen(
            length_nm=price.length_nm,
            price_cents=price.price_cents,
            on=price.on_date,
            starting=price.note == STARTING,
            stale=(today - price.on_date).days > DAYS_UNTIL_STALE,
        )
        for price in priced.prices
    )
    return PricedStock(priced.item, priced.prices[0].per if priced.prices else DEFAULT_PER[priced.item.form], seen)
