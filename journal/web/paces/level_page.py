"""The shop's level over the years: a step a half-year with its band, against the book."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.web import figures
from journal.web.paces.pages import times_book

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal.pace.level import LevelAt

_LETTER = 7.2  # units of width a label's letter takes, rounded up
_TOP, _FOOT, _SIDE = 12.0, 28.0, 14.0
_LEAST = 1.6  # the scale is never narrower than this, top over bottom
_AIR = 1.04
_MARKS = (0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 3.0, 4.0)
_YEAR = 48.0  # units of width that two half-years need for a label under them


@dataclass(frozen=True, slots=True)
class Step:
    """A half-year: its place, the top and height of its band, and its middle."""

    left: float
    width: float
    top: float
    height: float
    middle: float


@dataclass(frozen=True, slots=True)
class Label:
    """A label of either axis: where its line stands, what it says, and where."""

    at: float
    text: str
    text_at: float


@dataclass(frozen=True, slots=True)
class LevelPicture:
    """The drawing for one width of page. Positions in its own units, y downwards.

    Attributes:
        width, height, left, right, base: the frame.
        book: where the starting book stands.
        text_x: where the labels of the ratios end.
        steps: half-years, in order; one without a log leaves a gap.
        years, ratios: labels of the two axes.
    """

    width: float
    height: float
    left: float
    right: float
    base: float
    book: float
    text_x: float
    steps: tuple[Step, ...]
    years: tuple[Label, ...]
    ratios: tuple[Label, ...]


@dataclass(frozen=True, slots=True)
class LevelLine:
    """A half-year in words: when, the level, its ends, how many logs."""

    when: str
    level: str
    span: str
    logs: int


@dataclass(frozen=True, slots=True)
class LevelView:
    """What paces/_level.html receives: the drawing for two widths of page, in a sentence, and as a table."""

    wide: LevelPicture
    narrow: LevelPicture
    said: str
    lines: tuple[LevelLine, ...]


def level_view(levels: Sequence[LevelAt]) -> LevelView | None:
    """The level over the years; None while there is nothing to draw it from."""
    if not levels:
        return None
    first, last = levels[0].ratio.p50, levels[-1].ratio.p50
    moved = "has hardly moved" if abs(last / first - 1) < 0.03 else f"is {round(100 * abs(last / first - 1))} % "
    moved += "" if "hardly" in moved else "higher than at first" if last > first else "lower than at first"
    return LevelView(
        wide=_draw(levels, width=720, height=220),
        narrow=_draw(levels, width=328, height=200),
        said=f"This shop’s time against the starting book {moved}: {times_book(last)} today.",
        lines=tuple(
            LevelLine(
                when=f"{one.since.year}, {'first' if one.since.month == 1 else 'second'} half",
                level=figures.number(one.ratio.p50),
                span=f"{figures.number(one.ratio.p10)} to {figures.number(one.ratio.p90)}",
                logs=one.logs,
            )
            for one in reversed(levels)
        ),
    )


def _draw(levels: Sequence[LevelAt], *, width: float, height: float) -> LevelPicture:
    low, high = _ends(levels)
    marks = [mark for mark in _MARKS if low <= mark <= high]
    texts = ["book" if mark == 1.0 else f"{figures.number(mark)}×" for mark in marks]
    left = _SIDE + _LETTER * max(map(len, texts))
    right, base = width - _SIDE, height - _FOOT
    halves = [_half(one) for one in levels]
    each = (right - left) / (halves[-1] - halves[0] + 1)

    def x(half: float) -> float:
        return round(left + (half - halves[0]) * each, 1)

    def y(ratio: float) -> float:
        return round(_TOP + math.log(high / ratio) / math.log(high / low) * (base - _TOP), 1)

    return LevelPicture(
        width=width,
        height=height,
        left=left,
        right=right,
        base=base,
        book=y(1.0),
        text_x=left - 6,
        steps=tuple(
            Step(
                x(half),
                round(each, 1),
                y(one.ratio.p90),
                round(y(one.ratio.p10) - y(one.ratio.p90), 1),
                y(one.ratio.p50),
            )
            for half, one in zip(halves, levels, strict=True)
        ),
        years=tuple(
            Label(x(2 * year), str(year), round(x(2 * year) + each, 1)) for year in _years(halves[0], halves[-1], each)
        ),
        ratios=tuple(Label(y(mark), text, y(mark) + 4) for mark, text in zip(marks, texts, strict=True)),
    )


def _half(one: LevelAt) -> int:
    return 2 * one.since.year + (one.since.month > 1)


def _years(first: int, last: int, each: float) -> range:
    """The years that begin on the drawing, as many as their labels leave room for."""
    return range(-(-first // 2), last // 2 + 1, max(1, math.ceil(_YEAR / (2 * each))))


def _ends(levels: Sequence[LevelAt]) -> tuple[float, float]:
    low = min(1.0, *(one.ratio.p10 for one in levels)) / _AIR
    high = max(1.0, *(one.ratio.p90 for one in levels)) * _AIR
    short = max(1.0, _LEAST / (high / low))
    return low / math.sqrt(short), high * math.sqrt(short)
