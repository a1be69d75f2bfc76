"""Whether the parts are still those that were agreed; what was changed since and is in no extra is work nobody pays for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from journal.desk import estimate, parts, promises, quote_content
from journal.errors import JournalError
from journal.records.queries import plans
from journal.records.queries import quotes as quote_records
from journal.records.words import ProjectState

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from journal.build.parts import Part
    from journal.desk.promises import Agreed, Life
    from journal.records.queries.plans import PlanHead
    from journal.records.queries.projects import ProjectRow

_OVER = (ProjectState.CLOSED, ProjectState.CANCELLED)


@dataclass(frozen=True, slots=True)
class Differing:
    """Parts, or a number of benches, other than agreed.

    Attributes:
        on: the day of the agreement, or of the last extra, whichever is later.
        by_extra: whether it is an extra's day.
        agreed_cents: before tax, extras included.
        now_cents: the price to ask by today's estimate; None where the parts make none.
    """

    on: date | None
    by_extra: bool
    agreed_cents: int
    now_cents: int | None


def differing(session: Session, project: ProjectRow, today: date, life: Life | None = None) -> Differing | None:
    """What was changed since the agreement or the last extra; None where nothing was, or no extra is possible any more.

    A constant number of queries; none that is not needed anyway where nothing is agreed.
    """
    if project.agreed_price_cents is None or project.state in _OVER:
        return None
    agreed = (life or promises.life_of(session, project.id)).agreed
    if agreed is None or not _changed(session, project, agreed):
        return None
    try:
        now_cents = estimate.estimate_project(session, project.id, today).made.price_cents
    except JournalError:  # that it differs is said all the same
        now_cents = None
    last = agreed.extras[-1] if agreed.extras else None
    return Differing(last.on_date if last else agreed.on, last is not None, agreed.now_net_cents, now_cents)


def _changed(session: Session, project: ProjectRow, agreed: Agreed) -> bool:
    history = plans.plan_history(session, project.id)
    version, benches = _agreed_version(session, project, agreed, history)
    if agreed.extras:  # what was changed before an extra is settled by it
        version, benches = max(version, _version_at(history, agreed.extras[-1].at)), project.benches
    if not version:  # agreed before the journal knew its parts
        return False
    if benches != project.benches:
        return True
    if version == history[0].version:
        return False
    then = parts.from_rows(plans.get_plan(session, project.id, version).parts)
    return _bare(then) != _bare(parts.current(session, project.id))


def _agreed_version(
    session: Session, project: ProjectRow, agreed: Agreed, history: Sequence[PlanHead]
) -> tuple[int, int]:
    """The version of the plan that was agreed, 0 for none, and how many benches."""
    if agreed.quote is None:
        return _version_at(history, agreed.entered_at) if agreed.entered_at else 0, project.benches
    row = quote_records.get_quote(session, agreed.quote.id)
    if row.damaged:
        return 0, project.benches
    return row.plan_version, quote_content.read(row)["benches"]


def _version_at(history: Sequence[PlanHead], moment: datetime) -> int:
    return next((head.version for head in history if head.made_at <= moment), 0)


def _bare(listed: Sequence[Part]) -> set[Part]:
    """Parts without what tells one row from another of the same kind; their order is nothing a client agreed to."""
    return {replace(part, uid="", note="") for part in listed}
