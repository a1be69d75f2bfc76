"""Materials a project used, at what they cost and at the prices the quote rested on.

Leftovers go to the rack at cost. What nobody noted counts as it was quoted and is said to: a guess would hide the gap.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Protocol, TypeVar

from journal import units
from journal.desk import rack, shelf
from journal.desk.ratio_records import LUMBER, board_feet, book_cents
from journal.desk.review_promise import GROUPS
from journal.desk.shelf import cents_of
from journal.quote.landed import landed
from journal.quote.review import Used
from journal.records.queries import floor
from journal.records.queries import purchases as purchase_records
from journal.records.queries import rack as rack_records
from journal.records.queries import stock as stock_records
from journal.records.queries.purchases import LineRow
from journal.records.words import RackMoveKind, StockForm

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.desk.shelf import OnShelf
    from journal.desk.shop import ShopView
    from journal.quote.landed import Landed
    from journal.records.queries.floor import CoatRow, GlueUpRow
    from journal.records.queries.projects import ProjectRow
    from journal.records.queries.purchases import PurchaseRow
    from journal.records.queries.rack import BoardRow
    from journal.records.queries.rack_flow import CostMove
    from journal.records.queries.stock import PriceRow

BOARDS, GLUE, FINISH, HARDWARE, CONSUMABLES = GROUPS
_GROUP_OF = {
    StockForm.DIMENSIONAL: BOARDS,
    StockForm.ROUGH: BOARDS,
    StockForm.SHEET: BOARDS,
    StockForm.ADHESIVE: GLUE,
    StockForm.FINISH: FINISH,
    StockForm.HARDWARE: HARDWARE,
    StockForm.CONSUMABLE: CONSUMABLES,
}

_Row = TypeVar("_Row", bound="_OfProject")


class _OfProject(Protocol):
    """A row that says which project it belongs to."""

    @property
    def project_id(self) -> int | None: ...


@dataclass(frozen=True, slots=True)
class MaterialLine:
    """One thing that was bought, or drawn from the rack or a can.

    Attributes:
        group, code: which; unit: what it is counted in.
        bought, used, left: so much; `left` went to the rack, `unsaid`: nobody said what was left, so all counts as used.
        at_book_cents: what was used, by the price book the quote rested on; book_known: that book has a price for it.
        cents: what was used, at what it cost with freight and tax; on_top_cents: these two of it, where a receipt says.
        length_nm: of a board, where it is sold by length; 0 otherwise.
        bought_feet, left_feet: board feet of wood, as it lies on the saw.
        left_cents: what went to the rack, at cost.
    """

    group: str
    code: str
    unit: str
    bought: float
    used: float
    left: float
    unsaid: bool
    at_book_cents: int
    book_known: bool
    cents: int
    on_top_cents: int = 0
    length_nm: int = 0
    bought_feet: float = 0.0
    left_feet: float = 0.0
    left_cents: int = 0


@dataclass(frozen=True, slots=True)
class Materials:
    """All material of a project.

    Attributes:
        lines: by group, then by code.
        used: a comparison a group.
        assumed: groups of which nothing was noted, counted as quoted.
        left_out: those that count on neither side, since no quote was kept either.
        by_share: abrasives, blades and rags count as the shop's share of the others, for the same reason.
    """

    lines: tuple[MaterialLine, ...]
    used: tuple[Used, ...]
    assumed: tuple[str, ...]
    left_out: tuple[str, ...] = ()
    by_share: bool = False

    @property
    def cents(self) -> int:
        """What it cost."""
        return sum(one.cents for one in self.used)


@dataclass(frozen=True, slots=True)
class Noted:
    """What was noted of materials, by the id of the project they went into.

    Attributes:
        receipts: its receipts, with their lines; racked: lines whose boards went over the rack one by one.
        moves: what it drew and left, by stock, with its cost by the shop's way of counting; boards: those, by number.
        glue_ups, coats: what was poured.
        prices: of every item, newest first.
        shelf: what stands there, or did.
    """

    receipts: Mapping[int, Sequence[PurchaseRow]]
    racked: frozenset[int]
    moves: Mapping[int, Mapping[str, Sequence[tuple[CostMove, int]]]]
    boards: Mapping[int, BoardRow]
    glue_ups: Mapping[int, Sequence[GlueUpRow]]
    coats: Mapping[int, Sequence[CoatRow]]
    prices: Mapping[int, tuple[PriceRow, ...]]
    shelf: Sequence[OnShelf]


@dataclass(frozen=True, slots=True)
class Silent:
    """What counts for a kind of material that nobody noted.

    Attributes:
        quoted: what the quote or estimate says that was kept; None where none was, for then nobody can tell.
        consumables_share: then, of abrasives, blades and rags: the shop's share of the other materials.
    """

    quoted: Mapping[str, int] | None
    consumables_share: float


def noted(session: Session, project_id: int | None = None) -> Noted:
    """Of one project, or of all. Eight statements, and those of the shelf."""
    moves = _rack_moves(session, project_id)
    boards = {move.board_id for by_stock in moves.values() for held in by_stock.values() for move, _ in held}
    return Noted(
        receipts=_by_project(purchase_records.purchases(session, project_id=project_id)),
        racked=rack_records.racked_lines(session),
        moves=moves,
        boards={board.id: board for board in rack_records.get_boards(session, sorted(boards))},
        glue_ups=_by_project(floor.glue_ups(session, project_id=project_id)),
        coats=_by_project(floor.coats(session, project_id=project_id)),
        prices=stock_records.price_histories(session),
        shelf=shelf.listed(session),
    )


def _rack_moves(session: Session, project_id: int | None) -> dict[int, dict[str, list[tuple[CostMove, int]]]]:
    found: dict[int, dict[str, list[tuple[CostMove, int]]]] = {}
    for code, moves in rack.costed_moves(session).items():
        for move, cents in moves:
            mine = move.project_id is not None and project_id in (None, move.project_id)
            if move.project_id is not None and mine and move.kind in (RackMoveKind.DRAWN, RackMoveKind.RETURNED):
                found.setdefault(move.project_id, {}).setdefault(code, []).append((move, cents))
    return found


def _by_project(rows: Iterable[_Row]) -> dict[int, list[_Row]]:
    found: dict[int, list[_Row]] = {}
    for row in rows:
        if row.project_id is not None:
            found.setdefault(row.project_id, []).append(row)
    return found


def materials(
    all_noted: Noted,
    project: ProjectRow,
    shop: ShopView,
    silent: Silent,
    *,
    quoted: Mapping[str, int],
    prices_on: date,
) -> Materials:
    """What was used and what it cost.

    Args:
        all_noted: what was noted, of this project or of all.
        project: which.
        shop: what it buys and its habits.
        silent: what counts for what nobody noted.
        quoted: what was quoted, by kind, to hold it against; its cost does not hang on that.
        prices_on: the day whose prices that rests on; nor on that.
    """
    book = _Book(shop, all_noted, prices_on)
    lines = [
        line
        for receipt in all_noted.receipts.get(project.id, ())
        for line in book.of_receipt(receipt, all_noted.racked)
    ]
    lines += book.from_rack(project.id)
    lines += book.from_shelf(project.id)
    for group, liquid in ((GLUE, book.glue(project)), (FINISH, book.finish(project))):
        if liquid is not None:  # what was poured is known better by the log than by the can
            lines = [line for line in lines if line.group != group] + [liquid]
    lines.sort(key=lambda line: (GROUPS.index(line.group), line.code))
    there = {line.group for line in lines}
    used: list[Used] = []
    for group in GROUPS:
        if group in there:
            used.append(_used(group, [line for line in lines if line.group == group], quoted.get(group, 0)))
        else:
            used.append(_unnoted(group, silent, quoted.get(group, 0), sum(one.cents for one in used)))
    missing = [group for group in GROUPS if group not in there]
    if silent.quoted is not None:
        return Materials(tuple(lines), tuple(used), tuple(group for group in missing if silent.quoted.get(group)))
    left_out = tuple(group for group in missing if group != CONSUMABLES and quoted.get(group))
    return Materials(tuple(lines), tuple(used), (), left_out, by_share=CONSUMABLES in missing and bool(used[-1].cents))


def _used(group: str, lines: Sequence[MaterialLine], quoted_cents: int) -> Used:
    return Used(group, quoted_cents, sum(line.at_book_cents for line in lines), sum(line.cents for line in lines))


def _unnoted(group: str, silent: Silent, quoted_cents: int, others_cents: int) -> Used:
    """As quoted; else by the shop's share, where it has one; else on neither side."""
    if silent.quoted is not None:
        cents = silent.quoted.get(group, 0)
        return Used(group, cents, cents, cents)
    if group != CONSUMABLES:
        return Used(group, 0, 0, 0)
    cents = units.round_half_up(others_cents * Fraction(str(silent.consumables_share)))
    return Used(group, quoted_cents, cents, cents)


@dataclass(slots=True)
class _Sum:
    """Boards added up: how many, board feet, cents, cents by the book."""

    boards: int = 0
    feet: float = 0.0
    cents: int = 0
    by_book: float = 0.0

    def add(self, feet: float, cents: int, by_book: float) -> None:
        self.boards, self.feet = self.boards + 1, self.feet + feet
        self.cents, self.by_book = self.cents + cents, self.by_book + by_book


def _parted(cents: int, gone: float, left: float) -> tuple[int, int]:
    """Cents of what is gone and of what is left; of most lines nothing is."""
    if not left:
        return cents, 0
    used, over = units.share(cents, [Fraction(gone), Fraction(left)])
    return used, over


class _Book:
    """The price book of the quote's day, with what things are."""

    def __init__(self, shop: ShopView, all_noted: Noted, on: date) -> None:
        self._noted, self._on = all_noted, on
        self._shop = shop
        self._items = {priced.item.code: priced.item for priced in shop.items if priced.item.id}

    def cents(self, line: LineRow, on: date | None = None) -> float:
        """What a line costs by the book of the quote's day, or of another; 0 where it says nothing."""
        item = self._items.get(line.stock_code)
        return book_cents(line, item, self._noted.prices.get(item.id, ()), on or self._on) if item else 0.0

    def of_receipt(self, receipt: PurchaseRow, racked: frozenset[int]) -> Iterator[MaterialLine]:
        """Its lines but those whose boards went over the rack one by one."""
        if not receipt.lines:
            return
        prices = [line.price_cents for line in receipt.lines]
        whole = landed(prices, freight_cents=receipt.freight_cents, tax_cents=receipt.tax_cents)
        for line, cost in zip(receipt.lines, whole, strict=True):
            item = self._items.get(line.stock_code)
            if line.id not in racked:
                yield self._line(line, _GROUP_OF[item.form] if item else HARDWARE, cost)

    def _line(self, line: LineRow, group: str, cost: Landed) -> MaterialLine:
        unsaid = line.used_quantity is None and group == BOARDS
        gone = line.quantity if line.used_quantity is None else line.used_quantity + (line.rejected_quantity or 0)
        left = max(line.quantity - gone, 0.0)
        used_cents, left_cents = _parted(cost.cents, gone, left)
        by_book = units.round_half_up(Fraction(self.cents(line)) * Fraction(gone) / Fraction(line.quantity))
        item = self._items.get(line.stock_code)
        feet = board_feet(line, item) if item and item.form in LUMBER else 0.0
        return MaterialLine(
            group=group,
            code=line.stock_code,
            unit="",
            bought=line.quantity,
            used=gone,
            left=left,
            unsaid=unsaid,
            at_book_cents=by_book or used_cents,
            book_known=bool(by_book) or not gone,
            cents=used_cents,
            on_top_cents=_parted(cost.freight_cents + cost.tax_cents, gone, left)[0],
            length_nm=line.length_nm or 0,
            bought_feet=feet,
            left_feet=feet * left / line.quantity,
            left_cents=left_cents,
        )

    def from_shelf(self, project_id: int) -> Iterator[MaterialLine]:
        """Pieces taken off the shelf that were bought for nobody; what is poured is told by its log."""
        for one in self._noted.shelf:
            amount, cents = shelf.drawn(one, project_id)
            if not amount or one.place.liquid:
                continue
            code = one.place.item.code
            by_book = units.round_half_up(self.cents(LineRow(stock_code=code, quantity=amount, price_cents=0)))
            group = _GROUP_OF[one.place.item.form]
            yield MaterialLine(
                group, code, "from the shelf", amount, amount, 0.0, False, by_book or cents, bool(by_book), cents
            )

    def from_rack(self, project_id: int) -> list[MaterialLine]:
        """Boards drawn from the rack less those left there, by stock."""
        return [self._racked(code, moves) for code, moves in self._noted.moves.get(project_id, {}).items()]

    def _racked(self, code: str, moves: Sequence[tuple[CostMove, int]]) -> MaterialLine:
        out = _Sum(), _Sum()  # what went back, what was drawn
        for move, cents in moves:
            board = self._noted.boards[move.board_id]
            feet = units.board_feet(board.volume_nm3)
            line = LineRow(stock_code=code, quantity=1, price_cents=0, length_nm=board.length_nm, board_feet=feet)
            out[move.kind is RackMoveKind.DRAWN].add(feet, cents, self.cents(line) or cents)
        back, drawn = out
        item = self._items.get(code)
        wood = item is not None and item.form in LUMBER
        return MaterialLine(
            group=_GROUP_OF[item.form] if item else BOARDS,
            code=code,
            unit="from the rack",
            bought=drawn.boards,
            used=drawn.boards,
            left=back.boards,
            unsaid=False,
            at_book_cents=max(units.round_half_up(drawn.by_book - back.by_book), 0),
            book_known=True,
            cents=max(drawn.cents - back.cents, 0),
            bought_feet=drawn.feet if wood else 0.0,
            left_feet=back.feet if wood else 0.0,
            left_cents=back.cents,
        )

    def glue(self, project: ProjectRow) -> MaterialLine | None:
        """Poured, by the log of glue-ups; None where nobody noted it."""
        rows = self._noted.glue_ups.get(project.id, ())
        poured = [(row.glue_ml, row.on_date) for row in rows if row.glue_ml is not None]
        adhesive = project.adhesive or self._shop.row.default_adhesive
        return self._poured(project, GLUE, StockForm.ADHESIVE, adhesive, poured)

    def finish(self, project: ProjectRow) -> MaterialLine | None:
        """Used, by the log of coats; None where nobody noted it."""
        used = [(row.amount_ml, row.on_date) for row in self._noted.coats.get(project.id, ())]
        finish = project.finish or self._shop.row.default_finish
        return self._poured(project, FINISH, StockForm.FINISH, finish, used)

    def _poured(
        self, project: ProjectRow, group: str, form: StockForm, kind: str, amounts: Sequence[tuple[float, date]]
    ) -> MaterialLine | None:
        """At what it cost, as far as receipts say; else at the price of a container on the last day it was used."""
        item = next((one for one in self._items.values() if one.form is form and one.class_key == kind), None)
        if not amounts or item is None or not item.container_ml:
            return None
        ml = sum(amount for amount, _ in amounts)
        can = LineRow(stock_code=item.code, quantity=1, price_cents=0)
        then, now = self.cents(can), self.cents(can, max(on for _, on in amounts))
        if not now:
            return None
        cans = Fraction(ml) / Fraction(item.container_ml)
        one = next((one for one in self._noted.shelf if item.id in one.place.ids), None)
        by_day = now / item.container_ml
        cents = units.round_half_up(cans * Fraction(now)) if one is None else cents_of(one, project.id, ml, by_day)
        at_book = units.round_half_up(cans * Fraction(then or now))
        return MaterialLine(group, item.code, "ml", ml, ml, 0.0, False, at_book, bool(then), cents)
