"""How a forecast moved: a band of what it would come to, the hours spent under it, day by day."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.web import filters
from journal.web.pictures import round_ticks
from journal.web.state import in_marks

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import date

    from journal.desk.progress import Step, Whereabouts

_LETTER = 7.2  # units of width a label's letter takes, rounded up
_TOP, _FOOT, _SIDE = 12.0, 28.0, 14.0
_DAY_LABEL = 76.0  # units of width a day's label needs
_HOURS = 5  # labels at most


@dataclass(frozen=True, slots=True)
class Label:
    """A label of either axis: where its line stands and what it says."""

    at: float
    text: str


@dataclass(frozen=True, slots=True)
class CoursePicture:
    """The drawing for one width of page. Positions in its own units, y downwards.

    Attributes:
        width, height, left, right, base: the frame.
        band, middle, spent: paths: eight times in ten, the middle, the hours spent.
        dots: where the forecast was worked out.
        agreed: where the agreed hours stand; None for none.
        days, hours: labels of the axes.
    """

    width: float
    height: float
    left: float
    right: float
    base: float
    band: str
    middle: str
    spent: str
    dots: tuple[tuple[float, float], ...]
    agreed: float | None
    days: tuple[Label, ...]
    hours: tuple[Label, ...]


@dataclass(frozen=True, slots=True)
class CourseLine:
    """One day in words: the day, hours spent by then, the middle and the ends of what it would come to."""

    on: date
    spent: str
    middle: str
    span: str


@dataclass(frozen=True, slots=True)
class CourseView:
    """What progress/course.html receives; no drawing while there is only today."""

    wide: CoursePicture | None
    narrow: CoursePicture | None
    said: str
    lines: tuple[CourseLine, ...]


def course_view(found: Whereabouts) -> CourseView:
    """How the forecast moved, from before the first day of work until today."""
    steps = _one_a_day(found.history)
    several = len(steps) > 1
    return CourseView(
        wide=_draw(steps, found.agreed_minutes, width=720, height=280) if several else None,
        narrow=_draw(steps, found.agreed_minutes, width=328, height=240) if several else None,
        said=_said(steps),
        lines=tuple(
            CourseLine(
                step.on,
                filters.hours(step.spent_minutes),
                filters.hours(step.minutes.p50),
                f"{_hours(step.minutes.p10)} to {filters.hours(step.minutes.p90)}",
            )
            for step in reversed(steps)
        ),
    )


def _one_a_day(steps: Sequence[Step]) -> list[Step]:
    """The last look of each day."""
    return list({step.on: step for step in steps}.values())


def _said(steps: Sequence[Step]) -> str:
    first, last = steps[0], steps[-1]
    if first is last:
        return "Nothing was logged on earlier days, so there is no course yet."
    moved = last.minutes.p50 - first.minutes.p50
    way = "higher" if moved > 0 else "lower"
    narrower = _width(last) / _width(first)
    range_now = f"the range is {round(100 * (1 - narrower))} % narrower" if narrower < 1 else "the range is no narrower"
    return (
        f"Since before the first day of work the middle has moved from {filters.hours(first.minutes.p50)} to "
        f"{filters.hours(last.minutes.p50)}, {filters.hours(abs(moved))} {way}; {range_now}."
    )


def _width(step: Step) -> float:
    return step.minutes.p90 - step.minutes.p10


def _hours(minutes: float) -> str:
    return filters.hours(minutes).removesuffix(" h")


def _draw(steps: Sequence[Step], agreed: float | None, *, width: float, height: float) -> CoursePicture:
    top = max([agreed or 0.0, *(step.minutes.p90 for step in steps)]) * 1.04
    first, each = round_ticks(0.0, top / 60, _HOURS)
    ticks = [first + each * place for place in range(_HOURS + 1) if first + each * place <= top / 60]
    left = _SIDE + _LETTER * max(len(_tick(tick)) for tick in ticks)
    right, base = width - _SIDE, height - _FOOT
    days = (steps[-1].on - steps[0].on).days

    def x(on: date) -> float:
        return round(left + (on - steps[0].on).days / days * (right - left), 1)

    def y(minutes: float) -> float:
        return round(base - minutes / top * (base - _TOP), 1)

    def path(value: Callable[[Step], float], order: Sequence[Step] = steps) -> str:
        return " L".join(f"{x(step.on)} {y(value(step))}" for step in order)

    upper, lower = path(lambda step: step.minutes.p90), path(lambda step: step.minutes.p10, steps[::-1])
    return CoursePicture(
        width=width,
        height=height,
        left=left,
        right=right,
        base=base,
        band=f"M{upper} L{lower} Z",
        middle=f"M{path(lambda step: step.minutes.p50)}",
        spent=f"M{path(lambda step: step.spent_minutes)}",
        dots=tuple((x(step.on), y(step.minutes.p50)) for step in steps),
        agreed=y(agreed) if agreed else None,
        days=_days(steps, x),
        hours=tuple(Label(y(60 * tick), _tick(tick)) for tick in ticks),
    )


def _tick(hours: float) -> str:
    return in_marks(f"{hours:g} h")


def _days(steps: Sequence[Step], x: Callable[[date], float]) -> tuple[Label, ...]:
    """The last day, and of the others as many as their labels leave room for."""
    last = x(steps[-1].on)
    placed: list[Label] = []
    for step in steps[:-1]:
        at = x(step.on)
        if last - at >= _DAY_LABEL and (not placed or at - placed[-1].at >= _DAY_LABEL):
            placed.append(Label(at, _day(step.on)))
    return (*placed, Label(last, _day(steps[-1].on)))


def _day(on: date) -> str:
    return filters.day_of_year(on)
