"""When is the shop open on real days, and how do working time and time on the clock go over into each other?

Wall time: whole minutes of UTC since 1970. Working time: whole minutes the shop has been open since the first opening a
`Clock` knows. Where a minute of working time both ends one opening and begins the next, an end takes the closing and a
start the opening after it. Ends are open on the right: an opening holds its first minute and not the one it closes at.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from itertools import accumulate
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from journal.days.hours import MINUTES_PER_DAY, Week
from journal.errors import BadInput, NoSolution

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

# Nobody can say when something ends that takes longer.
MOST_YEARS = 10
_MOST_DAYS = MOST_YEARS * 365
_MOST_OFF = 3_660


@dataclass(frozen=True, slots=True)
class DaysOff:
    """Closed from one day to another, both of them included; `why` is for people."""

    first: date
    last: date
    why: str = ""

    def __post_init__(self) -> None:
        if self.last < self.first:
            raise BadInput("days off", f"{self.first} to {self.last}", "a last day that is not before the first")
        if (self.last - self.first).days > _MOST_OFF:
            raise BadInput("days off", f"{self.first} to {self.last}", "at most ten years at once")


@dataclass(frozen=True, slots=True)
class Calendar:
    """The hours of every week, the days off, and the zone they are meant in.

    Attributes:
        week: hours by the clock on the wall.
        off: days without any.
        zone: as in the time zone database.
    """

    week: Week
    off: tuple[DaysOff, ...] = ()
    zone: str = "UTC"

    def is_off(self, day: date) -> bool:
        """Whether the shop is closed for the whole of a day, whatever the week says."""
        return any(off.first <= day <= off.last for off in self.off)


def to_wall(moment: datetime) -> int:
    """A moment with its zone as wall time, the minute it is in."""
    return int(moment.timestamp() // 60)


def to_moment(wall: int, zone: str = "UTC") -> datetime:
    """Wall time as a moment in a zone."""
    return datetime.fromtimestamp(wall * 60, tz=UTC).astimezone(ZoneInfo(zone))


def midnight(day: date, zone: str) -> int:
    """The wall time at which a day begins in a zone."""
    return to_wall(datetime.combine(day, time(), tzinfo=ZoneInfo(zone)))


@dataclass(frozen=True, slots=True, eq=False)
class Clock:
    """Every opening of some years, and the two kinds of time.

    Attributes:
        opens, closes: wall time, rising, each opening after the one before has closed; those that touch are one.
        base: working time at each opening.
        total: working minutes of them all.
        longest: minutes of the longest opening.
    """

    opens: tuple[int, ...]
    closes: tuple[int, ...]
    base: tuple[int, ...]
    total: int
    longest: int

    @classmethod
    def of(cls, openings: Iterable[tuple[int, int]]) -> Clock:
        """The clock of openings (from, to) in order; those that touch or overlap become one, empty ones none."""
        merged: list[list[int]] = []
        for opens, closes in openings:
            if merged and opens <= merged[-1][1]:
                merged[-1][1] = max(closes, merged[-1][1])
            elif closes > opens:
                merged.append([opens, closes])
        lengths = [closes - opens for opens, closes in merged]
        base = tuple(accumulate(lengths, initial=0))
        return cls(
            tuple(opens for opens, _ in merged),
            tuple(closes for _, closes in merged),
            base[:-1],
            base[-1],
            max(lengths, default=0),
        )

    def reached(self, wall: int) -> int:
        """Working minutes from the first opening to a wall time: the earliest working time not before it."""
        at = bisect_right(self.opens, wall) - 1
        if at < 0:
            return 0
        return self.base[at] + min(wall, self.closes[at]) - self.opens[at]

    def start(self, worked: int) -> int:
        """Wall time at which work can go on that begins after so many working minutes.

        Raises:
            NoSolution: beyond the last opening.
        """
        if worked >= self.total:
            raise _too_long()
        at = bisect_right(self.base, worked) - 1
        return self.opens[at] + worked - self.base[at]

    def end(self, worked: int) -> int:
        """Wall time by which so many working minutes have passed; at 0 the first opening.

        Raises:
            NoSolution: beyond the last opening.
        """
        if worked > self.total:
            raise _too_long()
        at = max(bisect_left(self.base, worked) - 1, 0)
        return self.opens[at] + worked - self.base[at]

    def left(self, worked: int) -> int:
        """Minutes until the opening closes in which work begins after so many working minutes."""
        if worked >= self.total:
            raise _too_long()
        at = bisect_right(self.base, worked) - 1
        return self.closes[at] - self.opens[at] - (worked - self.base[at])

    def fits(self, worked: int, minutes: int) -> int:
        """The earliest working time from `worked` on at which so many minutes are left before it closes.

        Raises:
            NoSolution: no opening is so long.
        """
        while self.left(worked) < minutes:
            worked += self.left(worked)
        return worked

    def fits_before(self, worked: int, minutes: int) -> int:
        """The latest working time up to `worked` at which so many minutes can have been done since it opened; 0: never."""
        while worked > 0:
            at = bisect_left(self.base, worked) - 1
            if worked - self.base[at] >= minutes:
                return worked
            worked = self.base[at]
        return 0

    def stretches(self, worked: int, minutes: int) -> tuple[tuple[int, int], ...]:
        """(from, to) on the wall of so many minutes of work from a working time on, cut where it is closed."""
        found = []
        until = worked + minutes
        while worked < until:
            done = min(self.left(worked), until - worked)
            found.append((self.start(worked), self.start(worked) + done))
            worked += done
        return tuple(found)


def _too_long() -> NoSolution:
    return NoSolution(
        "this work",
        f"it does not come to an end within {MOST_YEARS} years of the hours the shop is open",
        "open longer, add people under Shop, or take a smaller job",
    )


@lru_cache(maxsize=16)
def clock(calendar: Calendar, first: date) -> Clock:
    """The openings from a day on, for ten years.

    On a night when clocks go forward a time that does not exist is read as the moment it would have been; hours are as
    long as they really last.

    Raises:
        BadInput: no open hours left between the days off.
    """
    found = Clock.of(_openings(calendar, first))
    if not found.total:
        raise BadInput("days off", f"all from {first}", "a day on which the shop is open")
    return found


def _openings(calendar: Calendar, first: date) -> Iterator[tuple[int, int]]:
    zone = ZoneInfo(calendar.zone)
    by_day = [calendar.week.on(weekday) for weekday in range(7)]
    off = {
        start.first + timedelta(days=number)
        for start in calendar.off
        for number in range((start.last - start.first).days + 1)
    }
    for number in range(_MOST_DAYS):
        day = first + timedelta(days=number)
        if day in off:
            continue
        for span in by_day[day.weekday()]:
            yield _wall(day, span.opens, zone), _wall(day, span.closes, zone)


def _wall(day: date, minutes: int, zone: ZoneInfo) -> int:
    if minutes == MINUTES_PER_DAY:
        day, minutes = day + timedelta(days=1), 0
    return to_wall(datetime(day.year, day.month, day.day, minutes // 60, minutes % 60, tzinfo=zone))
