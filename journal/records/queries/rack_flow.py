"""What came onto the rack and went off it; nothing that was taken back is among it."""

from dataclasses import dataclass
from datetime import date

from sqlalchemy import Select, func, select
from sqlalchemy.orm import Session

from journal import units
from journal.records.queries.rack import BoardRow, to_board
from journal.records.tables import RackAct, RackBoard, RackMove
from journal.records.words import RackMoveKind


@dataclass(frozen=True, slots=True)
class CostMove:
    """A board coming or going, for what the rack cost; nothing that was undone is among them.

    `project_id` is of the act: who drew it, or who left it.
    """

    stock_code: str
    board_id: int
    kind: RackMoveKind
    change: int
    volume_nm3: int
    cost_cents: int
    project_id: int | None
    on_date: date
    offcut: bool

    @property
    def board_feet(self) -> float:
        """Full size; less than nothing when it went."""
        return self.change * units.board_feet(self.volume_nm3)


def returned_by(session: Session, project_id: int) -> tuple[BoardRow, ...]:
    """What a project left on the rack, whatever became of it since; nothing that was taken back. One statement."""
    query = (
        select(RackBoard)
        .join(RackMove, RackMove.board_id == RackBoard.id)
        .join(RackAct, RackAct.id == RackMove.act_id)
        .where(
            RackMove.kind == RackMoveKind.RETURNED, RackAct.project_id == project_id, RackAct.id.not_in(_taken_back())
        )
        .order_by(RackBoard.id)
    )
    return tuple(to_board(row) for row in session.scalars(query))


def cost_moves(session: Session) -> tuple[CostMove, ...]:
    """Every board that came or went and was not put back by an undo, in order. One statement."""
    volume = RackBoard.thickness_nm, RackBoard.width_nm, RackBoard.length_nm
    query = (
        select(
            *(RackBoard.stock_code, RackBoard.id, RackMove.kind, RackMove.change),
            *(*volume, RackBoard.cost_cents, RackAct.project_id, RackAct.on_date, RackBoard.offcut),
        )
        .join(RackAct, RackAct.id == RackMove.act_id)
        .join(RackBoard, RackBoard.id == RackMove.board_id)
        .where(RackMove.change != 0, RackAct.undoes_id.is_(None), RackAct.id.not_in(_taken_back()))
        .order_by(RackMove.id)
    )
    return tuple(
        CostMove(code, board_id, kind, change, thick * wide * long, *rest)
        for code, board_id, kind, change, thick, wide, long, *rest in session.execute(query)
    )


def on_hand_by_moves(session: Session) -> dict[int, int]:
    """For each board that ever was, the sum of its moves: 1 there, 0 gone. One statement."""
    query = select(RackMove.board_id, func.sum(RackMove.change)).group_by(RackMove.board_id)
    return {board_id: int(total) for board_id, total in session.execute(query)}


def _taken_back() -> Select[tuple[int | None]]:
    """Acts that another one undid."""
    return select(RackAct.undoes_id).where(RackAct.undoes_id.is_not(None))
