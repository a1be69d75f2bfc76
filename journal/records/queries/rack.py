"""Boards of the rack, what was done with them, and taking that back.

Every change goes through `record`: one act, and for each board it touched one move that says what was before and after.
An act is undone by another act that puts those values back, as long as nothing has changed them since.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from sqlalchemy import or_, select
from sqlalchemy.orm import Session, selectinload

from journal.errors import BadInput, Conflict, MissingReference
from journal.records.queries import purchases, shelf
from journal.records.queries.shelf import ShelfDraft
from journal.records.queries.values import require_from, require_text, require_version, to_value
from journal.records.tables import Purchase, PurchaseLine, RackAct, RackBoard, RackMove
from journal.records.words import RackMoveKind

CutOut = tuple[int, int, str]  # from nm, to nm, why
_CHANGED = ("there", "project_id", "cut_outs", "note")


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardDraft:
    """A board to put on the rack; `cost_cents` is of this one, with its share of freight and tax."""

    stock_code: str
    thickness_nm: int
    width_nm: int
    length_nm: int
    cost_cents: int
    since: date
    purchase_line_id: int | None = None
    project_id: int | None = None
    cut_outs: tuple[CutOut, ...] = ()
    note: str = ""
    offcut: bool = False

    def __post_init__(self) -> None:
        require_text("stock", self.stock_code, "a stock code")
        for name in ("thickness_nm", "width_nm", "length_nm"):
            require_from(name.removesuffix("_nm"), getattr(self, name), 1, "a size over 0")
        require_from("cost", self.cost_cents, 0, "an amount, 0 or more")
        for start, end, _ in self.cut_outs:
            if not 0 <= start < end <= self.length_nm:
                raise BadInput("forbidden stretch", f"{start} to {end} nm", "a stretch of the board, from end to end")


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardRow(BoardDraft):
    """A board as it is now; `id` is its number."""

    id: int
    there: bool
    version: int

    @property
    def volume_nm3(self) -> int:
        """Full size."""
        return self.thickness_nm * self.width_nm * self.length_nm

    @property
    def kind(self) -> tuple[object, ...]:
        """Boards of one kind cannot be told apart."""
        sizes = (self.thickness_nm, self.width_nm, self.length_nm)
        return (self.stock_code, *sizes, self.cut_outs, self.project_id or 0, self.offcut, self.note)


@dataclass(frozen=True, slots=True)
class Change:
    """What becomes of one board: new values of `there`, `project_id`, `cut_outs` or `note`; seen at a version."""

    board_id: int
    kind: RackMoveKind
    values: Mapping[str, Any]
    why: str = ""
    version: int | None = None


@dataclass(frozen=True, slots=True)
class LineFate:
    """What became of a line of a receipt."""

    line_id: int
    used: float | None
    rejected: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ActDraft:
    """One thing that is done.

    Attributes:
        said: as the page tells it.
        new: boards that come onto the rack, and how.
        changes: of boards that were known before.
        fates: what became of lines of receipts.
        shelf: what was counted on the shelf, or taken off it by hand.
        purchase_id: the receipt kept with it; voided_id: the one it takes back.
    """

    said: str
    on_date: date
    new: Sequence[tuple[BoardDraft, RackMoveKind]] = ()
    changes: Sequence[Change] = ()
    fates: Sequence[LineFate] = ()
    shelf: Sequence[ShelfDraft] = ()
    project_id: int | None = None
    purchase_id: int | None = None
    voided_id: int | None = None
    why: str = ""


@dataclass(frozen=True, slots=True)
class MoveRow:
    """What an act did to one board."""

    board_id: int
    kind: RackMoveKind
    change: int
    why: str
    before: Mapping[str, Any] = field(hash=False)
    after: Mapping[str, Any] = field(hash=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class ActRow:
    """Something that was done; `undone` when another act took it back."""

    id: int
    at: datetime
    on_date: date
    said: str
    project_id: int | None
    purchase_id: int | None
    undoes_id: int | None
    undone: bool


def boards(session: Session, *, stock_code: str | None = None) -> tuple[BoardRow, ...]:
    """What is on the rack, by stock, oldest first. One statement."""
    query = select(RackBoard).where(RackBoard.there.is_(True))
    if stock_code is not None:
        query = query.where(RackBoard.stock_code == stock_code)
    query = query.order_by(RackBoard.stock_code, RackBoard.since, RackBoard.id)
    return tuple(to_board(row) for row in session.scalars(query))


def for_project(session: Session, project_id: int) -> tuple[BoardRow, ...]:
    """What a project may be cut from: what is there and free, what is planned for it, what it drew. One statement."""
    free = RackBoard.there.is_(True) & RackBoard.project_id.is_(None)
    query = (
        select(RackBoard).where(or_(free, RackBoard.project_id == project_id)).order_by(RackBoard.since, RackBoard.id)
    )
    return tuple(to_board(row) for row in session.scalars(query))


def get_boards(session: Session, board_ids: Sequence[int]) -> tuple[BoardRow, ...]:
    """Boards by number, in that order; MissingReference names the first that never was. One statement."""
    rows = {row.id: to_board(row) for row in session.scalars(select(RackBoard).where(RackBoard.id.in_(board_ids)))}
    for board_id in board_ids:
        if board_id not in rows:
            raise MissingReference("board", str(board_id), [])
    return tuple(rows[board_id] for board_id in board_ids)


def of_lines(session: Session, line_ids: Sequence[int]) -> tuple[BoardRow, ...]:
    """Boards that came with lines of receipts, there or gone. One statement."""
    query = select(RackBoard).where(RackBoard.purchase_line_id.in_(line_ids)).order_by(RackBoard.id)
    return tuple(to_board(row) for row in session.scalars(query))


def bought_outright(session: Session, project_id: int) -> frozenset[str]:
    """Codes of what receipts of a project brought that did not go over the rack. One statement."""
    racked = select(RackBoard.purchase_line_id).where(RackBoard.purchase_line_id.is_not(None))
    query = (
        select(PurchaseLine.stock_code)
        .join(Purchase, Purchase.id == PurchaseLine.purchase_id)
        .where(Purchase.project_id == project_id, Purchase.voided_at.is_(None), PurchaseLine.id.not_in(racked))
    )
    return frozenset(session.scalars(query.distinct()))


def racked_lines(session: Session) -> frozenset[int]:
    """Lines of receipts whose boards went onto the rack one by one when they came. One statement."""
    query = (
        select(RackBoard.purchase_line_id)
        .join(RackMove, RackMove.board_id == RackBoard.id)
        .where(RackMove.kind == RackMoveKind.BOUGHT, RackBoard.purchase_line_id.is_not(None))
    )
    return frozenset(line for line in session.scalars(query.distinct()) if line)


def moves_of(session: Session, board_id: int) -> tuple[tuple[ActRow, MoveRow], ...]:
    """Everything that happened to a board, oldest first. Two statements."""
    query = select(RackMove, RackAct).join(RackAct, RackAct.id == RackMove.act_id)
    found = session.execute(query.where(RackMove.board_id == board_id).order_by(RackMove.id)).all()
    undone = _undone(session, [act.id for _, act in found])
    return tuple((_act(act, undone), _move(move)) for move, act in found)


def acts(session: Session, *, most: int, project_id: int | None = None) -> tuple[ActRow, ...]:
    """What was done last, newest first. Two statements."""
    query = select(RackAct).order_by(RackAct.id.desc()).limit(most)
    if project_id is not None:
        query = query.where(RackAct.project_id == project_id)
    found = list(session.scalars(query))
    undone = _undone(session, [row.id for row in found])
    return tuple(_act(row, undone) for row in found)


def record(session: Session, draft: ActDraft, *, now: datetime) -> ActRow:
    """Do something with boards and keep what it was.

    Raises:
        MissingReference: a board or line that never was.
        Conflict: a board changed since it was seen.
        BadInput: more used than bought.
    """
    require_text("act", draft.said, "what was done")
    act = RackAct(
        at=now,
        on_date=draft.on_date,
        said=draft.said,
        project_id=draft.project_id,
        purchase_id=draft.purchase_id,
        voided_id=draft.voided_id,
        lines=[_set_fate(session, fate) for fate in draft.fates],
    )
    session.add(act)
    for board, kind in draft.new:
        _put(session, act, board, kind, draft.why)
    for change in draft.changes:
        _apply(session, act, change)
    if draft.shelf:
        session.flush()
        shelf.add_moves(session, act.id, draft.shelf, now=now)
    if draft.voided_id is not None:
        purchases.void(session, draft.voided_id, at=now)
    session.flush()
    return _act(act, frozenset())


def undo(session: Session, act_id: int, *, on_date: date, now: datetime) -> ActRow:
    """Take an act back by another one.

    Raises:
        MissingReference: no such act.
        Conflict: it was taken back already, or a board or receipt it touched has changed since.
    """
    query = select(RackAct).options(selectinload(RackAct.moves)).where(RackAct.id == act_id)
    act = session.scalar(query)
    if act is None:
        raise MissingReference("act", str(act_id), [])
    if act.undoes_id is not None or _undone(session, [act_id]):
        raise Conflict("this", "it was taken back already")
    for move in act.moves:
        board = _stored(session, move.board_id)
        if any(_plain(board, name) != value for name, value in move.after.items()):
            raise Conflict(f"board {board.id}", "take back first what was done with it later")
    back = RackAct(at=now, on_date=on_date, said=f"taken back: {act.said}", project_id=act.project_id)
    back.undoes_id, back.lines = act_id, [_put_back(session, line) for line in act.lines]
    session.add(back)
    for move in act.moves:
        _move_board(session, back, _stored(session, move.board_id), RackMoveKind.UNDONE, move.before, "")
    shelf.remove_moves(session, act_id, now=now)
    if act.purchase_id is not None:
        purchases.void(session, act.purchase_id, at=now)
    if act.voided_id is not None:
        purchases.void(session, act.voided_id, at=None)
    session.flush()
    return _act(back, frozenset())


def _set_fate(session: Session, fate: LineFate) -> dict[str, Any]:
    row = session.get(PurchaseLine, fate.line_id)
    before = [row.used_quantity, row.rejected_quantity] if row else []
    purchases.set_fate(session, fate.line_id, fate.used, fate.rejected)
    return {"id": fate.line_id, "before": before, "after": [fate.used, fate.rejected]}


def _put_back(session: Session, line: Mapping[str, Any]) -> dict[str, Any]:
    row = session.get(PurchaseLine, line["id"])
    if row is None or [row.used_quantity, row.rejected_quantity] != line["after"]:
        raise Conflict("a line of a receipt", "take back first what was said of it later")
    purchases.set_fate(session, line["id"], *line["before"])
    return {"id": line["id"], "before": line["after"], "after": line["before"]}


def _put(session: Session, act: RackAct, board: BoardDraft, kind: RackMoveKind, why: str) -> None:
    values = {name: getattr(board, name) for name in BoardDraft.__dataclass_fields__}
    row = RackBoard(**values | {"cut_outs": [list(one) for one in board.cut_outs]}, there=True)
    session.add(row)
    session.flush()
    after = {"there": True, "project_id": board.project_id}
    session.add(
        RackMove(
            act_id=act.id,
            board_id=row.id,
            kind=kind,
            change=1,
            why=why,
            before={"there": False, "project_id": None},
            after=after,
        )
    )


def _apply(session: Session, act: RackAct, change: Change) -> None:
    board = _stored(session, change.board_id)
    if change.version is not None:
        require_version(f"board {board.id}", board.version, change.version)
    _move_board(session, act, board, change.kind, change.values, change.why)


def _move_board(
    session: Session, act: RackAct, board: RackBoard, kind: RackMoveKind, values: Mapping[str, Any], why: str
) -> None:
    unknown = set(values) - set(_CHANGED)
    if unknown:
        raise BadInput("change of a board", ", ".join(sorted(unknown)), ", ".join(_CHANGED))
    before = {name: _plain(board, name) for name in values}
    after = {name: [list(one) for one in value] if name == "cut_outs" else value for name, value in values.items()}
    for name, value in after.items():
        setattr(board, name, value)
    session.flush()
    change = int(board.there) - int(before.get("there", board.there))
    session.add(
        RackMove(act_id=act.id, board_id=board.id, kind=kind, change=change, why=why, before=before, after=after)
    )


def _plain(board: RackBoard, name: str) -> Any:  # noqa: ANN401 - what JSON can hold
    value = getattr(board, name)
    return [list(one) for one in value] if name == "cut_outs" else value


def _stored(session: Session, board_id: int) -> RackBoard:
    row = session.get(RackBoard, board_id)
    if row is None:
        raise MissingReference("board", str(board_id), [])
    return row


def _undone(session: Session, act_ids: Sequence[int]) -> frozenset[int]:
    found = session.scalars(select(RackAct.undoes_id).where(RackAct.undoes_id.in_(act_ids)))
    return frozenset(one for one in found if one is not None)


def to_board(row: RackBoard) -> BoardRow:
    """A row as a value."""
    cut_outs = tuple((start, end, why) for start, end, why in row.cut_outs)
    return to_value(BoardRow, row, cut_outs=cut_outs)


def _act(row: RackAct, undone: frozenset[int]) -> ActRow:
    return to_value(ActRow, row, undone=row.id in undone)


def _move(row: RackMove) -> MoveRow:
    return to_value(MoveRow, row)
