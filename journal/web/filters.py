"""How a figure reaches a page: each filter is one line over a tested function."""

from __future__ import annotations

import re
from datetime import datetime
from functools import wraps
from typing import TYPE_CHECKING

from flask import url_for
from jinja2 import pass_context
from markupsafe import Markup, escape

from journal import units
from journal.quote.costing import STARTING_PRICE
from journal.quote.wages import STARTING_VALUE
from journal.web import figures
from journal.web.state import display, in_marks, zone
from journal.web.state import told as state_told

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date
    from fractions import Fraction

    from flask import Flask
    from jinja2.runtime import Context

    from journal.working import Basis, Line


_PERCENT = re.compile(r"(\d) %")
_ALONE = re.compile(r"(?<!\d)(?=\d(?!\d))")  # before a day of one figure
# What nobody has set, the word in it that is a place, and that place.
_SET_AT = ((STARTING_VALUE, "Shop", "shop.index"), (STARTING_PRICE, "Prices", "prices.index"))
_PAD = '<span class="day-pad">\N{FIGURE SPACE}</span>'


def setup(app: Flask) -> None:
    app.jinja_env.filters.update({name: _when_shown(one) for name, one in FILTERS.items()})


def _when_shown(one: Callable[..., object]) -> Callable[..., object]:
    """Put on each time a page is shown: Jinja would work a constant out once, in the ways of whoever asks first."""

    @pass_context
    @wraps(one)
    def shown(_context: Context, *given: object, **named: object) -> object:
        return one(*given, **named)

    return shown


def dimension(length_nm: int) -> str:
    return in_marks(units.format_length(length_nm, display().system, denominator=display().denominator))


def feet(length_nm: int) -> str:
    return in_marks(units.format_length(length_nm, display().system, denominator=display().denominator, feet=True))


def amount(quantity: float, unit: str) -> str:
    return in_marks(units.Shown(display().system).amount(quantity, unit))


def area(area_nm2: int) -> str:
    return in_marks(units.format_area(area_nm2, display().system))


def board_feet(volume_nm3: int) -> str:
    return in_marks(units.format_board_feet(volume_nm3))


def mass(mass_kg: float) -> str:
    return in_marks(units.format_mass(mass_kg, display().system))


def liquid(volume_ml: float) -> str:
    return in_marks(units.format_liquid(volume_ml, display().system))


def money(minor: int) -> str:
    return in_marks(units.format_money(minor, display().currency))


def minutes(time_minutes: float) -> str:
    return in_marks(units.format_minutes(time_minutes))


def hours(time_minutes: float) -> str:
    return in_marks(units.format_hours(time_minutes))


def percent(share: float | Fraction) -> str:
    return tight(figures.value_text(float(share), "share", display()))


def told(text: str) -> str:
    """A sentence of the rooms, its numbers as the shop writes them; never for what somebody typed."""
    return tight(state_told(str(text)))


def sourced(text: str) -> Markup:
    """Where a number came from; what nobody has set leads to where it is set."""
    said = escape(text)
    for words, named, endpoint in _SET_AT:
        head, found, tail = text.partition(words)
        if found:
            link = Markup('<a href="{}">{}</a>').format(url_for(endpoint), named)
            return Markup("{}{}{}{}").format(head, words.removesuffix(named), link, tail)
    return said


def tight(text: str) -> str:
    """With a number and its “%” on one line."""
    return _PERCENT.sub("\\1\N{NO-BREAK SPACE}%", text)


def day(when: date) -> str:
    return units.format_day(_there(when), display().day_form)


def day_cell(when: date) -> Markup:
    """A day in a column: on one line, its number as wide as the others' so that months stand under each other."""
    return Markup('<span class="day-cell">{}</span>').format(Markup(_ALONE.sub(_PAD, day(when))))  # noqa: S704 - a day in our own words


def weekday(when: date) -> str:
    return units.format_weekday(_there(when), display().day_form)


def day_of_year(when: date) -> str:
    return units.format_day_of_year(_there(when), display().day_form)


def weekday_name(when: date) -> str:
    return units.weekday_name(_there(when), short=True)


def _there(when: date) -> date:
    """The day itself, or the shop's day of a moment."""
    return when.astimezone(zone()).date() if isinstance(when, datetime) else when


def time_of_day(moment: datetime) -> str:
    return f"{moment.astimezone(zone()):%H:%M}"


def line_text(line: Line) -> str:
    return figures.line_text(line, display())


def spread_text(line: Line) -> str:
    return figures.spread_text(line, display())


def basis_class(basis: Basis) -> str:
    return f"badge--{basis.value.replace(' ', '-')}"


FILTERS = {
    "amount": amount,
    "area": area,
    "basis_class": basis_class,
    "board_feet": board_feet,
    "day": day,
    "day_cell": day_cell,
    "day_of_year": day_of_year,
    "dimension": dimension,
    "feet": feet,
    "hours": hours,
    "line_text": line_text,
    "liquid": liquid,
    "mass": mass,
    "minutes": minutes,
    "money": money,
    "number": figures.number,
    "percent": percent,
    "runs": figures.runs,
    "spread_text": spread_text,
    "sourced": sourced,
    "told": told,
    "time_of_day": time_of_day,
    "weekday": weekday,
    "weekday_name": weekday_name,
}
