"""The shop's open hours, its days off, and hardware that a client brings."""

from sqlalchemy import CheckConstraint, ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from journal.records.base import Base, Day, Pk, Prose, Word


class ShopHours(Base):
    """Open from one time of a weekday to another, by the clock on the shop's wall; several a day."""

    __tablename__ = "shop_hours"

    id: Mapped[Pk]
    weekday: Mapped[int]  # 0 Monday to 6 Sunday
    opens_minute: Mapped[int]  # from midnight
    closes_minute: Mapped[int]  # to 1440

    __table_args__ = (
        CheckConstraint("weekday >= 0 AND weekday <= 6", name="weekday_known"),
        CheckConstraint("opens_minute >= 0 AND closes_minute <= 1440", name="within_a_day"),
        CheckConstraint("closes_minute > opens_minute", name="closes_later"),
    )


class ShopDaysOff(Base):
    """Closed from one day to another, both included."""

    __tablename__ = "days_off"

    id: Mapped[Pk]
    first_on: Mapped[Day]
    last_on: Mapped[Day]
    why: Mapped[Prose]

    __table_args__ = (CheckConstraint("last_on >= first_on", name="ends_later"),)


class ClientHardware(Base):
    """A kind of hardware that the client of a project brings; the weeks count from when it is there."""

    __tablename__ = "client_hardware"

    id: Mapped[Pk]
    project_id: Mapped[int] = mapped_column(ForeignKey("projects.id"))
    feature: Mapped[Word]

    __table_args__ = (UniqueConstraint("project_id", "feature"),)
