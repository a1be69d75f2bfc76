"""Closing a job: what is still unfinished, what is accepted as it is, the lessons, and the last move."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

from journal import reference
from journal.desk import paces, payments, promises, quantities
from journal.errors import BadInput
from journal.floor.stretches import derive
from journal.records.queries import floor, gluing, lessons
from journal.records.queries import log as log_records
from journal.records.queries import projects as project_records
from journal.records.queries import purchases as purchase_records
from journal.records.queries import rack as rack_records
from journal.records.queries import stock as stock_records
from journal.records.queries import taps as tap_records
from journal.records.words import WOOD, ProjectState
from journal.working import counted

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from journal.records.queries.lessons import LessonRow, LooseEndRow
    from journal.records.queries.log import EntryRow
    from journal.records.queries.projects import ProjectRow

LONGEST = 2_000
MAY_CLOSE = (ProjectState.DELIVERED, ProjectState.STOCK)


class Loose(StrEnum):
    """Kinds of unfinished business."""

    CLOCKS = "clocks"
    NO_HOURS = "no-hours"
    STAGES = "stages"
    BOARDS = "boards"
    LEFT = "left-over"
    QUANTITIES = "quantities"
    GLUE_UPS = "glue-ups"
    COATS = "coats"
    BALANCE = "balance"


@dataclass(frozen=True, slots=True)
class LooseEnd:
    """Something unfinished: what, how much of it in words, in cents where it is money; why and when it was accepted.

    `stages`: codes of the stages it is about.
    """

    what: Loose
    said: str
    cents: int | None = None
    stages: tuple[str, ...] = ()
    accepted: str | None = None
    accepted_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Closing:
    """A job to be closed.

    Attributes:
        ends: what is unfinished.
        may_close: it is delivered, or stands in stock.
        lessons: its own; like: those of jobs like it.
    """

    project: ProjectRow
    ends: tuple[LooseEnd, ...]
    may_close: bool
    lessons: tuple[LessonRow, ...]
    like: tuple[LessonRow, ...]

    @property
    def open_ends(self) -> tuple[LooseEnd, ...]:
        """Those nobody accepted."""
        return tuple(end for end in self.ends if end.accepted is None)


def closing(session: Session, project_id: int, today: date) -> Closing:
    """What is unfinished of a project, and its lessons. A constant number of statements."""
    project = project_records.get_project(session, project_id)
    accepted = lessons.loose_ends(session, project_id)
    ends = tuple(_as_accepted(end, accepted.get(end.what)) for end in _ends(session, project, today))
    return Closing(
        project,
        ends,
        project.state in MAY_CLOSE,
        lessons.lessons(session, project_id),
        lessons.lessons_like(session, project_id),
    )


def close(session: Session, project_id: int, *, read_version: int, today: date, now: datetime) -> None:
    """Close a job whose loose ends are tied or accepted.

    Raises:
        BadInput: something is unfinished and not accepted, or it cannot be closed from where it is.
        Conflict: the project changed since.
    """
    require_tied(session, project_id, today)
    told = promises.Told(on=today)
    promises.move(session, project_id, ProjectState.CLOSED, told, read_version=read_version, today=today, now=now)


def require_tied(session: Session, project_id: int, today: date) -> None:
    """Refuse to close a job with loose ends, wherever it is asked for.

    Raises:
        BadInput: something is unfinished and not accepted.
    """
    loose = closing(session, project_id, today).open_ends
    if loose:
        expected = "each of them mended or accepted first, under Review"
        raise BadInput("close", counted(len(loose), "loose end"), expected)


def accept(session: Session, project_id: int, what: str, reason: str, *, today: date, now: datetime) -> None:
    """Leave something unfinished as it is.

    Raises:
        BadInput: no reason or too long a one, or no such loose end.
        Conflict: it is accepted already.
    """
    reason = _text("reason", reason, "why it stays as it is")
    known = [end.what.value for end in closing(session, project_id, today).ends]
    if what not in known:
        raise BadInput("loose end", what, ", ".join(known) or "none is left")
    lessons.accept(session, project_id, what, reason, now=now)


def learn(session: Session, project_id: int, text: str, *, now: datetime) -> None:
    """Write a lesson down."""
    project_records.get_project(session, project_id)
    lessons.add_lesson(session, project_id, _text("lesson", text, "a few words"), now=now)


def forget(session: Session, project_id: int, lesson_id: int, *, now: datetime) -> None:
    """Take a lesson back."""
    lessons.remove_lesson(session, project_id, lesson_id, now=now)


def lessons_like(session: Session, project_id: int) -> tuple[LessonRow, ...]:
    """Lessons of other jobs of the same design or wood."""
    project_records.get_project(session, project_id)
    return lessons.lessons_like(session, project_id)


def _text(field: str, text: str, expected: str) -> str:
    text = text.strip()
    if not text or len(text) > LONGEST:
        raise BadInput(field, text[:40], f"{expected}, at most {LONGEST:,} characters")
    return text


def _as_accepted(end: LooseEnd, row: LooseEndRow | None) -> LooseEnd:
    return replace(end, accepted=row.reason, accepted_at=row.at) if row else end


def _ends(session: Session, project: ProjectRow, today: date) -> list[LooseEnd]:
    found: list[LooseEnd] = []
    clocks = _clocks(session, project.id)
    if clocks:
        found.append(LooseEnd(Loose.CLOCKS, f"{counted(clocks, 'clock')} without an end"))
    entries = log_records.entries(session, project_id=project.id)
    if not entries:
        found.append(LooseEnd(Loose.NO_HOURS, "no hours are logged"))
    elif silent := _silent_stages(session, project.id, entries):
        names = ", ".join(reference.stages()[code].name for code in silent)
        found.append(LooseEnd(Loose.STAGES, f"planned, and no time is logged for it: {names}", stages=silent))
    held = [board for board in rack_records.boards(session) if board.project_id == project.id]
    if held:
        found.append(LooseEnd(Loose.BOARDS, f"{counted(len(held), 'board')} on the rack still planned for it"))
    if unsaid := _unsaid(session, project.id, today):
        found.append(LooseEnd(Loose.LEFT, f"{counted(unsaid, 'line')} of its receipts without a word on what was left"))
    missing = [one.name for one in quantities.wanted(session) if one.project_id == project.id]
    if missing:
        found.append(LooseEnd(Loose.QUANTITIES, f"how much was done is not noted for: {', '.join(missing)}"))
    running = [row.label for row in gluing.running_clocks(session) if row.project_id == project.id]
    if running:
        said = f"begun by the clock and never told to be in its clamps: {', '.join(running)}"
        found.append(LooseEnd(Loose.GLUE_UPS, said))
    coats = {row.coat for row in floor.coats(session, project_id=project.id)}
    if len(coats) < project.coats:
        found.append(LooseEnd(Loose.COATS, f"{len(coats)} of {counted(project.coats, 'coat')} logged"))
    owed = payments.money_of(session, project.id).owed_cents
    if owed:
        found.append(LooseEnd(Loose.BALANCE, "of what was agreed is not entered as paid", owed))
    return found


def _clocks(session: Session, project_id: int) -> int:
    """Running, or ended so late that somebody was asked when."""
    running = derive(row.event for row in tap_records.newest_windows(session)).running
    asking = tap_records.asking(session)
    return sum(one.task.project_id == project_id for one in running) + sum(
        row.task.project_id == project_id for row in asking
    )


def _silent_stages(session: Session, project_id: int, entries: Sequence[EntryRow]) -> tuple[str, ...]:
    """Codes of the stages the plan has work in and the log none, in the order of the work."""
    book = paces.shop_book(session)
    plan = log_records.operation_quantities(session, project_id=project_id)
    due = (row.operation for row in plan if row.quantity and row.operation != paces.REWORK)
    planned = {book[operation].stage for operation in due if operation in book}
    logged = {entry.stage or (book[entry.operation].stage if entry.operation in book else None) for entry in entries}
    return tuple(code for code in reference.stages() if code in planned - logged)


def _unsaid(session: Session, project_id: int, today: date) -> int:
    wood = {one.item.code for one in stock_records.stock_items(session, today) if one.item.form in WOOD}
    racked = rack_records.racked_lines(session)
    return sum(
        line.stock_code in wood and line.used_quantity is None and line.id not in racked
        for receipt in purchase_records.purchases(session, project_id=project_id)
        for line in receipt.lines
    )
