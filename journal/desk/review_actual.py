"""How a project went: materials used, at what they cost and at the prices the quote rested on; hours, wage and machines.

Leftovers go to the rack at cost. What nobody noted counts as it was quoted and is said to: a guess would hide the gap.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from journal import reference, units
from journal.desk import rack
from journal.desk.ratio_records import book_cents
from journal.desk.review_promise import GROUPS
from journal.quote.landed import landed
from journal.quote.review import Used
from journal.records.queries import floor, log
from journal.records.queries import purchases as purchase_records
from journal.records.queries import rack as rack_records
from journal.records.queries import stock as stock_records
from journal.records.queries import workers as worker_records
from journal.records.queries.purchases import LineRow
from journal.records.words import RackMoveKind, StockForm

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.desk.review_promise import Promised
    from journal.desk.shop import ShopView
    from journal.records.queries.log import EntryRow
    from journal.records.queries.projects import ProjectRow
    from journal.records.queries.purchases import PurchaseRow
    from journal.records.queries.rack_flow import CostMove
    from journal.records.queries.stock import ItemRow, PriceRow

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
_SECONDS_PER_HOUR = 3600


@dataclass(frozen=True, slots=True)
class MaterialLine:
    """One thing that was bought, or drawn from the rack or a can.

    Attributes:
        group, code: which; unit: what it is counted in.
        bought, used, left: so much; `left` went to the rack, `unsaid`: nobody said what was left, so all counts as used.
        at_book_cents: what was used, by the price book the quote rested on; book_known: that book has a price for it.
        cents: what was used, at what it cost with freight and tax.
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


@dataclass(frozen=True, slots=True)
class Materials:
    """All material of a project.

    Attributes:
        lines: by group, then by code.
        used: a comparison a group.
        assumed: groups of which nothing was noted, counted as quoted.
    """

    lines: tuple[MaterialLine, ...]
    used: tuple[Used, ...]
    assumed: tuple[str, ...]

    @property
    def cents(self) -> int:
        """What it cost."""
        return sum(one.cents for one in self.used)


@dataclass(frozen=True, slots=True)
class Paid:
    """What hours came to: minutes of one person and their wage, and those done again."""

    minutes: float
    wage_cents: int
    rework_minutes: float
    rework_wage_cents: int


def materials(
    session: Session, project: ProjectRow, shop: ShopView, quoted: Mapping[str, int], prices_on: date
) -> Materials:
    """What was used and what it cost. A number of statements that grows only with the kinds of things bought."""
    book = _Book(session, shop, prices_on)
    receipts = purchase_records.purchases(session, project_id=project.id)
    racked = rack_records.racked_lines(session)
    lines = [line for receipt in receipts for line in book.of_receipt(receipt, racked)]
    lines += book.from_rack(session, project.id)
    for group, liquid in ((GLUE, book.glue(session, project)), (FINISH, book.finish(session, project))):
        if liquid is not None:  # what was poured is known better by the log than by the can
            lines = [line for line in lines if line.group != group] + [liquid]
    lines.sort(key=lambda line: (GROUPS.index(line.group), line.code))
    used = tuple(_used(group, [line for line in lines if line.group == group], quoted[group]) for group in GROUPS)
    there = {line.group for line in lines}
    return Materials(tuple(lines), used, tuple(group for group in GROUPS if group not in there and quoted[group]))


def _used(group: str, lines: Sequence[MaterialLine], quoted_cents: int) -> Used:
    if not lines:
        return Used(group, quoted_cents, quoted_cents, quoted_cents)
    return Used(group, quoted_cents, sum(line.at_book_cents for line in lines), sum(line.cents for line in lines))


class _Book:
    """The price book of the quote's day, with what things are."""

    def __init__(self, session: Session, shop: ShopView, on: date) -> None:
        self._session, self._on = session, on
        self._shop = shop
        self._items = {priced.item.code: priced.item for priced in shop.items if priced.item.id}
        self._histories: dict[int, tuple[PriceRow, ...]] = {}

    def cents(self, line: LineRow, on: date | None = None) -> float:
        """What a line costs by the book of the quote's day, or of another; 0 where it says nothing."""
        item = self._items.get(line.stock_code)
        return book_cents(line, item, self._history(item), on or self._on) if item else 0.0

    def _history(self, item: ItemRow) -> tuple[PriceRow, ...]:
        if item.id not in self._histories:
            self._histories[item.id] = stock_records.price_history(self._session, item.id)
        return self._histories[item.id]

    def of_receipt(self, receipt: PurchaseRow, racked: frozenset[int]) -> Iterator[MaterialLine]:
        """Its lines but those whose boards went over the rack one by one."""
        if not receipt.lines:
            return
        prices = [line.price_cents for line in receipt.lines]
        whole = landed(prices, freight_cents=receipt.freight_cents, tax_cents=receipt.tax_cents)
        for line, cost in zip(receipt.lines, whole, strict=True):
            item = self._items.get(line.stock_code)
            if line.id not in racked:
                yield self._line(line, _GROUP_OF[item.form] if item else HARDWARE, cost.cents)

    def _line(self, line: LineRow, group: str, cents: int) -> MaterialLine:
        unsaid = line.used_quantity is None and group == BOARDS
        gone = line.quantity if line.used_quantity is None else line.used_quantity + (line.rejected_quantity or 0)
        left = max(line.quantity - gone, 0.0)
        used_cents = units.share(cents, [Fraction(gone), Fraction(left)])[0]
        by_book = units.round_half_up(Fraction(self.cents(line)) * Fraction(gone) / Fraction(line.quantity))
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
        )

    def from_rack(self, session: Session, project_id: int) -> list[MaterialLine]:
        """Boards drawn from the rack less those left there, by stock."""
        found = []
        for code, moves in _rack_moves(session, project_id).items():
            boards = {row.id: row for row in rack_records.get_boards(session, [move.board_id for move, _ in moves])}
            cost, by_book, drawn, back = 0, 0.0, 0, 0
            for move, cents in moves:
                sign = 1 if move.kind is RackMoveKind.DRAWN else -1
                board = boards[move.board_id]
                feet = units.board_feet(board.volume_nm3)
                line = LineRow(stock_code=code, quantity=1, price_cents=0, length_nm=board.length_nm, board_feet=feet)
                cost += sign * cents
                by_book += sign * (self.cents(line) or cents)
                drawn, back = drawn + (sign > 0), back + (sign < 0)
            cents, at_book = max(cost, 0), max(units.round_half_up(by_book), 0)
            group = _GROUP_OF[self._items[code].form] if code in self._items else BOARDS
            found.append(MaterialLine(group, code, "from the rack", drawn, drawn, back, False, at_book, True, cents))
        return found

    def glue(self, session: Session, project: ProjectRow) -> MaterialLine | None:
        """Poured, by the log of glue-ups; None where nobody noted it."""
        rows = floor.glue_ups(session, project_id=project.id)
        poured = [(row.glue_ml, row.on_date) for row in rows if row.glue_ml is not None]
        adhesive = project.adhesive or self._shop.row.default_adhesive
        return self._poured(GLUE, StockForm.ADHESIVE, adhesive, poured)

    def finish(self, session: Session, project: ProjectRow) -> MaterialLine | None:
        """Used, by the log of coats; None where nobody noted it."""
        used = [(row.amount_ml, row.on_date) for row in floor.coats(session, project_id=project.id)]
        finish = project.finish or self._shop.row.default_finish
        return self._poured(FINISH, StockForm.FINISH, finish, used)

    def _poured(
        self, group: str, form: StockForm, kind: str, amounts: Sequence[tuple[float, date]]
    ) -> MaterialLine | None:
        """At the price of a container on the last day it was used, and on the quote's day."""
        item = next((one for one in self._items.values() if one.form is form and one.class_key == kind), None)
        if not amounts or item is None or not item.container_ml:
            return None
        ml = sum(amount for amount, _ in amounts)
        can = LineRow(stock_code=item.code, quantity=1, price_cents=0)
        then, now = self.cents(can), self.cents(can, max(on for _, on in amounts))
        if not now:
            return None
        cans = Fraction(ml) / Fraction(item.container_ml)
        cents = units.round_half_up(cans * Fraction(now))
        at_book = units.round_half_up(cans * Fraction(then or now))
        return MaterialLine(group, item.code, "ml", ml, ml, 0.0, False, at_book, bool(then), cents)


def _rack_moves(session: Session, project_id: int) -> dict[str, list[tuple[CostMove, int]]]:
    """What a project drew and left, with its cost by the shop's way of counting."""
    found: dict[str, list[tuple[CostMove, int]]] = {}
    for code, moves in rack.costed_moves(session).items():
        for move, cents in moves:
            if move.project_id == project_id and move.kind in (RackMoveKind.DRAWN, RackMoveKind.RETURNED):
                found.setdefault(code, []).append((move, cents))
    return found


def paid(session: Session, entries: Iterable[EntryRow], shop: ShopView) -> Paid:
    """Hours at the wage of who put them in; a place without one, and time without a place, at the shop's."""
    wages = {row.id: row.wage_cents_per_hour for row in worker_records.workers(session)}
    seconds, cents = Counter[bool](), {True: Fraction(0), False: Fraction(0)}
    for entry in entries:
        wage = wages.get(entry.worker_id or 0)
        whole = entry.seconds * entry.people
        seconds[entry.rework] += whole
        cents[entry.rework] += Fraction(
            whole * (shop.row.wage_cents_per_hour if wage is None else wage), _SECONDS_PER_HOUR
        )
    return Paid(
        seconds[False] / 60, units.round_half_up(cents[False]), seconds[True] / 60, units.round_half_up(cents[True])
    )


def machine_cents(entries: Iterable[EntryRow], promised: Promised, shop: ShopView) -> int:
    """Running hours at the rates of the quote; a stage logged as a whole is shared out as its operations were quoted.

    A machine that was quoted no hours runs at the shop's rate of now.
    """
    minutes = _by_operation(entries, promised)
    quoted = _running({one.code: one.minutes for one in promised.operations})
    now = shop.rates().machine_cents_per_hour
    total = 0.0
    for machine, running in _running(minutes).items():
        asked = quoted.get(machine, 0.0)
        known = promised.machines.get(machine, 0) if asked else 0
        total += running * (known / asked if known else now.get(machine, 0) / 60)
    return units.round_half_up(total)


def _running(minutes: Mapping[str, float]) -> dict[str, float]:
    """Machine → minutes it ran."""
    book = reference.operations()
    found: Counter[str] = Counter()
    for code, spent in minutes.items():
        if code in book and book[code].machine:
            found[book[code].machine] += spent * book[code].machine_share
    return dict(found)


def _by_operation(entries: Iterable[log.EntryRow], promised: Promised) -> dict[str, float]:
    minutes: Counter[str] = Counter()
    stages: Counter[str] = Counter()
    for entry in entries:
        spent = entry.seconds * entry.people / 60
        if entry.operation:
            minutes[entry.operation] += spent
        elif entry.stage:
            stages[entry.stage] += spent
    for stage, spent in stages.items():
        inside = {
            one.code: one.minutes for one in promised.operations if one.stage == stage and one.code not in minutes
        }
        whole = sum(inside.values())
        for code, quoted in inside.items():
            minutes[code] += spent * quoted / whole if whole else 0.0
    return dict(minutes)
