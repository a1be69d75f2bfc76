"""Stock items, their price history, and the prices in force on a day."""

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import date
from typing import Any

from sqlalchemy import Select, func, insert, select
from sqlalchemy.orm import Session

from journal.errors import BadInput, MissingReference
from journal.records.queries.values import require_from, require_text, to_value
from journal.records.tables import StockItem, StockPrice
from journal.records.words import WOOD, PricePer, StockForm


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemRow:
    """A thing the shop buys. id 0: not saved yet."""

    code: str
    form: StockForm
    species: str | None = None
    nominal: str | None = None
    thickness_nm: int | None = None
    width_nm: int | None = None
    length_nm: int | None = None
    container_ml: float | None = None
    class_key: str | None = None
    supplier: str = ""
    on_hand: float = 0.0
    archived: bool = False
    id: int = 0

    def __post_init__(self) -> None:
        require_text("stock", self.code, "a code, such as 2x8 SPF")
        if self.form in WOOD and self.thickness_nm is None:
            raise BadInput(f"thickness of {self.code}", None, "a thickness: without it nothing can be cut from it")
        for field in ("thickness_nm", "width_nm", "length_nm"):
            require_from(f"{field} of {self.code}", getattr(self, field), 1, "a length over 0, or nothing")
        require_from(f"container of {self.code}", self.container_ml, 1e-6, "an amount over 0, or nothing")
        require_from(f"on hand of {self.code}", self.on_hand, 0, "0 or more")


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceRow:
    """One price on one day; a length when the price is for that length only. id 0: not saved yet."""

    item_id: int
    price_cents: int
    per: PricePer
    on_date: date
    length_nm: int | None = None
    supplier: str = ""
    note: str = ""
    id: int = 0

    def __post_init__(self) -> None:
        require_from("price", self.price_cents, 0, "an amount, 0 or more")
        require_from("length", self.length_nm, 1, "a length over 0, or nothing")


@dataclass(frozen=True, slots=True)
class PricedItem:
    """An item with its prices in force, shortest length first; no prices: none known on that day."""

    item: ItemRow
    prices: tuple[PriceRow, ...]


def stock_items(
    session: Session, on: date, *, form: StockForm | None = None, archived: bool = False
) -> tuple[PricedItem, ...]:
    """All items by code with the newest price of each length on or before a day. Two statements."""
    query = select(StockItem).where(StockItem.archived.is_(archived)).order_by(StockItem.code)
    if form is not None:
        query = query.where(StockItem.form == form)
    in_force: dict[int, list[PriceRow]] = {}
    for row in session.scalars(_in_force(on)):
        in_force.setdefault(row.item_id, []).append(to_value(PriceRow, row))
    return tuple(PricedItem(to_value(ItemRow, row), tuple(in_force.get(row.id, ()))) for row in session.scalars(query))


def price_history(session: Session, item_id: int) -> tuple[PriceRow, ...]:
    """All prices of an item, newest first."""
    query = select(StockPrice).where(StockPrice.item_id == item_id)
    newest_first = query.order_by(StockPrice.on_date.desc(), StockPrice.length_nm, StockPrice.id.desc())
    return tuple(to_value(PriceRow, row) for row in session.scalars(newest_first))


def price_histories(session: Session) -> dict[int, tuple[PriceRow, ...]]:
    """All prices of every item, newest first, by the item's id. One statement."""
    newest_first = select(StockPrice).order_by(StockPrice.on_date.desc(), StockPrice.length_nm, StockPrice.id.desc())
    found: dict[int, list[PriceRow]] = {}
    for row in session.scalars(newest_first):
        found.setdefault(row.item_id, []).append(to_value(PriceRow, row))
    return {item_id: tuple(rows) for item_id, rows in found.items()}


def find_item(session: Session, code: str) -> ItemRow:
    """One item by its code; MissingReference lists the others."""
    row = session.scalar(select(StockItem).where(StockItem.code == code))
    if row is None:
        raise MissingReference("stock", code, list(session.scalars(select(StockItem.code).order_by(StockItem.code))))
    return to_value(ItemRow, row)


def save_item(session: Session, item: ItemRow) -> ItemRow:
    """Keep an item: a new one when its id is 0. Its code must be free."""
    holder = session.scalar(select(StockItem.id).where(StockItem.code == item.code))
    if holder not in (None, item.id):
        raise BadInput("stock", item.code, "a code that no other stock has")
    row = session.get(StockItem, item.id) if item.id else StockItem()
    if row is None:
        raise MissingReference("stock", str(item.id), [])
    for name, value in _columns(item).items():
        setattr(row, name, value)
    session.add(row)
    session.flush()
    return to_value(ItemRow, row)


def add_price(session: Session, price: PriceRow) -> PriceRow:
    """Keep one more price; earlier ones stay."""
    row = StockPrice(**_columns(price))
    session.add(row)
    session.flush()
    return to_value(PriceRow, row)


def add_stock(session: Session, stock: Iterable[PricedItem]) -> None:
    """Keep many new items with their prices, in a handful of statements; no code of theirs may be taken."""
    found = list(stock)
    if not found:
        return
    session.execute(insert(StockItem), [_columns(one.item) for one in found])
    ids = {code: item_id for item_id, code in session.execute(select(StockItem.id, StockItem.code))}
    prices = [_columns(price) | {"item_id": ids[one.item.code]} for one in found for price in one.prices]
    if prices:
        session.execute(insert(StockPrice), prices)


def _columns(row: ItemRow | PriceRow) -> dict[str, Any]:
    return {name: value for name, value in asdict(row).items() if name != "id"}


def _in_force(on: date) -> Select[StockPrice]:
    newest = (StockPrice.on_date.desc(), StockPrice.id.desc())
    place = func.row_number().over(partition_by=(StockPrice.item_id, StockPrice.length_nm), order_by=newest)
    ranked = select(StockPrice.id, place.label("place")).where(StockPrice.on_date <= on).subquery()
    query = select(StockPrice).join(ranked, ranked.c.id == StockPrice.id).where(ranked.c.place == 1)
    return query.order_by(StockPrice.item_id, StockPrice.length_nm)
