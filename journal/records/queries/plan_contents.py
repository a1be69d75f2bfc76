"""What versions of plans hold, read and made out once: a plan never changes, and its checksum tells it from any other.

What the logs teach rests on every plan there is. To make them all out again after each tap of the clock took a second with
ten years of plans.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from journal.records.queries.plans import OperationRow, PartRow, part_from_json
from journal.records.tables import Plan

_MOST = 4_096  # plans; some 10 kB each


@dataclass(frozen=True, slots=True)
class PlanContent:
    """The parts and operations of one version."""

    operations: tuple[OperationRow, ...]
    parts: tuple[PartRow, ...]


_known: dict[str, PlanContent] = {}


def plan_contents(session: Session, wanted: Mapping[int, str]) -> dict[int, PlanContent]:
    """The contents of plans, their checksums by their ids. One statement, or none when all are known."""
    found = {plan: _known[digest] for plan, digest in wanted.items() if digest in _known}
    missing = [plan for plan in wanted if plan not in found]
    if missing:
        query = select(Plan.id, Plan.sha256, Plan.operations, Plan.parts).where(Plan.id.in_(missing))
        for plan, digest, operations, parts in session.execute(query):
            content = PlanContent(
                tuple(OperationRow(**line) for line in operations), tuple(part_from_json(part) for part in parts)
            )
            found[plan] = _keep(digest, content)
    return found


def _keep(digest: str, content: PlanContent) -> PlanContent:
    if len(_known) >= _MOST:
        _known.clear()
    return _known.setdefault(digest, content)
