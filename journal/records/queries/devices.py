"""Who is at the bench, and which browsers may send taps."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from journal.errors import BadInput, MissingReference
from journal.records.queries.values import require_text, to_value
from journal.records.tables import Device, Worker

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session

_SERVER = "server"  # the device of the pages' own forms, which work without a script


@dataclass(frozen=True, slots=True)
class WorkerRow:
    """A place at a bench."""

    id: int
    label: str


@dataclass(frozen=True, slots=True)
class DeviceRow:
    """A browser that may send taps."""

    id: int
    uid: str
    label: str
    paired_at: datetime
    revoked_at: datetime | None


def workers(session: Session) -> tuple[WorkerRow, ...]:
    """The places at the bench in use, oldest first."""
    query = select(Worker).where(Worker.active.is_(True)).order_by(Worker.id)
    return tuple(to_value(WorkerRow, row) for row in session.scalars(query))


def all_workers(session: Session) -> dict[int, str]:
    """Every place at the bench by its id, also those no longer in use."""
    return {row.id: row.label for row in session.scalars(select(Worker))}


def add_worker(session: Session, label: str) -> WorkerRow:
    """Keep another place at the bench; no person's name is asked for."""
    require_text("place at the bench", label, "a role, such as bench 2 or apprentice")
    if session.scalar(select(Worker.id).where(Worker.label == label)) is not None:
        raise BadInput("place at the bench", label, "one that no other place has")
    row = Worker(label=label, wage_cents_per_hour=None, active=True)
    session.add(row)
    session.flush()
    return to_value(WorkerRow, row)


def devices(session: Session) -> tuple[DeviceRow, ...]:
    """The browsers that were ever allowed to send taps, oldest first."""
    query = select(Device).where(Device.token_sha256.is_not(None)).order_by(Device.id)
    return tuple(to_value(DeviceRow, row) for row in session.scalars(query))


def device_by_token(session: Session, digest: str) -> DeviceRow | None:
    """The device whose token has this digest; None when there is none, or it was revoked."""
    query = select(Device).where(Device.token_sha256 == digest, Device.revoked_at.is_(None))
    row = session.scalar(query)
    return to_value(DeviceRow, row) if row else None


def put_device(session: Session, uid: str, label: str, digest: str, *, now: datetime) -> DeviceRow:
    """Keep a device, or give one that is known another token; one that was revoked stays so."""
    row = session.scalar(select(Device).where(Device.uid == uid)) or Device(uid=uid, paired_at=now)
    if row.revoked_at is not None or uid == _SERVER:
        raise BadInput("device", uid, "one that was not revoked; pair it anew")
    row.label, row.token_sha256 = label, digest
    session.add(row)
    session.flush()
    return to_value(DeviceRow, row)


def revoke_device(session: Session, device_id: int, *, now: datetime) -> None:
    """Take no more taps from a device."""
    row = session.get(Device, device_id)
    if row is None or row.token_sha256 is None:
        raise MissingReference("device", str(device_id), [])
    row.revoked_at = row.revoked_at or now


def server_device(session: Session, *, now: datetime) -> DeviceRow:
    """The device of the pages' own forms, made when it is first needed."""
    row = session.scalar(select(Device).where(Device.uid == _SERVER))
    if row is None:
        row = Device(uid=_SERVER, label="this journal’s pages", token_sha256=None, paired_at=now)
        session.add(row)
        session.flush()
    return to_value(DeviceRow, row)
