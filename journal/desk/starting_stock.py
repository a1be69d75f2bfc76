"""What an empty journal begins with: stock and prices that came with the program, and are marked as such."""

from __future__ import annotations

from datetime import date
from functools import cache
from typing import TYPE_CHECKING

from journal import reference
from journal.records.engine import reading, writing
from journal.records.queries import stock as stock_records
from journal.records.queries.stock import ItemRow, PricedItem, PriceRow
from journal.records.words import PricePer, StockForm
from journal.reference.prices import StartPrice, start_prices

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy import Engine

# A price with this note is nobody's price yet: it came with the program.
STARTING = "starting assumption"
_STARTING_DAY = date(2000, 1, 1)  # long ago, so that any price somebody saw is newer


def set_up(engine: Engine, today: date) -> None:
    """Give an empty journal the starting stock and prices, marked as such; a journal that has stock is left alone."""
    with reading(engine) as session:
        if stock_records.stock_items(session, today) or stock_records.stock_items(session, today, archived=True):
            return
    with writing(engine) as session:
        stock_records.add_stock(session, start_items())


@cache
def start_items() -> tuple[PricedItem, ...]:
    """The starting stock and prices, in the order of their table; every price carries the note STARTING."""
    grouped: dict[str, list[StartPrice]] = {}
    for row in start_prices():
        grouped.setdefault(row.code, []).append(row)
    return tuple(_start_item(rows) for rows in grouped.values())


def _start_item(rows: Sequence[StartPrice]) -> PricedItem:
    first = rows[0]
    thickness, width, length = _start_sizes(first)
    item = ItemRow(
        code=first.code,
        form=StockForm(first.form),
        species=first.species or None,
        nominal=first.nominal or None,
        thickness_nm=thickness,
        width_nm=width,
        length_nm=length,
        container_ml=first.container_ml,
        class_key=first.class_key or None,
    )
    prices = tuple(
        PriceRow(
            item_id=0,
            price_cents=row.price_cents,
            per=PricePer(row.per),
            on_date=_STARTING_DAY,
            length_nm=row.length_nm,
            note=STARTING,
        )
        for row in rows
    )
    return PricedItem(item, prices)


def _start_sizes(row: StartPrice) -> tuple[int | None, int | None, int | None]:
    if row.form == "dimensional":
        thickness, width = row.nominal.split("x")
        return (*reference.dressed(thickness, width), None)
    if row.form == "rough":
        return reference.hardwood_quarters()[row.nominal].rough_nm, row.usual_width_nm, row.usual_length_nm
    if row.form == "sheet":
        sheet = reference.sheet_goods()[row.class_key]
        return sheet.thickness_nm, sheet.width_nm, sheet.length_nm
    return None, None, None
