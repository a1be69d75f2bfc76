"""The drying of a stack, drawn: the curve, the readings, the day it is ready; positions out, so that a template only writes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from journal import units
from journal.web import filters
from journal.web.pictures import round_ticks
from journal.web.state import display, in_marks

if TYPE_CHECKING:
    from datetime import date

    from journal.desk.moisture import Stack

_LEFT, _RIGHT, _TOP, _PLOT, _AXIS = 38.0, 12.0, 20.0, 130.0, 26.0
_POINTS = 40
_MOST_TICKS = 4


@dataclass(frozen=True, slots=True)
class Placed:
    """Something with a label: a tick of an axis, or a reading."""

    x: float
    y: float
    text: str


@dataclass(frozen=True, slots=True)
class DryingPicture:
    """A curve of moisture over days. Positions in the picture's own units, y downwards."""

    width: float
    height: float
    base: float
    left: float
    right: float
    curve: str
    readings: tuple[Placed, ...]
    days: tuple[Placed, ...]
    levels: tuple[Placed, ...]
    ready_x: float
    ready_y: float
    today_x: float | None
    wanted_y: float


@dataclass(frozen=True, slots=True)
class DryingFigure:
    """The same stack drawn for a wide and a narrow page, and told in words."""

    description: str
    wide: DryingPicture
    narrow: DryingPicture


def drying_figure(stack: Stack, today: date, within_pct: float) -> DryingFigure:
    """The drawing of a stack.

    Args:
        stack: drawn.
        today: marked where it lies on the axis.
        within_pct: this near the shop's own moisture counts as ready.
    """
    told = (
        f"From {stack.drying.moisture_pct(0):.1f}% on {filters.day(stack.stacked_on)} towards the shop’s "
        f"{stack.drying.emc_pct:.1f}%; near enough about {filters.day(stack.ready_on)}."
    )
    return DryingFigure(in_marks(told), _draw(stack, today, within_pct, 640.0), _draw(stack, today, within_pct, 328.0))


def _draw(stack: Stack, today: date, within_pct: float, width: float) -> DryingPicture:
    drying = stack.drying
    ready = float((stack.ready_on - stack.stacked_on).days)
    now = float((today - stack.stacked_on).days)
    last = max(ready * 1.2, now, *(one.days for one in stack.daily), 7.0)
    values = [drying.moisture_pct(0), drying.emc_pct, *(one.moisture_pct for one in stack.daily)]
    low, high = math.floor(min(values)) - 1.0, math.ceil(max(values)) + 1.0
    base = _TOP + _PLOT

    def x(days: float) -> float:
        return round(_LEFT + days / last * (width - _LEFT - _RIGHT), 1)

    def y(pct: float) -> float:
        return round(base - (pct - low) / (high - low) * _PLOT, 1)

    at = [last * step / _POINTS for step in range(_POINTS + 1)]
    first, step = round_ticks(0, last, _MOST_TICKS)
    ticks = [first + step * n for n in range(int(last // step) + 1)]
    above = drying.emc_pct + math.copysign(within_pct, drying.excess_pct)
    return DryingPicture(
        width=width,
        height=base + _AXIS,
        base=base,
        left=_LEFT,
        right=width - _RIGHT,
        curve="M" + " L".join(f"{x(day)} {y(drying.moisture_pct(day))}" for day in at),
        readings=tuple(
            Placed(x(one.days), y(one.moisture_pct), in_marks(f"{_day(stack, one.days)}: {one.moisture_pct:.1f}%"))
            for one in stack.daily
        ),
        days=tuple(Placed(x(tick), base + 16, _day(stack, tick)) for tick in ticks if tick <= last),
        levels=tuple(
            Placed(_LEFT - 6, y(pct) + 4, f"{pct:.0f}%") for pct in {round(high - 1.0), round(drying.emc_pct)}
        ),
        ready_x=x(ready),
        ready_y=y(drying.moisture_pct(ready)),
        today_x=x(now) if 0 <= now <= last else None,
        wanted_y=y(above),
    )


def _day(stack: Stack, days: float) -> str:
    on = stack.stacked_on + timedelta(days=round(days))
    return filters.day_of_year(on)


def about(on: date, today: date) -> str:
    """A day as one speaks of it: “the 14th”, “the 14th of December”, “14 Dec 2027”."""
    spoken = units.format_month_day(on, display().day_form)
    if (on.year, on.month) == (today.year, today.month):
        return spoken.partition(" of ")[0]
    if abs((on - today).days) < 300:
        return spoken
    return filters.day(on)
