"""The likely plan week by week: hours at the bench, what is done, what stands in clamps, dries or rests."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from journal import reference, units
from journal.days.calendar import midnight
from journal.web.days.picture import KINDS, waits, worked_days
from journal.web.state import display

if TYPE_CHECKING:
    from journal.desk.days import ProjectDays

_DAY_MINUTES = 1440


@dataclass(frozen=True, slots=True)
class Week:
    """One week.

    Attributes:
        first_day: its first day.
        bench_minutes: of this project, at the bench, about.
        doing: stages that are worked on.
        waiting: what waits, in words, each with its days.
    """

    first_day: date
    bench_minutes: float
    doing: tuple[str, ...]
    waiting: tuple[str, ...]


def weeks(found: ProjectDays) -> tuple[Week, ...]:
    """Every week from the first to that of the likely finish."""
    first = _first_day(found.start)
    count = (_first_day(found.likely_on) - first).days // 7 + 1
    begins_on = [first + timedelta(weeks=number) for number in range(count)]
    minutes = dict.fromkeys(begins_on, 0.0)
    doing: dict[date, set[str]] = {begin: set() for begin in begins_on}
    for row in found.likely.rows:
        part = found.parts.get(row.activity.key)
        if part:
            for day, worked in worked_days(found, row):
                minutes[_first_day(day)] += worked * found.bench.share
                doing[_first_day(day)].add(part.stage)
    names = {code: stage.name for code, stage in reference.stages().items()}
    return tuple(
        Week(
            begin,
            minutes[begin],
            tuple(name for code, name in names.items() if code in doing[begin]),
            _waiting(found, begin),
        )
        for begin in begins_on
    )


def _waiting(found: ProjectDays, begin: date) -> tuple[str, ...]:
    since = midnight(begin, found.zone)
    until = midnight(begin + timedelta(weeks=1), found.zone)
    longest: dict[str, int] = {}
    for _, kind, begins, ends in waits(found):
        inside = min(ends, until) - max(begins, since)
        longest[kind] = max(longest.get(kind, 0), inside)
    return tuple(words for kind, words in KINDS.items() if longest.get(kind, 0) >= _DAY_MINUTES // 2)


def _first_day(day: date) -> date:
    return units.week_begin(day, display().week_start)
