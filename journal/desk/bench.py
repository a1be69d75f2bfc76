"""Who is at the bench, and what may be started there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import reference
from journal.desk.next_work import next_piece
from journal.desk.paces import REWORK, shop_book
from journal.desk.progress import standing
from journal.errors import BadInput
from journal.floor.taps import Task
from journal.records.queries import devices
from journal.records.queries import log as log_records
from journal.records.queries import projects as project_records
from journal.records.queries import taps as tap_records

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session

    from journal.pace.model import Book
    from journal.records.queries.devices import WorkerRow
    from journal.records.queries.projects import ProjectRow
    from journal.records.queries.taps import RefusedRow

_FIRST = "Bench 1"
_LONGEST_LABEL = 60


@dataclass(frozen=True, slots=True)
class StageChoice:
    """A stage with its operations: (code, name); `planned` ones first in the book's order."""

    code: str
    name: str
    operations: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Choice:
    """What may be started in a project.

    Attributes:
        project: which.
        next: what comes next; None when its plan is through, or there is none.
        planned: stages with the operations of its plan.
        others: the rest of the book.
    """

    project: ProjectRow
    next: Task | None
    planned: tuple[StageChoice, ...]
    others: tuple[StageChoice, ...]


def places(session: Session) -> tuple[WorkerRow, ...]:
    """The places at the bench."""
    return devices.workers(session)


def first_place(session: Session) -> WorkerRow:
    """The first place at the bench, made when a shop that named none starts its first clock."""
    there = devices.workers(session)
    return there[0] if there else devices.add_worker(session, _FIRST)


def add_place(session: Session, label: str) -> WorkerRow:
    """Another place at the bench.

    Raises:
        BadInput: no label, too long a one, or one that is there.
    """
    label = " ".join(label.split())
    if not label or len(label) > _LONGEST_LABEL:
        raise BadInput(
            "place at the bench", label, f"a role of at most {_LONGEST_LABEL} characters, such as apprentice"
        )
    return devices.add_worker(session, label)


def choices(session: Session, project_id: int) -> Choice:
    """What may be started in a project.

    Raises:
        MissingReference: no such project.
    """
    project = project_records.get_project(session, project_id)
    quantities = log_records.operation_quantities(session, project_id=project_id)
    logged = log_records.log_lines(session, project_id=project_id)
    planned = {row.operation for row in quantities if row.quantity > 0 or row.setups > 0}
    book = shop_book(session)
    found = next_piece(standing(project.code, quantities, logged, book), book)
    return Choice(
        project=project,
        next=Task(project_id, found.name, by_stage=found.name not in book) if found else None,
        planned=_stages(planned - {REWORK}, book),
        others=_stages(set(book) - planned - {REWORK}, book),
    )


def refused(session: Session) -> tuple[RefusedRow, ...]:
    """Taps and forms that could not be taken and that nobody has seen yet."""
    return tap_records.refused(session)


def see_refused(session: Session, refused_id: int, *, now: datetime) -> None:
    """Somebody has seen a tap that could not be taken."""
    tap_records.see_refused(session, refused_id, now=now)


def title_of(session: Session, project_id: int | None) -> tuple[str, str]:
    """Number and title of a project; two empty texts for the shop's own time.

    Raises:
        MissingReference: no such project.
    """
    if project_id is None:
        return ("", "")
    project = project_records.get_project(session, project_id)
    return (project.code, project.title)


def _stages(codes: set[str], book: Book) -> tuple[StageChoice, ...]:
    found = []
    for code, stage in reference.stages().items():
        operations = tuple((key, entry.name) for key, entry in book.items() if entry.stage == code and key in codes)
        if operations:
            found.append(StageChoice(code, stage.name, operations))
    return tuple(found)
