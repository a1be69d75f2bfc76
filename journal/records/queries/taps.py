"""Taps of the clock: kept once, what each did, and those that could not be taken."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import func, or_, select

from journal.errors import MissingReference
from journal.floor.taps import Key, Outcome, Task, What
from journal.floor.taps import Tap as FloorTap
from journal.records.base import checksum
from journal.records.queries.values import to_value
from journal.records.tables import Project, RefusedTap, Tap, TimeEntry, TimeEntryChange, Worker

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping
    from datetime import datetime

    from sqlalchemy.orm import Session

_HIDDEN = ("project", "label", "who", "clock", "begun")  # of a form that waited: what nobody typed
_OPENED = (Outcome.OPENED, Outcome.ASKS)


@dataclass(frozen=True, slots=True, kw_only=True)
class TapRow:
    """A stored tap."""

    id: int
    device_id: int
    sequence: int
    worker_id: int
    what: What
    project_id: int | None
    operation: str | None
    stage: str | None
    at: datetime
    received_at: datetime
    outcome: Outcome
    why: str
    entry_id: int | None
    voided_at: datetime | None

    @property
    def task(self) -> Task:
        """What it is about."""
        return Task(self.project_id, self.operation or self.stage or "", by_stage=self.operation is None)

    @property
    def event(self) -> FloorTap:
        """The tap as the floor reads it."""
        return FloorTap(Key(self.device_id, self.sequence), self.worker_id, self.what, self.task, self.at)


@dataclass(frozen=True, slots=True)
class RefusedRow:
    """A tap, or a form filled in without signal, that could not be taken, and why."""

    id: int
    received_at: datetime
    body: str
    why: str

    @property
    def name(self) -> str:
        """What a form was about; '' for a tap."""
        return str(self._read.get("name") or "") if "form" in self._read else ""

    @property
    def typed(self) -> tuple[tuple[str, str], ...]:
        """What was typed into a form: each box and its text."""
        fields = self._read.get("fields") if self.name else None
        pairs = [one for one in fields if isinstance(one, list) and len(one) == 2] if isinstance(fields, list) else []
        return tuple(
            (str(box).replace("_", " "), str(text)) for box, text in pairs if box not in _HIDDEN and str(text).strip()
        )

    @property
    def _read(self) -> dict[str, Any]:
        try:
            found = json.loads(self.body)
        except ValueError:  # cut off, because it was too long to keep
            return {}
        return found if isinstance(found, dict) else {}


def next_sequence(session: Session, device_id: int) -> int:
    """The next count of a device whose count is kept here."""
    return (session.scalar(select(func.max(Tap.sequence)).where(Tap.device_id == device_id)) or 0) + 1


def find_tap(session: Session, key: Key) -> TapRow | None:
    """The tap with this count of this device, if it is here already."""
    row = session.scalar(select(Tap).where(Tap.device_id == key.device, Tap.sequence == key.sequence))
    return to_value(TapRow, row) if row else None


def get_tap(session: Session, tap_id: int) -> TapRow:
    """One tap; MissingReference when there is none."""
    row = session.get(Tap, tap_id)
    if row is None:
        raise MissingReference("tap", str(tap_id), [])
    return to_value(TapRow, row)


def add_tap(session: Session, tap: FloorTap, *, now: datetime) -> TapRow:
    """Keep a tap; what it does is worked out afterwards."""
    task = tap.task
    row = Tap(
        device_id=tap.key.device,
        sequence=tap.key.sequence,
        worker_id=tap.person,
        what=tap.what,
        project_id=task.project_id,
        operation=None if task.by_stage else task.code,
        stage=task.code if task.by_stage else None,
        at=tap.at,
        received_at=now,
        outcome=Outcome.NOTHING,
        why="",
    )
    session.add(row)
    session.flush()
    return to_value(TapRow, row)


def set_void(session: Session, tap_id: int, moment: datetime | None) -> TapRow:
    """Take a tap back, or let it count again."""
    row = session.get(Tap, tap_id)
    if row is None:
        raise MissingReference("tap", str(tap_id), [])
    row.voided_at = moment
    session.flush()
    return to_value(TapRow, row)


def mark(session: Session, tap_id: int, *, outcome: Outcome, why: str, entry_id: int | None) -> None:
    """Note what a tap did, and the entry of the stretch it opened."""
    row = session.get_one(Tap, tap_id)
    row.outcome, row.why, row.entry_id = outcome, why, entry_id


def window(session: Session, worker_id: int, since: datetime) -> tuple[TapRow, ...]:
    """A person's taps from the last start that opened a stretch before `since`: what a tap at `since` can change.

    Taps taken back are among them, so that their entries are found. Two statements, both along one index.
    """
    opening = (
        select(Tap.at)
        .where(
            Tap.worker_id == worker_id,
            Tap.at < since,
            Tap.what == What.START,
            Tap.outcome.in_(_OPENED),
            Tap.voided_at.is_(None),
        )
        .order_by(Tap.at.desc())
        .limit(1)
    )
    first = session.scalar(opening)
    query = select(Tap).where(Tap.worker_id == worker_id, Tap.at >= (since if first is None else first))
    return tuple(to_value(TapRow, row) for row in session.scalars(query.order_by(Tap.at, Tap.id)))


def newest_windows(session: Session) -> tuple[TapRow, ...]:
    """Of everybody in use, the taps since the last start that opened a stretch: what runs or waits now. One statement."""
    last = (
        select(Tap.at)
        .where(
            Tap.worker_id == Worker.id,
            Tap.what == What.START,
            Tap.outcome.in_(_OPENED),
            Tap.voided_at.is_(None),
        )
        .order_by(Tap.at.desc())
        .limit(1)
        .correlate(Worker)
        .scalar_subquery()
    )
    starts = select(Worker.id.label("worker_id"), last.label("at")).where(Worker.active.is_(True)).subquery()
    query = (
        select(Tap)
        .join(starts, (Tap.worker_id == starts.c.worker_id) & (Tap.at >= starts.c.at))
        .where(Tap.voided_at.is_(None))
        .order_by(Tap.at, Tap.id)
    )
    return tuple(to_value(TapRow, row) for row in session.scalars(query))


def taps_after(session: Session, worker_id: int, start: datetime) -> tuple[TapRow, ...]:
    """A person's taps from a moment on that count."""
    query = select(Tap).where(Tap.worker_id == worker_id, Tap.at >= start, Tap.voided_at.is_(None))
    return tuple(to_value(TapRow, row) for row in session.scalars(query.order_by(Tap.at, Tap.id)))


def asking(session: Session) -> tuple[TapRow, ...]:
    """Taps that opened a stretch nobody has said the end of yet, oldest first."""
    query = select(Tap).where(Tap.outcome == Outcome.ASKS, Tap.voided_at.is_(None)).order_by(Tap.at, Tap.id)
    return tuple(to_value(TapRow, row) for row in session.scalars(query))


def without_effect(session: Session, since: datetime) -> tuple[TapRow, ...]:
    """Stops, pauses and resumes received since a moment that did nothing, newest first: somebody was quicker."""
    query = select(Tap).where(
        Tap.outcome == Outcome.NOTHING,
        Tap.received_at >= since,
        Tap.voided_at.is_(None),
        or_(Tap.what != What.START, Tap.why == ""),
    )
    return tuple(to_value(TapRow, row) for row in session.scalars(query.order_by(Tap.id.desc()).limit(20)))


def entries_by_hand(session: Session, entry_ids: Collection[int], clock_why: str) -> frozenset[int]:
    """Those of some entries that somebody corrected or removed: whatever was not written with `clock_why`."""
    query = select(TimeEntryChange.entry_id).where(
        TimeEntryChange.entry_id.in_(entry_ids), TimeEntryChange.why != clock_why
    )
    return frozenset(session.scalars(query)) if entry_ids else frozenset()


def removed_entries(session: Session, entry_ids: Collection[int]) -> frozenset[int]:
    """Those of some entries that are removed."""
    query = select(TimeEntry.id).where(TimeEntry.id.in_(entry_ids), TimeEntry.removed_at.is_not(None))
    return frozenset(session.scalars(query)) if entry_ids else frozenset()


def taps_of_entries(session: Session, entry_ids: Collection[int]) -> Mapping[int, TapRow]:
    """Entry → the tap that opened its stretch, for those that came from the clock."""
    query = select(Tap).where(Tap.entry_id.in_(entry_ids))
    return {row.entry_id: to_value(TapRow, row) for row in session.scalars(query) if row.entry_id} if entry_ids else {}


def keep_refused(session: Session, device_id: int, body: str, why: str, *, now: datetime) -> None:
    """Keep a tap that could not be taken, once."""
    digest = checksum(body)
    same = select(RefusedTap.id).where(RefusedTap.device_id == device_id, RefusedTap.body_sha256 == digest)
    if session.scalar(same) is None:
        session.add(RefusedTap(device_id=device_id, received_at=now, body=body, body_sha256=digest, why=why))
        session.flush()


def refused(session: Session) -> tuple[RefusedRow, ...]:
    """Refused taps nobody has seen yet, newest first."""
    query = select(RefusedTap).where(RefusedTap.seen_at.is_(None)).order_by(RefusedTap.id.desc()).limit(50)
    return tuple(to_value(RefusedRow, row) for row in session.scalars(query))


def see_refused(session: Session, refused_id: int, *, now: datetime) -> None:
    """Somebody has seen a refused tap; it stays in the journal and is no longer shown."""
    row = session.get(RefusedTap, refused_id)
    if row is None:
        raise MissingReference("refused tap", str(refused_id), [])
    row.seen_at = row.seen_at or now


def titles(session: Session, project_ids: Collection[int]) -> dict[int, tuple[str, str]]:
    """Project → its number and title."""
    query = select(Project.id, Project.code, Project.title).where(Project.id.in_(project_ids))
    return {key: (code, title) for key, code, title in session.execute(query)} if project_ids else {}
