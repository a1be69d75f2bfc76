"""Days as a shop writes them. The month is a word, or the year comes first: no day is read as another one."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import date


class DayForm(StrEnum):
    """The order of a written day."""

    DAY_FIRST = "day first"
    MONTH_FIRST = "month first"
    YEAR_FIRST = "year first"


# Not strftime: it would follow the locale of the computer.
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def format_day(on: date, form: DayForm = DayForm.DAY_FIRST) -> str:
    """“25 Nov 2026”, “Nov 25, 2026” or “2026-11-25”."""
    if form is DayForm.YEAR_FIRST:
        return on.isoformat()
    if form is DayForm.MONTH_FIRST:
        return f"{_MONTHS[on.month - 1]} {on.day}, {on.year}"
    return f"{on.day} {_MONTHS[on.month - 1]} {on.year}"


def format_day_of_year(on: date, form: DayForm = DayForm.DAY_FIRST) -> str:
    """Where the year is known: “25 Nov”, else “Nov 25”; two bare numbers could be read either way."""
    month = _MONTHS[on.month - 1]
    return f"{on.day} {month}" if form is DayForm.DAY_FIRST else f"{month} {on.day}"


def format_weekday(on: date, form: DayForm = DayForm.DAY_FIRST, *, short: bool = False) -> str:
    """“Wednesday 25 Nov” or “Wednesday, Nov 25”; `short`: “Wed”."""
    name = _WEEKDAYS[on.weekday()][: 3 if short else None]
    return f"{name}{'' if form is DayForm.DAY_FIRST else ','} {format_day_of_year(on, form)}"
