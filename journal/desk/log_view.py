"""The log as it is shown: a page of a project's entries, one entry with its history, quantities."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.floor.taps import Task
from journal.records.queries import devices, logbook, plans
from journal.records.queries import projects as project_records
from journal.records.queries import taps as tap_records
from journal.records.queries.devices import WorkerRow
from journal.records.queries.log import QuantityRow, operation_quantities

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sqlalchemy.orm import Session

    from journal.records.queries.log import ChangeRow, EntryRow
    from journal.records.queries.logbook import Sought
    from journal.records.queries.plans import BuiltRow
    from journal.records.queries.projects import ProjectRow

PAGE = 60  # entries shown at once
KEPT = (
    "project_id",
    "operation",
    "stage",
    "on_date",
    "started_at",
    "seconds",
    "people",
    "worker_id",
    "rework",
    "set_aside_reason",
    "note",
)


@dataclass(frozen=True, slots=True)
class LogPage:
    """A page of a project's log.

    Attributes:
        project: whose.
        entries: the newest day first.
        changes: entry → its corrections.
        workers: id → label of everybody who ever logged.
        total, minutes: how many entries were found in all, and their person-minutes.
        page, pages: which page of how many, from 1.
        built: quantities noted as built.
    """

    project: ProjectRow
    entries: tuple[EntryRow, ...]
    changes: Mapping[int, tuple[ChangeRow, ...]]
    workers: Mapping[int, str]
    total: int
    minutes: float
    page: int
    pages: int
    built: tuple[BuiltRow, ...]


def log_page(session: Session, project_id: int, sought: Sought, page: int = 1) -> LogPage:
    """A page of a project's log; a page past the last is the last. A constant number of queries.

    Raises:
        MissingReference: no such project.
    """
    project = project_records.get_project(session, project_id)
    total, minutes = logbook.count_of(session, project_id, sought)
    pages = max(-(-total // PAGE), 1)
    here = min(max(page, 1), pages)
    entries = logbook.page_of(session, project_id, sought, most=PAGE, after=PAGE * (here - 1))
    return LogPage(
        project=project,
        entries=entries,
        changes=logbook.changes_of_all(session, [entry.id for entry in entries]),
        workers=devices.all_workers(session),
        total=total,
        minutes=minutes,
        page=here,
        pages=pages,
        built=plans.built(session, project_id),
    )


@dataclass(frozen=True, slots=True)
class OneEntry:
    """One entry, removed or not.

    Attributes:
        entry, project: it, and whose it is; None: the shop's own time.
        changes: its corrections, oldest first.
        workers: id → label of everybody who ever logged; worker: who did this.
        clocked: it came from the clock.
    """

    entry: EntryRow
    project: ProjectRow | None
    changes: tuple[ChangeRow, ...]
    workers: Mapping[int, str]
    worker: WorkerRow | None
    clocked: bool


def one(session: Session, entry_id: int) -> OneEntry:
    """One entry with its history.

    Raises:
        MissingReference: there is none.
    """
    row = logbook.get_any(session, entry_id)
    workers = devices.all_workers(session)
    return OneEntry(
        entry=row,
        project=project_records.get_project(session, row.project_id) if row.project_id is not None else None,
        changes=logbook.changes_of_all(session, [entry_id]).get(entry_id, ()),
        workers=workers,
        worker=WorkerRow(row.worker_id, workers[row.worker_id]) if row.worker_id is not None else None,
        clocked=bool(tap_records.taps_of_entries(session, [entry_id])),
    )


def amounts(session: Session, project_id: int) -> tuple[QuantityRow, ...]:
    """How much of each operation a project holds: as built where that was noted, else as its newest plan says."""
    return operation_quantities(session, project_id=project_id)


def task_of(row: EntryRow) -> Task:
    """What an entry is about."""
    return Task(row.project_id, row.operation or row.stage or "", by_stage=row.operation is None)


def stamp(row: EntryRow) -> str:
    """Tells whether an entry is still as it was: every field that can be corrected."""
    return "|".join(str(getattr(row, name)) for name in KEPT)
