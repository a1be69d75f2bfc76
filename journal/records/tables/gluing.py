"""The glue-up clock: what it was started with, and every moment it was told."""

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from journal.records.base import Amount, Base, Mm2, Moment, Pk, Prose, Word, above_zero, at_least


class GlueClock(Base):
    """One glue-up against the glue's time. Only moments are kept; what is left is worked out from them."""

    __tablename__ = "glue_clocks"

    id: Mapped[Pk]
    project_id: Mapped[int] = mapped_column(ForeignKey("projects.id"), index=True)
    label: Mapped[Prose]
    adhesive: Mapped[Word]
    temperature_c: Mapped[Amount]
    strips: Mapped[int]  # pieces of the plan's glue-up
    line_area_mm2: Mapped[Mm2]  # of one glue line
    clamps: Mapped[int]
    open_seconds: Mapped[int]  # what the glue gives at this temperature
    assembly_seconds: Mapped[int]
    workers: Mapped[Word]  # their ids, with spaces between
    started_at: Mapped[Moment]
    spread_at: Mapped[Moment | None]
    clamped_at: Mapped[Moment | None]
    glue_up_id: Mapped[int | None] = mapped_column(ForeignKey("glue_ups.id"), unique=True)
    removed_at: Mapped[Moment | None]

    __table_args__ = (
        *at_least(2, "strips"),
        *at_least(0, "open_seconds", "assembly_seconds", "clamps"),
        *above_zero("line_area_mm2"),
    )


class GlueTick(Base):
    """A strip was laid on its glue."""

    __tablename__ = "glue_ticks"

    id: Mapped[Pk]
    clock_id: Mapped[int] = mapped_column(ForeignKey("glue_clocks.id"), index=True)
    at: Mapped[Moment]
    removed_at: Mapped[Moment | None]
