"""Does a schedule keep every rule? A replay on the calendar’s own days that shares nothing with the search."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from journal.days.calendar import Calendar
    from journal.days.search import Schedule, Scheduled

_DAY = timedelta(days=1)


def faults(found: Schedule, calendar: Calendar) -> tuple[str, ...]:
    """Every rule that is broken, in words; none when the schedule is sound."""
    return (*_row_faults(found, calendar), *_order_faults(found), *_people_faults(found), *_held_faults(found))


def _row_faults(found: Schedule, calendar: Calendar) -> Iterator[str]:
    for row in found.rows:
        one, name = row.activity, row.activity.title
        if row.start < max(one.release, found.begin):
            yield f"{name} starts before it may"
        if sum(until - since for since, until in row.stretches) != one.minutes:
            yield f"{name} is not given its {one.minutes} minutes"
        if not one.minutes:
            if row.end != row.start:
                yield f"{name} takes no time, and yet it ends later than it starts"
            continue
        if (row.start, row.end) != (row.stretches[0][0], row.stretches[-1][1]):
            yield f"{name} does not start and end with its work"
        if not one.pauses and len(row.stretches) > 1:
            yield f"{name} is interrupted"
        yield from _hour_faults(row, calendar)


def _hour_faults(row: Scheduled, calendar: Calendar) -> Iterator[str]:
    hours = _open(calendar, row.start, row.end)
    for since, until in row.stretches:
        if _overlap(hours, since, until) != until - since:
            yield f"{row.activity.title} goes on while the shop is closed"
    for (_, paused), (again, _) in zip(row.stretches, row.stretches[1:], strict=False):
        if paused > again or _overlap(hours, paused, again):
            yield f"{row.activity.title} pauses while the shop is open"


def _order_faults(found: Schedule) -> Iterator[str]:
    ends = {row.activity.key: row.end for row in found.rows}
    for row in found.rows:
        for before in row.activity.after:
            if row.start < ends[before.key] + before.wait:
                yield f"{row.activity.title} starts too soon after {before.key}"
    latest = max((row.end for row in found.rows if found.load.counts(row.activity.key)), default=found.begin)
    if latest != found.finish:
        yield "the finish is not the last end that counts"
    if found.bound > found.finish:
        yield "it ends before its own bound"


def _people_faults(found: Schedule) -> Iterator[str]:
    at_work = [(*stretch, row.activity.people) for row in found.rows for stretch in row.stretches]
    if _most(at_work) > found.load.people:
        yield "more people are at work than the shop has"


def _held_faults(found: Schedule) -> Iterator[str]:
    for what, amount in found.load.there.items():
        held = [
            (row.start, row.end + need.kept, need.amount)
            for row in found.rows
            for need in row.activity.needs
            if need.what == what and row.activity.minutes
        ]
        if _most(held) > amount:
            yield f"more {what} are in use than there are"


def _most(taken: Sequence[tuple[int, int, int]]) -> int:
    """The most that is ever taken at once."""
    changes = sorted(
        [(since, 1, amount) for since, _, amount in taken] + [(until, 0, -amount) for _, until, amount in taken]
    )
    most = now = 0
    for _, _, change in changes:
        now += change
        most = max(most, now)
    return most


def _open(calendar: Calendar, since: int, until: int) -> list[tuple[int, int]]:
    zone = ZoneInfo(calendar.zone)
    day = datetime.fromtimestamp(since * 60, tz=zone).date() - _DAY
    last = datetime.fromtimestamp(until * 60, tz=zone).date() + _DAY
    hours = []
    while day <= last:
        if not any(off.first <= day <= off.last for off in calendar.off):
            start = datetime(day.year, day.month, day.day)  # noqa: DTZ001 - given its zone below, hour by hour
            for span in calendar.week.spans:
                if span.weekday == day.weekday():
                    ends = (start + timedelta(minutes=minutes) for minutes in (span.opens, span.closes))
                    hours.append(_in_minutes(moment.replace(tzinfo=zone) for moment in ends))
        day += _DAY
    return hours


def _in_minutes(moments: Iterable[datetime]) -> tuple[int, int]:
    opens, closes = (int(moment.astimezone(UTC).timestamp()) // 60 for moment in moments)
    return opens, closes


def _overlap(hours: Sequence[tuple[int, int]], since: int, until: int) -> int:
    """Minutes between two moments at which the shop is open."""
    return sum(max(0, min(closes, until) - max(opens, since)) for opens, closes in hours)
