"""What comes next in each project in build, from its plan and its log alone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import reference
from journal.desk.paces import shop_book
from journal.desk.progress import standing
from journal.floor.taps import Task
from journal.pace.progress import State
from journal.records.queries import log as log_records
from journal.records.queries import projects as project_records
from journal.records.words import ProjectState

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from sqlalchemy.orm import Session

    from journal.pace.model import Book
    from journal.pace.progress import Piece
    from journal.records.queries.log import LoggedRow, QuantityRow
    from journal.records.queries.projects import ProjectRow

# What is agreed may be begun any day.
IN_THE_SHOP = (ProjectState.IN_BUILD, ProjectState.ACCEPTED)
_ALONGSIDE = "shop"  # cleaning, sharpening, drawings: never what comes next


@dataclass(frozen=True, slots=True)
class OnTheFloor:
    """A project in build with what is known of its work.

    Attributes:
        project: which.
        quantities: operation → how much of it, as built where that was noted.
        logged: its time, day by day.
        next: what comes next; None when its plan is through, or there is none.
        going_on: that was begun already.
    """

    project: ProjectRow
    quantities: Mapping[str, QuantityRow]
    logged: tuple[LoggedRow, ...]
    next: Task | None
    going_on: bool


def on_the_floor(session: Session) -> tuple[OnTheFloor, ...]:
    """The projects in build and those agreed, the ones in build first. Three statements."""
    listed = list(project_records.all_projects(session, IN_THE_SHOP))
    quantities = log_records.operation_quantities(session, states=IN_THE_SHOP)
    logged = log_records.log_lines(session, states=IN_THE_SHOP)
    book = shop_book(session)
    listed.sort(key=lambda project: (project.state is not ProjectState.IN_BUILD, project.code))
    return tuple(
        _one(
            project,
            tuple(row for row in quantities if row.project_id == project.id),
            tuple(row for row in logged if row.project_id == project.id),
            book,
        )
        for project in listed
    )


def _one(
    project: ProjectRow, quantities: tuple[QuantityRow, ...], logged: tuple[LoggedRow, ...], book: Book
) -> OnTheFloor:
    found = next_piece(standing(project.code, quantities, logged, book), book)
    task = Task(project.id, found.name, by_stage=found.name not in book) if found else None
    going_on = found is not None and found.state is State.OPEN
    return OnTheFloor(project, {row.operation: row for row in quantities}, logged, task, going_on)


def next_piece(pieces: Sequence[Piece], book: Book) -> Piece | None:
    """The piece of a plan to go on with: the one last worked on while it is open, else the next not begun.

    The next is the first after the furthest piece that has time; then those before it that seem forgotten.
    """
    order = {code: place for place, code in enumerate(_order(book))}
    bench = sorted((one for one in pieces if one.stage != _ALONGSIDE), key=lambda one: order[one.name])
    begun = [one for one in bench if one.state is State.OPEN and one.on is not None]
    if begun:
        return max(begun, key=lambda one: (one.on, order[one.name]))
    furthest = max((order[one.name] for one in bench if one.state is not State.TO_COME), default=-1)
    to_come = [one for one in bench if one.state is State.TO_COME]
    return next((one for one in to_come if order[one.name] > furthest), to_come[0] if to_come else None)


def _order(book: Book) -> list[str]:
    """Operations and stages in the order of work: a stage as a whole stands where its first operation does."""
    found: list[str] = []
    for stage in reference.stages():
        found += [stage, *(code for code, entry in book.items() if entry.stage == stage)]
    return found
