"""What is done with boards of the rack: put there, planned, drawn, noted, counted, written off; each taken back at will."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from journal import units
from journal.build.tally import MOST_BOARDS
from journal.desk.rack import kinds_of
from journal.errors import BadInput, Conflict
from journal.records.queries import projects as project_records
from journal.records.queries import rack as rack_records
from journal.records.queries import stock as stock_records
from journal.records.queries.rack import ActDraft, BoardDraft, Change, LineFate
from journal.records.words import WOOD, RackMoveKind, StockForm
from journal.working import counted as count_of

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from journal.desk.rack import Kind
    from journal.records.queries.rack import ActRow, BoardRow
    from journal.records.queries.shelf import ShelfDraft
    from journal.records.queries.stock import ItemRow


@dataclass(frozen=True, slots=True)
class Added:
    """Boards that were there before anybody wrote them down; `cost_cents` is of each, sizes as they lie there."""

    stock_code: str
    count: int
    length_nm: int | None
    width_nm: int | None = None
    cost_cents: int = 0
    offcut: bool = False
    note: str = ""


def add(session: Session, added: Added, *, today: date, now: datetime) -> ActRow:
    """Put boards on the rack that were never bought through the journal.

    Raises:
        MissingReference: no such stock.
        BadInput: it is no wood, a size is missing, no boards or too many.
    """
    item = stock_records.find_item(session, added.stock_code)
    if not 1 <= added.count <= MOST_BOARDS:
        raise BadInput("boards", added.count, f"a whole number from 1 to {MOST_BOARDS}")
    thickness_nm, width_nm, length_nm = sizes_of(item, added.width_nm, added.length_nm)
    board = BoardDraft(
        stock_code=item.code,
        thickness_nm=thickness_nm,
        width_nm=width_nm,
        length_nm=length_nm,
        cost_cents=added.cost_cents,
        since=today,
        offcut=added.offcut,
        note=added.note,
    )
    draft = ActDraft(
        said=f"{_boards(added.count)} of {item.code} put on the rack",
        on_date=today,
        new=[(board, RackMoveKind.COUNTED)] * added.count,
    )
    return rack_records.record(session, draft, now=now)


def sizes_of(item: ItemRow, width_nm: int | None, length_nm: int | None) -> tuple[int, int, int]:
    """Thickness, width and length of a board of a stock, the stock's own where none are told.

    Raises:
        BadInput: it is no wood, or a size is told nowhere.
    """
    if item.form not in WOOD or item.thickness_nm is None:
        raise BadInput("stock", item.code, "lumber or sheets")
    width = width_nm or (item.width_nm if item.form is not StockForm.ROUGH else None)
    length = length_nm or (item.length_nm if item.form is StockForm.SHEET else None)
    if not width:
        raise BadInput("width", "", "the width of the board: it comes in any")
    if not length:
        raise BadInput("length", "", "the length of the board")
    return item.thickness_nm, width, length


def plan_for(
    session: Session, board_id: int, count: int, project_id: int | None, *, today: date, now: datetime
) -> ActRow:
    """Set boards like this one aside for a project, or make them free again (no project).

    Raises:
        MissingReference: no such board or project.
        Conflict: it is not on the rack any more.
        BadInput: more than there are.
    """
    chosen = _chosen(session, board_id, count)
    what = f"{_boards(count)} of {chosen[0].stock_code}"
    if project_id is None:
        kind, said = RackMoveKind.FREED, f"{what} made free"
    else:
        kind, said = (
            RackMoveKind.PLANNED,
            f"{what} planned for {project_records.get_project(session, project_id).code}",
        )
    draft = ActDraft(said=said, on_date=today, project_id=project_id)
    return _change(session, chosen, kind, {"project_id": project_id}, draft, now)


def draw(session: Session, boards: Sequence[BoardRow], project_id: int, *, today: date, now: datetime) -> ActRow:
    """Take boards for a project: they are used.

    Raises:
        MissingReference: no such project.
        Conflict: one is not on the rack any more, or planned for another project.
    """
    if not boards:
        raise BadInput("boards", "", "at least one board of the rack")
    project = project_records.get_project(session, project_id)
    for board in boards:
        if not board.there or board.project_id not in (None, project_id):
            raise Conflict(f"board {board.id}", "look at the rack again")
    said = f"{_boards(len(boards))} drawn for {project.code}"
    values = {"there": False, "project_id": project_id}
    draft = ActDraft(said=said, on_date=today, project_id=project_id)
    return _change(session, boards, RackMoveKind.DRAWN, values, draft, now)


def draw_alike(session: Session, board_id: int, count: int, project_id: int, *, today: date, now: datetime) -> ActRow:
    """The same for so many boards like this one."""
    return draw(session, _chosen(session, board_id, count), project_id, today=today, now=now)


def write_off(session: Session, board_id: int, count: int, why: str, *, today: date, now: datetime) -> ActRow:
    """Strike boards off: split, rotten, lent and lost.

    Raises:
        BadInput: no reason, or more than there are.
        Conflict: it is not on the rack any more.
    """
    if not why.strip():
        raise BadInput("why", "", "what happened to it")
    chosen = _chosen(session, board_id, count)
    said = f"{_boards(count)} of {chosen[0].stock_code} written off: {why}"
    values = {"there": False, "project_id": None}
    draft = ActDraft(said=said, on_date=today, why=why.strip())
    return _change(session, chosen, RackMoveKind.WRITTEN_OFF, values, draft, now)


def note_stretch(
    session: Session, board_id: int, stretch: rack_records.CutOut, *, version: int, today: date, now: datetime
) -> ActRow:
    """Mark a stretch of one board, in nm from its end, that no part may lie over.

    Raises:
        BadInput: it is not a stretch of the board.
        Conflict: the board changed since it was seen, or is gone.
    """
    (board,) = _there(session, [board_id])
    start, end, why = stretch
    if not 0 <= start < end <= board.length_nm:
        raise BadInput("to", units.format_length(end), "past where it begins, and on the board")
    stretches = sorted([*board.cut_outs, (start, end, why)])
    return _note(session, board, {"cut_outs": stretches}, f"stretch noted on board {board_id}", version, today, now)


def forget_stretch(session: Session, board_id: int, place: int, *, version: int, today: date, now: datetime) -> ActRow:
    """Take the mark off again; `place` counts the board's stretches from 0."""
    (board,) = _there(session, [board_id])
    if not 0 <= place < len(board.cut_outs):
        raise Conflict(f"board {board_id}", "look at it again")
    stretches = [one for number, one in enumerate(board.cut_outs) if number != place]
    return _note(session, board, {"cut_outs": stretches}, f"stretch of board {board_id} cleared", version, today, now)


def put_note(session: Session, board_id: int, note: str, *, version: int, today: date, now: datetime) -> ActRow:
    """Write something on one board."""
    (board,) = _there(session, [board_id])
    return _note(session, board, {"note": note}, f"note on board {board_id}", version, today, now)


def count_stock(
    session: Session,
    counted: Mapping[int, tuple[int, int]],
    shelved: Sequence[ShelfDraft] = (),
    *,
    today: date,
    now: datetime,
) -> ActRow | None:
    """A stock-take: for the first board of each kind that was counted, how many were listed and how many are there.

    With it what was counted on the shelf.

    Boards too few are struck off, the newest first; boards too many are like the listed ones and cost what those did on
    average.

    Raises:
        Conflict: the kind is not as it was listed.
    """
    kinds = {kind.first.id: kind for kind in kinds_of(rack_records.boards(session), {})}
    new: list[tuple[BoardDraft, RackMoveKind]] = []
    gone: list[BoardRow] = []
    for board_id, (listed, found) in counted.items():
        kind = kinds.get(board_id)
        if kind is None or kind.count != listed:
            raise Conflict("the rack", "count from the list as it is now")
        gone += kind.boards[found:]
        if found > MOST_BOARDS:
            raise BadInput("there", found, f"at most {MOST_BOARDS}")
        new += [(_like(kind, today), RackMoveKind.COUNTED)] * max(0, found - listed)
    if not new and not gone and not shelved:
        return None
    off = [
        Change(board.id, RackMoveKind.COUNTED, {"there": False, "project_id": None}, version=board.version)
        for board in gone
    ]
    draft = ActDraft(
        said=_counted(len(gone), len(new), len(shelved)),
        on_date=today,
        new=new,
        changes=off,
        shelf=shelved,
        fates=fates(session, gone),
    )
    return rack_records.record(session, draft, now=now)


def _counted(gone: int, new: int, shelved: int) -> str:
    boards = f"{_boards(gone)} missing, {new} more than listed" if gone or new or not shelved else ""
    things = f"{count_of(shelved, 'thing')} on the shelf" if shelved else ""
    return "stock-take: " + "; ".join(part for part in (boards, things) if part)


def undo(session: Session, act_id: int, *, today: date, now: datetime) -> ActRow:
    """Take something back.

    Raises:
        Conflict: it was already, or what it touched has changed since.
    """
    return rack_records.undo(session, act_id, on_date=today, now=now)


def fates(session: Session, going: Sequence[BoardRow], *, drawn: bool = False) -> list[LineFate]:
    """What became of the receipts' lines of which these are the last boards to go: used so many, rejected so many."""
    lines = sorted({board.purchase_line_id for board in going if board.purchase_line_id})
    leaving = {board.id for board in going}
    by_line: dict[int, list[BoardRow]] = defaultdict(list)
    for board in rack_records.of_lines(session, lines) if lines else ():
        by_line[board.purchase_line_id or 0].append(board)
    done = []
    for line, boards in by_line.items():
        if any(board.there and board.id not in leaving for board in boards):
            continue
        # A board that went to no project was bad, or lost.
        used = sum(drawn if board.id in leaving else board.project_id is not None for board in boards)
        done.append(LineFate(line, float(used), float(len(boards) - used)))
    return done


def _note(
    session: Session, board: BoardRow, values: Mapping[str, object], said: str, version: int, today: date, now: datetime
) -> ActRow:
    change = Change(board.id, RackMoveKind.NOTED, values, version=version)
    return rack_records.record(session, ActDraft(said=said, on_date=today, changes=[change]), now=now)


def _change(
    session: Session,
    boards: Sequence[BoardRow],
    kind: RackMoveKind,
    values: Mapping[str, object],
    draft: ActDraft,
    now: datetime,
) -> ActRow:
    changes = [Change(board.id, kind, values, draft.why, board.version) for board in boards]
    leaving = values.get("there") is False
    known = fates(session, boards, drawn=kind is RackMoveKind.DRAWN) if leaving else []
    return rack_records.record(session, replace(draft, changes=changes, fates=known), now=now)


def _chosen(session: Session, board_id: int, count: int) -> list[BoardRow]:
    """So many boards like this one, this one first."""
    (board,) = _there(session, [board_id])
    alike = [one for one in rack_records.boards(session, stock_code=board.stock_code) if one.kind == board.kind]
    ordered = [board, *(one for one in alike if one.id != board_id)]
    if not 1 <= count <= len(ordered):
        raise BadInput("boards", count, f"a whole number from 1 to {len(ordered)}: so many like it are there")
    return ordered[:count]


def _there(session: Session, board_ids: Sequence[int]) -> tuple[BoardRow, ...]:
    found = rack_records.get_boards(session, board_ids)
    for board in found:
        if not board.there:
            raise Conflict(f"board {board.id}", "it is not on the rack any more")
    return found


def _like(kind: Kind, today: date) -> BoardDraft:
    first = kind.first
    each = units.round_half_up(sum(board.cost_cents for board in kind.boards) / kind.count)
    fields = {name: getattr(first, name) for name in BoardDraft.__dataclass_fields__}
    return replace(BoardDraft(**fields), cost_cents=each, since=today, purchase_line_id=None)


def _boards(count: int) -> str:
    return count_of(count, "board")
