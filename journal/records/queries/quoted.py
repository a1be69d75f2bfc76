"""Plans as they stood when a project was agreed, and as they stand now; for past jobs that had none, what was built."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import exists, select
from sqlalchemy.orm import Session

from journal.records.queries.plan_contents import plan_contents
from journal.records.queries.plans import OperationRow, PartRow
from journal.records.queries.shop import shop_zone
from journal.records.tables import Built, Plan, Project
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
    """The plans that projects in these states were quoted on, by project code. Three statements at most.

    A project never agreed is taken as quoted on its first plan. Parts are told only when asked for.
    """
    query = (
        select(Project, Plan.id, Plan.version, Plan.made_at, Plan.sha256)
        .join(Plan, Plan.project_id == Project.id)
        .where(Project.state.in_(states))
        .order_by(Project.code, Plan.version)
    )
    zone = shop_zone(session)
    chosen: dict[int, tuple[Project, int, int, str]] = {}
    for project, plan, version, made_at, digest in session.execute(query):
        in_time = project.agreed_on is not None and made_at.astimezone(zone).date() <= project.agreed_on
        if in_time or project.id not in chosen:
            chosen[project.id] = (project, plan, version, digest)
    held = plan_contents(session, {plan: digest for _, plan, _, digest in chosen.values()})
    return tuple(
        _quoted(project, version, held[plan].operations, held[plan].parts if with_parts else ())
        for project, plan, version, _ in chosen.values()
    )


def built_plans(session: Session) -> tuple[QuotedPlan, ...]:
    """Finished projects that came with a spreadsheet and never had a plan, by code. One statement.

    Nobody knows what was quoted: their operations are those built. Their version is 0.
    """
    planned = exists().where(Plan.project_id == Project.id)
    query = (
        select(Project, Built)
        .join(Built, Built.project_id == Project.id)
        .where(Project.import_id.is_not(None), Project.state.in_(FINISHED), ~planned)
        .order_by(Project.code, Built.operation)
    )
    found: dict[int, tuple[Project, list[OperationRow]]] = {}
    for project, built in session.execute(query):
        _, lines = found.setdefault(project.id, (project, []))
        lines.append(OperationRow(built.operation, built.quantity, built.setups))
    return tuple(_quoted(project, 0, tuple(lines), ()) for project, lines in found.values())


def _quoted(
    project: Project, version: int, operations: tuple[OperationRow, ...], parts: tuple[PartRow, ...]
) -> QuotedPlan:
    return QuotedPlan(
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
        operations=operations,
        parts=parts,
    )
