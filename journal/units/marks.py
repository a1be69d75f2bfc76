"""The decimal mark and the first day of the week, as a shop writes them.

The rooms write every number with a decimal point and commas between thousands, so that what is kept, compared and taken
along is the same in every shop. `marked` turns such a text into the shop's way where a person reads it.
"""

from __future__ import annotations

import re
from datetime import timedelta
from enum import StrEnum
from typing import TYPE_CHECKING

from journal.errors import BadInput

if TYPE_CHECKING:
    from datetime import date


class Mark(StrEnum):
    """What stands between a whole and its decimals."""

    POINT = "point"
    COMMA = "comma"


class WeekStart(StrEnum):
    """The day a week begins with."""

    MONDAY = "Monday"
    SUNDAY = "Sunday"


# Between thousands in a shop that writes a comma: a point or comma there would be read as the other shop's decimals.
THOUSANDS = "\u00a0"
_DAYS = 7

# A number with thousands or decimals as the rooms write it; not a part of a word, of a version or of an address.
_WRITTEN = re.compile(r"(?<![\w.,])(?:[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]+)?|[0-9]+\.[0-9]+)(?![0-9]|[.,][0-9])")
_TYPED = re.compile(rf"(?<![\w.,])[0-9]+(?:[{THOUSANDS}.][0-9]{{3}})*(?:,[0-9]+)?(?![0-9]|[.,][0-9])")
_TWO_READINGS = re.compile(r"(?<![\w.,])[1-9][0-9]{0,2}\.[0-9]{3}(?![0-9]|[.,][0-9])")
_COMMA = str.maketrans(",.", f"{THOUSANDS},")


def marked(text: str, mark: Mark) -> str:
    """A text of the rooms with its numbers as the shop writes them: "$1,234.50" is "$1 234,50" with a comma.

    Args:
        text: as the rooms wrote it, with points; a text that was turned before must not be turned again.
        mark: the shop's decimal mark.
    """
    if mark is Mark.POINT:
        return text
    return _WRITTEN.sub(lambda number: number[0].translate(_COMMA), text)


def pointed(text: str, mark: Mark, field: str = "number") -> str:
    """What was typed in a shop, with its numbers as the rooms read them: the other way round of `marked`.

    For texts in which several numbers stand, such as a tally of boards; one alone is read by its own parse function.

    Args:
        text: as typed.
        mark: the shop's decimal mark.
        field: the name of the thing, in the user's words.

    Raises:
        BadInput: in a shop that writes a comma, three digits after a lone point: thousands, or decimals by habit.
    """
    if mark is Mark.POINT:
        return text
    asked = _TWO_READINGS.search(text)
    if asked:
        whole, digits = asked[0].split(".")
        raise BadInput(field, text, f"either {whole}{digits} (thousands) or {whole}.{digits} (decimal)")
    return _TYPED.sub(lambda number: _with_point(number[0]), text)


def week_begin(day: date, start: WeekStart = WeekStart.MONDAY) -> date:
    """The first day of the week that `day` is in."""
    since_monday = day.weekday()
    return day - timedelta(days=since_monday if start is WeekStart.MONDAY else (since_monday + 1) % _DAYS)


def _with_point(number: str) -> str:
    """Without what stands between thousands, and a point before the decimals."""
    whole, _, decimals = number.partition(",")
    for between in (THOUSANDS, "."):
        whole = whole.replace(between, "")
    return whole + (f".{decimals}" if decimals else "")
