"""What was bought, for a project or for the rack."""

from sqlalchemy import CheckConstraint, ForeignKey
from sqlalchemy.orm import Mapped, mapped_column, relationship

from journal.records.base import Amount, Base, Cents, Day, Moment, Nm, Pk, Prose, Word, above_zero, at_least


class Purchase(Base):
    """One trip or delivery; freight and tax are of the whole receipt."""

    __tablename__ = "purchases"

    id: Mapped[Pk]
    on_date: Mapped[Day] = mapped_column(index=True)
    supplier: Mapped[Prose]
    project_id: Mapped[int | None] = mapped_column(ForeignKey("projects.id"), index=True)
    freight_cents: Mapped[Cents]
    tax_cents: Mapped[Cents]
    note: Mapped[Prose]
    voided_at: Mapped[Moment | None]  # taken back, or put right by another receipt; it counts no more

    lines: Mapped[list["PurchaseLine"]] = relationship(
        cascade="all, delete-orphan", order_by="PurchaseLine.id", lazy="raise"
    )

    __table_args__ = at_least(0, "freight_cents", "tax_cents")


class PurchaseLine(Base):
    """One line of a receipt, with what became of it."""

    __tablename__ = "purchase_lines"

    id: Mapped[Pk]
    purchase_id: Mapped[int] = mapped_column(ForeignKey("purchases.id"), index=True)
    stock_code: Mapped[Word] = mapped_column(index=True)
    length_nm: Mapped[Nm | None]
    quantity: Mapped[Amount]
    board_feet: Mapped[Amount | None]
    price_cents: Mapped[Cents]  # of the whole line
    used_quantity: Mapped[Amount | None]
    rejected_quantity: Mapped[Amount | None]

    __table_args__ = (
        CheckConstraint(
            "coalesce(used_quantity, 0) + coalesce(rejected_quantity, 0) <= quantity", name="used_within_bought"
        ),
        *at_least(0, "price_cents", "used_quantity", "rejected_quantity"),
        *above_zero("quantity", "length_nm", "board_feet"),
    )
