"""What a running hour of a machine costs: wear, upkeep, standing charges, power, blades.

    wear = (purchase − salvage) ÷ life        upkeep, standing = a year of it ÷ hours a year
    power = kW × load × price of a kWh        blades = a set ÷ the hours it lasts

The shape is that of a textbook machine-hour rate. What is counted here must not be in the overhead as well; see
`shop_rate.looks_like_machine`.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from journal import units
from journal.errors import BadInput
from journal.units.money import MAX_MINOR
from journal.working import Basis, Line

# A machine that ran day and night for a century.
LONGEST_LIFE_HOURS = 1_000_000
HOURS_IN_A_YEAR = 8_784
SOURCE = "the machine’s figures"


@dataclass(frozen=True, slots=True)
class MachineCost:
    """What a machine costs, as the shop knows it. Amounts in cents; a price of electricity may be a part of a cent.

    Attributes:
        purchase_cents, salvage_cents: paid for it, and what it will bring in the end.
        life_hours: running hours until then.
        hours_a_year: running hours a year; upkeep and standing charges are spread over them.
        upkeep_cents_a_year: repairs, belts, bearings.
        standing_cents_a_year: what it costs standing still, such as its insurance; not if the overhead has it.
        power_kw: of its motor.
        load: share of it drawn while it runs, 0 to 1.
        kwh_cents: price of a kilowatt-hour.
        blade_cents: a set of blades, knives or bits, with its sharpenings.
        blade_hours: running hours that a set lasts; 0 where there is none.
    """

    purchase_cents: int
    life_hours: Fraction
    hours_a_year: Fraction
    salvage_cents: int = 0
    upkeep_cents_a_year: int = 0
    standing_cents_a_year: int = 0
    power_kw: Fraction = Fraction(0)
    load: Fraction = Fraction(1)
    kwh_cents: Fraction = Fraction(0)
    blade_cents: int = 0
    blade_hours: Fraction = Fraction(0)

    def __post_init__(self) -> None:
        for name, field in _AMOUNTS.items():
            if not 0 <= getattr(self, name) <= MAX_MINOR:
                raise BadInput(field, getattr(self, name), "an amount, 0 or more")
        for name, (field, most, unit) in _FIGURES.items():
            if not 0 <= getattr(self, name) <= most:
                raise BadInput(field, f"{float(getattr(self, name)):g}", f"0 to {most:,}{unit}")
        if self.salvage_cents > self.purchase_cents:
            raise BadInput("salvage", self.salvage_cents, "at most what was paid for it")
        for name in ("life_hours", "hours_a_year"):
            if not getattr(self, name):
                raise BadInput(_FIGURES[name][0], 0, "more than 0 hours")
        if self.blade_cents and not self.blade_hours:
            raise BadInput("hours a set lasts", 0, "more than 0 hours, as there are blades to pay")


# Field → its name on the page; and what it can be at most, with its unit.
_AMOUNTS = {
    "purchase_cents": "purchase",
    "salvage_cents": "salvage",
    "upkeep_cents_a_year": "upkeep",
    "standing_cents_a_year": "standing charges",
    "blade_cents": "blades",
}
_FIGURES = {
    "life_hours": ("life", LONGEST_LIFE_HOURS, " hours"),
    "hours_a_year": ("hours a year", HOURS_IN_A_YEAR, " hours"),
    "power_kw": ("power", 1_000, " kW"),
    "load": ("load", 1, ", a share"),
    "kwh_cents": ("electricity", MAX_MINOR, " a kWh"),
    "blade_hours": ("hours a set lasts", LONGEST_LIFE_HOURS, " hours"),
}


@dataclass(frozen=True, slots=True)
class MachineRate:
    """What a running hour costs: exactly, in cents rounded half-up, and the line that explains it."""

    exact_cents: Fraction
    cents_per_hour: int
    line: Line


def machine_rate(cost: MachineCost, currency: units.Currency) -> MachineRate:
    """The rate of a machine.

    By hand: $2,400 paid and $400 at the end of 8,000 hours is $0.25; $120 of upkeep over 400 hours a year is $0.30;
    3 kW at half load and $0.16 a kWh is $0.24; a $90 set of knives that lasts 150 hours is $0.60; so $1.39 an hour.

    Args:
        cost: what the machine costs.
        currency: of its amounts.
    """

    def money(cents: int | Fraction) -> str:
        return units.format_money(units.round_half_up(cents), currency)

    blades = cost.blade_cents / cost.blade_hours if cost.blade_hours else Fraction(0)
    found = (
        (
            "Wear",
            (cost.purchase_cents - cost.salvage_cents) / cost.life_hours,
            f"({money(cost.purchase_cents)} − {money(cost.salvage_cents)}) ÷ {_plain(cost.life_hours)} h",
        ),
        ("Upkeep", cost.upkeep_cents_a_year / cost.hours_a_year, _a_year(money(cost.upkeep_cents_a_year), cost)),
        (
            "Standing charges",
            cost.standing_cents_a_year / cost.hours_a_year,
            _a_year(money(cost.standing_cents_a_year), cost),
        ),
        (
            "Power",
            cost.power_kw * cost.load * cost.kwh_cents,
            f"{_plain(cost.power_kw)} kW × {_plain(cost.load * 100)}% load × {_fine(cost.kwh_cents, currency)} a kWh",
        ),
        ("Blades", blades, f"{money(cost.blade_cents)} ÷ {_plain(cost.blade_hours)} h"),
    )
    exact = sum((amount for _, amount, _ in found), Fraction(0))
    cents = units.round_half_up(exact)
    some = [one for one in found if one[1]]
    # Parts of a cent are shared out, so that the lines add up to the rate.
    shares = units.share(cents, [amount for _, amount, _ in some]) if some else []
    parts = tuple(
        Line(name, part, "cents", how, Basis.TYPED, SOURCE) for (name, _, how), part in zip(some, shares, strict=True)
    )
    line = Line("A running hour", cents, "cents", "its parts added up", Basis.WORKED, parts=parts)
    return MachineRate(exact, cents, line)


def _a_year(amount: str, cost: MachineCost) -> str:
    return f"{amount} a year ÷ {_plain(cost.hours_a_year)} h a year"


def _plain(value: Fraction) -> str:
    return f"{float(value):,.2f}".rstrip("0").rstrip(".")


def _fine(cents: Fraction, currency: units.Currency) -> str:
    """A price to a hundredth of a cent: “$0.1642”, “$0.16”."""
    whole = cents / 10**currency.decimals
    text = f"{float(whole):.{currency.decimals + 2}f}"
    while text.endswith("0") and len(text.partition(".")[2]) > currency.decimals:
        text = text[:-1]
    return f"{currency.symbol}{text.removesuffix('.')}"
