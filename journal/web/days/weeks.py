"""The likely plan week by week: hours at the bench, what is done, what stands in clamps, dries or rests."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from journal import reference
from journal.days.calendar import midnight
from journal.web.days.picture import KINDS, waits, worked_days

if TYPE_CHECKING:
    from journal.desk.days import ProjectDays

_DAY_MINUTES = 1440


@dataclass(frozen=True, slots=True)
class Week:
    """One week.

    Attributes:
        monday: its first day.
        bench_minutes: of this project, at the bench, about.
        doing: stages that are worked on.
        waiting: what waits, in words, each with its days.
    """

    monday: date
    bench_minutes: float
    doing: tuple[str, ...]
    waiting: tuple[str, ...]


def weeks(found: ProjectDays) -> tuple[Week, ...]:
    """Every week from the first to that of the likely finish."""
    first = _monday(found.start)
    count = (_monday(found.likely_on) - first).days // 7 + 1
    mondays = [first + timedelta(weeks=number) for number in range(count)]
    minutes = dict.fromkeys(mondays, 0.0)
    doing: dict[date, set[str]] = {monday: set() for monday in mondays}
    for row in found.likely.rows:
        part = found.parts.get(row.activity.key)
        if part:
            for day, worked in worked_days(found, row):
                minutes[_monday(day)] += worked * found.bench.share
                doing[_monday(day)].add(part.stage)
    names = {code: stage.name for code, stage in reference.stages().items()}
    return tuple(
        Week(
            monday,
            minutes[monday],
            tuple(name for code, name in names.items() if code in doing[monday]),
            _waiting(found, monday),
        )
        for monday in mondays
    )


def _waiting(found: ProjectDays, monday: date) -> tuple[str, ...]:
    since = midnight(monday, found.zone)
    until = midnight(monday + timedelta(weeks=1), found.zone)
    longest: dict[str, int] = {}
    for _, kind, begins, ends in waits(found):
        inside = min(ends, until) - max(begins, since)
        longest[kind] = max(longest.get(kind, 0), inside)
    return tuple(words for kind, words in KINDS.items() if longest.get(kind, 0) >= _DAY_MINUTES // 2)


def _monday(day: date) -> date:
    return day - timedelta(days=day.weekday())
