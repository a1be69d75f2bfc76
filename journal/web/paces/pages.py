"""What the page of the paces shows, in a maker's words."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

from journal import reference
from journal.desk import paces as desk
from journal.web import figures, filters
from journal.web.paces.bars import Bar, Mark, scale_of
from journal.working import counted

if TYPE_CHECKING:
    from datetime import date

    from journal.desk.paces import Taught, Unused
    from journal.pace.model import Calibration, PaceBelief
    from journal.web.paces.bars import Scale
    from journal.working import Spread

# Eight times in ten a normal lies within so many standard deviations of its middle.
_EIGHT_IN_TEN = 1.2816
_HOUR = 60.0  # minutes
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


@dataclass(frozen=True, slots=True)
class PaceStage:
    """The operations of a stage, and how many of them any log has spoken of."""

    code: str
    title: str
    note: str
    lines: tuple[PaceLine, ...]


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
        unused: logged time that could teach nothing.
        marks: of the bars' scale.
        width: of the bars.
        stages: the paces.
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
    marks: tuple[Mark, ...]
    width: float
    stages: tuple[PaceStage, ...]


def paces_page(taught: Taught, width: float) -> PacesPage:
    """The page of what was learnt."""
    calibration, evidence = taught.calibration, taught.evidence
    beliefs = desk.beliefs(taught)
    scale = scale_of(belief.ratio for belief in beliefs)
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
        unused=tuple(_named(one) for one in taught.unused),
        marks=scale.marks(),
        width=width,
        stages=tuple(_stages(beliefs, scale)),
    )


def _stages(beliefs: tuple[PaceBelief, ...], scale: Scale) -> list[PaceStage]:
    order = list(reference.stages())
    by_stage = groupby(sorted(beliefs, key=lambda one: order.index(one.stage)), key=lambda one: one.stage)
    return [_stage(code, tuple(held), scale) for code, held in by_stage]


def _stage(code: str, beliefs: tuple[PaceBelief, ...], scale: Scale) -> PaceStage:
    spoken_of = sum(belief.newest is not None for belief in beliefs)
    note = f"{spoken_of} of {counted(len(beliefs), 'operation')} logged" if spoken_of else "Nothing logged yet"
    return PaceStage(code, reference.stages()[code].name, note, tuple(_line(one, scale) for one in beliefs))


def _line(belief: PaceBelief, scale: Scale) -> PaceLine:
    entry = desk.book()[belief.code]
    by_unit = entry.pace_minutes > 0
    shown = belief.minutes_per_unit if by_unit else belief.setup_minutes
    book_minutes = entry.pace_minutes if by_unit else entry.setup_minutes
    in_seconds = shown.p50 < SECONDS_BELOW
    low, middle, high, book = (
        pace_text(minutes, in_seconds=in_seconds) for minutes in (shown.p10, shown.p50, shown.p90, book_minutes)
    )
    return PaceLine(
        code=belief.code,
        name=entry.name,
        unit=f"a {unit_words(entry.unit)}" if by_unit else "a set-up",
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
    )


def _setup(belief: PaceBelief, book_minutes: float) -> str:
    if not book_minutes:
        return ""
    own, book = pace_text(belief.setup_minutes.p50, in_seconds=False), pace_text(book_minutes, in_seconds=False)
    return f"set-up {own}" if own == book else f"set-up {own}, book {book}"


def unit_words(unit: str) -> str:
    """The book's unit as it is written: ft2·coat is ft² and coat."""
    return unit.replace("ft2", "ft²").replace("·", " and ")


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


def _named(unused: Unused) -> Unused:
    """With the operation or stage as a maker says it."""
    entry = desk.book().get(unused.what)
    stage = reference.stages().get(unused.what)
    name = entry.name if entry else stage.name if stage else unused.what
    return desk.Unused(unused.project, unused.on, name, unused.why)
