"""The clock on the floor: devices, taps as they were made, those refused, and what was last done to the log."""

from typing import Any

from sqlalchemy import JSON, CheckConstraint, ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from journal.floor.taps import Outcome, What
from journal.records.base import Base, Digest, Moment, Pk, Prose, Word, at_least, one_of


class Device(Base):
    """A browser that may send taps. Its token is kept as a digest only."""

    __tablename__ = "devices"

    id: Mapped[Pk]
    uid: Mapped[Word] = mapped_column(unique=True)
    label: Mapped[Word]
    token_sha256: Mapped[Digest | None] = mapped_column(unique=True)  # none: the server's own forms
    paired_at: Mapped[Moment]
    revoked_at: Mapped[Moment | None]


class Tap(Base):
    """A tap of the clock, kept once whatever the signal does. What it did is worked out again when another arrives."""

    __tablename__ = "taps"

    id: Mapped[Pk]
    device_id: Mapped[int] = mapped_column(ForeignKey("devices.id"))
    sequence: Mapped[int]  # the device's own count
    worker_id: Mapped[int] = mapped_column(ForeignKey("workers.id"))
    what: Mapped[What] = mapped_column(one_of(What))
    project_id: Mapped[int | None] = mapped_column(ForeignKey("projects.id"), index=True)  # none: the shop's own time
    operation: Mapped[Word | None]
    stage: Mapped[Word | None]
    at: Mapped[Moment]
    received_at: Mapped[Moment]
    outcome: Mapped[Outcome] = mapped_column(one_of(Outcome), index=True)
    why: Mapped[Prose]  # it did nothing
    entry_id: Mapped[int | None] = mapped_column(ForeignKey("time_entries.id"), unique=True)  # of the stretch it opened
    voided_at: Mapped[Moment | None]  # taken back: as if it had never been

    __table_args__ = (
        UniqueConstraint("device_id", "sequence"),
        CheckConstraint("(operation IS NULL) <> (stage IS NULL)", name="operation_or_stage"),
        Index(None, "worker_id", "at"),
        *at_least(0, "sequence"),
    )


class RefusedTap(Base):
    """A tap that could not be taken, as it came; shown until somebody has seen it."""

    __tablename__ = "refused_taps"

    id: Mapped[Pk]
    device_id: Mapped[int] = mapped_column(ForeignKey("devices.id"), index=True)
    received_at: Mapped[Moment]
    body: Mapped[Prose]
    body_sha256: Mapped[Digest]
    why: Mapped[Prose]
    seen_at: Mapped[Moment | None]

    __table_args__ = (UniqueConstraint("device_id", "body_sha256"),)


class LogAct(Base):
    """One thing done to the log, with what takes it back; its form's key makes a second sending harmless."""

    __tablename__ = "log_acts"

    id: Mapped[Pk]
    form_key: Mapped[Word] = mapped_column(unique=True)
    at: Mapped[Moment]
    said: Mapped[Prose]
    steps: Mapped[list[dict[str, Any]]] = mapped_column(JSON)
    undone_at: Mapped[Moment | None]
