"""Days on which somebody usually works and nothing was logged."""

from __future__ import annotations

from collections import Counter
from datetime import timedelta
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Collection
    from datetime import date

LOOK_BACK_DAYS = 56  # the weeks a habit is read from
ASKED_DAYS = 14  # who remembers more?
_HALF = 0.5


def quiet_days(logged: Collection[date], today: date) -> tuple[date, ...]:
    """Days of the last two weeks, newest first, without a log though that weekday usually has one.

    A weekday is usual when at least half of them had a log since the first one within eight weeks. Today is not asked for.

    Args:
        logged: days with time on them; those older than eight weeks make no difference.
        today: the day it is.
    """
    known = {day for day in logged if timedelta(0) < today - day <= timedelta(days=LOOK_BACK_DAYS)}
    if not known:
        return ()
    first = min(known)
    span = [first + timedelta(days=ahead) for ahead in range((today - first).days)]
    there = Counter(day.weekday() for day in span)
    worked = Counter(day.weekday() for day in known)
    usual = {weekday for weekday, count in there.items() if worked[weekday] >= _HALF * count}
    asked = [day for day in span if (today - day).days <= ASKED_DAYS]
    return tuple(day for day in reversed(asked) if day not in known and day.weekday() in usual)
