"""What can be bought, and what it cost when."""

from sqlalchemy import CheckConstraint, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from journal.records.base import Amount, Base, Cents, Day, Nm, Pk, Prose, Word, above_zero, at_least, one_of
from journal.records.words import WOOD, PricePer, StockForm


class StockItem(Base):
    """One thing the shop buys: a cross-section of lumber, a sheet, a glue, a finish, a vise."""

    __tablename__ = "stock_items"

    id: Mapped[Pk]
    code: Mapped[Word] = mapped_column(unique=True)
    form: Mapped[StockForm] = mapped_column(one_of(StockForm))
    species: Mapped[Word | None]
    nominal: Mapped[Word | None]  # as it is asked for at the yard: 2x8, 8/4, 3/4
    thickness_nm: Mapped[Nm | None]
    width_nm: Mapped[Nm | None]
    length_nm: Mapped[Nm | None]  # where it comes in one length only
    container_ml: Mapped[Amount | None]
    class_key: Mapped[Word | None]  # class of adhesive or finish, or the feature word of hardware
    supplier: Mapped[Prose]
    on_hand: Mapped[Amount]
    archived: Mapped[bool]
    lead_days: Mapped[int | None]  # from ordering until it is in hand

    __table_args__ = (
        CheckConstraint(
            f"form NOT IN ({', '.join(repr(form.value) for form in WOOD)}) OR thickness_nm IS NOT NULL",
            name="wood_has_thickness",
        ),
        *at_least(0, "on_hand", "lead_days"),
        *above_zero("thickness_nm", "width_nm", "length_nm", "container_ml"),
    )


class StockPrice(Base):
    """One price on one day. Rows are added, not changed: the newest on or before a day is the one in force."""

    __tablename__ = "stock_prices"

    id: Mapped[Pk]
    item_id: Mapped[int] = mapped_column(ForeignKey("stock_items.id"))
    length_nm: Mapped[Nm | None]  # dimensional lumber has a price for each length
    price_cents: Mapped[Cents]
    per: Mapped[PricePer] = mapped_column(one_of(PricePer))
    on_date: Mapped[Day]
    supplier: Mapped[Prose]
    note: Mapped[Prose]

    __table_args__ = (
        Index(None, "item_id", "length_nm", "on_date"),
        *at_least(0, "price_cents"),
        *above_zero("length_nm"),
    )
