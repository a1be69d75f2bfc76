"""The chain that decides the finish, in words: stretches of work, and the waits between them that no hands shorten."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import reference
from journal.days.calendar import to_moment
from journal.days.chain import Cause
from journal.desk.days_work import CLAMPS, PLACES
from journal.working import counted

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date

    from journal.days.chain import Link
    from journal.desk.days import ProjectDays

# So many steps are named; of more, the first and the last.
_NAMED = 3
_MINUTES_PER_DAY = 24 * 60
_MANY = (CLAMPS, PLACES)
# Shorter waits lie within a stretch of work.
WORTH_SAYING_MINUTES = _MINUTES_PER_DAY // 2


@dataclass(frozen=True, slots=True)
class ChainLine:
    """One line of the chain.

    Attributes:
        waits: it is a wait; else a stretch of work.
        first, last: its days.
        title: the wait, or the stages worked on.
        what: why it is waited, or the steps.
        bench_minutes: of the work, at the bench, about; 0 for a wait.
        short: what the work had to wait for on its way, with how often.
    """

    waits: bool
    first: date
    last: date
    title: str
    what: str
    bench_minutes: float = 0.0
    short: tuple[str, ...] = ()


def chain_lines(found: ProjectDays) -> tuple[ChainLine, ...]:
    """The chain from the start to the finish."""
    lines: list[ChainLine] = []
    for stretch in _stretches(found.chain):
        waited = _wait(stretch[0], found)
        lines += [waited] if waited else []
        lines.append(_work(stretch, found))
    return tuple(lines)


def stage_of(found: ProjectDays, key: str) -> str:
    """The name of a piece of work’s stage; that of other projects has none of its own."""
    part = found.parts.get(key)
    return reference.stages()[part.stage].name if part else "Other work"


def how_long(minutes: int) -> str:
    """A wait on the clock: 21 days, 1½ days, 18 h."""
    if minutes < _MINUTES_PER_DAY:
        return f"{minutes / 60:.0f} h"
    halves = round(minutes / _MINUTES_PER_DAY * 2)
    shown = f"{halves // 2}{'½' if halves % 2 else ''}"
    return f"{shown} {'day' if halves == 2 else 'days'}"


def _stretches(chain: Sequence[Link]) -> Iterator[list[Link]]:
    """The links between one wait and the next."""
    stretch: list[Link] = []
    for link in chain:
        if stretch and (link.cause is Cause.RELEASE or _waited_minutes(link) >= WORTH_SAYING_MINUTES):
            yield stretch
            stretch = []
        stretch.append(link)
    if stretch:
        yield stretch


def _waited_minutes(link: Link) -> int:
    if link.cause is not Cause.WAIT:
        return 0
    return next(after.wait for after in link.row.activity.after if after.key == link.by)


def _wait(link: Link, found: ProjectDays) -> ChainLine | None:
    """The wait before a stretch of work, if there is one."""
    day = to_moment(link.freed, found.zone).date()
    if link.cause is Cause.RELEASE:
        return ChainLine(True, found.start, day, f"Until {link.why}", "")
    minutes = _waited_minutes(link)
    if minutes < WORTH_SAYING_MINUTES:
        return None
    since = to_moment(link.freed - minutes, found.zone).date()
    return ChainLine(True, since, day, how_long(minutes), link.why)


def _work(links: Sequence[Link], found: ProjectDays) -> ChainLine:
    titles = list(dict.fromkeys(_title(found, link) for link in links))
    stages = list(dict.fromkeys(stage_of(found, link.row.activity.key) for link in links))
    minutes = sum(link.row.activity.minutes * link.row.activity.people for link in links)
    return ChainLine(
        waits=False,
        first=to_moment(min(link.row.start for link in links), found.zone).date(),
        last=to_moment(max(link.row.end for link in links), found.zone).date(),
        title=", ".join([stages[0], *(stage[:1].lower() + stage[1:] for stage in stages[1:])]),
        what=_named(titles),
        bench_minutes=minutes * found.bench.share,
        short=_short(links),
    )


def _title(found: ProjectDays, link: Link) -> str:
    part = found.parts.get(link.row.activity.key)
    return part.title if part else link.row.activity.title


def _named(titles: Sequence[str]) -> str:
    if len(titles) <= _NAMED:
        return "; ".join(titles)
    return f"{titles[0]} … {titles[-1]}: {counted(len(titles), 'step')}"


def _short(links: Sequence[Link]) -> tuple[str, ...]:
    """What was lacking within a stretch, each with how often."""
    lacking: Counter[str] = Counter()
    for link in links[1:]:
        if link.cause is Cause.PERSON:
            lacking["somebody free"] += 1
        elif link.cause is Cause.HELD:
            lacking[f"free {link.why}" if link.why in _MANY else f"the {link.why}"] += 1
    return tuple(f"{what}, {counted(times, 'time')}" for what, times in lacking.items())
