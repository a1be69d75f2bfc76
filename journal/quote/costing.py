"""What a commission costs: materials by the price book, hours at the shop's rates, machines by the hour.

Every line shows its mean; contingency is not here, because percentiles do not add (see `estimate`).
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from journal import units
from journal.build.stock import Dimensional, Rough
from journal.errors import BadInput
from journal.quote.wages import FROM_SETTING
from journal.working import Basis, Line, counted, reads_right

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from journal.quote.takeoff import Purchase, StockBill, Takeoff

_SCREW = "screw"  # the feature
# What nobody has typed yet, and where it is.
STARTING_PRICE = "a starting price, replace it under Prices"


@dataclass(frozen=True, slots=True)
class Supply:
    """A glue, finish or piece of hardware with its price.

    Attributes:
        code: what the shop calls it.
        price_cents: for one container or piece.
        container_ml: what a container holds; 0 for a piece.
        on: when the price was seen; None for a starting assumption.
    """

    code: str
    price_cents: int
    container_ml: float = 0.0
    on: date | None = None


@dataclass(frozen=True, slots=True)
class Supplies:
    """What a commission uses besides wood; None where the shop has no price for it."""

    glue: Supply | None
    finish: Supply | None
    hardware: Mapping[str, Supply]


@dataclass(frozen=True, slots=True)
class Rates:
    """What an hour costs, and what is put on top.

    Attributes:
        wage_cents_per_hour, overhead_cents_per_hour: for a person's hour of work.
        machine_cents_per_hour: by kind of machine, for its running hour; never also in the overhead.
        consumables_share: abrasives, blades, rags, as a share of materials.
        margin: profit as a share of the price.
        confidence: the chance that the price covers the cost.
        rounding_cents: prices are whole multiples of it.
        currency: in which all of it is.
        shown: how the shop writes quantities.
        hired_cents_per_hour: the part of the wage that is paid out to hired hands, whatever the job brings.
        wage_source: where the wage came from.
        wage_said, overhead_said: whether the shop set it itself, or it is what every journal starts with.
    """

    wage_cents_per_hour: int
    overhead_cents_per_hour: int
    machine_cents_per_hour: Mapping[str, int]
    consumables_share: float
    margin: float
    confidence: float
    currency: units.Currency
    rounding_cents: int = 1
    shown: units.Shown = units.IN_INCHES
    hired_cents_per_hour: int = 0
    wage_source: str = FROM_SETTING
    wage_said: bool = True
    overhead_said: bool = True

    def money(self, cents: float) -> str:
        """An amount as text, in the shop's currency."""
        return units.format_money(units.round_half_up(cents), self.currency)

    def __post_init__(self) -> None:
        if self.wage_cents_per_hour < 0 or self.overhead_cents_per_hour < 0:
            raise BadInput("rate", min(self.wage_cents_per_hour, self.overhead_cents_per_hour), "zero or more an hour")
        if not 0 <= self.hired_cents_per_hour <= self.wage_cents_per_hour:
            raise BadInput("hired wage", self.hired_cents_per_hour, "a part of the wage")
        if not 0 <= self.margin < 1:
            raise BadInput("margin", f"{self.margin:.0%}", "0% to under 100% of the price")
        if not 0.5 <= self.confidence <= 0.99:
            raise BadInput("confidence", f"{self.confidence:.0%}", "50% to 99%")
        if self.rounding_cents < 1:
            raise BadInput("rounding", self.rounding_cents, "1 cent or more")


@dataclass(frozen=True, slots=True)
class Materials:
    """Mean cost of materials in cents, by how it varies, and the lines that explain it."""

    boards: Line
    glue: Line
    finish: Line
    hardware: Line
    consumables: Line
    missing: tuple[str, ...]

    @property
    def lines(self) -> tuple[Line, ...]:
        """The lines that are not nothing; one without a price stays, and says that it is left out."""
        return tuple(
            line
            for line in (self.boards, self.glue, self.finish, self.hardware, self.consumables)
            if line.value or line.parts or not line.working.startswith("none")
        )


def materials(takeoff: Takeoff, supplies: Supplies, rates: Rates) -> Materials:
    """Cost of everything bought; what has no price is named in `missing` and left out, never guessed."""
    missing: list[str] = []
    boards = total("Boards and sheets", [_bill_line(bill, rates) for bill in takeoff.bills])
    glue = _liquid_line("Glue", takeoff.glue.ml, supplies.glue, missing, _glue_working(takeoff, rates), rates)
    finish = _liquid_line("Finish", takeoff.finish_ml, supplies.finish, missing, _finish_working(takeoff, rates), rates)
    hardware = total(
        "Hardware",
        [line for word, count in takeoff.hardware if (line := _hardware_line(word, count, supplies, missing, rates))],
    )
    bought = sum(int(line.value) for line in (boards, glue, finish, hardware))
    share = Fraction(str(rates.consumables_share))
    consumables = Line(
        "Abrasives, blades, rags",
        units.round_half_up(bought * share),
        "cents",
        f"{float(share):.1%} of materials{_screws(takeoff)}",
        Basis.SETTING,
        "setting: consumables",
    )
    return Materials(boards, glue, finish, hardware, consumables, tuple(missing))


def _screws(takeoff: Takeoff) -> str:
    """Screws are driven and have no price of their own."""
    count = sum(m.pieces * m.part.count(_SCREW) for m in takeoff.milled)
    return f"; {counted(count, 'screw')} among them" if count else ""


def total(name: str, parts: Sequence[Line], *, working: str = "") -> Line:
    """A line that is the sum of its parts."""
    shown = working or (f"sum of {len(parts)} lines" if len(parts) != 1 else "its one line")
    return Line(
        name, sum(part.value for part in parts), "cents", shown if parts else "none", Basis.WORKED, parts=tuple(parts)
    )


def _price_basis(on: date | None) -> tuple[Basis, str]:
    return (Basis.PRICES, f"price of {on:%Y-%m-%d}") if on else (Basis.BOOK, STARTING_PRICE)


def _bill_line(bill: StockBill, rates: Rates) -> Line:
    stock = bill.stock
    if isinstance(stock, Rough):
        basis, source = _price_basis(stock.offer.on)
        net, waste, bought = reads_right(bill.net_board_feet, bill.reject, bill.board_feet, lambda a, b: a / (1 - b))
        working = (
            f"{net} bd ft of blanks ÷ (1 − {waste} waste) = {bought} bd ft "
            f"× {rates.money(stock.offer.price_cents)} a board foot"
        )
        return Line(stock.code, bill.cents, "cents", working, basis, source)
    kind = "board" if isinstance(stock, Dimensional) else "sheet"
    parts = tuple(_purchase_line(stock.code, purchase, rates) for purchase in bill.purchases)
    spares = sum(purchase.spares for purchase in bill.purchases)
    count = sum(purchase.count for purchase in bill.purchases)
    working = counted(count, kind) + (
        f", {spares} of them spare: {count - spares} in the plan ÷ (1 − {bill.reject:.0%} rejects)" if spares else ""
    )
    if bill.cutting:
        working += f"; no plan of these cuts costs less than {rates.money(bill.cutting.bound_cents)} before spares"
    basis, source = _price_basis(_oldest(bill.purchases))
    return Line(stock.code, bill.cents, "cents", working, basis, source, parts=parts)


def _oldest(purchases: Sequence[Purchase]) -> date | None:
    """The day of the oldest price among them; None when one of them is only a starting price."""
    days = [purchase.offer.on for purchase in purchases]
    return None if None in days else min((day for day in days if day), default=None)


def _purchase_line(code: str, purchase: Purchase, rates: Rates) -> Line:
    offer = purchase.offer
    basis, source = _price_basis(offer.on)
    name = f"{code}, {rates.shown.length(offer.length_nm, feet=True)}" if offer.length_nm else code
    spare = f" ({purchase.spares} spare)" if purchase.spares else ""
    return Line(
        name, purchase.cents, "cents", f"{purchase.count} × {rates.money(offer.price_cents)}{spare}", basis, source
    )


def _liquid_line(name: str, ml: float, supply: Supply | None, missing: list[str], how: str, rates: Rates) -> Line:
    if not ml:
        return Line(name, 0, "cents", "none needed", Basis.WORKED)
    if supply is None or not supply.container_ml:
        missing.append(f"{name.lower()}: {rates.shown.liquid(ml)}, no price for it")
        return Line(name, 0, "cents", f"{how}; no price for it, so it is left out", Basis.WORKED)
    cents = units.round_half_up(Fraction(str(ml)) * supply.price_cents / Fraction(str(supply.container_ml)))
    basis, source = _price_basis(supply.on)
    working = f"{how} = {rates.shown.liquid(ml)} at {rates.money(supply.price_cents)} for {rates.shown.liquid(supply.container_ml)}"
    return Line(f"{name}: {supply.code}", cents, "cents", working, basis, source)


def _glue_working(takeoff: Takeoff, rates: Rates) -> str:
    return f"{rates.shown.area(takeoff.glue.area_nm2)} of glue line and joints in {counted(sum(up.times for up in takeoff.ups), 'glue-up')}"


def _finish_working(takeoff: Takeoff, rates: Rates) -> str:
    return f"{rates.shown.area(takeoff.surface.area_nm2)}, all coats"


def _hardware_line(word: str, count: int, supplies: Supplies, missing: list[str], rates: Rates) -> Line | None:
    supply = supplies.hardware.get(word)
    if supply is None:
        missing.append(f"{word}: {count}, no price for it")
        return None
    basis, source = _price_basis(supply.on)
    return Line(
        supply.code, count * supply.price_cents, "cents", f"{count} × {rates.money(supply.price_cents)}", basis, source
    )
