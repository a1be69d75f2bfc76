"""What a price means: with its discount, to the shop, and to the client who pays it with tax in two payments."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from journal.quote import sense
from journal.quote.estimate import chances
from journal.quote.terms import Item, Terms, add_up

if TYPE_CHECKING:
    from journal.quote.estimate import Chances, Estimate
    from journal.quote.terms import Sums
    from journal.records.queries.shop import ShopRow
    from journal.web.discount import Discount

_MILLIONTHS = 1_000_000
_BASIS_POINTS = 10_000


@dataclass(frozen=True, slots=True)
class Asked:
    """A price, tried.

    Attributes:
        typed: whether it was typed, or is the price to ask.
        means: what is left of it after the discount means to the shop.
        before: the same without the discount; None where there is none.
        sums: what the client pays, and when; tax_rate: as a share.
        warnings: what is odd about it.
    """

    typed: bool
    means: Chances
    before: Chances | None
    sums: Sums
    tax_rate: float
    warnings: tuple[str, ...]


def try_price(made: Estimate, shop: ShopRow, typed_cents: int | None, discount: Discount) -> Asked:
    """What the price typed, or the one to ask, means; the shop says which tax and which deposit."""
    price = made.price_cents if typed_cents is None else typed_cents
    rate = Fraction(shop.tax_ppm, _MILLIONTHS)
    sums = add_up(
        Terms(
            items=(Item("The price", price),),
            discount_cents=discount.off(price),
            tax_rate=rate,
            deposit=Fraction(shop.deposit_bp, _BASIS_POINTS),
        )
    )
    return Asked(
        typed=typed_cents is not None,
        means=chances(made, sums.net_cents),
        before=chances(made, price) if sums.discount_cents else None,
        sums=sums,
        tax_rate=float(rate),
        warnings=sense.warnings(made, sums.net_cents),
    )
