"""The evening entry: what was done on a day or in a week, told in hours by stage or by operation, and how much was built.

What is told is the sum of a person's day for one piece of work. Where the clock or an earlier evening already has some of
it, only the difference is logged: more is added, less is taken first from what was typed, then from the clock's entries,
the last one first, each with a line in its history.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta
from typing import TYPE_CHECKING

from journal import reference, units
from journal.desk.acts import Steps
from journal.desk.log_view import task_of
from journal.desk.logging import LONGEST_NOTE, require_day
from journal.desk.next_work import on_the_floor
from journal.desk.paces import REWORK, shop_book
from journal.desk.taps import require_work
from journal.errors import BadInput
from journal.floor.taps import Task
from journal.records.queries import devices, log, logbook, plans
from journal.records.queries.log import EntryDraft
from journal.records.queries.plans import BuiltRow
from journal.records.words import EntrySource
from journal.working import counted

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.desk.next_work import OnTheFloor
    from journal.desk.sending import Sending
    from journal.pace.model import Book
    from journal.records.queries.devices import WorkerRow
    from journal.records.queries.log import EntryRow, QuantityRow
    from journal.records.queries.projects import ProjectRow

EVENING_WHY = "evening entry"
RECENT = timedelta(days=7)
_SHOP_STAGE = "shop"


@dataclass(frozen=True, slots=True)
class Line:
    """One piece of work on the page.

    Attributes:
        task: which.
        name: as a maker calls it.
        seconds: of each day, what is logged of it, in the order of the page's days.
        clocked: some of it by the clock.
        amount: how much of it the project holds; None for a stage, or without a plan.
        unit: of that amount; '' for what is counted by its set-ups alone.
    """

    task: Task
    name: str
    seconds: tuple[int, ...]
    clocked: bool
    amount: QuantityRow | None = None
    unit: str = ""

    @property
    def total_seconds(self) -> int:
        return sum(self.seconds)


@dataclass(frozen=True, slots=True)
class StageLines:
    """A stage of a project: told as a whole, or by its operations.

    Attributes:
        whole: told as a whole.
        operations: those of the plan, and any with time.
        now: it has time on these days, had some lately, or what comes next is in it.
    """

    whole: Line
    operations: tuple[Line, ...]
    now: bool

    @property
    def by_operation(self) -> bool:
        """Whether any of its time is told by operation."""
        return any(line.total_seconds for line in self.operations)


@dataclass(frozen=True, slots=True)
class ProjectLines:
    """A project's stages; `note` is that of the day's longest entry."""

    project: ProjectRow
    stages: tuple[StageLines, ...]
    note: str


@dataclass(frozen=True, slots=True)
class Evening:
    """What the page starts from.

    Attributes:
        days: the day, or the seven of the week.
        workers: everybody at the bench; worker_id: whose hours these are, None while nobody is named.
        projects: those in build.
        shop: the shop's own time.
        beside: entries of these days that the page leaves alone: done again, set aside, by several people at once.
    """

    days: tuple[date, ...]
    workers: tuple[WorkerRow, ...]
    worker_id: int | None
    projects: tuple[ProjectLines, ...]
    shop: Line
    beside: tuple[EntryRow, ...]


@dataclass(frozen=True, slots=True)
class Told:
    """What was typed for a piece of work on a day, and what the page showed there."""

    day: date
    task: Task
    seconds: int
    shown: int


@dataclass(frozen=True, slots=True)
class ToldBuilt:
    """How much was built of an operation, all told."""

    project_id: int
    operation: str
    quantity: float


def evening(session: Session, days: Sequence[date], worker_id: int | None) -> Evening:
    """The page of a day or of several, for one person. A constant number of queries."""
    workers = devices.workers(session)
    whose = _whose(workers, worker_id)
    listed = logbook.entries_between(session, days[0], days[-1])
    mine = [row for row in listed if row.worker_id == whose]
    told = [row for row in mine if _is_told_here(row)]
    tally = _Tally(tuple(days), told, shop_book(session))
    projects = tuple(_project(found, tally) for found in on_the_floor(session))
    shop = tally.line(Task(None, _SHOP_STAGE, by_stage=True), "The shop’s own time", whole_stage=True)
    beside = tuple(row for row in mine if not _is_told_here(row))
    return Evening(tuple(days), workers, whose, projects, shop, beside)


def tell(
    session: Session,
    told: Sequence[Told],
    built: Sequence[ToldBuilt],
    notes: Mapping[int, str],
    *,
    worker_id: int | None,
    others: Sequence[int] = (),
    sent: Sending,
) -> str:
    """Keep what was told. Answers what was done.

    Args:
        session: a writing session.
        told: hours.
        built: quantities that somebody corrected or said were all.
        notes: project → its note of the day, where it was changed; they hang on the longest entry of that day.
        worker_id: whose hours.
        others: who did the same work beside: each gets, whole, the hours that are added here.
        sent: by which form, when.

    Raises:
        BadInput: a day to come, more than a day holds, nobody of the bench, or a note without any time to hang on.
        MissingReference: work that the book does not know.
    """
    if before := sent.before(session):
        return before
    steps = Steps(session, why=EVENING_WHY, now=sent.now)
    moved = [one for one in told if one.seconds != one.shown]
    for one in moved:
        if one.day > sent.today:
            raise BadInput("day", one.day.isoformat(), "today or a day before")
        require_work(one.task.code, shop_book(session), by_stage=one.task.by_stage)
    for one in sorted(moved, key=lambda one: one.day):
        if one.seconds > one.shown:
            steps.begin(one.task.project_id, one.day)
    added = [replace(one, seconds=one.seconds - one.shown, shown=0) for one in moved if one.seconds > one.shown]
    beside = _beside(session, others, worker_id)
    for who, lines in ((worker_id, moved), *((other, added) for other in beside)):
        if lines:
            _move(session, steps, lines, who)
        for day in sorted({one.day for one in lines}):
            _require_day(session, who, day, sent, named=who != worker_id)
    _note(session, steps, {one.day for one in told}, notes, worker_id)
    _build(session, steps, built)
    return steps.keep(sent.key, _said(moved, len(built), len(beside)))


def _beside(session: Session, others: Sequence[int], worker_id: int | None) -> list[int]:
    """Who else did it, each once."""
    known = {worker.id for worker in devices.workers(session)}
    unknown = [one for one in others if one not in known]
    if unknown:
        raise BadInput("the same for", unknown[0], "those at the bench")
    return sorted(set(others) - {worker_id})


def _require_day(session: Session, who: int | None, day: date, sent: Sending, *, named: bool) -> None:
    """Refuse an over-full day; `named`: it is not that of the page, and the refusal says whose."""
    try:
        require_day(session, who, day, sent.zone)
    except BadInput as refusal:
        if not named or who is None:
            raise
        label = devices.all_workers(session)[who]
        raise BadInput(f"time of {label}", refusal.received, refusal.expected) from refusal


def _whose(workers: Sequence[WorkerRow], worker_id: int | None) -> int | None:
    known = [worker.id for worker in workers]
    return worker_id if worker_id in known else (known[0] if known else None)


def _is_told_here(row: EntryRow) -> bool:
    return row.people == 1 and not row.rework and row.set_aside_reason is None


class _Tally:
    """Seconds by day and work."""

    def __init__(self, days: tuple[date, ...], rows: Iterable[EntryRow], book: Book) -> None:
        self.days = days
        self.book = book
        self.rows = tuple(rows)
        self.seconds: dict[tuple[date, Task], int] = {}
        self.clocked: set[Task] = set()
        for row in self.rows:
            task = task_of(row)
            self.seconds[row.on_date, task] = self.seconds.get((row.on_date, task), 0) + row.seconds
            if row.source is EntrySource.CLOCK:
                self.clocked.add(task)

    def line(self, task: Task, name: str, amount: QuantityRow | None = None, *, whole_stage: bool = False) -> Line:
        entry = None if whole_stage else self.book.get(task.code)
        return Line(
            task=task,
            name=name,
            seconds=tuple(self.seconds.get((day, task), 0) for day in self.days),
            clocked=task in self.clocked,
            amount=amount,
            unit=entry.unit if entry and entry.pace_minutes else "",
        )

    def tasks(self, project_id: int | None) -> set[Task]:
        return {task for _, task in self.seconds if task.project_id == project_id}


def _project(found: OnTheFloor, tally: _Tally) -> ProjectLines:
    project = found.project
    here = tally.tasks(project.id)
    lately = {
        _stage_of(row.what, tally.book, by_stage=row.by_stage)
        for row in found.logged
        if tally.days[0] - RECENT <= row.on_date <= tally.days[-1]
    }
    if found.next:
        lately.add(_stage_of(found.next.code, tally.book, by_stage=found.next.by_stage))
    stages = []
    for code, stage in reference.stages().items():
        planned = [key for key, entry in tally.book.items() if entry.stage == code and key in found.quantities]
        timed = {
            task.code for task in here if not task.by_stage and _stage_of(task.code, tally.book, by_stage=False) == code
        }
        whole = tally.line(Task(project.id, code, by_stage=True), stage.name, whole_stage=True)
        operations = tuple(
            tally.line(Task(project.id, key), entry.name, found.quantities.get(key))
            for key, entry in tally.book.items()
            if (key in planned or key in timed) and key != REWORK
        )
        if operations or whole.total_seconds:
            stages.append(StageLines(whole, operations, now=code in lately or bool(timed or whole.total_seconds)))
    longest = _longest(tally.rows, project.id)
    return ProjectLines(project, tuple(stages), longest.note if longest else "")


def _stage_of(code: str, book: Book, *, by_stage: bool) -> str:
    return code if by_stage or code not in book else book[code].stage


def _longest(rows: Iterable[EntryRow], project_id: int) -> EntryRow | None:
    mine = [row for row in rows if row.project_id == project_id]
    return max(mine, key=lambda row: (bool(row.note), row.seconds, -row.id), default=None)


def _move(session: Session, steps: Steps, moved: Sequence[Told], worker_id: int | None) -> None:
    days = [one.day for one in moved]
    held: dict[tuple[date, Task], list[EntryRow]] = {}
    for row in logbook.entries_between(session, min(days), max(days)):
        if row.worker_id == worker_id and _is_told_here(row):
            held.setdefault((row.on_date, task_of(row)), []).append(row)
    for one in moved:
        _move_one(steps, one, held.get((one.day, one.task), []), worker_id)


def _move_one(steps: Steps, one: Told, rows: Sequence[EntryRow], worker_id: int | None) -> None:
    """Bring one sum to what was typed, by the difference to what the page showed: what came meanwhile stays."""
    more = one.seconds - one.shown
    typed = [row for row in rows if row.source is EntrySource.TYPED]
    if more > 0 and typed:
        steps.change(typed[-1].id, {"seconds": typed[-1].seconds + more})
    elif more > 0:
        task = one.task
        steps.add(
            EntryDraft(
                on_date=one.day,
                seconds=more,
                project_id=task.project_id,
                operation=None if task.by_stage else task.code,
                stage=task.code if task.by_stage else None,
                worker_id=worker_id,
            )
        )
    else:
        others = [row for row in rows if row.source is not EntrySource.TYPED]
        _take_away(steps, [*others, *typed], -more)


def _take_away(steps: Steps, rows: Sequence[EntryRow], less: int) -> None:
    """Take seconds from entries, the last one first."""
    for row in reversed(rows):
        if less <= 0:
            return
        taken = min(less, row.seconds)
        if taken == row.seconds:
            steps.remove(row.id)
        else:
            steps.change(row.id, {"seconds": row.seconds - taken})
        less -= taken


def _note(session: Session, steps: Steps, days: set[date], notes: Mapping[int, str], worker_id: int | None) -> None:
    if not notes:
        return
    listed = logbook.entries_between(session, min(days), max(days)) if days else ()
    rows = [row for row in listed if row.worker_id == worker_id]
    for project_id, note in notes.items():
        if len(note) > LONGEST_NOTE:
            raise BadInput("note", note, f"at most {LONGEST_NOTE:,} characters")
        row = _longest(filter(_is_told_here, rows), project_id)
        if row is None:
            raise BadInput("note", note, "some time on this project that day for the note to hang on")
        steps.change(row.id, {"note": note.strip()})


def _build(session: Session, steps: Steps, built: Sequence[ToldBuilt]) -> None:
    """Note what was built; set-ups and an older note stay as they were."""
    for project_id in sorted({one.project_id for one in built}):
        planned = {row.operation: row for row in log.operation_quantities(session, project_id=project_id)}
        noted = {row.operation: row.note for row in plans.built(session, project_id)}
        for one in (amount for amount in built if amount.project_id == project_id):
            require_work(one.operation, shop_book(session), by_stage=False)
            row = planned.get(one.operation)
            setups = row.setups if row else 1
            steps.build(project_id, BuiltRow(one.operation, one.quantity, setups, noted.get(one.operation, "")))


def _said(moved: Sequence[Told], built: int, beside: int) -> str:
    seconds = sum(one.seconds - one.shown for one in moved)
    parts = []
    if seconds > 0:
        each = f" for each of {1 + beside}" if beside else ""
        parts.append(f"Logged {units.format_minutes(seconds / 60)}{each}")
    elif moved:
        parts.append(f"Corrected {counted(len(moved), 'line')}")
    if built:
        parts.append(f"noted {counted(built, 'quantity', 'quantities')} as built")
    said = ", ".join(parts)
    return said[:1].upper() + said[1:] if said else "Nothing was changed"
