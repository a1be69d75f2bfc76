"""What fixed each start on the way to the finish? From the last end back to the beginning, named at every step."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from journal.days.calendar import Clock
    from journal.days.search import Schedule, Scheduled


class Cause(StrEnum):
    """What an activity waited for last."""

    BEGIN = "begin"  # it could start at once
    BEFORE = "before"  # work that comes before it
    WAIT = "wait"  # time on the clock after that work
    PERSON = "person"  # whoever was busy elsewhere
    HELD = "held"  # clamps, room, a machine
    RELEASE = "release"  # a day before which it cannot be


@dataclass(frozen=True, slots=True)
class Link:
    """One step of the chain.

    Attributes:
        row: the activity and its place.
        cause: what it waited for last.
        by: key of the activity that kept it; "" for none.
        why: the wait, what was held, or what released it, in words.
        freed: wall time at which that was over.
        closed: the shop was closed then, or the hours left were too short, until the start.
    """

    row: Scheduled
    cause: Cause
    by: str
    why: str
    freed: int
    closed: bool


# Where two things end at once, the one a maker would name.
_RANK = (Cause.WAIT, Cause.BEFORE, Cause.RELEASE, Cause.PERSON, Cause.HELD, Cause.BEGIN)


def critical_chain(found: Schedule, clock: Clock) -> tuple[Link, ...]:
    """The chain that decides the finish, first activity first.

    An activity stands where it does because of what was over last before its start; that activity’s start is explained in
    turn, until one could begin at once. What keeps an activity is over by its start, so the chain has an end.
    """
    rows = {row.activity.key: row for row in found.rows}
    counting = [row for row in found.rows if found.load.counts(row.activity.key)]
    here = max(counting, key=lambda row: row.end, default=None)
    links: list[Link] = []
    while here is not None:
        link = _explain(here, found, clock)
        links.append(link)
        here = rows.get(link.by)
    return tuple(reversed(links))


def _explain(row: Scheduled, found: Schedule, clock: Clock) -> Link:
    freed, _, cause, by, why = max(_reasons(row, found, clock), key=lambda reason: reason[:2])
    return Link(row, cause, by, why, freed, closed=freed < row.start)


def _reasons(row: Scheduled, found: Schedule, clock: Clock) -> Iterator[tuple[int, int, Cause, str, str]]:
    """(until when, rank, cause, by whom, why) of everything that kept an activity until its start at the latest."""
    yield _reason(found.begin, Cause.BEGIN)
    one = row.activity
    if one.release > found.begin:
        yield _reason(one.release, Cause.RELEASE, why=one.why)
    ends = {other.activity.key: other.end for other in found.rows}
    for before in one.after:
        cause = Cause.WAIT if before.wait else Cause.BEFORE
        yield _reason(ends[before.key] + before.wait, cause, before.key, before.why)
    if one.minutes:
        yield from _busy(row, found, clock)
        yield from _held(row, found)


def _reason(until: int, cause: Cause, by: str = "", why: str = "") -> tuple[int, int, Cause, str, str]:
    return until, -_RANK.index(cause), cause, by, why


def _busy(row: Scheduled, found: Schedule, clock: Clock) -> Iterator[tuple[int, int, Cause, str, str]]:
    """Those whose people were needed: only where there were too few just before."""
    others = [other for other in found.rows if other is not row and other.activity.minutes and other.activity.people]
    last = max((other.end for other in others if other.end <= row.start), default=None)
    if last is None or not row.activity.people:
        return
    at = clock.reached(last) - 1
    working = [other for other in others if other.worked <= at < other.worked + other.activity.minutes]
    if sum(other.activity.people for other in working) + row.activity.people > found.load.people:
        freeing = [other for other in working if other.end == last]
        yield from (_reason(last, Cause.PERSON, other.activity.key) for other in freeing)


def _held(row: Scheduled, found: Schedule) -> Iterator[tuple[int, int, Cause, str, str]]:
    """Those who held what is needed: only where too little was left just before."""
    for need in row.activity.needs:
        if need.what not in found.load.there:
            continue
        holding = [
            (other, other.end + mine.kept, mine.amount)
            for other in found.rows
            for mine in other.activity.needs
            if other is not row and mine.what == need.what and other.activity.minutes
        ]
        last = max((until for _, until, _ in holding if until <= row.start), default=None)
        if last is None:
            continue
        taken = sum(amount for other, until, amount in holding if other.start < last <= until)
        if taken + need.amount > found.load.there[need.what]:
            yield from (
                _reason(last, Cause.HELD, other.activity.key, need.what) for other, until, _ in holding if until == last
            )
