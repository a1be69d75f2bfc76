"""What is ahead of the floor: dates at risk, and what asks for a second pair of hands."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

import numpy as np

from journal.desk import plan as plans
from journal.desk import progress
from journal.desk.next_work import IN_THE_SHOP
from journal.desk.remembered import Remembered
from journal.errors import JournalError
from journal.records.queries import projects as project_records
from journal.records.queries.shop import get_shop

if TYPE_CHECKING:
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.build.handling import Move
    from journal.desk.progress import Remaining
    from journal.records.queries.projects import ProjectCounts, ProjectRow

LATE = 0.2  # a one-in-five chance of being late is worth knowing
OVER = 0.65  # hours are mostly agreed at their middle, so even odds of more are no news
_WEEK_DAYS = 7


@dataclass(frozen=True, slots=True)
class Due:
    """How a project in build stands to what was promised.

    Attributes:
        project: which.
        left_minutes: likely still to come; None without a plan to measure by.
        ready_on: when the hours may be through, eight times in ten, at the shop's usual week; waits not counted.
        late: chance that they are not by the promised day; None when nothing was promised.
        over: chance of more hours than agreed; None when none were.
        heavy: what of it takes a second person to move.
    """

    project: ProjectRow
    left_minutes: float | None
    ready_on: date | None
    late: float | None
    over: float | None
    heavy: tuple[Move, ...]

    @property
    def day_in_doubt(self) -> bool:
        """Whether the promised day is."""
        return (self.late or 0.0) > LATE

    @property
    def hours_in_doubt(self) -> bool:
        """Whether the agreed hours are."""
        return (self.over or 0.0) > OVER


_known: Remembered[tuple[Due, ...]] = Remembered()


def ahead(session: Session, today: date) -> tuple[Due, ...]:
    """Every project in build, those in doubt first; worked out once for as long as the journal stays as it is."""
    return _known.of_journal(session, ("ahead", today), lambda: _ahead(session, today))


def _ahead(session: Session, today: date) -> tuple[Due, ...]:
    found = project_records.list_projects(session, IN_THE_SHOP)
    remaining = progress.remaining(session, [one.project for one in found], today)
    week_minutes = get_shop(session).minutes_per_week / max(len(found), 1)
    dues = [_due(session, one, remaining.get(one.project.id), week_minutes, today) for one in found]
    return tuple(
        sorted(
            dues, key=lambda due: (not (due.day_in_doubt or due.hours_in_doubt), due.project.promised_on or today.max)
        )
    )


def _due(session: Session, found: ProjectCounts, left: Remaining | None, week_minutes: float, today: date) -> Due:
    project = found.project
    heavy = _heavy(session, project.id, today)
    if left is None:
        return Due(project, None, None, None, None, heavy)
    days = np.ceil(left.minutes / week_minutes * _WEEK_DAYS)
    by_then = (project.promised_on - today).days if project.promised_on else None
    agreed = project.agreed_minutes
    return Due(
        project=project,
        left_minutes=float(np.median(left.minutes)),
        ready_on=today + timedelta(days=min(int(np.quantile(days, 0.8)), 36_500)),
        late=None if by_then is None else float(np.mean(days > by_then)),
        over=None if not agreed else float(np.mean(left.minutes + found.minutes > agreed)),
        heavy=heavy,
    )


def _heavy(session: Session, project_id: int, today: date) -> tuple[Move, ...]:
    """Nothing where the parts cannot be made as they stand: the plan page says why."""
    try:
        moves = plans.build_plan(session, project_id, today).moves
    except JournalError:
        return ()
    return tuple(move for move in moves if move.way.needs_two)
