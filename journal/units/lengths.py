"""Lengths: whole nanometres inside; inches in fractions, feet or millimetres on paper.

1 in = 25.4 mm and 1 ft = 12 in, exactly (international yard and pound agreement, 1959).
"""

from __future__ import annotations

import re
from enum import StrEnum
from fractions import Fraction
from typing import TYPE_CHECKING

from journal.errors import BadInput
from journal.units.exact import decimal_text, exact, read_number, round_half_up, tidy
from journal.units.marks import Mark

if TYPE_CHECKING:
    from decimal import Decimal

NM_PER_MM = 1_000_000
NM_PER_METRE = 1_000 * NM_PER_MM
NM_PER_INCH = 25_400_000
NM_PER_FOOT = 12 * NM_PER_INCH
# No bench, board or roll of tape comes near; what is longer is a slip of the unit.
MAX_LENGTH_NM = 1_000 * NM_PER_METRE

_MAX_DENOMINATOR = 1024
_GLYPHS = {(1, 2): "½", (1, 4): "¼", (3, 4): "¾", (1, 8): "⅛", (3, 8): "⅜", (5, 8): "⅝", (7, 8): "⅞"}


class System(StrEnum):
    """The lengths a shop thinks in."""

    INCH = "inch"
    METRIC = "metric"


_INCH_NAMES = ('"', "''", "in", "in.", "inch", "inches")
_FOOT_NAMES = ("'", "ft", "ft.", "foot", "feet")
_NM_PER_UNIT = {
    **dict.fromkeys(_INCH_NAMES, NM_PER_INCH),
    **dict.fromkeys(_FOOT_NAMES, NM_PER_FOOT),
    **dict.fromkeys(("mm", "mm.", "millimetre", "millimetres", "millimeter", "millimeters"), NM_PER_MM),
    **dict.fromkeys(("cm", "cm.", "centimetre", "centimetres", "centimeter", "centimeters"), 10 * NM_PER_MM),
    **dict.fromkeys(("m", "m.", "metre", "metres", "meter", "meters"), NM_PER_METRE),
}
_NM_PER_BARE = {System.INCH: NM_PER_INCH, System.METRIC: NM_PER_MM}

_NUMBER = r"[0-9.,/ -]*[0-9]"
_ONE_UNIT = re.compile(rf"({_NUMBER}) ?([a-z]+\.?|'{{1,2}}|\")?")
_FEET_AND_INCHES = re.compile(rf"([0-9]+) ?('|ft\.?|foot|feet)(?: |-)?({_NUMBER}) ?('{{2}}|\"|in\.?|inch|inches)?")
_QUARTER = re.compile(r"([0-9]{1,2}) ?/ ?4")

_EXPECTED = {
    System.INCH: "a length such as 76 1/2, 6' 4 1/2\" or 1943 mm",
    System.METRIC: "a length such as 1943, 1.943 m or 76 1/2 in",
}


def inches(value: float | str | Fraction | Decimal) -> int:
    """Nanometres of so many inches: 1.5, "1 1/2" and Fraction(3, 2) alike; half-up to a whole nanometre.

    Raises:
        BadInput: not a number.
    """
    return round_half_up(exact(value, "inches") * NM_PER_INCH)


def feet(value: float | str | Fraction | Decimal) -> int:
    """Nanometres of so many feet; half-up to a whole nanometre.

    Raises:
        BadInput: not a number.
    """
    return round_half_up(exact(value, "feet") * NM_PER_FOOT)


def mm(value: float | str | Fraction | Decimal) -> int:
    """Nanometres of so many millimetres; half-up to a whole nanometre.

    Raises:
        BadInput: not a number.
    """
    return round_half_up(exact(value, "millimetres") * NM_PER_MM)


def to_inches(length_nm: int) -> Fraction:
    """Inches, exactly."""
    return Fraction(int(length_nm), NM_PER_INCH)


def to_feet(length_nm: float) -> float:
    """Feet."""
    return length_nm / NM_PER_FOOT


def to_mm(length_nm: float) -> float:
    """Millimetres."""
    return length_nm / NM_PER_MM


def parse_length(
    text: str,
    *,
    system: System = System.INCH,
    field: str = "length",
    allow_zero: bool = False,
    mark: Mark = Mark.POINT,
) -> int:
    """Nanometres of a length as a shop writes it.

    A bare number is inches, or millimetres in a metric shop, where a bare fraction is refused (nobody means half a
    millimetre by it). "5/4" is a length of 1¼ in; the thickness class of rough boards is parse_quarter's. Inches after
    feet stay under 12. The mark that is not the shop's, before exactly three digits, is refused for having two readings,
    except in metres, where thousands would be absurd: "1,943 m" is 1.943 m. Feet and inches go together, no other two units do.

    Args:
        text: what was typed.
        system: which unit a bare number has.
        field: the name of the thing, in the user's words.
        allow_zero: accept 0.
        mark: what this shop writes before decimals.

    Returns:
        Whole nanometres, rounded half-up, at most MAX_LENGTH_NM.

    Raises:
        BadInput: anything else, saying what was read and what is accepted.
    """
    expected = _EXPECTED[system]
    plain = tidy(text, field, expected)
    pair = _FEET_AND_INCHES.fullmatch(plain)
    value_nm = (
        _read_pair(pair, field, text, expected, mark) if pair else _read_one_unit(plain, system, field, text, mark)
    )
    length_nm = round_half_up(value_nm)
    if length_nm > MAX_LENGTH_NM:
        raise BadInput(field, text, "a length under 1000 m (about 3280 ft)")
    if length_nm == 0 and not allow_zero:
        raise BadInput(field, text, f"more than zero: {expected}")
    return length_nm


def parse_quarter(text: str, field: str = "thickness") -> int:
    """Nanometres of a rough thickness in quarters of an inch: "8/4" is 2 in.

    Raises:
        BadInput: not a number of quarters from 3/4 to 32/4.
    """
    expected = "a rough thickness in quarters of an inch, such as 4/4, 5/4 or 8/4"
    match = _QUARTER.fullmatch(tidy(text, field, expected))
    if not match or not 3 <= int(match[1]) <= 32:
        raise BadInput(field, text, expected)
    return int(match[1]) * NM_PER_INCH // 4


def format_length(
    length_nm: int,
    system: System = System.INCH,
    *,
    denominator: int = 16,
    feet: bool = False,
    unit: bool = True,
) -> str:
    """The length as the shop reads it: "1½ in", "1 7/16 in", "6 ft 4½ in", "38.1 mm".

    Args:
        length_nm: nanometres; a negative one (a difference) gets a minus.
        system: inches in fractions, or millimetres to a hundredth.
        denominator: the finest fraction of an inch, 1 to 1024; rounded half-up to it.
        feet: whole feet apart from the inches.
        unit: write the last unit's name; without it the text still reads back in the same system.

    Raises:
        BadInput: a denominator outside 1 to 1024.
    """
    if system is System.METRIC:
        return decimal_text(Fraction(round_half_up(length_nm), NM_PER_MM), 2).replace(",", "") + (" mm" if unit else "")
    if not 1 <= denominator <= _MAX_DENOMINATOR:
        raise BadInput("denominator", denominator, f"a whole number from 1 to {_MAX_DENOMINATOR}")
    parts = round_half_up(Fraction(round_half_up(length_nm) * denominator, NM_PER_INCH))
    sign = "−" if parts < 0 else ""
    whole_feet, rest = divmod(abs(parts), 12 * denominator) if feet else (0, abs(parts))
    shown = [f"{whole_feet} ft"] if whole_feet else []
    if rest or not shown:
        shown.append(_mixed(rest, denominator) + (" in" if unit else ""))
    return sign + " ".join(shown)


def _mixed(parts: int, denominator: int) -> str:
    """So many parts of a denominator as a whole and a reduced proper fraction."""
    whole, above = divmod(parts, denominator)
    if not above:
        return str(whole)
    part = Fraction(above, denominator)
    glyph = _GLYPHS.get((part.numerator, part.denominator))
    if glyph:
        return f"{whole or ''}{glyph}"
    return f"{whole} {part}" if whole else str(part)


def _read_pair(match: re.Match[str], field: str, received: str, expected: str, mark: Mark) -> Fraction:
    whole_feet, _, inch_text, _ = match.groups()
    inch_part = read_number(inch_text.strip(), field, received, expected, mark=mark)
    if inch_part >= 12:
        raise BadInput(field, received, f"less than 12 inches after the {whole_feet} feet")
    return int(whole_feet) * NM_PER_FOOT + inch_part * NM_PER_INCH


def _read_one_unit(plain: str, system: System, field: str, received: str, mark: Mark) -> Fraction:
    expected = _EXPECTED[system]
    match = _ONE_UNIT.fullmatch(plain)
    if not match:
        signed = plain.startswith(("-", "+"))
        raise BadInput(
            field, received, ("a length without a sign: " if signed else "one unit, or feet and inches: ") + expected
        )
    number, unit = match[1].strip(), match[2]
    if unit and unit not in _NM_PER_UNIT:
        raise BadInput(field, received, f"inches, feet, mm, cm or m, not “{unit}”")
    nm_per_unit = _NM_PER_UNIT[unit] if unit else _NM_PER_BARE[system]
    value = read_number(number, field, received, expected, big_unit=nm_per_unit == NM_PER_METRE, mark=mark)
    if not unit and system is System.METRIC and "/" in number:
        raise BadInput(field, received, f"a unit after a fraction, such as {number} in")
    return value * nm_per_unit
