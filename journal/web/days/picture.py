"""The plan as bars: a row a stage, a column a day; what is worked, what stands in clamps, dries or rests."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from journal import reference, units
from journal.days.calendar import midnight, to_moment
from journal.web import filters
from journal.web.state import display

if TYPE_CHECKING:
    from collections.abc import Iterator

    from journal.days.search import Scheduled
    from journal.desk.days import ProjectDays

_DAY_WIDTH = 8.0
_ROW = 30.0
_BAR = 16.0
_HEAD = 24.0
_SIDE = 4.0
_MINUTES_PER_DAY = 1440
# A mark of a week needs so much room.
_WEEK_LABEL = 44.0
OTHER = "Other work"
KINDS = {"work": "at the bench", "clamps": "in clamps, glue hardening", "drying": "drying", "resting": "resting"}
_WAITS = {"glue_up": "clamps", "finishing": "drying", "stock": "resting", "milling": "resting"}


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar of a row, from x so far; `kind` is one of KINDS."""

    x: float
    width: float
    kind: str


@dataclass(frozen=True, slots=True)
class Row:
    """A stage: its name, its y, its bars."""

    name: str
    y: float
    bars: tuple[Bar, ...]


@dataclass(frozen=True, slots=True)
class Mark:
    """A day worth a line: x, its label, whether it is the finish."""

    x: float
    label: str
    finish: bool = False


@dataclass(frozen=True, slots=True)
class Picture:
    """The plan in the picture’s own units, y downwards.

    Attributes:
        width, height, head, row, bar: of the whole, the dates along the top, a row, a bar.
        rows: stages that have anything.
        marks: first days of weeks, and the finish.
        kinds: (kind, in words) of the bars there are.
        description: the same in a sentence.
    """

    width: float
    height: float
    head: float
    row: float
    bar: float
    rows: tuple[Row, ...]
    marks: tuple[Mark, ...]
    kinds: tuple[tuple[str, str], ...]
    description: str


def picture(found: ProjectDays) -> Picture:
    """The likely plan, day by day."""
    last = max(found.sure_on, *(_day(found, row.end) for row in found.likely.rows))
    days = (last - found.start).days + 2
    width = 2 * _SIDE + days * _DAY_WIDTH
    bars = _bars(found)
    names = [name for name in (OTHER, *(stage.name for stage in reference.stages().values())) if bars.get(name)]
    rows = tuple(Row(name, _HEAD + _ROW * at, tuple(bars[name])) for at, name in enumerate(names))
    shown = {bar.kind for row in rows for bar in row.bars}
    return Picture(
        width=width,
        height=_HEAD + _ROW * len(rows),
        head=_HEAD,
        row=_ROW,
        bar=_BAR,
        rows=rows,
        marks=(*_week_marks(found, last), Mark(_x(found, found.sure_on + timedelta(days=1)), "", finish=True)),
        kinds=tuple((kind, words) for kind, words in KINDS.items() if kind in shown),
        description=f"{len(rows)} stages from {found.start} to {found.likely_on}; the table holds the same, week by week.",
    )


def waits(found: ProjectDays) -> Iterator[tuple[str, str, int, int]]:
    """(stage code, kind, from, to on the wall) of everything that stands in clamps, dries or rests."""
    rows = {row.activity.key: row for row in found.likely.rows}
    for row in found.likely.rows:
        for before in row.activity.after:
            part = found.parts.get(before.key)
            if before.wait and part and part.stage in _WAITS:
                since = rows[before.key].end
                yield part.stage, _WAITS[part.stage], since, since + before.wait


def worked_days(found: ProjectDays, row: Scheduled) -> Iterator[tuple[date, int]]:
    """(day, minutes) of the work of one activity, all its people together."""
    for since, until in row.stretches:
        at = since
        while at < until:
            day = _day(found, at)
            over = min(until, midnight(day + timedelta(days=1), found.zone))
            yield day, (over - at) * row.activity.people
            at = over


def _bars(found: ProjectDays) -> dict[str, list[Bar]]:
    """Waits under, work over, by the name of the stage."""
    stages = reference.stages()
    bars: dict[str, list[Bar]] = defaultdict(list)
    for stage, kind, since, until in sorted(set(waits(found))):
        start = _SIDE + (since - found.likely.begin) / _MINUTES_PER_DAY * _DAY_WIDTH
        bars[stages[stage].name].append(
            Bar(round(start, 1), round((until - since) / _MINUTES_PER_DAY * _DAY_WIDTH, 1), kind)
        )
    days: dict[str, set[date]] = defaultdict(set)
    for row in found.likely.rows:
        part = found.parts.get(row.activity.key)
        days[stages[part.stage].name if part else OTHER].update(day for day, _ in worked_days(found, row))
    for name, worked in days.items():
        bars[name] += [
            Bar(_x(found, first), (last - first).days * _DAY_WIDTH + _DAY_WIDTH, "work")
            for first, last in _runs(worked)
        ]
    return bars


def _runs(days: set[date]) -> Iterator[tuple[date, date]]:
    """Days that follow each other, from the first to the last of each run."""
    ordered = sorted(days)
    start = at = None
    for day in ordered:
        if at is None or day != at + timedelta(days=1):
            if start is not None and at is not None:
                yield start, at
            start = day
        at = day
    if start is not None and at is not None:
        yield start, at


def _week_marks(found: ProjectDays, last: date) -> Iterator[Mark]:
    before = units.week_begin(found.start, display().week_start)
    first = before if before == found.start else before + timedelta(weeks=1)
    every = max(1, round(_WEEK_LABEL / (7 * _DAY_WIDTH) + 0.49))
    for number in range(((last - first).days // 7) + 1):
        day = first + timedelta(weeks=number)
        yield Mark(_x(found, day), filters.day_of_year(day) if number % every == 0 else "")


def _x(found: ProjectDays, day: date) -> float:
    return round(_SIDE + (day - found.start).days * _DAY_WIDTH, 1)


def _day(found: ProjectDays, wall: int) -> date:
    return to_moment(wall, found.zone).date()
