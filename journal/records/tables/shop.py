"""The shop itself, its settings and its machines."""

from sqlalchemy import CheckConstraint
from sqlalchemy.orm import Mapped, mapped_column

from journal.records.base import Base, Cents, Nm, Pk, Prose, Word, above_zero, at_least, one_of
from journal.records.words import LengthSystem
from journal.units import DayForm, Mark, WeekStart


class Shop(Base):
    """The one row about the shop. Shares are in basis points (1/100 of a per cent), tax in millionths."""

    __tablename__ = "shop"

    id: Mapped[Pk]
    name: Mapped[Prose]
    letterhead: Mapped[Prose]
    currency: Mapped[Word]
    system: Mapped[LengthSystem] = mapped_column(one_of(LengthSystem))
    denominator: Mapped[int]
    time_zone: Mapped[Word]
    wage_cents_per_hour: Mapped[Cents]
    overhead_cents_per_hour: Mapped[Cents]
    margin_bp: Mapped[int]
    confidence_pct: Mapped[int]
    deposit_bp: Mapped[int]
    tax_ppm: Mapped[int]  # 8.875% does not fit in basis points
    rounding_cents: Mapped[int]
    minutes_per_week: Mapped[int]  # hours a week at the bench
    people: Mapped[int]
    default_species: Mapped[Word]
    default_adhesive: Mapped[Word]
    default_finish: Mapped[Word]
    version: Mapped[int] = mapped_column()
    day_form: Mapped[DayForm] = mapped_column(one_of(DayForm))
    decimal_mark: Mapped[Mark] = mapped_column(one_of(Mark, "decimal_mark"))
    week_start: Mapped[WeekStart] = mapped_column(one_of(WeekStart))

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 - SQLAlchemy declares it as the instance's
    __table_args__ = (
        CheckConstraint("id = 1", name="single_row"),
        CheckConstraint("denominator IN (2, 4, 8, 16, 32, 64)", name="denominator_known"),
        CheckConstraint("margin_bp >= 0 AND margin_bp < 10000", name="margin_bp_share"),
        CheckConstraint("deposit_bp >= 0 AND deposit_bp <= 10000", name="deposit_bp_share"),
        CheckConstraint("tax_ppm >= 0 AND tax_ppm < 1000000", name="tax_ppm_share"),
        CheckConstraint("confidence_pct >= 50 AND confidence_pct <= 99", name="confidence_pct_share"),
        CheckConstraint("minutes_per_week <= 10080", name="minutes_per_week_high"),
        *at_least(0, "wage_cents_per_hour", "overhead_cents_per_hour"),
        *above_zero("rounding_cents", "minutes_per_week", "people"),
    )


class Setting(Base):
    """One allowance this shop has changed, such as the kerf of its rip blade; the rest stay as published in shared/."""

    __tablename__ = "settings"

    key: Mapped[Word] = mapped_column(primary_key=True)
    value: Mapped[Prose]  # as typed, so that 1/8 stays 1/8
    unit: Mapped[Word]


class Machine(Base):
    """A machine on the floor and what fits it."""

    __tablename__ = "machines"

    id: Mapped[Pk]
    kind: Mapped[Word]
    label: Mapped[Prose]
    max_width_nm: Mapped[Nm | None]
    max_height_nm: Mapped[Nm | None]
    min_length_nm: Mapped[Nm | None]
    cost_cents_per_hour: Mapped[Cents]
    active: Mapped[bool]

    __table_args__ = (
        *at_least(0, "cost_cents_per_hour"),
        *above_zero("max_width_nm", "max_height_nm", "min_length_nm"),
    )
