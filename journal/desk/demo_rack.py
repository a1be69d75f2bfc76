"""How the boards of one line of a receipt went over the demo shop's rack: brought for a job, drawn by it, a few left."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, time
from typing import TYPE_CHECKING, Any

from journal.records.words import RackMoveKind, StockForm

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

Row = dict[str, Any]

MOST_BOARDS = 8  # a line of more is carried straight to the saw


@dataclass(frozen=True, slots=True)
class Size:
    """Of one board, nm."""

    thickness_nm: int
    width_nm: int
    length_nm: int


@dataclass(frozen=True, slots=True)
class Act:
    """One thing done, and what it did to each board."""

    row: Row
    moves: tuple[Row, ...]


def size_of(line: Row, items: Mapping[str, Row]) -> Size | None:
    """The boards of a line of a few boards of lumber, of which it was written down what became of them; else None."""
    item = items.get(line["stock_code"])
    if item is None or item["form"] != StockForm.DIMENSIONAL or line["used_quantity"] is None:
        return None
    if line["length_nm"] is None or line["quantity"] > MOST_BOARDS:
        return None
    return Size(item["thickness_nm"], item["width_nm"], line["length_nm"])


def boards(line: Row, receipt: Row, project_id: int, size: Size) -> Iterator[Row]:
    """One row a board: those the job took, then those that are on the rack still, nobody's."""
    for place in range(int(line["quantity"])):
        taken = place < _taken(line)
        yield {
            "stock_code": line["stock_code"],
            "thickness_nm": size.thickness_nm,
            "width_nm": size.width_nm,
            "length_nm": size.length_nm,
            "cost_cents": round(line["price_cents"] / line["quantity"]),
            "purchase_line_id": line["id"],
            "since": receipt["on_date"],
            "project_id": project_id if taken else None,
            "cut_outs": [],
            "note": "",
            "offcut": False,
            "there": not taken,
            "version": 2,
        }


def acts(line: Row, receipt: Row, project: Row, numbers: Sequence[int]) -> Iterator[Act]:
    """Bought for the job; drawn when it was begun; what was left over freed."""
    gone, left = numbers[: _taken(line)], numbers[_taken(line) :]
    mine, free = {"project_id": project["id"]}, {"project_id": None}
    there, off = {"there": True}, {"there": False}
    what = f"{len(numbers)} of {line['stock_code']}"
    bought = _moves(numbers, RackMoveKind.BOUGHT, 1, off | free, there | mine)
    yield Act(_act(f"bought: {what}", receipt["on_date"], project) | {"purchase_id": receipt["id"]}, bought)
    begun = max(receipt["on_date"], project["started_on"])
    if gone:
        yield Act(_act(f"drawn: {what}", begun, project), _moves(gone, RackMoveKind.DRAWN, -1, there, off))
    if left:
        yield Act(_act(f"left over: {what}", begun, project), _moves(left, RackMoveKind.FREED, 0, mine, free))


def _taken(line: Row) -> int:
    return int(line["used_quantity"] + (line["rejected_quantity"] or 0))


def _act(said: str, on: Any, project: Row) -> Row:  # noqa: ANN401 - a day
    at = datetime.combine(on, time(12, tzinfo=UTC))
    row = {"at": at, "on_date": on, "said": said, "project_id": project["id"], "purchase_id": None}
    return row | {"voided_id": None, "lines": [], "undoes_id": None}


def _moves(numbers: Sequence[int], kind: RackMoveKind, change: int, before: Row, after: Row) -> tuple[Row, ...]:
    how = {"kind": kind, "change": change, "why": "", "before": before, "after": after}
    return tuple({"board_id": number, **how} for number in numbers)
