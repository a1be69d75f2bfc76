"""Money: whole minor units inside, one currency a shop; rounded half-up once, shared out so that it adds up."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from math import lcm
from typing import TYPE_CHECKING

from journal.errors import BadInput, MissingReference
from journal.units.exact import exact, round_half_up, tidy
from journal.units.marks import Mark

if TYPE_CHECKING:
    from collections.abc import Iterable
    from decimal import Decimal

# In minor units; what is larger is a slip of the keyboard.
MAX_MINOR = 10**12


@dataclass(frozen=True, slots=True)
class Currency:
    """A currency.

    Attributes:
        code: three capital letters (ISO 4217).
        symbol: what is written before the amount.
        decimals: how many decimals its minor unit has (ISO 4217): 2 for cents, 0 where there is none.
    """

    code: str
    symbol: str
    decimals: int

    def __post_init__(self) -> None:
        if not re.fullmatch(r"[A-Z]{3}", self.code):
            raise BadInput("currency", self.code, "three capital letters, such as USD")
        if not self.symbol.strip():
            raise BadInput("currency symbol", self.symbol, "a sign or letters, such as $")
        if self.decimals not in (0, 2):
            raise BadInput("currency decimals", self.decimals, "2, or 0 where there is no minor unit")


# Codes and decimals: ISO 4217 (from memory, verify). Symbols: common practice.
_CURRENCIES = {
    entry.code: entry
    for entry in (
        Currency("USD", "$", 2),
        Currency("CAD", "$", 2),
        Currency("AUD", "$", 2),
        Currency("NZD", "$", 2),
        Currency("GBP", "£", 2),
        Currency("EUR", "€", 2),
        Currency("CHF", "CHF", 2),
        Currency("SEK", "kr", 2),
        Currency("NOK", "kr", 2),
        Currency("DKK", "kr", 2),
        Currency("PLN", "zł", 2),
        Currency("CZK", "Kč", 2),
        Currency("ZAR", "R", 2),
        Currency("INR", "₹", 2),
        Currency("JPY", "¥", 0),
        Currency("KRW", "₩", 0),
    )
}

# A whole number, in threes with one separator throughout or plain; then perhaps a decimal mark and its digits.
_AMOUNT = re.compile(
    r"(?P<whole>[1-9][0-9]{0,2}(?P<gap>[ ',.])[0-9]{3}(?:(?P=gap)[0-9]{3})*|[0-9]*)(?:(?P<mark>[.,])(?P<part>[0-9]+))?"
)


def currency(code: str) -> Currency:
    """The currency of an ISO 4217 code.

    Raises:
        MissingReference: a code that is not in the table.
    """
    found = _CURRENCIES.get(str(code).strip().upper())
    if found is None:
        raise MissingReference("currency", str(code), tuple(_CURRENCIES))
    return found


def currencies() -> tuple[Currency, ...]:
    """Every currency of the table."""
    return tuple(_CURRENCIES.values())


def parse_money(
    text: str,
    currency: Currency,
    field: str = "price",
    *,
    allow_negative: bool = False,
    mark: Mark = Mark.POINT,
) -> int:
    """Minor units of an amount as people write it: "$1,234.50", "1234.5", "1 234,50 €", "1.234,50", "1'234.50".

    The last point or comma is the decimal mark when one or two digits follow it. Three digits after a space or an
    apostrophe are thousands, and so are three after the mark that is not the shop's: money has no third decimal. Three
    after the shop's own mark, and no other, are refused: thousands by another's habit, or a third decimal from a
    spreadsheet. Only this currency's own sign or code may stand
    before or after the amount.

    Args:
        text: what was typed.
        currency: the shop's currency.
        field: the name of the thing, in the user's words.
        allow_negative: accept a leading minus.
        mark: what this shop writes before decimals.

    Raises:
        BadInput: anything else, more decimals than the currency has, or more than 10¹² minor units.
    """
    expected = f"an amount such as {format_money(123450 if currency.decimals else 1235, currency)}"
    plain = tidy(text, field, expected)
    number, negative = _strip_signs(plain, currency)
    if negative and not allow_negative:
        raise BadInput(field, text, f"an amount that is not negative: {expected}")
    match = _AMOUNT.fullmatch(number)
    if not match or not number:
        raise BadInput(field, text, expected)
    minor = _read_amount(match, currency, field, text, mark)
    if minor > MAX_MINOR:
        raise BadInput(field, text, f"at most {format_money(MAX_MINOR, currency)}")
    return -minor if negative else minor


def format_money(minor: int, currency: Currency) -> str:
    """The amount with its sign and thousands: "$1,234.50", "−€3.00", "kr 1,234.50", "¥1,235"."""
    whole, part = divmod(abs(minor), 10**currency.decimals)
    decimals = f".{part:0{currency.decimals}d}" if currency.decimals else ""
    gap = " " if currency.symbol[-1].isalpha() else ""
    return f"{'−' if minor < 0 else ''}{currency.symbol}{gap}{whole:,}{decimals}"


def percent_of(minor: int, rate: Fraction | Decimal) -> int:
    """The tax, deposit or discount on an amount, in minor units.

    Sales-tax rule: worked out to the third decimal, which is cut there, and the cent goes up when that decimal is
    greater than four (Streamlined Sales and Use Tax Agreement, sec. 324). That is half-up on the exact product:
    0.6849 gives 0.68, never 0.685 and then 0.69. A refund mirrors its charge.

    Args:
        minor: the amount, in minor units, of either sign.
        rate: the share of one: Decimal("0.0625") is 6.25%.

    Raises:
        BadInput: a rate outside 0 to 1; 6.25 is most likely a percentage that was not divided by a hundred.
    """
    share_of_one = exact(rate, "rate")
    if not 0 <= share_of_one <= 1:
        raise BadInput("rate", rate, "a share from 0 to 1, such as 0.0625 for 6.25%")
    return round_half_up(minor * share_of_one)


def share(total: int, weights: Iterable[float | Fraction | Decimal]) -> list[int]:
    """The total in whole parts in proportion to the weights, by largest remainder; the parts add up to the total.

    Each part is within one of its exact share. Equal remainders: the earlier one first. Weights that are all zero
    share equally; a weight of zero beside others gets nothing. A negative total mirrors its opposite.

    Args:
        total: minor units, or any whole number.
        weights: one or more numbers, none negative.

    Raises:
        BadInput: no weights, or one that is negative or not a number.
    """
    exact_weights = [exact(weight, "weight") for weight in weights]
    if not exact_weights:
        raise BadInput("weights", "", "at least one weight")
    if min(exact_weights) < 0:
        raise BadInput("weight", float(min(exact_weights)), "zero or more")
    weight_sum = sum(exact_weights)
    if not weight_sum:
        exact_weights, weight_sum = [Fraction(1)] * len(exact_weights), Fraction(len(exact_weights))
    # Over one denominator they are whole numbers, and whole numbers divide ten times as fast as fractions.
    common = lcm(*(weight.denominator for weight in exact_weights))
    whole, of = [int(weight * common) for weight in exact_weights], int(weight_sum * common)
    divided = [divmod(abs(total) * weight, of) for weight in whole]
    parts = [part for part, _ in divided]
    by_remainder = sorted(range(len(parts)), key=lambda place: -divided[place][1])
    for place in by_remainder[: abs(total) - sum(parts)]:
        parts[place] += 1
    return parts if total >= 0 else [-part for part in parts]


def _strip_signs(plain: str, currency: Currency) -> tuple[str, bool]:
    """The bare number, and whether a minus stood before it, before or after the currency's sign."""
    number = plain.removeprefix("-").strip()
    for sign in (currency.code.lower(), currency.symbol.lower()):
        if number.startswith(sign):
            number = number.removeprefix(sign).strip()
        elif number.endswith(sign):
            number = number.removesuffix(sign).strip()
    if plain.startswith("-"):
        return number, True
    return number.removeprefix("-").strip(), number.startswith("-")


def _read_amount(match: re.Match[str], currency: Currency, field: str, received: str, own: Mark) -> int:
    """Minor units of a matched amount; the fullmatch has already put every separator in its place."""
    gap, mark, part = match["gap"], match["mark"], match["part"] or ""
    whole = re.sub(r"[ ',.]", "", match["whole"])
    point = "." if own is Mark.POINT else ","
    if gap == point and not mark and match["whole"].count(point) == 1:
        tail = match["whole"].replace(point, "")
        raise BadInput(field, received, f"either {tail} (thousands) or two decimals: write the one you mean")
    if mark and mark == gap:
        raise BadInput(field, received, f"one mark for thousands and another for decimals, not “{mark}” for both")
    if currency.decimals == 0 and part in ("0", "00"):
        part = ""  # “35.00” left over from a currency with cents says a whole amount all the same
    if len(part) > currency.decimals:
        allowed = f"at most {currency.decimals} decimals" if currency.decimals else "no decimals"
        raise BadInput(field, received, f"{allowed} in {currency.code}")
    return int((whole or "0") + part.ljust(currency.decimals, "0"))
