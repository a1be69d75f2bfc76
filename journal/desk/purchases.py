"""Receipts kept, put right, taken back; their boards onto the rack."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING

from journal import units
from journal.build.tally import Sawn
from journal.desk import photos
from journal.desk.rack_moves import sizes_of
from journal.desk.receipts import Ordered, Per, Receipt, racked, work_out
from journal.desk.remembered import Remembered
from journal.errors import Conflict
from journal.records.queries import photos as photo_records
from journal.records.queries import purchases as purchase_records
from journal.records.queries import rack as rack_records
from journal.records.queries import stock as stock_records
from journal.records.queries.purchases import LineRow, PurchaseRow
from journal.records.queries.rack import ActDraft, BoardDraft, Change
from journal.records.queries.stock import PriceRow
from journal.records.words import PricePer, RackMoveKind, StockForm

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from journal.desk.receipts import Worked, WorkedLine
    from journal.records.queries.photos import PhotoDraft
    from journal.records.queries.rack import BoardRow


def keep(
    session: Session,
    receipt: Receipt,
    *,
    today: date,
    now: datetime,
    corrects: int | None = None,
    stored: Iterable[PhotoDraft] = (),
) -> PurchaseRow:
    """Keep a receipt: its boards go onto the rack, its prices into the book if wanted.

    Boards go onto the rack when no project is named; those of a tally always, planned for the project, because they are
    cut each by its own width. What else a project buys stands by for it.

    Args:
        session: a writing session.
        receipt: what was bought.
        today: the day it is.
        now: the moment, with its zone.
        corrects: the receipt that this one puts right; that one counts no more.
        stored: photos of it, on the disk already.

    Raises:
        LineFault, BadInput, MissingReference: as `work_out`.
        Conflict: boards of the receipt that is put right were moved, or it counts no more already.
    """
    worked = work_out(session, receipt, today)
    old = purchase_records.get_purchase(session, corrects) if corrects else None
    off = _off_again(session, old) if old else []
    lines = tuple(_line_row(line, old) for line in worked.lines)
    kept = purchase_records.add_purchase(
        session,
        PurchaseRow(
            on_date=receipt.on_date,
            supplier=receipt.supplier,
            project_id=receipt.project_id,
            freight_cents=receipt.freight_cents,
            tax_cents=worked.receipt.tax_cents,
            note=receipt.note,
            lines=lines,
        ),
    )
    if receipt.learn:
        _learn(session, worked)
    if old:
        photo_records.carry_over(session, old.id, kept.id)
    photos.hang_on_purchase(session, stored, kept.id, now=now)
    draft = ActDraft(
        said=said_of(kept, "receipt put right" if old else "bought"),
        on_date=today,
        new=[
            board for line, row in zip(worked.lines, kept.lines, strict=True) for board in _boards(line, row, receipt)
        ],
        changes=off,
        project_id=receipt.project_id,
        purchase_id=kept.id,
        voided_id=corrects,
    )
    rack_records.record(session, draft, now=now)
    return kept


def take_back(session: Session, purchase_id: int, *, today: date, now: datetime) -> None:
    """A receipt that should not be there: it counts no more, its boards go off the rack. Can be undone like any act.

    Raises:
        MissingReference: no such receipt.
        Conflict: boards of it were moved, or it counts no more already.
    """
    old = purchase_records.get_purchase(session, purchase_id)
    draft = ActDraft(
        said=said_of(old, "receipt taken back"),
        on_date=today,
        changes=_off_again(session, old),
        project_id=old.project_id,
        voided_id=purchase_id,
    )
    rack_records.record(session, draft, now=now)


_bought: Remembered[tuple[PurchaseRow, ...]] = Remembered(2)


def bought(session: Session) -> tuple[PurchaseRow, ...]:
    """Receipts that count, by day. Two statements; the same journal is read once."""
    return _bought.of_journal(session, None, lambda: purchase_records.purchases(session))


def receipts(session: Session) -> tuple[PurchaseRow, ...]:
    """Receipts that count, newest first."""
    return tuple(reversed(bought(session)))


def as_typed(session: Session, purchase_id: int) -> Receipt:
    """A kept receipt as it would be typed again, to be put right.

    Raises:
        MissingReference: no such receipt.
        Conflict: it counts no more.
    """
    kept = purchase_records.get_purchase(session, purchase_id)
    if kept.voided_at is not None:
        raise Conflict("the receipt", "it counts no more")
    tallied: dict[int, list[Sawn]] = {}
    forms = {}
    for line in kept.lines:
        forms[line.stock_code] = stock_records.find_item(session, line.stock_code).form
    for board in rack_records.of_lines(session, [line.id for line in kept.lines]):
        tallied.setdefault(board.purchase_line_id or 0, []).append(Sawn(board.width_nm, board.length_nm))
    return Receipt(
        lines=tuple(_ordered(line, forms[line.stock_code], tallied.get(line.id, ())) for line in kept.lines),
        on_date=kept.on_date,
        supplier=kept.supplier,
        project_id=kept.project_id,
        freight_cents=kept.freight_cents,
        tax_cents=kept.tax_cents,
        note=kept.note,
    )


def said_of(kept: PurchaseRow, what: str) -> str:
    """A receipt in a few words."""
    listed = ", ".join(dict.fromkeys(line.stock_code for line in kept.lines))
    return f"{what}: {listed[:200]}" + (f", at {kept.supplier}" if kept.supplier else "")


def _line_row(line: WorkedLine, old: PurchaseRow | None) -> LineRow:
    """The line as it is kept; what became of it is taken over from the receipt that is put right, where it is the same."""
    length_nm = line.ordered.length_nm if line.item.form is StockForm.DIMENSIONAL else None
    row = LineRow(
        stock_code=line.item.code,
        quantity=float(line.pieces),
        price_cents=line.cents,
        length_nm=length_nm,
        board_feet=line.board_feet if line.item.form is StockForm.ROUGH else None,
    )
    same = [one for one in (old.lines if old else ()) if (one.stock_code, one.length_nm) == (row.stock_code, length_nm)]
    if len(same) != 1 or (same[0].used_quantity or 0) + (same[0].rejected_quantity or 0) > row.quantity:
        return row
    return replace(row, used_quantity=same[0].used_quantity, rejected_quantity=same[0].rejected_quantity)


def _boards(line: WorkedLine, row: LineRow, receipt: Receipt) -> Iterator[tuple[BoardDraft, RackMoveKind]]:
    """The boards of a line that go onto the rack, its cost shared by their volume, to the cent."""
    if not racked(line, receipt.project_id):
        return
    sawn = line.ordered.boards or (None,) * line.pieces
    sizes = [
        sizes_of(line.item, one.width_nm if one else None, one.length_nm if one else line.ordered.length_nm)
        for one in sawn
        for _ in range(one.count if one else 1)
    ]
    each = units.share(line.landed.cents, [thick * wide * long for thick, wide, long in sizes])
    for (thickness_nm, width_nm, length_nm), cents in zip(sizes, each, strict=True):
        board = BoardDraft(
            stock_code=line.item.code,
            thickness_nm=thickness_nm,
            width_nm=width_nm,
            length_nm=length_nm,
            cost_cents=cents,
            since=receipt.on_date,
            purchase_line_id=row.id,
            project_id=receipt.project_id,
        )
        yield board, RackMoveKind.BOUGHT


def _off_again(session: Session, old: PurchaseRow) -> list[Change]:
    """Its boards off the rack, as if they had never come; only while nobody has touched them."""
    if old.voided_at is not None:
        raise Conflict("the receipt", "it counts no more")
    boards = rack_records.of_lines(session, [line.id for line in old.lines])
    for board in boards:
        if not _untouched(board, old):
            raise Conflict(f"board {board.id} of this receipt", "take back first what was done with it")
    gone = {"there": False, "project_id": None}
    return [Change(board.id, RackMoveKind.UNDONE, gone, version=board.version) for board in boards if board.there]


def _untouched(board: BoardRow, old: PurchaseRow) -> bool:
    return board.there and board.project_id == old.project_id and not board.cut_outs


def _learn(session: Session, worked: Worked) -> None:
    """Prices that the book does not know yet."""
    seen: set[tuple[int, int | None]] = set()
    for line in worked.lines:
        length_nm = line.ordered.length_nm if line.per is PricePer.PIECE else None
        if line.each_cents is None or not line.news or (line.item.id, length_nm) in seen:
            continue
        seen.add((line.item.id, length_nm))
        price = PriceRow(
            item_id=line.item.id,
            price_cents=line.each_cents,
            per=line.per,
            on_date=worked.receipt.on_date,
            length_nm=length_nm,
            supplier=worked.receipt.supplier,
        )
        stock_records.add_price(session, price)


def _ordered(line: LineRow, form: StockForm, boards: Sequence[Sawn]) -> Ordered:
    rough = form is StockForm.ROUGH
    together = Counter(boards) if rough else Counter()
    return Ordered(
        stock_code=line.stock_code,
        price_cents=line.price_cents,
        per=Per.ALL,
        count=None if rough else int(line.quantity),
        length_nm=line.length_nm,
        boards=tuple(replace(one, count=count) for one, count in together.items()),
        board_feet=None if together or not rough else line.board_feet or line.quantity,
    )
