"""The glue-up clock: started, told of each strip, ended."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from journal.errors import MissingReference
from journal.records.queries.values import to_value
from journal.records.tables import GlueClock, GlueTick

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from sqlalchemy.orm import Session


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockDraft:
    """A glue-up clock to start; areas in mm², times in seconds."""

    project_id: int
    label: str
    adhesive: str
    temperature_c: float
    strips: int
    line_area_mm2: int
    clamps: int
    open_seconds: int
    assembly_seconds: int
    workers: str
    started_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockRow(ClockDraft):
    """A stored clock with the moments it was told."""

    id: int
    spread_at: datetime | None
    clamped_at: datetime | None
    glue_up_id: int | None
    removed_at: datetime | None


def add_clock(session: Session, draft: ClockDraft) -> ClockRow:
    """Start one."""
    row = GlueClock(**asdict(draft))
    session.add(row)
    session.flush()
    return to_value(ClockRow, row)


def get_clock(session: Session, clock_id: int) -> ClockRow:
    """One clock, taken back or not; MissingReference when there is none."""
    return to_value(ClockRow, _stored(session, clock_id))


def newest_clock(session: Session, project_id: int, label: str) -> ClockRow | None:
    """The last clock of this glue-up that was not taken back."""
    query = (
        select(GlueClock)
        .where(GlueClock.project_id == project_id, GlueClock.label == label, GlueClock.removed_at.is_(None))
        .order_by(GlueClock.id.desc())
        .limit(1)
    )
    row = session.scalar(query)
    return to_value(ClockRow, row) if row else None


def clock_begun(session: Session, project_id: int, label: str, moment: datetime) -> ClockRow | None:
    """The clock of this glue-up that was started at a moment and not taken back."""
    query = select(GlueClock).where(
        GlueClock.project_id == project_id,
        GlueClock.label == label,
        GlueClock.started_at == moment,
        GlueClock.removed_at.is_(None),
    )
    row = session.scalar(query.order_by(GlueClock.id.desc()).limit(1))
    return to_value(ClockRow, row) if row else None


def running_clocks(session: Session) -> tuple[ClockRow, ...]:
    """Glue-ups whose last clamp is not on yet, in every project."""
    query = select(GlueClock).where(GlueClock.clamped_at.is_(None), GlueClock.removed_at.is_(None))
    return tuple(to_value(ClockRow, row) for row in session.scalars(query.order_by(GlueClock.id)))


def change_clock(session: Session, clock_id: int, changes: Mapping[str, object]) -> ClockRow:
    """Put some of its moments to others."""
    row = _stored(session, clock_id)
    for name, value in changes.items():
        setattr(row, name, value)
    session.flush()
    return to_value(ClockRow, row)


def add_tick(session: Session, clock_id: int, at: datetime) -> int:
    """Note that a strip was laid; answers the tick's id."""
    row = GlueTick(clock_id=clock_id, at=at)
    session.add(row)
    session.flush()
    return row.id


def remove_tick(session: Session, tick_id: int, at: datetime) -> None:
    """Take a tick back."""
    session.get_one(GlueTick, tick_id).removed_at = at
    session.flush()


def ticks(session: Session, clock_id: int) -> tuple[datetime, ...]:
    """When each strip was laid, in order."""
    query = select(GlueTick.at).where(GlueTick.clock_id == clock_id, GlueTick.removed_at.is_(None))
    return tuple(session.scalars(query.order_by(GlueTick.at, GlueTick.id)))


def _stored(session: Session, clock_id: int) -> GlueClock:
    row = session.get(GlueClock, clock_id)
    if row is None:
        raise MissingReference("glue-up clock", str(clock_id), [])
    return row
