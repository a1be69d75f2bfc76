"""What the templates of the log receive, and how an entry and its corrections are said."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from typing import TYPE_CHECKING

from journal import units
from journal.desk.log_view import task_of
from journal.desk.taps import name_of
from journal.floor.taps import Task
from journal.web import state

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date, tzinfo

    from markupsafe import Markup

    from journal.desk.log_view import LogPage
    from journal.records.queries.acts import ActRow
    from journal.records.queries.log import ChangeRow, EntryRow
    from journal.records.queries.projects import ProjectRow
    from journal.web.log.forms import AmountForm, EntryForm, PartForm, ReasonForm, SoughtForm, SplitForm

_FIELDS = {
    "on_date": "day",
    "started_at": "began at",
    "seconds": "time",
    "people": "people",
    "worker_id": "who",
    "rework": "done again",
    "set_aside_reason": "set aside",
    "note": "note",
    "removed_at": "removed",
    "operation": "operation",
    "stage": "stage",
    "project_id": "project",
}
_LONGEST_SAID = 120


@dataclass(frozen=True, slots=True)
class EntryLine:
    """An entry in the list: with its work, when on the clock, who, and what was changed in words.

    `corrected` says how often it was put right; a note that was written is no correction.
    """

    entry: EntryRow
    name: str
    span: str
    worker: str
    changes: tuple[tuple[datetime, str], ...]
    corrected: int

    @property
    def minutes(self) -> float:
        return self.entry.seconds * self.entry.people / 60


@dataclass(frozen=True, slots=True)
class DayLines:
    """A day with its entries and their person-minutes."""

    day: date
    minutes: float
    lines: tuple[EntryLine, ...]


@dataclass(frozen=True, slots=True)
class Amount:
    """A quantity: planned, or as built."""

    code: str
    name: str
    unit: str
    quantity: float
    built: bool


@dataclass(frozen=True, slots=True)
class ListPage:
    """What log/index.html receives.

    Attributes:
        log: the project with this page of its log.
        days: newest first.
        newer, older: where the pages beside this one are, or None.
        sought: the form of what is looked for; found: something is looked for.
        form: to add an entry; adding: it was sent and refused.
        amounts: the quantities of the project; amount: to note one as built.
        last: the last change, to take back.
    """

    log: LogPage
    days: tuple[DayLines, ...]
    newer: str | None
    older: str | None
    sought: SoughtForm
    found: bool
    form: EntryForm
    adding: bool
    amounts: tuple[Amount, ...]
    amount: AmountForm
    last: ActRow | None


@dataclass(frozen=True, slots=True)
class OnePage:
    """What log/entry.html receives.

    Attributes:
        project, line: whose, and the entry.
        removed: it is; clocked: it came from the clock.
        form: to correct it; parts, split: to split it; reason: to remove it.
        back: the page of the log it came from.
        conflict: it was changed since the form was opened.
        errors: about the split as a whole.
    """

    project: ProjectRow
    line: EntryLine
    removed: bool
    clocked: bool
    form: EntryForm
    split: SplitForm
    parts: tuple[PartForm, ...]
    reason: ReasonForm
    conflict: bool = False
    errors: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Code:
    """One code to print: what it starts, and the drawing of it."""

    name: str
    drawing: Markup


@dataclass(frozen=True, slots=True)
class CodesPage:
    """What log/codes.html receives: the codes stage by stage; `here_only`: they lead to this computer alone."""

    project: ProjectRow
    stages: tuple[tuple[str, tuple[Code, ...]], ...]
    here_only: bool


def day_lines(log: LogPage, zone: tzinfo) -> tuple[DayLines, ...]:
    """The entries of a page by day."""
    days = []
    for day, rows in groupby(log.entries, key=lambda row: row.on_date):
        lines = tuple(entry_line(row, log.changes.get(row.id, ()), log.workers, zone) for row in rows)
        days.append(DayLines(day, sum(line.minutes for line in lines), lines))
    return tuple(days)


def entry_line(row: EntryRow, changes: Sequence[ChangeRow], workers: Mapping[int, str], zone: tzinfo) -> EntryLine:
    """An entry in words."""
    together = _together(changes)
    return EntryLine(
        entry=row,
        name=name_of(task_of(row), state.book()),
        span=_span(row, zone),
        worker=workers.get(row.worker_id, "") if row.worker_id is not None else "",
        changes=tuple(_said(each, workers, zone) for each in together),
        corrected=sum(any(one.field != "note" for one in each) for each in together),
    )


def _span(row: EntryRow, zone: tzinfo) -> str:
    if row.started_at is None:
        return ""
    return f"from {row.started_at.astimezone(zone):%H:%M}"


def _together(changes: Iterable[ChangeRow]) -> list[list[ChangeRow]]:
    """The changes made at one moment for one reason, newest first."""
    grouped = groupby(changes, key=lambda change: (change.at, change.why))
    return [list(group) for _, group in grouped][::-1]


def _said(changes: Sequence[ChangeRow], workers: Mapping[int, str], zone: tzinfo) -> tuple[datetime, str]:
    parts = [_change(one, workers, zone) for one in changes if one.field != "project_id"]
    return changes[0].at, f"{'; '.join(parts)} ({changes[0].why})"


def _change(change: ChangeRow, workers: Mapping[int, str], zone: tzinfo) -> str:
    if change.field == "removed_at":
        return "removed" if change.new else "counted again"
    name = _FIELDS.get(change.field, change.field)
    old, new = (_value(change.field, text, workers, zone) for text in (change.old, change.new))
    return f"{name}: {old} → {new}"


def _value(field: str, text: str | None, workers: Mapping[int, str], zone: tzinfo) -> str:
    if text in (None, ""):
        return "nothing"
    if field == "seconds":
        return state.in_marks(units.format_minutes(int(text) / 60))
    if field == "started_at":
        return f"{datetime.fromisoformat(text).astimezone(zone):%H:%M}"
    if field == "rework":
        return {"True": "yes", "False": "no"}.get(text, text)
    if field == "worker_id":
        return workers.get(int(text), text)
    if field in ("operation", "stage"):
        return name_of(Task(None, text, by_stage=field == "stage"), state.book())
    return text if len(text) <= _LONGEST_SAID else f"{text[:_LONGEST_SAID]}…"
