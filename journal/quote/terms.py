"""What a client is asked for: lines, discount, tax, and when how much of it is due.

Money is whole minor units. A discount comes off before tax; every share is rounded once and adds up to what it is a
share of (largest remainder), so that the paper adds up whoever checks it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction

from journal import units
from journal.errors import BadInput
from journal.units.money import MAX_MINOR

DEPOSIT, BALANCE = "Deposit", "Balance"
# A shop's quote is a page; more lines are a slip, or an attack.
MOST_LINES = 200


class TaxRounding(StrEnum):
    """Where the cents of a tax are rounded; a seller picks one way and keeps to it."""

    INVOICE = "invoice"  # once, on the sum
    LINE = "line"  # on each line, then added


@dataclass(frozen=True, slots=True)
class Item:
    """A line as the client sees it; the price in minor units, before discount and tax."""

    text: str
    cents: int

    def __post_init__(self) -> None:
        if not self.text.strip():
            raise BadInput("line", self.text, "a few words for what it is")
        if not 0 <= self.cents <= MAX_MINOR:
            raise BadInput("price", self.cents, "an amount, 0 or more")


@dataclass(frozen=True, slots=True)
class Stage:
    """A payment on the way: when it is due, and what share of the total it is (0 to 1)."""

    when: str
    share: Fraction

    def __post_init__(self) -> None:
        if not self.when.strip():
            raise BadInput("progress payment", self.when, "when it is due, such as “when the top is glued up”")
        _require_share(f"progress payment “{self.when}”", self.share)


@dataclass(frozen=True, slots=True)
class Terms:
    """What a quote asks.

    Attributes:
        items: one or more lines.
        discount_cents: taken off their sum, at most all of it.
        tax_rate: share of the price after discount, 0 to under 1.
        rounding: where the tax is rounded.
        deposit: share of the total that is due first, 0 to 1.
        stages: payments between deposit and balance.
    """

    items: tuple[Item, ...]
    discount_cents: int = 0
    tax_rate: Fraction = Fraction(0)
    rounding: TaxRounding = TaxRounding.INVOICE
    deposit: Fraction = Fraction(0)
    stages: tuple[Stage, ...] = field(default_factory=tuple)

    def __post_init__(self) -> None:
        if not 1 <= len(self.items) <= MOST_LINES:
            raise BadInput("lines", len(self.items), f"1 to {MOST_LINES} lines")
        listed = sum(item.cents for item in self.items)
        if not 0 <= self.discount_cents <= listed:
            raise BadInput("discount", self.discount_cents, "at most what the lines come to")
        if not 0 <= self.tax_rate < 1:
            raise BadInput("tax", str(self.tax_rate), "a share from 0 to under 100%")
        _require_share("deposit", self.deposit)
        if self.deposit + sum(stage.share for stage in self.stages) > 1:
            raise BadInput("deposit", _percent(self.deposit), "together with the progress payments at most 100%")


@dataclass(frozen=True, slots=True)
class Summed:
    """A line with its share of the discount, what is left of it, and the tax on that; minor units."""

    text: str
    cents: int
    discount_cents: int
    net_cents: int
    tax_cents: int


@dataclass(frozen=True, slots=True)
class Due:
    """A payment: when, and how much of the total."""

    when: str
    cents: int


@dataclass(frozen=True, slots=True)
class Sums:
    """A quote added up; minor units.

    Attributes:
        lines: each with its shares; they add up to the sums below.
        list_cents: before discount; net_cents: after it; tax_cents: on that; total_cents: what is to be paid.
        dues: the total in payments, the deposit first, the balance last; those of nothing are left out.
    """

    lines: tuple[Summed, ...]
    list_cents: int
    discount_cents: int
    net_cents: int
    tax_cents: int
    total_cents: int
    dues: tuple[Due, ...]


def add_up(terms: Terms) -> Sums:
    """The sums of a quote.

    The discount is spread over the lines in proportion to their prices. The dues are shares of the total with tax.
    """
    prices = [item.cents for item in terms.items]
    off = units.share(terms.discount_cents, prices)
    nets = [price - part for price, part in zip(prices, off, strict=True)]
    taxes = tax_by_line(nets, terms.tax_rate, terms.rounding)
    net, tax = sum(nets), sum(taxes)
    lines = tuple(
        Summed(item.text, item.cents, part, left, line_tax)
        for item, part, left, line_tax in zip(terms.items, off, nets, taxes, strict=True)
    )
    return Sums(lines, sum(prices), terms.discount_cents, net, tax, net + tax, _dues(net + tax, terms))


def tax_by_line(nets: list[int], rate: Fraction, rounding: TaxRounding) -> list[int]:
    """The tax on each line, in minor units; rounded half-up on each, or once on their sum and then shared out.

    The seller may choose either (Streamlined Sales and Use Tax Agreement, sec. 324); the two may differ by cents.
    """
    if rounding is TaxRounding.LINE:
        return [units.percent_of(net, rate) for net in nets]
    return units.share(units.percent_of(sum(nets), rate), [max(net, 0) for net in nets])


def tax_on_change(agreed_net_cents: int, change_cents: int, rate: Fraction, rounding: TaxRounding) -> int:
    """The tax an extra brings, in minor units; negative where the extra takes away.

    By invoice it is what the tax on the whole changes by, so that agreed and extras together bear the tax on their
    sum; by line it is the tax on the extra alone.
    """
    if rounding is TaxRounding.LINE:
        return units.percent_of(change_cents, rate)
    return units.percent_of(agreed_net_cents + change_cents, rate) - units.percent_of(agreed_net_cents, rate)


def margin(net_cents: int, cost_cents: int) -> Fraction | None:
    """What is left of the price over the expected cost, as a share of the price; None for a price of nothing."""
    return Fraction(net_cents - cost_cents, net_cents) if net_cents > 0 else None


def markup(net_cents: int, cost_cents: int) -> Fraction | None:
    """The same as a share of the cost: 25% on the cost is 20% of the price. None for a cost of nothing."""
    return Fraction(net_cents - cost_cents, cost_cents) if cost_cents > 0 else None


def split(price_cents: int, parts: tuple[tuple[str, int], ...]) -> tuple[Item, ...]:
    """A price in lines, in proportion to what each part costs the shop; a part that costs nothing has no line.

    Args:
        price_cents: what the lines add up to.
        parts: (words, cost in minor units), costs of 0 or more.
    """
    weighed = [(text, cents) for text, cents in parts if cents > 0] or [(parts[0][0], 1)]
    shares = units.share(price_cents, [cents for _, cents in weighed])
    return tuple(Item(text, cents) for (text, _), cents in zip(weighed, shares, strict=True))


def _dues(total_cents: int, terms: Terms) -> tuple[Due, ...]:
    rest = 1 - terms.deposit - sum(stage.share for stage in terms.stages)
    names = [DEPOSIT, *(stage.when for stage in terms.stages), BALANCE]
    shares = units.share(total_cents, [terms.deposit, *(stage.share for stage in terms.stages), rest])
    return tuple(Due(name, cents) for name, cents in zip(names, shares, strict=True) if cents)


def _require_share(name: str, share: Fraction) -> None:
    if not 0 <= share <= 1:
        raise BadInput(name, _percent(share), "a share from 0 to 100%")


def _percent(share: Fraction) -> str:
    return f"{float(share * 100):g}%"
