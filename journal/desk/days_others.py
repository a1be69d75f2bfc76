"""What else takes the shop’s people: promised work in the order of its dates, and quotes that may come."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

import numpy as np

from journal.desk.progress import remaining
from journal.records.queries import calendar as records
from journal.records.queries import projects as project_records
from journal.records.words import ProjectState

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from sqlalchemy.orm import Session

    from journal.records.queries.projects import ProjectRow

    Floats = NDArray[np.float64]

PROMISED = (ProjectState.ACCEPTED, ProjectState.IN_BUILD)
ASKED = (ProjectState.QUOTED, ProjectState.ENQUIRY)
# Of a quote about which nothing is said; an enquiry without a quote does not count until something is said.
USUAL_PCT = 50
_CERTAIN = 100


@dataclass(frozen=True, slots=True)
class Other:
    """Work that goes before this project’s.

    Attributes:
        project: whose.
        likely_pct: that it comes; 100 for what is promised.
        said: whether somebody said how likely.
        minutes: likely person-minutes at the bench still to come, were it to come.
        draws: in every draw, nothing where it does not come, shape (n,).
    """

    project: ProjectRow
    likely_pct: int
    said: bool
    minutes: float
    draws: Floats

    @property
    def promised(self) -> bool:
        """Whether it is certain."""
        return self.project.state in PROMISED

    @property
    def expected_minutes(self) -> float:
        """Of its bench minutes as many as it is likely: of a quote that comes every other time, half."""
        return self.minutes * self.likely_pct / _CERTAIN


@dataclass(frozen=True, slots=True)
class Others:
    """What goes before, in the order of its dates; and what cannot be counted, for want of parts."""

    ahead: tuple[Other, ...]
    uncounted: tuple[ProjectRow, ...]


def others(session: Session, project: ProjectRow, today: date, draws: int, seed: int) -> Others:
    """What goes before a project. A constant number of statements.

    Promised work goes before all that is only asked for; within either, the earlier date goes first. Whether a quote comes
    is thrown once in every draw, with dice of its own, so that the same draws serve every project.
    """
    said = records.likelihoods(session)
    rows = project_records.all_projects(session, (*PROMISED, *ASKED))
    ahead = sorted((row for row in rows if row.id != project.id and _rank(row) < _rank(project)), key=_rank)
    counted = [row for row in ahead if _likely(row, said)]
    left = remaining(session, counted, today)
    found = []
    for row in counted:
        if row.id in left:
            minutes = left[row.id].minutes
            comes = np.random.default_rng([seed, row.id]).random(draws) * _CERTAIN < _likely(row, said)
            drawn = minutes[np.arange(draws) % len(minutes)] * comes
            found.append(Other(row, _likely(row, said), row.id in said, float(np.median(minutes)), drawn))
    return Others(tuple(found), tuple(row for row in counted if row.id not in left))


def _likely(row: ProjectRow, said: dict[int, int]) -> int:
    if row.state in PROMISED:
        return _CERTAIN
    return said.get(row.id, USUAL_PCT if row.state is ProjectState.QUOTED else 0)


def _rank(row: ProjectRow) -> tuple[bool, date, int]:
    """Promised first, by the day promised or agreed; then asked for, by the day of the enquiry."""
    if row.state in PROMISED:
        return False, row.promised_on or row.agreed_on or row.enquired_on or date.max, row.id
    return True, row.enquired_on or date.max, row.id
