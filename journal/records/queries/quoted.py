"""Plans as they stood when a project was agreed, and as they stand now."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from journal.records.queries.plans import OperationRow, PartRow, part_from_json
from journal.records.tables import Plan, Project
from journal.records.words import FINISHED, ProjectState


@dataclass(frozen=True, slots=True)
class QuotedPlan:
    """A project with the plan it was quoted on: the newest kept by the day it was agreed, else the first there is."""

    project_id: int
    code: str
    title: str
    design_word: str
    benches: int
    enquired_on: date | None
    agreed_on: date | None
    started_on: date | None
    delivered_on: date | None
    agreed_minutes: float | None
    version: int
    operations: tuple[OperationRow, ...]
    parts: tuple[PartRow, ...]


def quoted_plans(
    session: Session, *, states: Sequence[ProjectState] = FINISHED, with_parts: bool = False
) -> tuple[QuotedPlan, ...]:
    """The plans that projects in these states were quoted on, by project code. One statement.

    A project never agreed is taken as quoted on its first plan. Parts are read only when asked for.
    """
    columns = (Plan.version, Plan.made_at, Plan.operations, *((Plan.parts,) if with_parts else ()))
    query = (
        select(Project, *columns)
        .join(Plan, Plan.project_id == Project.id)
        .where(Project.state.in_(states))
        .order_by(Project.code, Plan.version)
    )
    found: dict[int, QuotedPlan] = {}
    for project, version, made_at, operations, *parts in session.execute(query):
        in_time = project.agreed_on is not None and made_at.date() <= project.agreed_on
        if project.id in found and not in_time:
            continue
        found[project.id] = QuotedPlan(
            project_id=project.id,
            code=project.code,
            title=project.title,
            design_word=project.design_word or "",
            benches=project.benches,
            enquired_on=project.enquired_on,
            agreed_on=project.agreed_on,
            started_on=project.started_on,
            delivered_on=project.delivered_on,
            agreed_minutes=project.agreed_minutes,
            version=version,
            operations=tuple(OperationRow(**line) for line in operations),
            parts=tuple(part_from_json(part) for listed in parts for part in listed),
        )
    return tuple(found.values())
