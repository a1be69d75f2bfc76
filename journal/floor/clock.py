"""Times of day in the shop's zone, and a clock that was forgotten.

A stretch that runs longer than `LONGEST`, or through `NIGHT`, was most likely forgotten: it asks when the work ended and
is not logged before somebody says so.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime, time, timedelta
from typing import TYPE_CHECKING

from journal import units
from journal.errors import BadInput

if TYPE_CHECKING:
    from datetime import date, tzinfo

LONGEST = timedelta(hours=10)  # of one stretch without a break; a starting assumption of this journal
NIGHT = time(3)  # hardly anybody works through it; a starting assumption of this journal
A_DAY = timedelta(hours=24)

_EXPECTED = "a time of day such as 5, 5:30 pm or 17:30, or how long it took, such as 2 h"
_TIME = re.compile(r"([0-9]{1,2})(?:[:.]([0-9]{2}))? ?(am|pm|a\.m\.|p\.m\.)?")


def at_time(day: date, clock: time, zone: tzinfo, *, field: str = "time") -> datetime:
    """The moment, in UTC, at which the shop's clock showed a time on a day; the first of two where it showed it twice.

    Raises:
        BadInput: it never did, because the clocks went forward over it.
    """
    local = datetime.combine(day, clock, tzinfo=zone)
    moment = local.astimezone(UTC)
    if moment.astimezone(zone).replace(tzinfo=None) != local.replace(tzinfo=None):
        raise BadInput(field, f"{clock:%H:%M}", f"a time that was on the clock: it went forward over it on {day}")
    return moment


def day_of(moment: datetime, zone: tzinfo) -> date:
    """The shop's calendar day of a moment."""
    return moment.astimezone(zone).date()


def seconds_in(day: date, zone: tzinfo) -> int:
    """How long a day of the shop is: 86,400 s, an hour less or more where the clocks change."""
    ends = (datetime.combine(one, time(0), tzinfo=zone) for one in (day, day + timedelta(days=1)))
    midnight, next_midnight = (end.astimezone(UTC) for end in ends)
    return round((next_midnight - midnight).total_seconds())


def forgotten(start: datetime, until: datetime, zone: tzinfo) -> bool:
    """Whether a stretch is too long to be believed: over LONGEST, or through NIGHT by the shop's clock."""
    return until - start > LONGEST or _next(start, NIGHT, zone) <= until


def read_end(text: str, start: datetime, zone: tzinfo, *, latest: datetime, field: str = "stopped at") -> datetime:
    """When a stretch ended, from what somebody remembers: "5", "5:30 pm", "17:30", or how long it took: "2 h", "90 min".

    A time of day is the first after the start; an hour up to 12 without am or pm may be either, whichever comes first.

    Args:
        text: what was typed.
        start: when it began.
        zone: the shop's.
        latest: it ended by then at the latest.
        field: the name of the box.

    Raises:
        BadInput: neither a time nor a length, before the start, after `latest`, or more than a day.
    """
    plain = " ".join(text.strip().lower().split())
    if not plain:
        raise BadInput(field, text, _EXPECTED)
    end = _as_time(plain, start, zone, field, text)
    if end is None:
        end = start + timedelta(seconds=_as_length(plain, field, text))
    if end - start > A_DAY:
        raise BadInput(field, text, "at most 24 hours")
    if end > latest:
        raise BadInput(
            field, text, f"at the latest {latest.astimezone(zone):%H:%M}, and after {start.astimezone(zone):%H:%M}"
        )
    return end


def _as_length(plain: str, field: str, received: str) -> int:
    """Seconds of a length of time with its unit."""
    try:
        if any(letter.isalpha() for letter in plain):
            return units.parse_duration(plain, field, allow_long=True)
    except BadInput as refusal:
        raise BadInput(field, received, _EXPECTED) from refusal
    raise BadInput(field, received, _EXPECTED)


def _as_time(plain: str, start: datetime, zone: tzinfo, field: str, received: str) -> datetime | None:
    """The moment of a time of day; None when it reads as a length of time."""
    found = _TIME.fullmatch(plain)
    if not found:
        return None
    hour, minute, half = int(found[1]), int(found[2] or 0), (found[3] or "")[:1]
    if hour > 23 or minute > 59 or (half and not 1 <= hour <= 12):
        raise BadInput(field, received, _EXPECTED)
    if half:
        hours = [hour % 12 + (12 if half == "p" else 0)]
    elif 1 <= hour <= 12 and not found[1].startswith("0"):
        hours = [hour % 12, hour % 12 + 12]
    else:
        hours = [hour]
    return min(_next(start, time(one, minute), zone) for one in hours)


def _next(start: datetime, clock: time, zone: tzinfo) -> datetime:
    """The first moment after `start` at which the shop's clock shows a time; where it skips that, as long after the skip."""
    day = day_of(start, zone)
    for ahead in range(3):
        local = datetime.combine(day + timedelta(days=ahead), clock, tzinfo=zone)
        for fold in (0, 1):
            moment = local.replace(fold=fold).astimezone(UTC)
            if moment > start:
                return moment
    raise BadInput("time", f"{clock:%H:%M}", "a time within three days")
