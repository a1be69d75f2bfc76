"""What the page of one operation shows: its pace, its logs over time, and every entry behind them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import url_for

from journal import reference
from journal.web import figures, filters
from journal.web.paces.pages import SECONDS_BELOW, here, pace_text, times_book, unit_of_pace
from journal.web.paces.points import PointsPicture, Scale, Seen, draw

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import date, datetime

    from journal.desk.behind import Behind, Job
    from journal.records.queries.log import ChangeRow, EntryRow
    from journal.web.paces.forms import ReasonForm

NEWEST = 12  # projects shown before the rest is asked for
MOST_POINTS = 400
_CLOSE = 0.005  # of the book, times it


@dataclass(frozen=True, slots=True)
class EntryLine:
    """One entry.

    Attributes:
        entry: as it is kept.
        minutes: of all who worked.
        state: "learned", "aside", "again" (done again) or "unused" (nothing to measure it by).
        changes: its corrections, oldest first, in sentences; a note that was written is none.
        form: the reason being given, where it was refused; else None.
    """

    entry: EntryRow
    minutes: float
    state: str
    changes: tuple[tuple[datetime, str], ...]
    form: ReasonForm | None


@dataclass(frozen=True, slots=True)
class JobLine:
    """A project with its entries.

    Attributes:
        job: as it is behind the pace.
        anchor: its id on the page.
        amount: how much was done, or which part of the stage, in words.
        pace: what a unit took, '' where nothing can be said.
        against: the same as times the book.
        entries: the newest first.
    """

    job: Job
    anchor: str
    amount: str
    pace: str
    against: str
    entries: tuple[EntryLine, ...]


@dataclass(frozen=True, slots=True)
class OperationPage:
    """What paces/operation.html receives.

    Attributes:
        code, name, stage, unit: which operation, its stage's name, and what its pace is for (“a ft”).
        pace, low, high, book: the shop's own, the ends eight times in ten lie between, the book's.
        of_the_shop: the operation is the shop's own, and what stands for the book is what was typed.
        against: the shop's own as times the book.
        own, in_stage, newest: log lines of its own and of its stage, and the last day of either.
        wide, narrow: the drawing for two widths of page; None while nothing is logged.
        said: the drawing in a sentence.
        kinds: which kinds of points there are.
        jobs: projects, the newest first.
        more: projects not shown.
        form: an empty reason, for the forms that were not sent.
    """

    code: str
    name: str
    stage: str
    unit: str
    pace: str
    low: str
    high: str
    book: str
    of_the_shop: bool
    against: str
    own: int
    in_stage: int
    newest: date | None
    wide: PointsPicture | None
    narrow: PointsPicture | None
    said: str
    kinds: frozenset[str]
    jobs: tuple[JobLine, ...]
    more: int
    form: ReasonForm


@dataclass(frozen=True, slots=True)
class _Measure:
    """How an operation's pace is written: by unit, or by set-up for one that has only those."""

    in_seconds: bool
    book_minutes: float
    unit: str

    def say(self, minutes: float) -> str:
        return pace_text(minutes, in_seconds=self.in_seconds)


def operation_page(
    found: Behind, today: date, empty: ReasonForm, *, whole: bool, refused: dict[int, ReasonForm]
) -> OperationPage:
    """The page of what is behind an operation; `refused` holds forms to be shown again, by entry."""
    entry, belief = found.book, found.belief
    pace, book_minutes = here(belief, entry)
    measure = _Measure(pace.p50 < SECONDS_BELOW, book_minutes, unit_of_pace(entry))
    whole = whole or bool(refused)
    shown = found.jobs if whole else found.jobs[:NEWEST]
    seen = _seen(found.jobs, frozenset(map(_anchor, shown)), entry.code, measure)
    scale = Scale(pace, book_minutes, today)
    return OperationPage(
        code=entry.code,
        name=entry.name,
        stage=reference.stages()[entry.stage].name,
        unit=measure.unit,
        pace=measure.say(pace.p50),
        low=measure.say(pace.p10),
        high=measure.say(pace.p90),
        book=measure.say(book_minutes),
        of_the_shop=entry.own,
        against=times_book(belief.ratio.p50),
        own=belief.logs,
        in_stage=belief.stage_logs,
        newest=belief.newest,
        wide=draw(seen, scale, measure.say, width=720, height=300) if seen else None,
        narrow=draw(seen, scale, measure.say, width=328, height=260) if seen else None,
        said=_said(found, measure),
        kinds=frozenset(one.kind for one in seen),
        jobs=tuple(_job_line(job, found, measure, refused) for job in shown),
        more=len(found.jobs) - len(shown),
        form=empty,
    )


def _anchor(job: Job) -> str:
    return f"{'stage' if job.by_stage else 'own'}-{job.project_id}"


def _seen(jobs: Sequence[Job], shown: frozenset[str], code: str, measure: _Measure) -> list[Seen]:
    """The newest points, each leading to its project's entries, on this page or on the whole one."""
    found = []
    for job in jobs:
        if job.ratio is None or len(found) == MOST_POINTS:
            continue
        anchor = _anchor(job)
        page = "" if anchor in shown else url_for("paces.operation", code=code, show="all")
        minutes = job.ratio * measure.book_minutes
        kind = "aside" if not job.learned else "stage" if job.by_stage else "own"
        ending = {"aside": ", set aside", "stage": ", logged with its whole stage", "own": ""}[kind]
        said = f"{job.code}, {filters.day(job.on)}: {measure.say(minutes)} {measure.unit}{ending}"
        found.append(Seen(job.on, minutes, kind, f"{page}#{anchor}", said))  # type: ignore[arg-type]
    return found


def _said(found: Behind, measure: _Measure) -> str:
    ratios = [job.ratio for job in found.jobs if job.ratio is not None and job.learned]
    if not ratios:
        return ""
    low, high = (measure.say(end * measure.book_minutes) for end in (min(ratios), max(ratios)))
    count = "One project" if len(ratios) == 1 else f"{len(ratios):,} projects"
    source = "what was typed" if found.book.own else "the book"
    return f"{count}, from {low} to {high} {measure.unit}; {source} says {measure.say(measure.book_minutes)}."


def _job_line(job: Job, found: Behind, measure: _Measure, refused: dict[int, ReasonForm]) -> JobLine:
    ratio = job.ratio
    return JobLine(
        job=job,
        anchor=_anchor(job),
        amount=_amount(job, found),
        pace="" if ratio is None else measure.say(ratio * measure.book_minutes),
        against="" if ratio is None else "as the book" if abs(ratio - 1) < _CLOSE else f"{figures.number(ratio)}×",
        entries=tuple(_entry_line(entry, job, found.changes.get(entry.id, ()), refused) for entry in job.entries),
    )


def _amount(job: Job, found: Behind) -> str:
    if job.by_stage:
        return f"{round(100 * job.share)} % of the stage"
    if job.quantity is None:
        return "not noted"
    return filters.amount(job.quantity, found.book.unit)


def _entry_line(entry: EntryRow, job: Job, changes: Sequence[ChangeRow], refused: dict[int, ReasonForm]) -> EntryLine:
    state = "learned" if job.learned else "unused"
    if entry.rework:
        state = "again"
    if entry.set_aside_reason is not None:
        state = "aside"
    told = tuple((change.at, _change(change)) for change in changes if change.field != "note")
    return EntryLine(entry, entry.seconds * entry.people / 60, state, told, refused.get(entry.id))


_FIELDS: dict[str, Callable[[ChangeRow], str]] = {
    "set_aside_reason": lambda change: f"set aside: {change.new}" if change.new else "learned from again",
}


def _change(change: ChangeRow) -> str:
    told = _FIELDS.get(change.field)
    name = change.field.replace("_", " ")
    return told(change) if told else f"{name}: {change.old or '–'} → {change.new or '–'} ({change.why})"
