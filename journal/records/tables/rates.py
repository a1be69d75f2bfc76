"""The shop's year and its machines' figures, from which the rates were worked out; options of an enquiry."""

from typing import Any

from sqlalchemy import JSON, CheckConstraint, ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from journal.records.base import Amount, Base, Cents, Day, Moment, Pk, Prose, above_zero, at_least, one_of
from journal.records.words import OverheadKind


class ShopYear(Base):
    """The one year the shop's rate is made of."""

    __tablename__ = "shop_year"

    id: Mapped[Pk]
    people: Mapped[int]
    income_cents: Mapped[Cents]  # of one of them
    weeks: Mapped[Amount]
    hours_a_week: Mapped[Amount]  # of one of them
    billable_bp: Mapped[int]
    used_on: Mapped[Day | None]  # the day its rate became the shop's
    version: Mapped[int] = mapped_column()

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 - SQLAlchemy declares it as the instance's
    __table_args__ = (
        CheckConstraint("id = 1", name="single_row"),
        CheckConstraint("billable_bp > 0 AND billable_bp <= 10000", name="billable_bp_share"),
        CheckConstraint("weeks <= 52", name="weeks_high"),
        CheckConstraint("hours_a_week <= 168", name="hours_a_week_high"),
        *at_least(0, "income_cents"),
        *above_zero("people", "weeks", "hours_a_week"),
    )


class Overhead(Base):
    """One cost of the shop that no project causes."""

    __tablename__ = "overheads"

    id: Mapped[Pk]
    position: Mapped[int]
    name: Mapped[Prose]
    kind: Mapped[OverheadKind] = mapped_column(one_of(OverheadKind))
    cents: Mapped[Cents]
    times_a_year: Mapped[int]

    __table_args__ = (
        CheckConstraint("times_a_year IN (1, 4, 12)", name="times_a_year_known"),
        *at_least(0, "cents"),
    )


class MachineCost(Base):
    """What a machine costs, for its hourly rate."""

    __tablename__ = "machine_costs"

    machine_id: Mapped[int] = mapped_column(ForeignKey("machines.id"), primary_key=True, autoincrement=False)
    purchase_cents: Mapped[Cents]
    salvage_cents: Mapped[Cents]
    life_hours: Mapped[Amount]
    hours_a_year: Mapped[Amount]
    upkeep_cents_a_year: Mapped[Cents]
    standing_cents_a_year: Mapped[Cents]
    power_kw: Mapped[Amount]
    load_bp: Mapped[int]
    kwh_cents: Mapped[Amount]  # a price finer than a cent
    blade_cents: Mapped[Cents]
    blade_hours: Mapped[Amount]

    __table_args__ = (
        CheckConstraint("load_bp >= 0 AND load_bp <= 10000", name="load_bp_share"),
        CheckConstraint("salvage_cents <= purchase_cents", name="salvage_within_purchase"),
        *at_least(
            0,
            "purchase_cents",
            "salvage_cents",
            "upkeep_cents_a_year",
            "standing_cents_a_year",
            "power_kw",
            "kwh_cents",
            "blade_cents",
            "blade_hours",
        ),
        *above_zero("life_hours", "hours_a_year"),
    )


class Option(Base):
    """A variant of a project: what would be other than it is now."""

    __tablename__ = "options"

    id: Mapped[Pk]
    project_id: Mapped[int] = mapped_column(ForeignKey("projects.id"), index=True)
    name: Mapped[Prose]
    changes: Mapped[dict[str, Any]] = mapped_column(JSON)
    created_at: Mapped[Moment]
    updated_at: Mapped[Moment]
    version: Mapped[int] = mapped_column()

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 - as above
