"""The likely plan as an iCalendar file (RFC 5545): a step an event, the waits that last, and the day to promise."""

from __future__ import annotations

from datetime import datetime, timedelta
from hashlib import sha256
from typing import TYPE_CHECKING

from journal.days.calendar import to_moment

if TYPE_CHECKING:
    from collections.abc import Iterator

    from icalendar import Event

    from journal.desk.days import ProjectDays

_MAKER = "-//Shop Build Journal//Days 1//EN"
# A wait shorter than this is over before anybody would look at a calendar.
_WORTH_AN_EVENT_MINUTES = 12 * 60


def calendar_file(found: ProjectDays, now: datetime) -> bytes:
    """The file. The same step has the same UID in every file, so that a calendar moves its event and adds no other."""
    from icalendar import Calendar  # noqa: PLC0415 - slow to import, and seldom asked for

    file = Calendar()
    file.add("prodid", _MAKER)
    file.add("version", "2.0")
    file.add("method", "PUBLISH")
    file.add("x-wr-calname", f"{found.project.code} {found.project.title}")
    for event in _events(found, now):
        file.add_component(event)
    return bytes(file.to_ical())


def _events(found: ProjectDays, now: datetime) -> Iterator[Event]:
    code = found.project.code
    steps: dict[str, tuple[int, int]] = {}
    for row in found.likely.rows:
        part = found.parts.get(row.activity.key)
        if part:
            start, end = steps.get(part.step, (row.start, row.end))
            steps[part.step] = (min(start, row.start), max(end, row.end))
    titles = {part.step: part.title for part in found.parts.values()}
    for step, (start, end) in steps.items():
        yield _event(code, step, titles[step], (to_moment(start), to_moment(end)), now)
    for step, why, start, end in _waits(found):
        yield _event(code, f"wait:{step}", why[:1].upper() + why[1:], (to_moment(start), to_moment(end)), now)
    done = f"Done by now {found.chance_pct} times in a hundred: {found.project.title}"
    yield _event(code, "finish", done, (found.sure_on, found.sure_on + timedelta(days=1)), now)


def _waits(found: ProjectDays) -> Iterator[tuple[str, str, int, int]]:
    """(step that waits, why, from, to): the last of each step’s waits."""
    rows = {row.activity.key: row for row in found.likely.rows}
    longest: dict[str, tuple[str, int, int]] = {}
    for row in found.likely.rows:
        part = found.parts.get(row.activity.key)
        for before in row.activity.after:
            if part and before.wait >= _WORTH_AN_EVENT_MINUTES:
                since = rows[before.key].end
                known = longest.get(part.step)
                if known is None or since + before.wait > known[2]:
                    longest[part.step] = (before.why, since, since + before.wait)
    for step, (why, since, until) in longest.items():
        yield step, why, since, until


def _event(code: str, key: str, title: str, span: tuple[object, object], now: datetime) -> Event:
    from icalendar import Event  # noqa: PLC0415 - as above

    event = Event()
    event.add("uid", f"{sha256(f'{code}/{key}'.encode()).hexdigest()[:32]}@shop-build-journal")
    event.add("dtstamp", now)
    event.add("dtstart", span[0])
    event.add("dtend", span[1])
    event.add("summary", f"{code} {title}")
    return event
