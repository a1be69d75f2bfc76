"""Hours, coats and glue-ups as they happened."""

from sqlalchemy import CheckConstraint, ForeignKey, Index, text
from sqlalchemy.orm import Mapped, mapped_column

from journal.records.base import (
    Amount,
    Base,
    Cents,
    Day,
    Mm2,
    Moment,
    Pk,
    Prose,
    Word,
    above_zero,
    at_least,
    one_of,
)
from journal.records.frozen import Frozen
from journal.records.words import EntrySource

_OF_A_SHEET = text("import_id IS NOT NULL")


class Worker(Base):
    """A place at a bench, by its role ("bench 1", "apprentice"); no person's name is kept."""

    __tablename__ = "workers"

    id: Mapped[Pk]
    label: Mapped[Word] = mapped_column(unique=True)
    wage_cents_per_hour: Mapped[Cents | None]
    active: Mapped[bool]

    __table_args__ = at_least(0, "wage_cents_per_hour")


class TimeEntry(Base):
    """Time spent on an operation or, an evening at once, on a stage. Belongs to the project, not to a plan's row."""

    __tablename__ = "time_entries"

    id: Mapped[Pk]
    project_id: Mapped[int | None] = mapped_column(ForeignKey("projects.id"))  # none: the shop's own time
    operation: Mapped[Word | None]
    stage: Mapped[Word | None]
    on_date: Mapped[Day] = mapped_column(index=True)
    started_at: Mapped[Moment | None]
    seconds: Mapped[int]
    people: Mapped[int]
    rework: Mapped[bool]
    set_aside_reason: Mapped[Prose | None]  # not to learn from, and why
    note: Mapped[Prose]
    worker_id: Mapped[int | None] = mapped_column(ForeignKey("workers.id"), index=True)
    source: Mapped[EntrySource] = mapped_column(one_of(EntrySource))
    created_at: Mapped[Moment]
    removed_at: Mapped[Moment | None]
    import_id: Mapped[int | None] = mapped_column(ForeignKey("imports.id"))

    __table_args__ = (
        CheckConstraint("(operation IS NULL) <> (stage IS NULL)", name="operation_or_stage"),
        CheckConstraint("set_aside_reason IS NULL OR set_aside_reason <> ''", name="set_aside_says_why"),
        Index(None, "project_id", "on_date"),
        Index(None, "operation", "on_date"),
        # Only those a sheet brought: SQLite takes an index for “of no sheet”, which is nearly all, before one by day.
        Index(None, "import_id", sqlite_where=_OF_A_SHEET, postgresql_where=_OF_A_SHEET),
        *at_least(0, "seconds"),
        *above_zero("people"),
    )


class TimeEntryChange(Frozen, Base):
    """A correction of a time entry: what it was, what it is, and why."""

    __tablename__ = "time_entry_changes"

    id: Mapped[Pk]
    entry_id: Mapped[int] = mapped_column(ForeignKey("time_entries.id"), index=True)
    at: Mapped[Moment]
    field: Mapped[Word]
    old: Mapped[Prose | None]
    new: Mapped[Prose | None]
    why: Mapped[Prose]


class Coat(Base):
    """One coat as it went on; teaches the coverage."""

    __tablename__ = "coats"

    id: Mapped[Pk]
    project_id: Mapped[int] = mapped_column(ForeignKey("projects.id"), index=True)
    finish: Mapped[Word]
    coat: Mapped[int]  # 1 is the first, the thirsty one
    area_mm2: Mapped[Mm2]
    amount_ml: Mapped[Amount]
    on_date: Mapped[Day]
    temperature_c: Mapped[Amount | None]
    humidity_pct: Mapped[Amount | None]
    note: Mapped[Prose]
    parts: Mapped[Prose | None]  # their labels, one a line; none: an area, or all of it
    at: Mapped[Moment | None]  # when it was on; none: only the day is known
    removed_at: Mapped[Moment | None]

    __table_args__ = (
        CheckConstraint("humidity_pct >= 0 AND humidity_pct <= 100", name="humidity_pct_share"),
        *above_zero("coat", "area_mm2", "amount_ml"),
    )


class GlueUp(Base):
    """One clamping as it went; teaches the spread and the pace against the glue's open time."""

    __tablename__ = "glue_ups"

    id: Mapped[Pk]
    project_id: Mapped[int] = mapped_column(ForeignKey("projects.id"), index=True)
    on_date: Mapped[Day]
    label: Mapped[Prose]
    strips: Mapped[int]
    area_mm2: Mapped[Mm2]
    glue_ml: Mapped[Amount | None]
    spread_seconds: Mapped[int | None]
    assembly_seconds: Mapped[int | None]  # first spread to last clamp
    clamps: Mapped[int | None]
    temperature_c: Mapped[Amount | None]
    clamped_at: Mapped[Moment | None]  # when the last clamp was on; none: only the day is known
    removed_at: Mapped[Moment | None]

    __table_args__ = (
        *at_least(2, "strips"),
        *at_least(0, "clamps"),
        *above_zero("area_mm2", "glue_ml", "spread_seconds", "assembly_seconds"),
    )
