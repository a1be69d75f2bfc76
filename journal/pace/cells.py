"""Cells of a spreadsheet read as people write them: days, numbers, times, units.

Whether 3/4/2020 is in March or April, and whether 1,234 is a thousand or a bit over one, is decided for a whole column.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import TYPE_CHECKING

from journal import units
from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_EARLIEST_YEAR = 1950
_DAY_EXPECTED = "a day such as 2026-03-31"
_TIME_OF_DAY = r"(?:[T ]\d{1,2}:\d{2}(?::\d{2})?(?:\.\d+)?Z?)?"
_YEAR_FIRST = re.compile(rf"(\d{{4}})[-/.](\d{{1,2}})[-/.](\d{{1,2}}){_TIME_OF_DAY}", re.ASCII)
_YEAR_LAST = re.compile(rf"(\d{{1,2}})[-/.](\d{{1,2}})[-/.](\d{{4}}|\d{{2}}){_TIME_OF_DAY}", re.ASCII)
_DAY_NAMED = re.compile(r"(\d{1,2})(?:st|nd|rd|th)?[-. ]*([a-z]{3,9})[-., ]*(\d{4}|\d{2})", re.ASCII)
_NAMED_DAY = re.compile(r"([a-z]{3,9})[-. ]*(\d{1,2})(?:st|nd|rd|th)?,? +(\d{4})", re.ASCII)
_MONTH_ALONE = re.compile(r"(?:(\d{4})[-/](\d{1,2})|(\d{1,2})/(\d{4})|([a-z]{3,9})[-. ]+(\d{4}))", re.ASCII)
_PLAIN = re.compile(r"[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d{1,2})?", re.ASCII)
_POINT = re.compile(r"[-+]?\d{1,3}(,\d{3})+(\.\d*)?", re.ASCII)
_COMMA = re.compile(r"[-+]?(\d{1,3}(\.\d{3})+|\d+)(,\d*)?", re.ASCII)
# One comma and not three digits after it, or points before a comma: 12,5 and 1.234,5.
_COMMA_FOR_SURE = re.compile(r"[-+]?(\d{1,3}(\.\d{3})+,\d*|\d*,(\d{1,2}|\d{4,}))", re.ASCII)


class DayOrder(StrEnum):
    """How a day without the year in front is written."""

    FOUND = ""  # as the column itself shows
    DAY_FIRST = "day first"
    MONTH_FIRST = "month first"


@dataclass(frozen=True, slots=True)
class DayReader:
    """Reads the days of one column.

    Attributes:
        order: how 3/4/2020 is meant; never FOUND.
        today: later days are refused.
    """

    order: DayOrder
    today: date

    def read(self, text: str) -> date:
        """The day; of a month alone its first.

        Raises:
            BadInput: no day, or one to come.
        """
        day = self._read(text.strip().casefold(), text)
        if day > self.today:
            raise BadInput("date", text, f"a day up to today, {self.today}")
        return day

    def _read(self, plain: str, text: str) -> date:
        if match := _YEAR_FIRST.fullmatch(plain):
            return _day(match[1], match[2], match[3], text)
        if match := _YEAR_LAST.fullmatch(plain):
            # With points between, the day always comes first.
            first = self.order is DayOrder.DAY_FIRST or "." in plain.split(" ", maxsplit=1)[0]
            month, day = (match[2], match[1]) if first else (match[1], match[2])
            return _day(self._year(match[3]), month, day, text)
        if match := _DAY_NAMED.fullmatch(plain):
            return _day(self._year(match[3]), _month(match[2], text), match[1], text)
        if match := _NAMED_DAY.fullmatch(plain):
            return _day(match[3], _month(match[1], text), match[2], text)
        if match := _MONTH_ALONE.fullmatch(plain):
            month = match[2] or match[3] or _month(match[5], text)
            return _day(match[1] or match[4] or match[6], month, 1, text)
        raise BadInput("date", text, _DAY_EXPECTED)

    def _year(self, digits: str) -> int:
        """Two digits are the nearest such year that is not to come."""
        if len(digits) == 4:
            return int(digits)
        year = self.today.year - self.today.year % 100 + int(digits)
        return year if year <= self.today.year else year - 100


@dataclass(frozen=True, slots=True)
class OrderFound:
    """Which order a column of days is in, and whether its days could be read either way."""

    order: DayOrder
    unsure: bool


def find_order(cells: Iterable[str], usual: DayOrder) -> OrderFound:
    """Whether a column has the day or the month first: some day past the twelfth tells; `usual` if none does."""
    seen: set[tuple[bool, bool]] = set()
    for cell in set(cells):
        match = _YEAR_LAST.fullmatch(cell)
        if match and "." not in cell.split(" ")[0]:
            seen.add((int(match[1]) > 12, int(match[2]) > 12))
    day_first, month_first = any(first for first, _ in seen), any(second for _, second in seen)
    if day_first != month_first:
        return OrderFound(DayOrder.DAY_FIRST if day_first else DayOrder.MONTH_FIRST, unsure=False)
    return OrderFound(usual, unsure=bool(seen))


def comma_is_decimal(cells: Iterable[str]) -> bool:
    """Whether a column writes twelve and a half as 12,5."""
    return any(_COMMA_FOR_SURE.fullmatch(cell) for cell in cells)


def read_number(text: str, *, decimal_comma: bool) -> float | None:
    """A number as the column writes it; None for anything else."""
    text = text.replace("−", "-").replace("\u00a0", "").replace(" ", "")
    if decimal_comma and _COMMA.fullmatch(text):
        text = text.replace(".", "").replace(",", ".")
    elif not decimal_comma and _POINT.fullmatch(text):
        text = text.replace(",", "")
    return float(text) if _PLAIN.fullmatch(text) else None


def read_seconds(text: str, *, minutes_each: float, decimal_comma: bool) -> int:
    """A time as whole seconds: a bare number in the column's unit, or as people write times (1:30, 1 h 30 min).

    Args:
        text: the cell, not empty.
        minutes_each: 1 in a column of minutes, 60 in one of hours.
        decimal_comma: as `comma_is_decimal` found for the column.

    Raises:
        BadInput: no time.
    """
    number = read_number(text, decimal_comma=decimal_comma)
    if number is None:
        return units.parse_duration(text, field="time", allow_long=True)
    if not abs(number) < 1e7:
        raise BadInput("time", text, "a time a project can take")
    return round(60 * minutes_each * number)


_LENGTHS = {
    "ft": (1.0, "ft foot feet lf linft linearft linearfeet '"),
    "in": (1 / 12, 'in inch inches "'),
    "m": (units.NM_PER_MM * 1000 / units.NM_PER_FOOT, "m metre metres meter meters lm rm"),
    "cm": (units.NM_PER_MM * 10 / units.NM_PER_FOOT, "cm"),
    "mm": (units.NM_PER_MM / units.NM_PER_FOOT, "mm"),
}
_SQUARE_METRE = (units.NM_PER_MM * 1000) ** 2 / units.NM2_PER_SQUARE_FOOT
_AREAS = {
    "ft²": (1.0, "ft2 ft² sqft squarefeet squarefoot sf"),
    "m²": (_SQUARE_METRE, "m2 m² sqm squaremetre squaremetres squaremeter squaremeters"),
    "in²": (1 / 144, "in2 in² sqin squareinches squareinch"),
}
_HOURS = {"h": (1.0, "h hr hrs hour hours"), "min": (1 / 60, "min mins minute minutes")}
_COUNTS = "pc pcs piece pieces ea each no nos x count"


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit of a column: how it is written for people, and what one of it is in the book's unit."""

    word: str
    factor: float


def read_unit(text: str, book_unit: str) -> Unit | None:
    """What a cell of units means for an operation counted in `book_unit`; None when it cannot be brought to that.

    Lengths, areas and hours are brought to the book's; a count is a count. `ft2·coat` may be written ft2, m2 and so on.
    """
    word = re.sub(r"[\s._]+", "", text.casefold())
    base, _, times = book_unit.partition("·")
    known = {"ft": _LENGTHS, "ft2": _AREAS, "h": _HOURS}.get(base)
    if known is None:
        same = {base, f"{base}s", f"{base}es", base.replace("-", ""), f"{base}s".replace("-", ""), *_COUNTS.split()}
        return Unit(base, 1.0) if word in same else None
    for mark in ("·", "*", "×", "x") if times else ():
        word = word.removesuffix(f"{mark}{times}s").removesuffix(f"{mark}{times}")
    return _among(word, known)


def _among(word: str, known: dict[str, tuple[float, str]]) -> Unit | None:
    for name, (factor, words) in known.items():
        if word in words.split():
            return Unit(name, factor)
    return None


def units_of(book_unit: str) -> Collection[str]:
    """The units that can be brought to the book's, for people."""
    base = book_unit.partition("·")[0]
    return tuple({"ft": _LENGTHS, "ft2": _AREAS, "h": _HOURS}.get(base, {base: None}))


def _month(word: str, text: str) -> int:
    short = word[:3]
    if short not in MONTHS:
        raise BadInput("date", text, _DAY_EXPECTED)
    return MONTHS.index(short) + 1


def _day(year: str | int, month: str | int, day: str | int, text: str) -> date:
    try:
        found = date(int(year), int(month), int(day))
    except ValueError:
        raise BadInput("date", text, f"a day that is in the calendar, {_DAY_EXPECTED}") from None
    if found.year < _EARLIEST_YEAR:
        raise BadInput("date", text, f"a day after {_EARLIEST_YEAR}")
    return found
