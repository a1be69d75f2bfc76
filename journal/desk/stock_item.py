"""A thing the shop buys, as the build room and the cost lines know it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal import reference, units
from journal.build.stock import Dimensional, Offer, Rough, Sheet, Stock
from journal.desk.starting_stock import STARTING
from journal.errors import BadInput
from journal.quote.costing import Supply
from journal.records.words import PricePer, StockForm

if TYPE_CHECKING:
    from journal.records.queries.stock import PricedItem, PriceRow


def stock_of(priced: PricedItem) -> Stock | None:
    """A stock item as the build room knows it; None for what is not wood, or has no price."""
    item = priced.item
    if not priced.prices or item.thickness_nm is None:
        return None
    if item.form is StockForm.DIMENSIONAL:
        return _dimensional(priced)
    if item.form is StockForm.ROUGH:
        return Rough(
            code=item.code,
            species=item.species or "",
            quarter=item.nominal or "",
            thickness_nm=item.thickness_nm,
            offer=_offer(priced.prices[0]),
            usual_width_nm=item.width_nm or units.inches(7),
            usual_length_nm=item.length_nm or units.feet(9),
        )
    if item.form is StockForm.SHEET:
        kind = reference.sheet_goods().get(item.class_key or "")
        return Sheet(
            code=item.code,
            kind=kind.kind if kind else item.code,
            thickness_nm=item.thickness_nm,
            width_nm=item.width_nm or units.feet(4),
            length_nm=item.length_nm or units.feet(8),
            offer=_offer(priced.prices[0]),
            density_kg_m3=kind.density_kg_m3 if kind else 600.0,
            grain=bool(kind and kind.grained),
            nominal_thickness_nm=_nominal_sheet(kind.nominal) if kind else 0,
        )
    return None


def _nominal_sheet(nominal: str) -> int:
    return units.parse_length(nominal)


def _dimensional(priced: PricedItem) -> Dimensional | None:
    item = priced.item
    nominal = (item.nominal or item.code.split()[0]).lower().replace("×", "x")
    thickness, _, width = nominal.partition("x")
    offers = []
    for price in priced.prices:
        if price.per is PricePer.FOOT and price.length_nm is None:
            offers += [_by_the_foot(price, length_nm) for length_nm in reference.lengths_sold("softwood")]
        elif price.length_nm is not None:
            offers.append(_offer(price))
    if not offers or item.width_nm is None or item.thickness_nm is None:
        return None
    return Dimensional(
        code=item.code,
        species=item.species or "",
        nominal=nominal,
        thickness_nm=item.thickness_nm,
        width_nm=item.width_nm,
        nominal_thickness_nm=_nominal(thickness, item.thickness_nm),
        nominal_width_nm=_nominal(width, item.width_nm),
        offers=tuple(sorted(offers, key=lambda offer: offer.length_nm)),
    )


def _nominal(text: str, dressed_nm: int) -> int:
    try:
        return units.parse_length(text)
    except BadInput:
        return dressed_nm


def _offer(price: PriceRow) -> Offer:
    return Offer(price.price_cents, None if price.note == STARTING else price.on_date, price.length_nm or 0)


def _by_the_foot(price: PriceRow, length_nm: int) -> Offer:
    whole = _offer(price)
    return Offer(units.round_half_up(whole.price_cents * units.to_feet(length_nm)), whole.on, length_nm)


def supply_of(priced: PricedItem) -> Supply:
    """A priced item as the cost lines know it; it must have a price."""
    price = priced.prices[0]
    return Supply(
        code=priced.item.code,
        price_cents=price.price_cents,
        container_ml=priced.item.container_ml or 0.0,
        on=None if price.note == STARTING else price.on_date,
    )
