"""Days as a shop writes them. The month is a word, or the year comes first: no day is read as another one."""

from __future__ import annotations

import re
from datetime import date
from enum import StrEnum


class DayForm(StrEnum):
    """The order of a written day."""

    DAY_FIRST = "day first"
    MONTH_FIRST = "month first"
    YEAR_FIRST = "year first"


# Not strftime: it would follow the locale of the computer.
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_WRITTEN = re.compile(r"(?<![\w-])([0-9]{4})-([0-9]{2})-([0-9]{2})(?![\w-])")
_MONTH_NAMES = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def format_day(on: date, form: DayForm = DayForm.DAY_FIRST) -> str:
    """“25 Nov 2026”, “Nov 25, 2026” or “2026-11-25”."""
    if form is DayForm.YEAR_FIRST:
        return on.isoformat()
    if form is DayForm.MONTH_FIRST:
        return f"{MONTHS[on.month - 1]} {on.day}, {on.year}"
    return f"{on.day} {MONTHS[on.month - 1]} {on.year}"


def format_day_of_year(on: date, form: DayForm = DayForm.DAY_FIRST) -> str:
    """Where the year is known: “25 Nov”, else “Nov 25”; two bare numbers could be read either way."""
    month = MONTHS[on.month - 1]
    return f"{on.day} {month}" if form is DayForm.DAY_FIRST else f"{month} {on.day}"


def format_weekday(on: date, form: DayForm = DayForm.DAY_FIRST, *, short: bool = False) -> str:
    """“Wednesday 25 Nov” or “Wednesday, Nov 25”; `short`: “Wed”."""
    name = weekday_name(on, short=short)
    return f"{name}{'' if form is DayForm.DAY_FIRST else ','} {format_day_of_year(on, form)}"


def format_month_day(on: date, form: DayForm = DayForm.DAY_FIRST) -> str:
    """As one speaks of it: “the 14th of December”, else “December 14”."""
    month = _MONTH_NAMES[on.month - 1]
    return f"the {on.day}{_ending(on.day)} of {month}" if form is DayForm.DAY_FIRST else f"{month} {on.day}"


def weekday_name(on: date, *, short: bool = False) -> str:
    """“Wednesday”; `short`: “Wed”."""
    return _WEEKDAYS[on.weekday()][: 3 if short else None]


def dated(text: str, form: DayForm) -> str:
    """A text of the rooms, which write days as 2026-11-25, with its days as the shop writes them."""
    return text if form is DayForm.YEAR_FIRST else _WRITTEN.sub(lambda day: _in_form(day, form), text)


def _in_form(day: re.Match[str], form: DayForm) -> str:
    try:
        return format_day(date(int(day[1]), int(day[2]), int(day[3])), form)
    except ValueError:
        return day[0]  # three numbers that are no day


def _ending(day: int) -> str:
    return "th" if day in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(day % 10, "th")
