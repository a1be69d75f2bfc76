"""What does it cost, until the shop has typed its own prices?  A starting assumption, and always shown as one."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from journal import units
from journal.reference import table

if TYPE_CHECKING:
    from journal.reference.table import Mark

FORMS = ("dimensional", "rough", "sheet", "hardware", "adhesive", "finish", "consumable")
PER = ("piece", "board_foot", "sheet", "container", "each")


@dataclass(frozen=True, slots=True)
class StartPrice:
    """One price to start with.

    Attributes:
        form: what kind of thing it is.
        code: what the shop calls it.
        species: of lumber.
        nominal: size as it is asked for, “2x8” or “8/4”.
        length_nm: dimensional lumber has one price a length; None otherwise.
        price_cents: in US cents, for one of `per`.
        class_key: row of sheet_goods, adhesives or finishes, or the feature word of hardware.
        container_ml: what a container holds.
        usual_width_nm, usual_length_nm: of a random-width board.
    """

    form: str
    code: str
    species: str
    nominal: str
    length_nm: int | None
    price_cents: int
    per: str
    class_key: str
    container_ml: int | None
    usual_width_nm: int | None
    usual_length_nm: int | None
    note: str
    source: str
    mark: Mark


def _start_price(
    *, length_ft: int | None, usual_width_in: int | None, usual_length_ft: int | None, **cells: object
) -> StartPrice:
    return StartPrice(
        length_nm=None if length_ft is None else units.feet(length_ft),
        usual_width_nm=None if usual_width_in is None else units.inches(usual_width_in),
        usual_length_nm=None if usual_length_ft is None else units.feet(usual_length_ft),
        **cells,  # type: ignore[arg-type]
    )


START_PRICES = table.Shape(
    file="start_prices.csv",
    columns={
        "form": table.one_of("form", lambda: FORMS),
        "code": table.text,
        "species": table.note,
        "nominal": table.note,
        "length_ft": table.optional(table.whole),
        "price_cents": table.whole,
        "per": table.one_of("per", lambda: PER),
        "class_key": table.note,
        "container_ml": table.optional(table.whole),
        "usual_width_in": table.optional(table.whole),
        "usual_length_ft": table.optional(table.whole),
        "note": table.note,
    },
    build=_start_price,
    key=lambda row: (row.code, row.length_nm),
)


@cache
def start_prices() -> tuple[StartPrice, ...]:
    """Every price to start with, in the order of the table."""
    return tuple(table.load_shared(START_PRICES))
