"""When the boards of a project are cut: those of the rack drawn, what is left returned, receipts told what became of them.

An offcut costs the rack its share of what its board cost, by volume; what is left of the cost is the project's.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from journal import units
from journal.build.stock import Sheet
from journal.desk import buying, cutting_plans, rack_moves
from journal.desk.cutting_plans import NOT_KEPT
from journal.errors import BadInput, Conflict
from journal.quote.landed import landed
from journal.quote.rack_stock import worth_keeping
from journal.records.queries import rack as rack_records
from journal.records.queries import rack_flow
from journal.records.queries import stock as stock_records
from journal.records.queries.rack import ActDraft, BoardDraft, LineFate
from journal.records.words import WOOD, RackMoveKind, StockForm
from journal.working import counted

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from journal.cutting.problem import StockLength
    from journal.desk.buying import Shopping
    from journal.desk.cutting_plans import InForce
    from journal.records.queries.purchases import LineRow
    from journal.records.queries.rack import ActRow, BoardRow

Size = tuple[str, int, int, int]  # stock code, thickness, width, length in nm


@dataclass(frozen=True, slots=True)
class Left:
    """Offcuts of one size that the cutting plan leaves and that are worth keeping; `costs_cents` of each."""

    key: str
    stock_code: str
    thickness_nm: int
    width_nm: int
    length_nm: int
    costs_cents: tuple[int, ...]

    @property
    def count(self) -> int:
        """How many."""
        return len(self.costs_cents)


@dataclass(frozen=True, slots=True)
class Bought:
    """A line of a receipt of which nothing is known yet: `cut` is how many of it the plan cuts."""

    line: LineRow
    form: StockForm
    cut: float
    landed_cents: int


@dataclass(frozen=True, slots=True)
class After:
    """What is still to be told.

    Attributes:
        shopping: of the project.
        to_draw: boards of the rack that the plans cut and that are still there.
        left: offcuts that nobody has returned.
        bought: lines of receipts of which nobody has said what became of them.
    """

    shopping: Shopping
    to_draw: tuple[BoardRow, ...]
    left: tuple[Left, ...]
    bought: tuple[Bought, ...]


@dataclass(frozen=True, slots=True)
class Fate:
    """What became of a line: so many used, so many rejected; the rest goes onto the rack."""

    line_id: int
    used: float
    rejected: float


def after(session: Session, project_id: int, today: date) -> After:
    """What is still to be told of a project's boards. A constant number of statements.

    Raises:
        JournalError: it cannot be built as it stands.
    """
    found = buying.shopping(session, project_id, today)
    boards = tuple(board for taken in found.taken for board in taken.boards)
    known = {board.id: board for board in boards}
    returned = Counter(
        (board.stock_code, board.thickness_nm, board.width_nm, board.length_nm)
        for board in rack_flow.returned_by(session, project_id)
        if board.offcut
    )
    forms = {priced.item.code: priced.item.form for priced in found.found.shop.items}
    return After(
        shopping=found,
        to_draw=tuple(board for board in boards if board.there),
        left=tuple(_left(found, known, returned)),
        bought=tuple(_bought(found, forms)),
    )


def draw(session: Session, project_id: int, numbers: Sequence[int], *, today: date, now: datetime) -> ActRow:
    """Take the boards of the rack that a project is cut from; the plan that cuts them is kept, unless it is already.

    Raises:
        Conflict: one is not on the rack any more, or planned for another project.
    """
    for plan in buying.shopping(session, project_id, today).plans:
        if plan.standing in NOT_KEPT and set(plan.rack_numbers) & set(numbers):
            cutting_plans.keep(session, project_id, plan, now=now)
    boards = rack_records.get_boards(session, numbers)
    return rack_moves.draw(session, boards, project_id, today=today, now=now)


def tell(
    session: Session,
    project_id: int,
    left: Mapping[str, int],
    fates: Sequence[Fate],
    *,
    today: date,
    now: datetime,
) -> ActRow:
    """Return offcuts (so many by key) and say what became of receipts; what was neither used nor bad goes to the rack.

    Raises:
        BadInput: nothing told, more than there is.
        Conflict: the offcuts or receipts are not as they were listed.
    """
    found = after(session, project_id, today)
    new = [*_returned(found, left, today), *_whole(session, found, fates, today)]
    if not new and not fates:
        raise BadInput("offcuts", "", "at least one thing to return, or to say of a receipt")
    stocks = {board.stock_code for board in new}
    for plan in found.shopping.plans:  # else what goes back would be planned again as if it had been there before
        if plan.standing in NOT_KEPT and plan.lot.stock.code in stocks:
            cutting_plans.keep(session, project_id, plan, now=now)
    draft = ActDraft(
        said=f"{counted(len(new), 'piece')} left by {found.shopping.project.code} put on the rack",
        on_date=today,
        new=[(board, RackMoveKind.RETURNED) for board in new],
        fates=[LineFate(fate.line_id, fate.used, fate.rejected) for fate in fates],
        project_id=project_id,
    )
    return rack_records.record(session, draft, now=now)


def _left(found: Shopping, known: Mapping[int, BoardRow], returned: Counter[Size]) -> Iterator[Left]:
    costs: dict[Size, list[int]] = defaultdict(list)
    paid = _paid_each(found)
    for plan in found.plans:
        boards = {stock.id: stock for stock in plan.problem.stock}
        for one in plan.result.offcuts:
            if worth_keeping(one.length, one.width):
                size = (plan.lot.stock.code, one.thickness, one.width, one.length)
                share = Fraction(one.width * one.length, boards[one.stock_id].width * boards[one.stock_id].length)
                costs[size].append(units.round_half_up(_cost(plan, boards[one.stock_id], known, paid) * share))
    ids = {priced.item.code: priced.item.id for priced in found.found.shop.items}
    for size, each in costs.items():
        still = tuple(each[returned[size] :])
        if still:
            code, thickness_nm, width_nm, length_nm = size
            key = f"{ids[code]}-{thickness_nm}-{width_nm}-{length_nm}"
            yield Left(key, code, thickness_nm, width_nm, length_nm, still)


def _cost(
    plan: InForce, board: StockLength, known: Mapping[int, BoardRow], paid: Mapping[tuple[str, int], Fraction]
) -> Fraction:
    """Of one board that is cut: what was paid for it and its like on average, else today's price."""
    if board.on_hand:
        sizes = (board.thickness, board.width, board.length)
        like = [known[number] for number in plan.rack_numbers]
        costs = [one.cost_cents for one in like if (one.thickness_nm, one.width_nm, one.length_nm) == sizes]
        return Fraction(sum(costs), len(costs) or 1)
    length_nm = 0 if isinstance(plan.lot.stock, Sheet) else board.length
    return paid.get((plan.lot.stock.code, length_nm), Fraction(board.price_cents))


def _paid_each(found: Shopping) -> dict[tuple[str, int], Fraction]:
    """What one board cost with its share of freight and tax, on average, by stock and length."""
    cents: Counter[tuple[str, int]] = Counter()
    pieces: dict[tuple[str, int], Fraction] = defaultdict(Fraction)
    for line, paid in _with_landed(found):
        cents[line.stock_code, line.length_nm or 0] += paid
        pieces[line.stock_code, line.length_nm or 0] += Fraction(str(line.quantity))
    return {key: cents[key] / count for key, count in pieces.items()}


def _with_landed(found: Shopping) -> Iterator[tuple[LineRow, int]]:
    for receipt in found.receipts:
        if receipt.lines:
            prices = [line.price_cents for line in receipt.lines]
            shares = landed(prices, freight_cents=receipt.freight_cents, tax_cents=receipt.tax_cents)
            yield from ((line, share.cents) for line, share in zip(receipt.lines, shares, strict=True))


def _bought(found: Shopping, forms: Mapping[str, StockForm]) -> Iterator[Bought]:
    """Lines of wood not on the rack, of which nothing is known; what the plans cut is taken from the oldest first."""
    cut: Counter[tuple[str, int]] = Counter()
    for plan in found.plans:
        lengths = {stock.id: stock.length for stock in plan.problem.stock if not stock.on_hand}
        sheet = isinstance(plan.lot.stock, Sheet)
        for name, count in plan.result.shopping:
            cut[plan.lot.stock.code, 0 if sheet else lengths[name]] += count
    for line, cents in _with_landed(found):
        key = (line.stock_code, line.length_nm or 0)
        known = line.used_quantity is not None or line.rejected_quantity is not None
        if forms.get(line.stock_code) in WOOD and line.id not in found.racked:
            # A lot told by its board feet is used up as one.
            used = line.quantity if forms[line.stock_code] is StockForm.ROUGH else min(line.quantity, cut[key])
            cut[key] -= int(used)
            if not known:
                yield Bought(line, forms[line.stock_code], used, cents)


def _returned(found: After, left: Mapping[str, int], today: date) -> Iterator[BoardDraft]:
    listed = {one.key: one for one in found.left}
    for key, count in left.items():
        if key not in listed:
            raise Conflict("the list of offcuts", "look at it again")
        one = listed[key]
        if not 0 <= count <= one.count:
            raise BadInput("offcuts", count, f"a whole number up to {one.count}: so many of that size are left")
        for cents in one.costs_cents[:count]:
            yield BoardDraft(
                stock_code=one.stock_code,
                thickness_nm=one.thickness_nm,
                width_nm=one.width_nm,
                length_nm=one.length_nm,
                cost_cents=cents,
                since=today,
                offcut=True,
            )


def _whole(session: Session, found: After, fates: Sequence[Fate], today: date) -> Iterator[BoardDraft]:
    """Boards neither used nor bad."""
    listed = {one.line.id: one for one in found.bought}
    for fate in fates:
        if fate.line_id not in listed:
            raise Conflict("the list of receipts", "look at it again")
        one = listed[fate.line_id]
        rest = one.line.quantity - fate.used - fate.rejected
        if rest < 0:
            raise BadInput(
                f"used of {one.line.stock_code}", f"{fate.used + fate.rejected:g}", "no more than was bought"
            )
        if one.form is StockForm.ROUGH:
            continue  # nobody knows the sizes of what is left of a lot
        item = stock_records.find_item(session, one.line.stock_code)
        thickness_nm, width_nm, length_nm = rack_moves.sizes_of(item, None, one.line.length_nm)
        each = units.round_half_up(Fraction(one.landed_cents) / Fraction(str(one.line.quantity)))
        for _ in range(int(rest)):
            yield BoardDraft(
                stock_code=one.line.stock_code,
                thickness_nm=thickness_nm,
                width_nm=width_nm,
                length_nm=length_nm,
                cost_cents=each,
                since=today,
            )
