"""Which hours of a week is the shop open? As typed by a person, and as written back."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

MINUTES_PER_DAY = 1440
DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")

# A working day that nobody has typed begins here. Longer than the usual, Saturday is worked too; longer than the
# longest, Sunday (starting assumptions).
STARTS_AT = 9 * 60
USUAL_DAY = 8 * 60
LONGEST_DAY = 14 * 60
_MOST_SPANS = 4
_STEP = 5

_SPAN = re.compile(r"\s*(\d{1,2})(?::(\d{2}))?\s*(?:-|–|—|−|to)\s*(\d{1,2})(?::(\d{2}))?\s*", re.ASCII)


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """Open from one time of a weekday to another, in minutes from midnight by the clock on the wall.

    Attributes:
        weekday: 0 Monday to 6 Sunday.
        opens: 0 to 1439.
        closes: later than `opens`, to 1440.
    """

    weekday: int
    opens: int
    closes: int

    def __post_init__(self) -> None:
        if not 0 <= self.weekday <= 6:
            raise BadInput("weekday", self.weekday, "0 Monday to 6 Sunday")
        if not 0 <= self.opens < self.closes <= MINUTES_PER_DAY:
            raise BadInput(DAYS[self.weekday], format_spans((self,)), "hours that end after they begin, up to 24:00")

    @property
    def minutes(self) -> int:
        """How long, but on a day on which the clocks are changed."""
        return self.closes - self.opens


@dataclass(frozen=True, slots=True)
class Week:
    """The open hours of every week, in order.

    Raises:
        BadInput: none at all, or two that overlap.
    """

    spans: tuple[Span, ...]

    def __post_init__(self) -> None:
        if not self.spans:
            raise BadInput("hours of the week", "", "open hours on one day at least: type them under Shop, Hours")
        object.__setattr__(self, "spans", tuple(sorted(self.spans)))
        for one, other in zip(self.spans, self.spans[1:], strict=False):
            if one.weekday == other.weekday and other.opens < one.closes:
                raise BadInput(DAYS[one.weekday], format_spans((one, other)), "hours that do not overlap")

    @property
    def minutes(self) -> int:
        """Open minutes of a week."""
        return sum(span.minutes for span in self.spans)

    @property
    def longest(self) -> int:
        """Minutes of the longest span."""
        return max(span.minutes for span in self.spans)

    def on(self, weekday: int) -> tuple[Span, ...]:
        """The hours of one weekday."""
        return tuple(span for span in self.spans if span.weekday == weekday)


def starting_week(minutes_per_week: int, people: int, share: float) -> Week:
    """Hours to start with while none are typed: so that bench time comes out as the shop says.

    Monday to Friday alike from nine o'clock; Saturday too when a day would be longer than eight hours, Sunday only when
    it would be longer than fourteen with Saturday.

    Args:
        minutes_per_week: at the bench, all people together, > 0.
        people: > 0.
        share: of open hours spent at the bench, over 0 to 1.
    """
    if minutes_per_week <= 0 or people <= 0 or not 0 < share <= 1:
        raise BadInput("hours a week", minutes_per_week, "bench time above 0, one person or more, a share up to 1")
    whole = minutes_per_week / people / share
    days = next((days for days, longest in ((5, USUAL_DAY), (6, LONGEST_DAY)) if whole / days <= longest), 7)
    each = min(max(_STEP, round(whole / days / _STEP) * _STEP), MINUTES_PER_DAY)
    opens = min(STARTS_AT, MINUTES_PER_DAY - each)
    return Week(tuple(Span(weekday, opens, opens + each) for weekday in range(days)))


def parse_spans(text: str, weekday: int) -> tuple[Span, ...]:
    """The hours of a day as typed: “18:00–21:00”, “8-12, 13:00 to 17:30”; blank or “closed”: none.

    Raises:
        BadInput: not readable, a time past 24:00, an end before its beginning, hours that overlap.
    """
    cleaned = text.strip().casefold()
    if cleaned in {"", "closed", "-", "–"}:
        return ()
    pieces = [piece for piece in re.split(r"[,;]| and ", cleaned) if piece.strip()]
    if len(pieces) > _MOST_SPANS:
        raise BadInput(DAYS[weekday], text, f"at most {_MOST_SPANS} stretches of hours a day")
    spans = tuple(_span(piece, weekday, text) for piece in pieces)
    return Week(spans).spans  # refuses an overlap


def _span(piece: str, weekday: int, text: str) -> Span:
    match = _SPAN.fullmatch(piece)
    if match is None:
        raise BadInput(DAYS[weekday], text, "hours such as 8:00–12:00, 13:00–17:00, or nothing when closed")
    opens, closes = (_minutes(match[at], match[at + 1], weekday, text) for at in (1, 3))
    if closes <= opens:
        raise BadInput(
            DAYS[weekday], text, "hours that end after they begin; past midnight, give the rest to the next day"
        )
    return Span(weekday, opens, closes)


def _minutes(hour: str, minute: str | None, weekday: int, text: str) -> int:
    found = int(hour) * 60 + int(minute or 0)
    if int(minute or 0) > 59 or found > MINUTES_PER_DAY:
        raise BadInput(DAYS[weekday], text, "times from 0:00 to 24:00")
    return found


def format_spans(spans: Iterable[Span]) -> str:
    """“8:00–12:00, 13:00–17:00”; '' when closed."""
    return ", ".join(f"{_clock(span.opens)}–{_clock(span.closes)}" for span in spans)


def format_week(spans: Sequence[Span]) -> str:
    """“Monday to Friday 9:00–12:00; Saturday 8:00–13:00”: days alike that follow each other are said together."""
    by_day = [(weekday, format_spans(span for span in spans if span.weekday == weekday)) for weekday in range(7)]
    groups: list[tuple[int, int, str]] = []
    for weekday, hours in by_day:
        if groups and groups[-1][2] == hours and groups[-1][1] == weekday - 1:
            groups[-1] = (groups[-1][0], weekday, hours)
        else:
            groups.append((weekday, weekday, hours))
    return "; ".join(f"{_days(first, last)} {hours}" for first, last, hours in groups if hours)


def _days(first: int, last: int) -> str:
    if first == last:
        return DAYS[first]
    return f"{DAYS[first]} {'and' if last == first + 1 else 'to'} {DAYS[last]}"


def _clock(minutes: int) -> str:
    return f"{minutes // 60}:{minutes % 60:02d}"
