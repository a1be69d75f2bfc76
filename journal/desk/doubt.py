"""What to log next: which operations bring the doubt about the hours of the newest project."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.desk import paces
from journal.desk.remembered import Remembered
from journal.pace.doubt import Doubt, doubts
from journal.pace.model import Task
from journal.records.queries import log as log_records
from journal.records.queries import projects as project_records

if TYPE_CHECKING:
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.desk.paces import Taught
    from journal.records.queries.projects import ProjectRow

_LOOKED_AT = 50  # newest projects; a shop has one with a plan among them, or plans nothing
_held: Remembered[NewestDoubts | None] = Remembered()


@dataclass(frozen=True, slots=True)
class NewestDoubts:
    """The doubts about one project, as if it were to be begun today.

    Attributes:
        project: the newest one with a plan.
        doubts: operation by operation, the most first; without rework, which has no pace.
    """

    project: ProjectRow
    doubts: tuple[Doubt, ...]

    @property
    def to_learn(self) -> float:
        """The share of all doubt that more logs would take away."""
        return sum(one.to_learn for one in self.doubts)

    @property
    def log_next(self) -> tuple[Doubt, ...]:
        """The operations whose logs would take most away, the most first."""
        return tuple(sorted(self.doubts, key=lambda one: one.to_learn, reverse=True))


def newest_doubts(session: Session, today: date, *, taught: Taught | None = None) -> NewestDoubts | None:
    """The doubts about the newest project that has a plan; None while there is none.

    `taught` spares learning the paces when that was done already.
    """
    known = taught or paces.learn(session, today)
    return _held.of_journal(
        session, (today, known.evidence.rows, known.calibration.book), lambda: _read(session, known)
    )


def _read(session: Session, taught: Taught) -> NewestDoubts | None:
    for project in project_records.newest_with_a_plan(session, _LOOKED_AT):
        if tasks := _tasks(session, project.id):
            return NewestDoubts(project, doubts(taught.calibration, tasks))
    return None


def _tasks(session: Session, project_id: int) -> tuple[Task, ...]:
    book = paces.shop_book(session)
    rows = log_records.operation_quantities(session, project_id=project_id)
    baselines = {
        row.operation: book[row.operation].baseline_minutes(row.setups, row.quantity)
        for row in rows
        if row.operation in book and row.operation != paces.REWORK
    }
    return tuple(Task(code, minutes) for code, minutes in baselines.items() if minutes > 0)
