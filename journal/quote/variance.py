"""How a difference between what was allowed and what it came to divides into price and quantity; exact, no rounding.

The textbook's two variances: price = (actual price − standard price) × actual quantity, quantity = (actual quantity −
standard quantity) × standard price. Above zero costs more than allowed. Together they are the whole difference, as long as
both speak of the same quantity. Amounts are exact fractions of the smallest unit of money; `whole_cents` rounds a list of
them so that it still adds up.
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import TYPE_CHECKING

from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Sequence

Exact = int | Fraction


def price_variance(standard_price: Exact, price: Exact, quantity: Exact) -> Fraction:
    """What a dearer price cost, for the quantity it was paid for; below zero it saved.

    Source: any text on standard costing; `tests/published/test_variance_published.py` reproduces printed examples.
    """
    return Fraction(price - standard_price) * quantity


def quantity_variance(standard_quantity: Exact, quantity: Exact, standard_price: Exact) -> Fraction:
    """What a larger quantity cost at the price allowed; below zero it saved. Source: as `price_variance`."""
    return Fraction(quantity - standard_quantity) * standard_price


def whole_cents(exact: Sequence[Exact]) -> list[int]:
    """Amounts as whole cents that add up to the same sum: each rounded down, then the largest remainders up.

    Each comes within one cent of its exact amount. Of equal remainders the earlier is rounded up.

    Raises:
        BadInput: the amounts do not add up to whole cents.
    """
    total = sum((Fraction(one) for one in exact), Fraction(0))
    if total.denominator != 1:
        raise BadInput("amounts", str(total), "a sum in whole cents")
    whole = [math.floor(one) for one in exact]
    by_remainder = sorted(range(len(whole)), key=lambda place: whole[place] - exact[place])
    for place in by_remainder[: int(total) - sum(whole)]:
        whole[place] += 1
    return whole
