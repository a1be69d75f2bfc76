"""Which backups are due, and which have had their time.

Of those made by themselves, once a day, one is kept for each of the last 7 days, 5 weeks and 12 months that have any.
One that was asked for stays until somebody removes it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal.records.keeping.backup import listed, made_at, reason_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from datetime import datetime
    from pathlib import Path

DAILY = "daily"
DAYS, WEEKS, MONTHS = 7, 5, 12


def is_due(folder: Path, now: datetime) -> bool:
    """Whether none was made by itself on this day (UTC), whatever a clock that went wrong once left behind."""
    return now.date() not in {made_at(path).date() for path in listed(folder) if reason_of(path) == DAILY}


def outdated(paths: Iterable[Path]) -> tuple[Path, ...]:
    """Those of some backups that have had their time, the newest first."""
    daily = sorted((path for path in paths if reason_of(path) == DAILY), key=made_at, reverse=True)
    kept = {
        *_newest_of_each(daily, lambda day: (day.year, day.month, day.day), DAYS),
        *_newest_of_each(daily, lambda day: day.isocalendar()[:2], WEEKS),
        *_newest_of_each(daily, lambda day: (day.year, day.month), MONTHS),
    }
    return tuple(path for path in daily if path not in kept)


def remove_outdated(folder: Path, *, but: Path | None = None) -> tuple[Path, ...]:
    """Remove the backups of a folder that have had their time; returns them.

    The one just made stays, also where the clock says that it is older than all others.
    """
    gone = tuple(path for path in outdated(listed(folder)) if path != but)
    for path in gone:
        path.unlink(missing_ok=True)
    return gone


def _newest_of_each(newest_first: Iterable[Path], span: Callable[[datetime], object], most: int) -> list[Path]:
    kept: dict[object, Path] = {}
    for path in newest_first:
        kept.setdefault(span(made_at(path)), path)
    return list(kept.values())[:most]
