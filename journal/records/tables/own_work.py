"""Work the starting book does not know, which this shop counts and learns from all the same."""

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from journal.records.base import Amount, Base, Moment, Pk, Word, above_zero, at_least


class OwnOperation(Base):
    """An operation of the shop's own: as one of the book, with minutes the shop has typed."""

    __tablename__ = "own_operations"

    id: Mapped[Pk]
    code: Mapped[Word] = mapped_column(unique=True)
    stage: Mapped[Word]
    name: Mapped[Word]
    driver: Mapped[Word]  # what is counted, in words
    unit: Mapped[Word]
    setup_minutes: Mapped[Amount]
    minutes_per_unit: Mapped[Amount]
    created_at: Mapped[Moment]
    import_id: Mapped[int | None] = mapped_column(ForeignKey("imports.id"), index=True)  # the sheet that brought it

    __table_args__ = (*at_least(0, "setup_minutes"), *above_zero("minutes_per_unit"))
