"""Steps of the maker's own, for all that reckons with what is still to come: the very sum the estimate has."""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal.desk import estimate, parts
from journal.desk.edited_work import edit_of, with_edits
from journal.errors import JournalError
from journal.records.queries import building
from journal.records.words import EditKind

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from journal.build.step_work import OwnWork
    from journal.desk.shop import ShopView
    from journal.records.queries.projects import ProjectRow


def own_steps(session: Session, projects: Sequence[ProjectRow], shop: ShopView) -> dict[int, tuple[OwnWork, ...]]:
    """The maker's own steps of each project by its id; those that do not fit the plan any more are not among them.

    One statement, and for each project that has such steps those of its parts.
    """
    changed = building.edits_of_all(session, [project.id for project in projects])
    found = {}
    for project in projects:
        rows = changed.get(project.id, ())
        if any(row.kind is EditKind.ADD for row in rows):
            work = estimate.work_of(project)
            try:
                taken = parts.taken_off(parts.current(session, project.id), shop, work, project.benches)
            except JournalError:  # parts nobody can make have no steps to put others between
                continue
            found[project.id] = with_edits(taken, shop, work, [edit_of(row) for row in rows]).own
    return found
