"""Reading a number exactly as it was typed, and rounding it once.

A number is a whole, a decimal with a point or a comma, or a fraction with or without a whole before it. Everything is
kept as a Fraction until it is rounded half-up to the unit it is stored in.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING, NoReturn

from journal.errors import BadInput
from journal.units.marks import Mark

if TYPE_CHECKING:
    from decimal import Decimal

# Nothing worth typing in a box is longer; the check comes before any pattern, so a megabyte is refused at once.
MAX_TYPED = 60

# U+00BD and its kin, each written out as numerator and denominator.
_VULGAR = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5",
    "⅙": "1/6", "⅚": "5/6", "⅐": "1/7", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅑": "1/9", "⅒": "1/10",
}  # fmt: skip

# Spaces, hyphens, marks and digits that look like the plain ones and mean the same. Digits of other scripts are left
# as they are, and refused further on: reading them needs knowledge of how each script writes numbers.
_SPACES = "\t\n\r\u00a0\u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a\u202f\u205f\u3000"
_INVISIBLE = "\u200b\u2060\ufeff"
_HYPHENS = "\u2010\u2011\u2012\u2013\u2014\u2015\u2212\ufe63\uff0d"
_SLASHES = "\u2044\u2215\uff0f"
_SINGLE_MARKS = "\u2032\u2019\u2018\u02b9\u02bc\u0060\u00b4\u2035\uff07"
_DOUBLE_MARKS = "\u2033\u201d\u201c\u02ba\u2036\uff02"
_PLAIN = str.maketrans(
    dict.fromkeys(_SPACES, " ")
    | dict.fromkeys(_INVISIBLE, "")
    | dict.fromkeys(_HYPHENS, "-")
    | dict.fromkeys(_SLASHES, "/")
    | dict.fromkeys(_SINGLE_MARKS, "'")
    | dict.fromkeys(_DOUBLE_MARKS, '"')
    | {"\uff0e": ".", "\uff0c": ","}
    | {chr(0xFF10 + digit): str(digit) for digit in range(10)}
)

_FRACTION = re.compile(r"(?:([0-9]+)( |-))?([0-9]+) ?/ ?([0-9]+)")
_DECIMAL = re.compile(r"([0-9]*)(?:([.,])([0-9]+))?")
_GROUPED = re.compile(r"[1-9][0-9]{0,2}(?:,[0-9]{3})+\.[0-9]+|[1-9][0-9]{0,2}(?:\.[0-9]{3})+,[0-9]+")
_SPACED = re.compile(r"[1-9][0-9]{0,2}(?: [0-9]{3})+(?:,[0-9]+)?")  # as a shop that writes a comma is shown it
_THREES = 3


def tidy(text: object, field: str, expected: str) -> str:
    """What was typed, in plain characters, lower case, single spaces.

    Args:
        text: anything; only a short string is accepted.
        field: the name of the thing, in the user's words.
        expected: what would be accepted.

    Raises:
        BadInput: not text, empty, or longer than MAX_TYPED characters.
    """
    if not isinstance(text, str):
        raise BadInput(field, text, expected)
    if len(text) > MAX_TYPED:
        raise BadInput(field, text[:MAX_TYPED] + "…", f"at most {MAX_TYPED} characters: {expected}")
    plain = " ".join(_spell_fractions(text).translate(_PLAIN).split()).lower()
    if not plain:
        raise BadInput(field, "", expected)
    return plain


def read_number(
    plain: str, field: str, received: object, expected: str, *, big_unit: bool = False, mark: Mark = Mark.POINT
) -> Fraction:
    """The exact value of a tidied number without sign or unit; a point or a comma before its decimals.

    Three digits after the mark that is not the shop's have two readings, thousands and decimals. In a shop that writes
    a point, three after a comma are asked about; in one that writes a comma, three after a point.

    Args:
        plain: the number as tidy() gives it: "1 1/2", "1-1/2", "0.875", "1,5".
        field: the name of the thing, in the user's words.
        received: what was typed, for the message.
        expected: what would be accepted, for the message.
        big_unit: a thousand of the unit would be absurd, so a mark and three digits can only be decimals.
        mark: what this shop writes before decimals.

    Raises:
        BadInput: anything else, a zero denominator, an improper fraction after a whole, or a mark with two readings.
    """
    fraction = _FRACTION.fullmatch(plain)
    if fraction:
        return _read_fraction(fraction, field, received)
    if _GROUPED.fullmatch(plain):
        thousands = "," if plain.index(",") < plain.rindex(".") else "."
        return Fraction(plain.replace(thousands, "").replace(",", "."))
    if mark is Mark.COMMA and _SPACED.fullmatch(plain):
        return Fraction(plain.replace(" ", "").replace(",", "."))
    decimal = _DECIMAL.fullmatch(plain)
    if not decimal or not plain:
        _refuse(plain, field, received, expected)
    whole, typed, digits = decimal.groups()
    foreign = "," if mark is Mark.POINT else "."
    if typed == foreign and len(digits) == _THREES and 1 <= len(whole) <= _THREES and whole[0] != "0" and not big_unit:
        readings = f"either {whole}{digits} (thousands) or {whole}.{digits} (decimal): write the one you mean"
        raise BadInput(field, received, readings)
    return Fraction(f"{whole or 0}.{digits or 0}")


def exact(value: float | str | Fraction | Decimal, field: str = "number") -> Fraction:
    """The exact value of a number; a float is taken as the decimal it prints as, a string is read as typed.

    Raises:
        BadInput: not a finite number.
    """
    if isinstance(value, str):
        expected = "a number such as 76 1/2 or 76.5"
        return read_number(tidy(value, field, expected), field, value, expected)
    if isinstance(value, int | Fraction):
        return Fraction(value)
    try:
        return Fraction(str(value))
    except (ValueError, ZeroDivisionError):
        raise BadInput(field, value, "a finite number") from None


def round_half_up(value: Fraction | Decimal | float) -> int:
    """The nearest whole number; a half goes away from zero, so that a refund mirrors its charge.

    A float is taken as the decimal it prints as. What must come out right to the cent is multiplied as Fraction or
    Decimal first: 100 × 1.005 in binary is already below its half.

    Raises:
        BadInput: not a finite number.
    """
    if isinstance(value, int):
        return value
    number = exact(value)
    doubled = abs(number.numerator) * 2 + number.denominator
    magnitude = doubled // (2 * number.denominator)
    return magnitude if number >= 0 else -magnitude


def decimal_text(value: Fraction | Decimal | float, places: int, *, strip: bool = True) -> str:
    """The number rounded half-up to so many decimals, thousands with commas, a typographic minus.

    Args:
        value: the number.
        places: decimals, 0 or more.
        strip: drop the zeros at the end of the decimals.

    Raises:
        BadInput: not a finite number.
    """
    scaled = round_half_up(exact(value) * 10**places)
    whole, rest = divmod(abs(scaled), 10**places)
    decimals = f"{rest:0{places}d}" if places else ""
    if strip:
        decimals = decimals.rstrip("0")
    return ("−" if scaled < 0 else "") + f"{whole:,}" + (f".{decimals}" if decimals else "")


def _spell_fractions(text: str) -> str:
    """1½ becomes 1 1/2: a fraction in one character stands apart from the digits beside it."""
    spelled: list[str] = []
    after_fraction = False
    for character in text:
        fraction = _VULGAR.get(character)
        if after_fraction and character.isdigit():
            spelled.append(" ")
        if fraction and spelled and (after_fraction or spelled[-1][-1:].isdigit()):
            spelled.append(" ")
        spelled.append(fraction or character)
        after_fraction = fraction is not None
    return "".join(spelled)


def _read_fraction(match: re.Match[str], field: str, received: object) -> Fraction:
    whole, _, above, below = match.groups()
    if int(below) == 0:
        raise BadInput(field, received, f"a fraction that does not divide by zero, not {above}/{below}")
    part = Fraction(int(above), int(below))
    if whole is not None and part >= 1:
        raise BadInput(field, received, f"a fraction smaller than one after the whole {whole}, not {above}/{below}")
    return int(whole or 0) + part


def _refuse(plain: str, field: str, received: object, expected: str) -> NoReturn:
    if plain.startswith(("-", "+")):
        raise BadInput(field, received, f"a number without a sign: {expected}")
    if re.fullmatch(r"[0-9]+ [0-9]+", plain):
        raise BadInput(field, received, f"one number; between two, say which is which: {expected}")
    raise BadInput(field, received, expected)
