"""The log by hand: time added, corrected, split, marked as done again, set aside, removed and counted again."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from journal import units
from journal.desk.acts import Steps
from journal.desk.log_view import KEPT, amounts, stamp, task_of
from journal.desk.paces import shop_book
from journal.desk.taps import name_of, require_work
from journal.errors import BadInput, Conflict
from journal.floor import clock
from journal.floor.hours import split as split_seconds
from journal.floor.taps import Task
from journal.records.queries import devices, logbook
from journal.records.queries import projects as project_records
from journal.records.queries.log import EntryDraft
from journal.records.queries.plans import BuiltRow
from journal.records.queries.shop import get_shop

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime, time, tzinfo

    from sqlalchemy.orm import Session

    from journal.desk.sending import Sending
    from journal.records.queries.log import EntryRow

LONGEST_NOTE = 2_000
MOST_PEOPLE = 50


@dataclass(frozen=True, slots=True)
class Wanted:
    """An entry as somebody wants it to be.

    Attributes:
        project_id: whose; None: the shop's own time.
        task: the operation, or the stage as a whole.
        on_date: the day.
        start: the time of day it began; None when nobody knows.
        seconds: how long.
        people: how many together.
        worker_id: who; None: nobody named.
        rework: done again.
        aside: why it should teach nothing; '' when it should.
        note: whatever else.
    """

    task: Task
    on_date: date
    seconds: int
    start: time | None = None
    people: int = 1
    worker_id: int | None = None
    rework: bool = False
    aside: str = ""
    note: str = ""

    def __post_init__(self) -> None:
        if self.seconds <= 0:
            raise BadInput("time", "", "how long it took, above 0")
        if not 1 <= self.people <= MOST_PEOPLE:
            raise BadInput("people", self.people, f"a whole number from 1 to {MOST_PEOPLE}")
        for field, text in (("note", self.note), ("set aside", self.aside)):
            if len(text) > LONGEST_NOTE:
                raise BadInput(field, text, f"at most {LONGEST_NOTE:,} characters")


def build(session: Session, project_id: int, operation: str, quantity: float, *, sent: Sending) -> str:
    """Note how much of an operation was built, all told. Answers what was done.

    Raises:
        MissingReference: an operation that the book does not know.
        BadInput: less than nothing.
    """
    if before := sent.before(session):
        return before
    require_work(operation, shop_book(session), by_stage=False)
    planned = {row.operation: row for row in amounts(session, project_id)}.get(operation)
    steps = Steps(session, why="built", now=sent.now)
    steps.build(project_id, BuiltRow(operation, quantity, planned.setups if planned else 1))
    said = f"Noted as built: {name_of(Task(project_id, operation), shop_book(session))}"
    steps.keep(sent.key, said)
    return said


def add(session: Session, wanted: Wanted, *, sent: Sending) -> str:
    """Log time. Answers what was done.

    Raises:
        BadInput: in the future, more than the day holds, or over another entry of the same person.
        MissingReference: unknown work, project or person.
    """
    if before := sent.before(session):
        return before
    _require(session, wanted, today=sent.today)
    steps = Steps(session, why="added", now=sent.now)
    steps.begin(wanted.task.project_id, wanted.on_date)
    steps.add(_draft(wanted, sent.zone))
    require_day(session, wanted.worker_id, wanted.on_date, sent.zone)
    _require_room(session, wanted, sent.zone, beside=0)
    said = f"Logged {units.format_minutes(wanted.seconds / 60)} of {name_of(wanted.task, shop_book(session))}"
    return steps.keep(sent.key, said)


def correct(
    session: Session,
    entry_id: int,
    wanted: Wanted,
    *,
    seen: str,
    why: str,
    sent: Sending,
) -> str:
    """Correct an entry; what it was stays in its history. Answers what was done.

    Args:
        session: a writing session.
        entry_id: which.
        wanted: as it should be.
        seen: its stamp when the form was filled.
        why: the reason, for its history.
        sent: by which form, when.

    Raises:
        BadInput, MissingReference: as for adding.
        Conflict: it was changed or removed since.
    """
    if before := sent.before(session):
        return before
    row = _unchanged(session, entry_id, seen)
    _require(session, wanted, today=sent.today)
    steps = Steps(session, why=why.strip() or "corrected", now=sent.now)
    draft = _draft(wanted, sent.zone)
    steps.change(entry_id, {name: getattr(draft, name) for name in KEPT if name != "started_at"} | _start(row, draft))
    require_day(session, wanted.worker_id, wanted.on_date, sent.zone)
    _require_room(session, wanted, sent.zone, beside=entry_id)
    said = f"{name_of(wanted.task, shop_book(session))} is corrected" if steps.done else "Nothing was changed"
    steps.keep(sent.key, said)
    return said


def split(
    session: Session,
    entry_id: int,
    parts: Sequence[tuple[Task, int]],
    *,
    seen: str,
    sent: Sending,
) -> str:
    """Give parts of an entry to other work; the rest stays what it was. Answers what was done.

    Raises:
        BadInput: a part of nothing, more than there is, or no part at all.
        MissingReference: unknown work.
        Conflict: it was changed or removed since.
    """
    if before := sent.before(session):
        return before
    row = _unchanged(session, entry_id, seen)
    if not parts:
        raise BadInput("parts", "", "at least one part with its work and time")
    for task, _ in parts:
        require_work(task.code, shop_book(session), by_stage=task.by_stage)
    left = split_seconds(row.seconds, [seconds for _, seconds in parts])
    steps = Steps(session, why=f"split into {len(parts) + bool(left)}", now=sent.now)
    for task, seconds in parts:
        steps.add(_part(row, task, seconds))
    if left:
        steps.change(entry_id, {"seconds": left})
    else:
        steps.remove(entry_id)
    said = (
        f"Split; {units.format_minutes(left / 60)} stay with {name_of(task_of(row), shop_book(session))}"
        if left
        else "Split"
    )
    steps.keep(sent.key, said)
    return said


def mark_rework(session: Session, entry_id: int, *, again: bool, sent: Sending) -> str:
    """Say that it was done again, or that it was not. Answers what was done."""
    if before := sent.before(session):
        return before
    steps = Steps(session, why="done again" if again else "not done again", now=sent.now)
    row = steps.change(_live(session, entry_id).id, {"rework": again})
    said = f"{name_of(task_of(row), shop_book(session))} counts as {'done again' if again else 'done once'}"
    steps.keep(sent.key, said)
    return said


def remove(session: Session, entry_id: int, why: str, *, sent: Sending) -> str:
    """Take an entry out of every sum; it can be counted again at any time. Answers what was done.

    Raises:
        BadInput: no reason.
    """
    if before := sent.before(session):
        return before
    if not why.strip() or len(why) > LONGEST_NOTE:
        raise BadInput("reason", why, "why it is removed, in a few words")
    row = _live(session, entry_id)
    steps = Steps(session, why=why.strip(), now=sent.now)
    steps.remove(entry_id)
    said = f"Removed {units.format_minutes(row.seconds / 60)} of {name_of(task_of(row), shop_book(session))}"
    steps.keep(sent.key, said)
    return said


def count_again(session: Session, entry_id: int, *, sent: Sending) -> str:
    """Let a removed entry count again. Answers what was done."""
    if before := sent.before(session):
        return before
    steps = Steps(session, why="counted again", now=sent.now)
    row = logbook.get_any(session, entry_id)
    if row.removed_at is None:
        raise Conflict("this entry", "it counts already; open the page again")
    steps.restore(entry_id)
    require_day(session, row.worker_id, row.on_date, sent.zone)
    said = f"{name_of(task_of(row), shop_book(session))} counts again"
    steps.keep(sent.key, said)
    return said


def require_day(session: Session, worker_id: int | None, day: date, zone: tzinfo) -> None:
    """Refuse more hours than a day has; what is logged without a name may be everybody's.

    Raises:
        BadInput: the day would be over-full.
    """
    heads = 1 if worker_id is not None else get_shop(session).people
    whole, logged = clock.seconds_in(day, zone) * heads, logbook.seconds_of_day(session, worker_id, day)
    if logged > whole:
        had = units.format_hours(logged / 60)
        raise BadInput(
            "time", f"{had} on {day.isoformat()}", f"at most the {units.format_hours(whole / 60)} of that day"
        )


def _require(session: Session, wanted: Wanted, *, today: date) -> None:
    require_work(wanted.task.code, shop_book(session), by_stage=wanted.task.by_stage)
    if wanted.on_date > today:
        raise BadInput("day", wanted.on_date.isoformat(), "today or a day before")
    if wanted.task.project_id is not None:
        project_records.get_project(session, wanted.task.project_id)
    if wanted.worker_id is not None and wanted.worker_id not in devices.all_workers(session):
        raise BadInput("who", wanted.worker_id, "one of those at the bench")


def _require_room(session: Session, wanted: Wanted, zone: tzinfo, *, beside: int) -> None:
    """Refuse a time of day at which the same person was at something else."""
    if wanted.start is None or wanted.worker_id is None:
        return
    start = clock.at_time(wanted.on_date, wanted.start, zone, field="started at")
    end = start + timedelta(seconds=wanted.seconds)
    day = timedelta(days=1)
    for row in logbook.with_times(session, wanted.worker_id, wanted.on_date - day, wanted.on_date + day):
        began = row.started_at
        if row.id == beside or began is None or row.on_date != wanted.on_date:
            continue
        ended = began + timedelta(seconds=row.seconds)
        if start < ended and began < end and (row.started_at, row.seconds) != (start, wanted.seconds):
            there = f"{began.astimezone(zone):%H:%M} to {ended.astimezone(zone):%H:%M}"
            received = f"{start.astimezone(zone):%H:%M} to {end.astimezone(zone):%H:%M}"
            raise BadInput(
                "started at", received, f"a time beside {name_of(task_of(row), shop_book(session))}, {there}"
            )


def _draft(wanted: Wanted, zone: tzinfo) -> EntryDraft:
    task = wanted.task
    start = clock.at_time(wanted.on_date, wanted.start, zone, field="started at") if wanted.start else None
    return EntryDraft(
        on_date=wanted.on_date,
        started_at=start,
        seconds=wanted.seconds,
        project_id=task.project_id,
        operation=None if task.by_stage else task.code,
        stage=task.code if task.by_stage else None,
        people=wanted.people,
        worker_id=wanted.worker_id,
        rework=wanted.rework,
        set_aside_reason=wanted.aside.strip() or None,
        note=wanted.note.strip(),
    )


def _start(row: EntryRow, draft: EntryDraft) -> dict[str, datetime | None]:
    """The start to keep: a form shows minutes, and one sent unchanged must not lose the seconds of the clock."""
    if row.started_at and draft.started_at:
        same_minute = row.started_at.replace(second=0, microsecond=0) == draft.started_at
        return {"started_at": row.started_at if same_minute else draft.started_at}
    return {"started_at": draft.started_at}


def _part(row: EntryRow, task: Task, seconds: int) -> EntryDraft:
    return EntryDraft(
        on_date=row.on_date,
        seconds=seconds,
        project_id=task.project_id,
        operation=None if task.by_stage else task.code,
        stage=task.code if task.by_stage else None,
        people=row.people,
        worker_id=row.worker_id,
        rework=row.rework,
        set_aside_reason=row.set_aside_reason,
        source=row.source,
    )


def _live(session: Session, entry_id: int) -> EntryRow:
    row = logbook.get_any(session, entry_id)
    if row.removed_at is not None:
        raise Conflict("this entry", "it was removed; let it count again first")
    return row


def _unchanged(session: Session, entry_id: int, seen: str) -> EntryRow:
    row = _live(session, entry_id)
    if stamp(row) != seen:
        raise Conflict("this entry", "open it again and repeat the change")
    return row
