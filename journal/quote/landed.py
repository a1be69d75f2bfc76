"""What each line of a receipt really cost: its price with its share of the freight and the tax, to the cent."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import units
from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Sequence


@dataclass(frozen=True, slots=True)
class Landed:
    """One line: its price and what of freight and tax falls to it, in cents."""

    price_cents: int
    freight_cents: int
    tax_cents: int

    @property
    def cents(self) -> int:
        """All of it."""
        return self.price_cents + self.freight_cents + self.tax_cents


def landed(prices_cents: Sequence[int], *, freight_cents: int, tax_cents: int) -> tuple[Landed, ...]:
    """Freight and tax shared out by value, each adding up to the cent; lines that all cost nothing share equally.

    Args:
        prices_cents: of each whole line, 0 or more.
        freight_cents: of the whole receipt.
        tax_cents: of the whole receipt.

    Raises:
        BadInput: no lines, or an amount under 0.
    """
    for field, cents in (("freight", freight_cents), ("tax", tax_cents), *(("price", one) for one in prices_cents)):
        if cents < 0:
            raise BadInput(field, cents, "an amount, 0 or more")
    freight, tax = units.share(freight_cents, prices_cents), units.share(tax_cents, prices_cents)
    return tuple(Landed(*each) for each in zip(prices_cents, freight, tax, strict=True))
