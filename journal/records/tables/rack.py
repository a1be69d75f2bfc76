"""Boards on the rack, one row each, and everything that was done with them."""

from typing import Any

from sqlalchemy import JSON, CheckConstraint, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column, relationship

from journal.records.base import Base, Cents, Day, Moment, Nm, Pk, Prose, Word, above_zero, at_least, one_of
from journal.records.words import RackMoveKind


class RackBoard(Base):
    """One board or offcut, as it is now. It is never deleted: used up, it is not `there` any more.

    `project_id` is whom it is planned for; once drawn, who used it.
    """

    __tablename__ = "rack_boards"

    id: Mapped[Pk]  # the number that may be chalked on its end
    stock_code: Mapped[Word]
    thickness_nm: Mapped[Nm]
    width_nm: Mapped[Nm]
    length_nm: Mapped[Nm]
    cost_cents: Mapped[Cents]  # with its share of freight and tax
    purchase_line_id: Mapped[int | None] = mapped_column(ForeignKey("purchase_lines.id"), index=True)
    since: Mapped[Day]
    project_id: Mapped[int | None] = mapped_column(ForeignKey("projects.id"), index=True)
    cut_outs: Mapped[list[Any]] = mapped_column(JSON)  # [from nm, to nm, why], no part may lie over it
    note: Mapped[Prose]
    offcut: Mapped[bool]
    there: Mapped[bool]
    version: Mapped[int] = mapped_column()

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 - SQLAlchemy declares it as the instance's
    __table_args__ = (
        Index(None, "there", "stock_code"),
        *at_least(0, "cost_cents"),
        *above_zero("thickness_nm", "width_nm", "length_nm"),
    )


class RackAct(Base):
    """One thing somebody did: a receipt, a draw, a stock-take. Rows are only added; undoing one adds another."""

    __tablename__ = "rack_acts"

    id: Mapped[Pk]
    at: Mapped[Moment]
    on_date: Mapped[Day]
    said: Mapped[Prose]  # as it is told on the page
    project_id: Mapped[int | None] = mapped_column(ForeignKey("projects.id"), index=True)
    purchase_id: Mapped[int | None] = mapped_column(ForeignKey("purchases.id"), index=True)  # the receipt it kept
    voided_id: Mapped[int | None] = mapped_column(ForeignKey("purchases.id"), index=True)  # the receipt it took back
    lines: Mapped[list[Any]] = mapped_column(JSON)  # of receipts, what became of them: before and after
    undoes_id: Mapped[int | None] = mapped_column(ForeignKey("rack_acts.id"), unique=True)

    moves: Mapped[list["RackMove"]] = relationship(order_by="RackMove.id", lazy="raise")


class RackMove(Base):
    """What an act did to one board. The sum of a board's changes is whether it is there."""

    __tablename__ = "rack_moves"

    id: Mapped[Pk]
    act_id: Mapped[int] = mapped_column(ForeignKey("rack_acts.id"), index=True)
    board_id: Mapped[int] = mapped_column(ForeignKey("rack_boards.id"), index=True)
    kind: Mapped[RackMoveKind] = mapped_column(one_of(RackMoveKind))
    change: Mapped[int]  # boards on the rack: +1, 0, −1
    why: Mapped[Prose]
    before: Mapped[dict[str, Any]] = mapped_column(JSON)  # of the columns it changed
    after: Mapped[dict[str, Any]] = mapped_column(JSON)

    __table_args__ = (CheckConstraint("change BETWEEN -1 AND 1", name="change_of_one_board"),)
