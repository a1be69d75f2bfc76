"""A piece of a finished job kept out of learning, straight from its Review, and taken in again.

A piece is an operation or a whole stage, as Review compares them; every entry of it is set aside or learned from at once.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.desk import behind
from journal.errors import BadInput
from journal.records.queries import log as log_records
from journal.records.queries import projects as project_records

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from sqlalchemy.orm import Session

    from journal.records.queries.log import EntryRow


@dataclass(frozen=True, slots=True)
class Aside:
    """How a piece stands: entries that are learned from, and those set aside by their reason."""

    learned: int
    reasons: Mapping[str, int]


def asides(session: Session, project_id: int) -> dict[str, Aside]:
    """How each piece of a project stands, by operation or stage; what was done again teaches no pace anyway."""
    learned: Counter[str] = Counter()
    reasons: dict[str, Counter[str]] = {}
    for entry in log_records.entries(session, project_id=project_id):
        what = _piece(entry)
        if entry.rework or not what:
            continue
        if entry.set_aside_reason is None:
            learned[what] += 1
        else:
            reasons.setdefault(what, Counter())[entry.set_aside_reason] += 1
    return {what: Aside(learned[what], dict(reasons.get(what, {}))) for what in (*learned, *reasons)}


def set_aside(session: Session, project_id: int, what: str, reason: str, *, now: datetime) -> int:
    """Keep every entry of a piece out of learning; says how many. Their hours stay in every sum.

    Raises:
        BadInput: no reason or too long a one, or nothing of that piece is learned from.
        MissingReference: no such project.
    """
    found = [entry for entry in _entries(session, project_id, what) if entry.set_aside_reason is None]
    if not found:
        raise BadInput("piece of work", what, "one of this job whose time is learned from")
    for entry in found:
        behind.set_aside(session, entry.id, reason, now=now)
    return len(found)


def restore(session: Session, project_id: int, what: str, reason: str, *, now: datetime) -> int:
    """Learn again from the entries of a piece that were set aside for a reason; says how many.

    Raises:
        BadInput: none was, for that reason.
        MissingReference: no such project.
    """
    found = [entry for entry in _entries(session, project_id, what) if entry.set_aside_reason == reason]
    if not found:
        raise BadInput("piece of work", what, "one of this job that is set aside for that reason")
    for entry in found:
        behind.restore(session, entry.id, now=now)
    return len(found)


def _entries(session: Session, project_id: int, what: str) -> list[EntryRow]:
    project_records.get_project(session, project_id)
    entries = log_records.entries(session, project_id=project_id)
    return [entry for entry in entries if what and not entry.rework and _piece(entry) == what]


def _piece(entry: EntryRow) -> str:
    return entry.operation or entry.stage or ""
