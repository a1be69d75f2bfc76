"""What was last done to the log, so that it can be taken back, and is not done twice by a form sent twice."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from journal.errors import Conflict, MissingReference
from journal.records.queries.values import to_value
from journal.records.tables import LogAct

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session


@dataclass(frozen=True, slots=True)
class ActRow:
    """One thing done: in words, and the steps that take it back, in the order in which they were done."""

    id: int
    form_key: str
    at: datetime
    said: str
    steps: list[dict[str, Any]]
    undone_at: datetime | None


def add_act(session: Session, form_key: str, said: str, steps: Sequence[dict[str, Any]], *, now: datetime) -> ActRow:
    """Keep what was done."""
    row = LogAct(form_key=form_key, at=now, said=said, steps=list(steps))
    session.add(row)
    session.flush()
    return to_value(ActRow, row)


def find_act(session: Session, form_key: str) -> ActRow | None:
    """What a form with this key did, if it was sent before."""
    row = session.scalar(select(LogAct).where(LogAct.form_key == form_key))
    return to_value(ActRow, row) if row else None


def newest_act(session: Session) -> ActRow | None:
    """The last thing done, taken back or not."""
    row = session.scalar(select(LogAct).order_by(LogAct.id.desc()).limit(1))
    return to_value(ActRow, row) if row else None


def get_act(session: Session, act_id: int) -> ActRow:
    """One thing done; MissingReference when there is none."""
    row = session.get(LogAct, act_id)
    if row is None:
        raise MissingReference("change of the log", str(act_id), [])
    return to_value(ActRow, row)


def acts_after(session: Session, act_id: int) -> tuple[ActRow, ...]:
    """What was done after one thing, oldest first; taken back or not."""
    query = select(LogAct).where(LogAct.id > act_id).order_by(LogAct.id)
    return tuple(to_value(ActRow, row) for row in session.scalars(query))


def mark_undone(session: Session, act_id: int, *, now: datetime) -> None:
    """It was taken back.

    Raises:
        Conflict: it was already.
    """
    row = session.get_one(LogAct, act_id)
    if row.undone_at is not None:
        raise Conflict("this", "it was taken back already")
    row.undone_at = now
    session.flush()
