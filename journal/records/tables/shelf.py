"""What was counted on the shelf and what was taken off it by hand; receipts, glue-ups and coats say the rest."""

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from journal.records.base import Amount, Base, Day, Moment, Pk, Prose, at_least, one_of
from journal.records.words import ShelfMoveKind


class ShelfMove(Base):
    """One thing counted or taken; ml of what comes in containers, else pieces. One that was taken back keeps its row."""

    __tablename__ = "shelf_moves"

    id: Mapped[Pk]
    act_id: Mapped[int] = mapped_column(ForeignKey("rack_acts.id"), index=True)
    item_id: Mapped[int] = mapped_column(ForeignKey("stock_items.id"), index=True)
    kind: Mapped[ShelfMoveKind] = mapped_column(one_of(ShelfMoveKind))
    amount: Mapped[Amount]
    project_id: Mapped[int | None] = mapped_column(ForeignKey("projects.id"), index=True)  # who took it
    on_date: Mapped[Day]
    at: Mapped[Moment]
    why: Mapped[Prose]
    removed_at: Mapped[Moment | None]

    __table_args__ = at_least(0, "amount")
