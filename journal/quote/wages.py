"""What an hour of the shop's work costs when its people are paid differently.

Nobody knows in advance who will stand at which bench, so the price takes the mean of the wages by the hours each has
put into projects lately. A place without a wage of its own, and time nobody put a name to, counts at the shop's wage:
that is the owner's. A place with a wage of its own is hired: its pay leaves the pocket whatever a job brings.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import units
from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Sequence

FROM_SETTING = "setting: wage"
# What nobody has set, and where it is.
STARTING_VALUE = "a starting value, set it under Shop"


@dataclass(frozen=True, slots=True)
class Hand:
    """A place at a bench: its label ("" for time without a name), its own wage if any, minutes put into projects."""

    label: str
    wage_cents_per_hour: int | None
    minutes: float

    def __post_init__(self) -> None:
        if self.wage_cents_per_hour is not None and self.wage_cents_per_hour < 0:
            raise BadInput("wage", self.wage_cents_per_hour, "an amount an hour, 0 or more")
        if not self.minutes >= 0:
            raise BadInput("minutes", self.minutes, "0 or more")


@dataclass(frozen=True, slots=True)
class Wage:
    """An hour of anybody's work, in cents; the part of it paid out to hired hands; and where it came from, in words."""

    cents_per_hour: int
    hired_cents_per_hour: int
    source: str = FROM_SETTING


def mean_wage(hands: Sequence[Hand], shop_wage_cents: int, currency: units.Currency) -> Wage:
    """The mean of the wages by hours; the shop's own wage where nobody has another or nothing is logged.

    By hand: 600 hours at the shop's $36 and 400 hours of a hired hand at $31 are (600 × 36 + 400 × 31) ÷ 1,000 =
    $34.00 an hour, of which 400 × 31 ÷ 1,000 = $12.40 is paid out.

    Args:
        hands: with their minutes of late.
        shop_wage_cents: of a place without a wage of its own.
        currency: of the wages.
    """
    whole = sum(hand.minutes for hand in hands)
    hired = [hand for hand in hands if hand.wage_cents_per_hour is not None and hand.minutes]
    if not hired:
        return Wage(shop_wage_cents, 0)
    paid_out = sum(hand.minutes * (hand.wage_cents_per_hour or 0) for hand in hired) / whole
    own_minutes = whole - sum(hand.minutes for hand in hired)
    mean = units.round_half_up(paid_out + own_minutes * shop_wage_cents / whole)
    return Wage(mean, min(units.round_half_up(paid_out), mean), _said(hired, own_minutes, shop_wage_cents, currency))


def _said(hired: Sequence[Hand], own_minutes: float, shop_wage_cents: int, currency: units.Currency) -> str:
    paid = [(hand.label, hand.minutes, hand.wage_cents_per_hour or 0) for hand in hired]
    paid += [("the shop’s wage", own_minutes, shop_wage_cents)] if own_minutes else []
    each = (f"{name} {minutes / 60:,.0f} h × {units.format_money(cents, currency)}" for name, minutes, cents in paid)
    return f"mean by the hours of the last year: {', '.join(each)}"
