"""A receipt worked out line by line: board feet, price, its share of freight and tax, what the price book says."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from typing import TYPE_CHECKING

from journal import units
from journal.build import tally
from journal.build.stock import Dimensional
from journal.build.tally import MOST_BOARDS, Sawn
from journal.desk.prices import DEFAULT_PER
from journal.desk.shop import read_shop
from journal.errors import BadInput
from journal.quote.landed import Landed, landed
from journal.records.queries import projects as project_records
from journal.records.words import WOOD, PricePer, StockForm

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.records.queries.stock import ItemRow, PricedItem

MOST = 100_000  # of anything on one line
DEAREST = 10**10  # minor units on one line


class Per(StrEnum):
    """What the price on a line of a receipt is for."""

    EACH = "each"
    FOOT = "a foot"
    BOARD_FOOT = "a board foot"
    ALL = "for the whole line"


@dataclass(frozen=True, slots=True)
class Ordered:
    """A line as it stands on a receipt: so many pieces (of a length), or a tally, or so many board feet in a lot."""

    stock_code: str
    price_cents: int
    per: Per
    count: int | None = None
    length_nm: int | None = None
    boards: tuple[Sawn, ...] = ()
    board_feet: float | None = None


@dataclass(frozen=True, slots=True)
class Receipt:
    """A whole receipt; no project: for the rack. `learn`: its prices go into the price book; `tax_rate`: of its lines, in the place of an amount."""

    lines: tuple[Ordered, ...]
    on_date: date
    supplier: str = ""
    project_id: int | None = None
    freight_cents: int = 0
    tax_cents: int = 0
    note: str = ""
    learn: bool = False
    tax_rate: Fraction | None = None


@dataclass(frozen=True, slots=True)
class WorkedLine:
    """A line worked out.

    Attributes:
        ordered, item: what was typed, and what it is.
        pieces: boards, sheets, containers; 1 for a lot told by its board feet.
        board_feet: what is charged for, by the trade's way of counting; None for what is not lumber.
        convention: which way that is.
        exact_board_feet: of the sizes as they are; None for a lot.
        cents: price of the line.
        landed: with its share of freight and tax.
        each: price for one as the price book counts it, and what the book says now (None: nothing).
    """

    ordered: Ordered
    item: ItemRow
    pieces: int
    board_feet: float | None
    convention: str
    exact_board_feet: float | None
    cents: int
    landed: Landed
    per: PricePer
    each_cents: int | None
    book_cents: int | None

    @property
    def news(self) -> bool:
        """Whether the price book says something else."""
        return self.each_cents is not None and self.each_cents != self.book_cents


@dataclass(frozen=True, slots=True)
class Worked:
    """A receipt worked out, a rate of tax turned into its amount; `to_rack` is how many boards go onto the rack."""

    receipt: Receipt
    lines: tuple[WorkedLine, ...]

    @property
    def cents(self) -> int:
        """What was paid."""
        return sum(line.landed.cents for line in self.lines)

    @property
    def to_rack(self) -> int:
        """Boards and sheets that go onto the rack one by one."""
        return sum(line.pieces for line in self.lines if racked(line, self.receipt.project_id))


class LineFault(BadInput):
    """A line that cannot be used: which one, from 0, and why."""

    def __init__(self, place: int, fault: BadInput) -> None:
        self.place = place
        super().__init__(fault.field, fault.received, fault.expected)
        self.args = fault.args


def work_out(session: Session, receipt: Receipt, today: date) -> Worked:
    """What a receipt comes to. A constant number of statements.

    Raises:
        LineFault: of the first line that cannot be used.
        BadInput: no lines, or a day to come.
        MissingReference: no such project.
    """
    if receipt.on_date > today:
        raise BadInput("date", receipt.on_date, f"a day up to today, {today}")
    if not receipt.lines:
        raise BadInput("lines", "", "at least one thing that was bought")
    if receipt.project_id is not None:
        project_records.get_project(session, receipt.project_id)
    shop = read_shop(session, today)
    items = {priced.item.code: priced for priced in shop.items}
    nominal = {stock.code: stock for stock in shop.book().stocks if isinstance(stock, Dimensional)}
    worked = [_at(place, line, items, nominal, receipt.project_id) for place, line in enumerate(receipt.lines)]
    prices = [line.cents for line in worked]
    if receipt.tax_rate is not None:
        receipt = replace(receipt, tax_cents=units.percent_of(sum(prices), receipt.tax_rate), tax_rate=None)
    shares = landed(prices, freight_cents=receipt.freight_cents, tax_cents=receipt.tax_cents)
    return Worked(receipt, tuple(replace(line, landed=share) for line, share in zip(worked, shares, strict=True)))


def _at(
    place: int,
    line: Ordered,
    items: Mapping[str, PricedItem],
    nominal: Mapping[str, Dimensional],
    project_id: int | None,
) -> WorkedLine:
    try:
        return _worked(line, items.get(line.stock_code), nominal.get(line.stock_code), project_id)
    except BadInput as fault:
        raise LineFault(place, fault) from fault


def _worked(
    line: Ordered, priced: PricedItem | None, nominal: Dimensional | None, project_id: int | None
) -> WorkedLine:
    if priced is None:
        raise BadInput("stock", line.stock_code, "something the shop buys; add it under Prices first")
    item = priced.item
    if line.price_cents < 0:
        raise BadInput("price", line.price_cents, "an amount, 0 or more")
    measured = _hardwood(line, item) if item.form is StockForm.ROUGH else _pieces(line, item, nominal)
    cents = _cents(line, measured)
    if cents > DEAREST:
        raise BadInput("price", line.price_cents, "a line that comes to less")
    per = priced.prices[0].per if priced.prices else DEFAULT_PER[item.form]
    amount = _amount(measured, per)
    worked = WorkedLine(
        ordered=line,
        item=item,
        pieces=measured.pieces,
        board_feet=None if measured.board_feet is None else float(measured.board_feet),
        convention=measured.convention,
        exact_board_feet=measured.exact_board_feet,
        cents=cents,
        landed=Landed(cents, 0, 0),
        per=per,
        each_cents=units.round_half_up(cents / amount) if amount else None,
        book_cents=next((one.price_cents for one in priced.prices if one.length_nm in (None, line.length_nm)), None),
    )
    if racked(worked, project_id) and worked.pieces > MOST_BOARDS:
        raise BadInput("how many", worked.pieces, f"at most {MOST_BOARDS} boards for the rack on one line")
    return worked


@dataclass(frozen=True, slots=True)
class _Measured:
    """How much a line is, exactly, by every way of counting it; 0 or None where a way makes no sense."""

    pieces: int
    feet: Fraction
    board_feet: Fraction | None
    exact_board_feet: float | None
    convention: str = ""


def _hardwood(line: Ordered, item: ItemRow) -> _Measured:
    """By its tally, or a lot told by its board feet."""
    thickness_nm = item.thickness_nm or 0
    if line.boards:
        found = tally.hardwood(thickness_nm, line.boards)
        if not found.board_feet:
            raise BadInput(
                "tally", "boards under a foot long", "boards of at least a foot: no shorter ones are tallied"
            )
        feet = sum((_feet(one.count * one.length_nm) for one in line.boards), Fraction(0))
        return _Measured(
            found.boards, feet, Fraction(found.board_feet), found.exact_board_feet, "rough size, by surface measure"
        )
    if line.board_feet is None:
        raise BadInput("tally", "", "the boards, each by its width and length, or the board feet of the lot")
    if not 0 < line.board_feet <= MOST:
        raise BadInput("board feet", line.board_feet, f"a number over 0, at most {MOST:,}")
    if line.per is Per.FOOT:
        raise BadInput("price is", line.per.value, "a board foot, or the whole line: a lot has no length")
    return _Measured(1, Fraction(0), Fraction(str(line.board_feet)), None, "as the yard says")


def _pieces(line: Ordered, item: ItemRow, nominal: Dimensional | None) -> _Measured:
    """By the piece."""
    if line.count is None or not 1 <= line.count <= MOST:
        raise BadInput("how many", "" if line.count is None else line.count, f"a whole number from 1 to {MOST:,}")
    length_nm = line.length_nm or item.length_nm
    if item.form is StockForm.DIMENSIONAL and not line.length_nm:
        raise BadInput("length", "", "the length of the boards")
    if item.form is not StockForm.DIMENSIONAL:
        if line.per in (Per.FOOT, Per.BOARD_FOOT):
            raise BadInput("price is", line.per.value, "each, or the whole line: it is not sold by length")
        return _Measured(line.count, Fraction(0), None, None)
    across_nm2 = (item.thickness_nm or 0) * (item.width_nm or 0)
    by_nominal_nm2 = nominal.nominal_thickness_nm * nominal.nominal_width_nm if nominal else across_nm2
    long_nm = line.count * (length_nm or 0)
    return _Measured(
        pieces=line.count,
        feet=_feet(long_nm),
        board_feet=Fraction(by_nominal_nm2 * long_nm, units.NM3_PER_BOARD_FOOT),
        exact_board_feet=units.board_feet(across_nm2 * long_nm),
        convention="nominal size" if nominal else "size as it is",
    )


def _cents(line: Ordered, measured: _Measured) -> int:
    """Price of the whole line."""
    amounts = {
        Per.ALL: 1,
        Per.EACH: measured.pieces,
        Per.FOOT: measured.feet,
        Per.BOARD_FOOT: measured.board_feet or 0,
    }
    return units.round_half_up(line.price_cents * amounts[line.per])


def _amount(measured: _Measured, per: PricePer) -> Fraction:
    """How much of it the price book would count."""
    if per is PricePer.BOARD_FOOT:
        return measured.board_feet or Fraction(0)
    return measured.feet if per is PricePer.FOOT else Fraction(measured.pieces)


def _feet(length_nm: int) -> Fraction:
    return Fraction(length_nm, units.NM_PER_FOOT)


def racked(line: WorkedLine, project_id: int | None) -> bool:
    """Whether its boards go onto the rack one by one: all that is for no project, and every tally."""
    if line.item.form is StockForm.ROUGH:
        return bool(line.ordered.boards)
    return line.item.form in WOOD and project_id is None
