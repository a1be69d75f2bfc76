"""What was counted on the shelf and taken off it by hand, and when receipts were typed in."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING

from sqlalchemy import func, select, update

from journal.errors import BadInput
from journal.records.queries.values import to_value
from journal.records.tables import RackAct, ShelfMove

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from journal.records.words import ShelfMoveKind


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfDraft:
    """Something counted or taken; ml of what comes in containers, else pieces."""

    item_id: int
    kind: ShelfMoveKind
    amount: float
    on_date: date
    project_id: int | None = None
    why: str = ""

    def __post_init__(self) -> None:
        if not 0 <= self.amount < float("inf"):
            raise BadInput("amount", self.amount, "0 or more")


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfRow(ShelfDraft):
    """A kept one."""

    id: int
    at: datetime


def add_moves(session: Session, act_id: int, drafts: Sequence[ShelfDraft], *, now: datetime) -> None:
    """Keep what was counted or taken, as part of an act of the rack."""
    session.add_all(ShelfMove(act_id=act_id, at=now, **asdict(draft)) for draft in drafts)
    session.flush()


def remove_moves(session: Session, act_id: int, *, now: datetime) -> None:
    """Take back what an act did."""
    mine = (ShelfMove.act_id == act_id) & ShelfMove.removed_at.is_(None)
    session.execute(update(ShelfMove).where(mine).values(removed_at=now))


def moves(session: Session) -> tuple[ShelfRow, ...]:
    """Everything that counts, in order. One statement."""
    query = select(ShelfMove).where(ShelfMove.removed_at.is_(None)).order_by(ShelfMove.on_date, ShelfMove.id)
    return tuple(to_value(ShelfRow, row) for row in session.scalars(query))


def typed_in(session: Session) -> dict[int, datetime]:
    """Receipt → when it was typed in, for those that were. One statement."""
    query = (
        select(RackAct.purchase_id, func.min(RackAct.at))
        .where(RackAct.purchase_id.is_not(None))
        .group_by(RackAct.purchase_id)
    )
    return {purchase_id: at for purchase_id, at in session.execute(query) if purchase_id is not None}
