"""Geometry of an operation's logs over time: a point a project, against the range believed today and the book."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from journal.working import Spread

Kind = Literal["own", "stage", "aside"]

_LETTER = 7.2  # units of width a label's letter takes, rounded up
_TOP, _FOOT, _SIDE = 10.0, 26.0, 14.0
_TICK = 5.0
_AIR = 1.12  # the scale goes a little beyond what it holds
_LEAST = 2.0  # and is never narrower than this, top over bottom
_STEPS = (
    (1.0,),
    (1.0, 3.0),
    (1.0, 2.0, 5.0),
    (1.0, 1.5, 2.0, 3.0, 5.0, 7.0),
    (1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0),
)
_FEWEST_LABELS = 3
_MONTHS = (1, 2, 3, 6, 12, 24, 60, 120)  # from one label of the days to the next


@dataclass(frozen=True, slots=True)
class Seen:
    """One project's pace: minutes for a unit, when, what kind of log, where its entries are, and all that in words."""

    on: date
    minutes: float
    kind: Kind
    address: str
    said: str


@dataclass(frozen=True, slots=True)
class Scale:
    """What everything is drawn against: minutes for a unit by the shop today (a range) and by the book."""

    pace: Spread
    book_minutes: float
    today: date


@dataclass(frozen=True, slots=True)
class Point:
    """A point to follow."""

    x: float
    y: float
    seen: Seen


@dataclass(frozen=True, slots=True)
class Label:
    """A tick of either axis: where it stands on it, what it says and where, and how far it reaches."""

    at: float
    text: str
    text_at: float
    end: float


@dataclass(frozen=True, slots=True)
class PointsPicture:
    """The drawing for one width of page. Positions in its own units, y downwards.

    Attributes:
        width, height, left, right, base: the frame: where the days begin and end, and the line they stand on.
        band_top, band_height, band_width, middle, book: the range believed today, its middle, the book.
        pace_text_x: where the labels of the paces end.
        points: set aside first, so that the others lie on top.
        days, paces: labels of the two axes.
    """

    width: float
    height: float
    left: float
    right: float
    base: float
    band_top: float
    band_height: float
    band_width: float
    middle: float
    book: float
    pace_text_x: float
    points: tuple[Point, ...]
    days: tuple[Label, ...]
    paces: tuple[Label, ...]


_ORDER: dict[Kind, int] = {"aside": 0, "stage": 1, "own": 2}


def draw(
    seen: Sequence[Seen], scale: Scale, say: Callable[[float], str], *, width: float, height: float
) -> PointsPicture:
    """The drawing.

    Args:
        seen: at least one, minutes > 0.
        scale: what to draw it against.
        say: writes minutes for a unit.
        width: of the picture.
        height: of it.
    """
    values = [scale.pace.p10, scale.pace.p90, scale.book_minutes, *(one.minutes for one in seen)]
    low, high = _ends(min(values), max(values))
    ticks = pace_ticks(low, high)
    left = _SIDE + _LETTER * max(len(say(tick)) for tick in ticks)
    right, base = width - _SIDE, height - _FOOT
    first, last = min(one.on for one in seen), max(scale.today, *(one.on for one in seen))
    days = max(1, (last - first).days)

    def x(on: date) -> float:
        return round(left + _SIDE + (on - first).days / days * (right - left - 2 * _SIDE), 1)

    def y(minutes: float) -> float:
        return round(_TOP + math.log(high / minutes) / math.log(high / low) * (base - _TOP), 1)

    placed = [Point(x(one.on), y(one.minutes), one) for one in sorted(seen, key=lambda one: _ORDER[one.kind])]
    most = max(2, int((right - left) / (_LETTER * 9)))
    return PointsPicture(
        width=width,
        height=height,
        left=left,
        right=right,
        base=base,
        band_top=y(scale.pace.p90),
        band_height=round(y(scale.pace.p10) - y(scale.pace.p90), 1),
        band_width=right - left,
        middle=y(scale.pace.p50),
        book=y(scale.book_minutes),
        pace_text_x=left - _TICK - 3,
        points=tuple(placed),
        days=tuple(Label(x(on), text, base + 19, base + _TICK) for on, text in day_ticks(first, last, most)),
        paces=tuple(Label(y(tick), say(tick), y(tick) + 4, left - _TICK) for tick in ticks),
    )


def pace_ticks(low: float, high: float) -> tuple[float, ...]:
    """Round values between two, evenly spread by ratio, as few as still make a scale; low > 0."""
    # In seconds below a minute, so that the labels are round as they are written.
    unit = 1 / 60 if high < 1 else 1.0
    found: list[float] = []
    for steps in _STEPS:
        powers = range(math.floor(math.log10(low / unit)), math.ceil(math.log10(high / unit)) + 1)
        every = (unit * step * 10.0**power for power in powers for step in steps)
        found = [tick for tick in every if low <= tick <= high]
        if len(found) >= _FEWEST_LABELS:
            break
    return tuple(found) or (math.sqrt(low * high),)


def day_ticks(first: date, last: date, most: int) -> list[tuple[date, str]]:
    """Beginnings of years or months within two days (both included), at most so many; first ≤ last."""
    months = (last.year - first.year) * 12 + last.month - first.month + 1
    step = next((step for step in _MONTHS if months / step <= most), _MONTHS[-1])
    start = first.year * 12 + first.month - 1
    found = []
    for month in range(start - start % step, start + months + 1):
        on = date(month // 12, month % 12 + 1, 1)
        if (month % step == 0) and first <= on <= last:
            found.append((on, str(on.year) if step >= 12 else f"{on:%b} {on.year}"))
    return found


def _ends(low: float, high: float) -> tuple[float, float]:
    low, high = low / _AIR, high * _AIR
    short = _LEAST / (high / low)
    return (low / math.sqrt(short), high * math.sqrt(short)) if short > 1 else (low, high)
