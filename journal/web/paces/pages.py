"""What the page of the paces shows, in a maker's words."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

from journal import reference, units
from journal.desk import paces as desk
from journal.web import figures, filters
from journal.web.paces.bars import Bar, Mark, scale_of
from journal.web.state import display, in_marks
from journal.working import Spread, counted

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping
    from datetime import date

    from journal.desk.doubt import NewestDoubts
    from journal.desk.paces import Taught, Unused
    from journal.pace.model import Book, BookPace, Calibration, PaceBelief
    from journal.web.paces.bars import Scale

# Eight times in ten a normal lies within so many standard deviations of its middle.
_EIGHT_IN_TEN = 1.2816
_HOUR = 60.0  # minutes
_UNUSED = 20  # entries told with the reason
_NEXT = 3  # operations named as what to log next …
_WORTH_NAMING = 0.005  # … that take at least so much of the doubt away
_LEAST_PERCENT = 0.1
SECONDS_BELOW = 1.0  # minutes under which a pace reads better in seconds


@dataclass(frozen=True, slots=True)
class PaceLine:
    """One operation.

    Attributes:
        code: in the book.
        name: as a maker says it.
        unit: what its pace is for: “a ft”, “a set-up”.
        pace, low, high: the shop's own, and the ends eight times in ten lie between, as text.
        book: the starting book's.
        setup: the set-up minutes, own and the book's, in words; '' for none apart.
        bar: how it lies against the book.
        said: the bar in words.
        own: log lines with minutes of its own.
        stage: log lines of its stage that held it.
        newest: the last day of either.
        doubt: its share of the doubt about the newest project's hours, in words; '' where it is not part of it.
    """

    code: str
    name: str
    unit: str
    pace: str
    low: str
    high: str
    book: str
    setup: str
    bar: Bar
    said: str
    own: int
    stage: int
    newest: date | None
    doubt: str


@dataclass(frozen=True, slots=True)
class PaceStage:
    """The operations of a stage, and how many of them any log has spoken of."""

    code: str
    title: str
    note: str
    lines: tuple[PaceLine, ...]


@dataclass(frozen=True, slots=True)
class NextLogs:
    """What to log next.

    Attributes:
        project_id, project: whose hours the doubt is about.
        to_learn: the share of that doubt which more logs would take away.
        operations: those whose logs take most away: code, name, share.
    """

    project_id: int
    project: str
    to_learn: str
    operations: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class PacesPage:
    """What paces/index.html receives.

    Attributes:
        taught: whether any log has taught anything.
        projects, entries: how many.
        newest: the last day anything was learned from.
        against_book: the shop's level, as times the book in words.
        may_differ: how far a pace may still be off, in words.
        spreads: how far things lie apart, a sentence each.
        rework_share, rework_minutes, rework_entries: time spent again.
        set_aside: entries the shop keeps out of learning.
        unlogged: operations planned or built without any minutes.
        unused, more_unused: logged time that could teach nothing, and how much of it is not shown.
        marks: of the bars' scale.
        width: of the bars.
        stages: the paces, by stage; or in one, those that bring most doubt first.
        by_doubt: the latter was asked for.
        next_logs: what to log next; None while no project has a plan.
    """

    taught: bool
    projects: int
    entries: int
    newest: date | None
    against_book: str
    may_differ: str
    spreads: tuple[str, ...]
    rework_share: float
    rework_minutes: float
    rework_entries: int
    set_aside: int
    unlogged: int
    unused: tuple[Unused, ...]
    more_unused: int
    marks: tuple[Mark, ...]
    width: float
    stages: tuple[PaceStage, ...]
    by_doubt: bool
    next_logs: NextLogs | None


def paces_page(
    taught: Taught,
    width: float,
    doubt: NewestDoubts | None = None,
    asked: Collection[tuple[str, str]] = (),
    *,
    by_doubt: bool = False,
) -> PacesPage:
    """The page of what was learnt.

    Args:
        taught: what was.
        width: of the bars.
        doubt: what brings the doubt about the newest project.
        asked: (project, operation) whose quantity is asked for elsewhere, and not told again as unused.
        by_doubt: what brings most doubt first, instead of stage by stage.
    """
    calibration, evidence = taught.calibration, taught.evidence
    beliefs = desk.beliefs(taught)
    scale = scale_of(belief.ratio for belief in beliefs)
    shares = {one.code: one.share for one in doubt.doubts} if doubt else {}
    by_doubt = by_doubt and bool(shares)
    unused = [one for one in taught.unused if (one.project, one.what) not in asked]
    book = calibration.book
    lines = {one.code: _line(one, book[one.code], scale, shares) for one in beliefs}
    return PacesPage(
        taught=bool(evidence.rows),
        projects=calibration.projects,
        entries=sum(row.logs for row in evidence.rows),
        newest=max((row.on for row in evidence.rows), default=None),
        against_book=_against_book(calibration),
        may_differ=between_books(beliefs[0].ratio),
        spreads=_spread_sentences(calibration),
        rework_share=evidence.rework.ratio,
        rework_minutes=evidence.rework.minutes,
        rework_entries=evidence.rework.lines,
        set_aside=evidence.set_aside,
        unlogged=len(evidence.unlogged),
        unused=tuple(_named(one, book) for one in unused[:_UNUSED]),
        more_unused=max(0, len(unused) - _UNUSED),
        marks=scale.marks(),
        width=width,
        stages=(_in_doubt(beliefs, lines, shares),) if by_doubt else tuple(_stages(beliefs, lines)),
        by_doubt=by_doubt,
        next_logs=_next_logs(doubt, book) if doubt else None,
    )


def _stages(beliefs: tuple[PaceBelief, ...], lines: Mapping[str, PaceLine]) -> list[PaceStage]:
    order = list(reference.stages())
    by_stage = groupby(sorted(beliefs, key=lambda one: order.index(one.stage)), key=lambda one: one.stage)
    return [_stage(code, tuple(held), lines) for code, held in by_stage]


def _stage(code: str, beliefs: tuple[PaceBelief, ...], lines: Mapping[str, PaceLine]) -> PaceStage:
    spoken_of = sum(belief.newest is not None for belief in beliefs)
    note = f"{spoken_of} of {counted(len(beliefs), 'operation')} logged" if spoken_of else "Nothing logged yet"
    return PaceStage(code, reference.stages()[code].name, note, tuple(lines[one.code] for one in beliefs))


def _in_doubt(beliefs: tuple[PaceBelief, ...], lines: Mapping[str, PaceLine], shares: Mapping[str, float]) -> PaceStage:
    """All operations as if of one stage: those of the project by their doubt, then the others in the book's order."""
    ordered = sorted(beliefs, key=lambda one: shares.get(one.code, -1.0), reverse=True)
    note = "Its share of the doubt about those hours; what is not part of that project comes last."
    return PaceStage("", "What brings most doubt", note, tuple(lines[one.code] for one in ordered))


def _next_logs(found: NewestDoubts, names: Book) -> NextLogs:
    best = [one for one in found.log_next[:_NEXT] if one.to_learn >= _WORTH_NAMING]
    return NextLogs(
        found.project.id,
        found.project.title,
        share_text(found.to_learn),
        tuple((one.code, names[one.code].name, share_text(one.to_learn)) for one in best),
    )


def _line(belief: PaceBelief, entry: BookPace, scale: Scale, shares: Mapping[str, float]) -> PaceLine:
    by_unit = entry.pace_minutes > 0
    shown, book_minutes = here(belief, entry)
    in_seconds = shown.p50 < SECONDS_BELOW
    low, middle, high, book = (
        pace_text(minutes, in_seconds=in_seconds) for minutes in (shown.p10, shown.p50, shown.p90, book_minutes)
    )
    return PaceLine(
        code=belief.code,
        name=entry.name,
        unit=unit_of_pace(entry),
        pace=middle,
        low=low,
        high=high,
        book=book,
        setup=_setup(belief, entry.setup_minutes) if by_unit else "",
        bar=scale.bar(belief.ratio),
        said=f"{times_book(belief.ratio.p50)}; eight times in ten {between_books(belief.ratio)}",
        own=belief.logs,
        stage=belief.stage_logs,
        newest=belief.newest,
        doubt=share_text(shares[belief.code]) if belief.code in shares else "",
    )


def share_text(share: float) -> str:
    """A share of doubt: two figures of it, or that it is next to nothing."""
    percent = 100 * share
    if percent < _LEAST_PERCENT:
        return f"under {_LEAST_PERCENT} %"
    return in_marks(f"{percent:.0f} %" if round(percent, 1) >= 10 else f"{percent:.1f} %")


def _setup(belief: PaceBelief, book_minutes: float) -> str:
    if not book_minutes:
        return ""
    own, book = pace_text(belief.setup_minutes.p50, in_seconds=False), pace_text(book_minutes, in_seconds=False)
    return f"set-up {own}" if own == book else f"set-up {own}, book {book}"


def here(belief: PaceBelief, entry: BookPace) -> tuple[Spread, float]:
    """The shop's own pace and the book's in minutes for a unit as this shop counts it, or for a set-up where that is all."""
    if not entry.pace_minutes:
        return belief.setup_minutes, entry.setup_minutes
    each = units.Shown(display().system).units_of(entry.unit)
    own = belief.minutes_per_unit
    return Spread(own.p10 / each, own.p50 / each, own.p90 / each), entry.pace_minutes / each


def unit_of_pace(entry: BookPace) -> str:
    """What a pace is for: “a ft”, “a m² and coat”, “a set-up”."""
    return f"a {units.Shown(display().system).counted_in(entry.unit)}" if entry.pace_minutes else "a set-up"


def pace_text(minutes: float, *, in_seconds: bool) -> str:
    """A pace with as many figures as are worth reading: two, or all of a whole number."""
    if in_seconds:
        return f"{_two_figures(60 * minutes)} s"
    return f"{_two_figures(minutes)} min" if minutes < _HOUR else filters.minutes(minutes)


def _two_figures(value: float) -> str:
    return figures.number(round(value, 0 if value >= 10 else 1 if value >= 1 else 2))


def times_book(ratio: float) -> str:
    """A ratio against the book: how much more or less."""
    percent = round(100 * abs(ratio - 1))
    if percent == 0:
        return "as the book says"
    if ratio >= 2:
        return f"{figures.number(ratio)} times the book"
    return f"{percent} % {'over' if ratio > 1 else 'under'} the book"


def between_books(ratio: Spread) -> str:
    return f"between {figures.number(ratio.p10)} and {figures.number(ratio.p90)} times the book"


def _against_book(calibration: Calibration) -> str:
    """The level of the whole shop today, before stages and operations."""
    level, _ = calibration.effect("shop")
    return times_book(math.exp(level))


def _spread_sentences(calibration: Calibration) -> tuple[str, ...]:
    spreads = calibration.spreads
    small = math.sqrt(1 + calibration.priors.small_task_minutes / _HOUR)
    project, entry, drift = (
        _either_way(sd) for sd in (spreads.project.p50, spreads.entry.p50 * small, spreads.drift.p50)
    )
    return (
        f"One project takes, eight times in ten, {project} than this shop’s usual.",
        f"In it one task of about an hour takes {entry} than that project’s own; a larger one strays less.",
        f"From one half-year to the next the shop’s usual itself moves: {drift}.",
    )


def _either_way(sd: float) -> str:
    """A standard deviation of ln(minutes) as how much less and more time that is, eight times in ten."""
    less, more = (round(100 * abs(math.exp(sign * _EIGHT_IN_TEN * sd) - 1)) for sign in (-1, 1))
    return f"from {less} % less to {more} % more"


def _named(unused: Unused, book: Book) -> Unused:
    """With the operation or stage as a maker says it."""
    entry = book.get(unused.what)
    stage = reference.stages().get(unused.what)
    name = entry.name if entry else stage.name if stage else unused.what
    return desk.Unused(unused.project, unused.on, name, unused.why)
