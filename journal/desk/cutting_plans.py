"""How the boards of a project are cut: the plan in force of each stock, kept, planned again, tried without a length.

Boards on the rack come first, at what using them up is worth (`quote/rack_stock.py`).
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

from journal import units
from journal.build.stock import Dimensional, Rough, Sheet
from journal.cutting.verify import replay
from journal.desk import estimate as estimates
from journal.desk import plan_text, solving
from journal.desk.cutting_lots import look_of, more_on_rack, project_lots, used_of_rack
from journal.errors import JournalError, MissingReference, NoSolution
from journal.quote.takeoff import spare_boards
from journal.records.queries import cutting as cutting_records
from journal.records.queries import plans
from journal.records.queries import rack as rack_records
from journal.records.queries.cutting import CuttingDraft
from journal.records.queries.rack import ActDraft, Change
from journal.records.queries.shop import shop_day
from journal.records.words import CuttingStatus, RackMoveKind

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from journal.cutting.problem import BoardProblem, CuttingResult, StockLength
    from journal.cutting.verify import Replay
    from journal.desk.cutting_lots import Lot
    from journal.records.queries.cutting import CuttingRow

QUICK = "quick"  # how a plan ended that was made at once


class Standing(StrEnum):
    """What a plan in force is worth today."""

    NEW = "new"  # made at once for this page, not kept
    KEPT = "kept"
    REPRICED = "repriced"  # kept; prices or lengths on offer have changed since, the cuts still hold
    STALE = "stale"  # the kept one was for other parts or allowances; this is a new one
    RACK = "rack"  # boards of the rack that the kept one cuts are not there any more; this is a new one
    DAMAGED = "damaged"  # the kept one cannot be read, or its checksum does not fit; this is a new one


NOT_KEPT = (Standing.NEW, Standing.STALE, Standing.RACK, Standing.DAMAGED)


@dataclass(frozen=True, slots=True)
class Need:
    """Boards of one length to buy: so many, of them so many to spare."""

    length_nm: int
    count: int
    spares: int


@dataclass(frozen=True, slots=True)
class Needs:
    """Boards to buy by length; `short` spares could not be had of any length that is there."""

    lengths: tuple[Need, ...]
    short: int


@dataclass(frozen=True, slots=True)
class InForce:
    """The plan that boards of one stock are bought and cut by.

    Attributes:
        lot: what is to be cut, at today's prices.
        problem, result: what the plan answers, and the plan.
        standing: what it is worth today.
        row: the newest that was kept, also when it is stale.
    """

    lot: Lot
    problem: BoardProblem
    result: CuttingResult
    standing: Standing
    row: CuttingRow | None = None

    @property
    def there(self) -> dict[int, int]:
        """How many boards were to be had, by length; lengths as plentiful as wanted are left out."""
        on_sale = [stock for stock in self.problem.stock if not stock.on_hand]
        return {stock.length: stock.available for stock in on_sale if stock.available is not None}

    @property
    def needs(self) -> Needs:
        """What to buy for it, spares counted in."""
        return needs(self.problem, self.result, self.lot.reject)

    @property
    def cents(self) -> int:
        """What that costs today; a length no longer on offer at the price it had."""
        if isinstance(self.lot.stock, Rough):
            return units.round_half_up(self.feet_to_buy * self.lot.stock.offer.price_cents)
        prices = {stock.length: stock.price_cents for stock in self.problem.stock if not stock.on_hand}
        prices |= {stock.length: stock.price_cents for stock in self.lot.on_sale.stock}
        return sum(need.count * prices[need.length_nm] for need in self.needs.lengths)

    @property
    def feet_to_buy(self) -> float:
        """Board feet of hardwood still to be bought: of the blanks that no board on the rack gives, and its waste."""
        bought = {place for place, board in enumerate(self.result.plan.boards) if board.stock_id not in self._on_hand}
        blanks = {blank.id: blank for blank in self.problem.blanks}
        extra = self.problem.rules.segment_extra
        area = sum(
            blanks[strip.blank_id].width * (blanks[strip.blank_id].length + extra)
            for strip in self.replayed().strips
            if strip.board in bought
        )
        return units.board_feet(area * self.lot.on_sale.stock[0].thickness) / (1 - self.lot.reject)

    @property
    def from_rack(self) -> tuple[tuple[StockLength, tuple[int, ...]], ...]:
        """Boards of the rack that it cuts, with their numbers there; those of the project's own first."""
        looks = used_of_rack(self.problem, self.result)
        numbers = {look: list(self.lot.numbers({look: count}) or ()) for look, count in looks.items()}
        found = []
        for name, count in self.result.from_rack:
            board = self._on_hand[name]
            like = numbers[look_of(board)]
            found.append((board, tuple(like[:count])))
            del like[:count]
        return tuple(found)

    @property
    def rack_numbers(self) -> tuple[int, ...]:
        """The numbers of all of them."""
        return tuple(number for _, numbers in self.from_rack for number in numbers)

    @property
    def saved_cents(self) -> int:
        """How much less is to be bought than without the rack, at today's prices; below 0 is more."""
        return self.lot.bill.cents - self.cents if self.result.from_rack else 0

    @property
    def _on_hand(self) -> dict[str, StockLength]:
        return {stock.id: stock for stock in self.problem.stock if stock.on_hand}

    def replayed(self) -> Replay:
        """The plan cut by cut."""
        return replay(self.problem, self.result)


@dataclass(frozen=True, slots=True)
class Without:
    """What if a length is not there: so much more (or less), with these boards instead; or why it cannot be done."""

    stock: str
    length_nm: int
    more_cents: int
    instead: tuple[Need, ...]
    why_not: str = ""


def in_force(session: Session, project_id: int, found: Sequence[Lot]) -> tuple[InForce, ...]:
    """The plan of each stock: the newest that was kept where it still serves, else one made at once. One statement."""
    rows = cutting_records.newest(session, project_id)
    return tuple(_in_force(lot, rows.get(lot.stock.code)) for lot in found)


def one_in_force(session: Session, project_id: int, stock_code: str, today: date) -> InForce:
    """The plan of one stock.

    Raises:
        MissingReference: nothing is cut from it.
        JournalError: the project cannot be built as it stands.
    """
    found = project_lots(session, estimates.estimate_project(session, project_id, today))
    for plan in in_force(session, project_id, [lot for lot in found if lot.stock.code == stock_code]):
        return plan
    raise MissingReference("stock of this project", stock_code, [lot.stock.code for lot in found])


def keep(
    session: Session,
    project_id: int,
    plan: InForce,
    *,
    now: datetime,
    status: CuttingStatus | None = None,
    ended: str = QUICK,
) -> CuttingRow:
    """Keep a plan with the project; it is in force from now on, and free boards of the rack that it cuts are planned."""
    _set_aside(session, project_id, plan, now)
    return cutting_records.keep(
        session,
        project_id,
        plan.lot.stock.code,
        draft(plan.problem, plan.result, ended=ended, status=status),
        plan_version=plans.plan_history(session, project_id)[0].version,
        problem_sha256=plan_text.problem_digest(plan.problem),
        now=now,
    )


def _set_aside(session: Session, project_id: int, plan: InForce, now: datetime) -> None:
    boards = rack_records.get_boards(session, plan.rack_numbers)
    free = [board for board in boards if board.project_id is None]
    if not free:
        return
    count = f"{len(free)} {piece_word(plan.lot.stock)}{'s' if len(free) > 1 else ''}"
    planned = [
        Change(board.id, RackMoveKind.PLANNED, {"project_id": project_id}, version=board.version) for board in free
    ]
    act = ActDraft(
        said=f"{count} of {plan.lot.stock.code} planned with a cutting plan",
        on_date=shop_day(session, now),
        changes=planned,
        project_id=project_id,
    )
    rack_records.record(session, act, now=now)


def draft(
    problem: BoardProblem, result: CuttingResult, *, ended: str, status: CuttingStatus | None = None
) -> CuttingDraft:
    """A plan as it is kept."""
    return CuttingDraft(
        payload=plan_text.to_text(problem, result),
        status=status or CuttingStatus(result.status),
        cost_cents=result.cost_cents,
        bound_cents=result.bound_cents,
        ended=ended,
    )


def replan(plan: InForce, there: Mapping[int, int]) -> InForce:
    """The plan made again at today's prices, with so many boards of some lengths to be had (length in nm: boards).

    Raises:
        NoSolution: it cannot be cut from them.
    """
    problem = plan.lot.limited(there)
    return replace(plan, problem=problem, result=solving.quick(problem), standing=Standing.NEW)


def without_each(plan: InForce) -> tuple[Without, ...]:
    """For each length that is bought, what it would cost to do without it: really planned again."""
    if isinstance(plan.lot.stock, Rough):
        return ()
    base = plan.cents
    return tuple(_without(plan, need.length_nm, base) for need in plan.needs.lengths)


def needs(problem: BoardProblem, result: CuttingResult, reject: float) -> Needs:
    """Boards to buy, shortest first, spares counted in as the estimate does.

    Spares that are not there of their own length are taken of the next longer one that is, else of another one bought.
    """
    counts = {stock.id: count for stock in problem.stock if (count := dict(result.shopping).get(stock.id, 0))}
    wanted = dict(zip(counts, spare_boards(list(counts.values()), reject), strict=True))
    spares: Counter[str] = Counter()
    short = 0
    for stock in sorted((one for one in problem.stock if one.id in counts), key=lambda one: -one.length):
        left = wanted[stock.id]
        for other in _stand_ins(problem, stock, counts):
            used = counts.get(other.id, 0) + spares[other.id]
            have = left if other.available is None else max(0, min(left, other.available - used))
            spares[other.id] += have
            left -= have
        short += left
    bought = [stock for stock in problem.stock if counts.get(stock.id, 0) + spares[stock.id]]
    lengths = [Need(stock.length, counts.get(stock.id, 0) + spares[stock.id], spares[stock.id]) for stock in bought]
    return Needs(tuple(sorted(lengths, key=lambda need: need.length_nm)), short)


def piece_word(stock: Dimensional | Sheet | Rough) -> str:
    """What one piece of it is called."""
    return "sheet" if isinstance(stock, Sheet) else "board"


def _stand_ins(problem: BoardProblem, stock: StockLength, counts: Mapping[str, int]) -> list[StockLength]:
    """The board itself, then longer ones on sale from the shortest on, then shorter ones bought from the longest on."""
    others = [one for one in problem.stock if one.id != stock.id and not one.on_hand]
    longer = sorted((one for one in others if one.length >= stock.length), key=lambda one: one.length)
    shorter = sorted((one for one in others if one.length < stock.length), key=lambda one: -one.length)
    return [stock, *longer, *(one for one in shorter if one.id in counts)]


def _in_force(lot: Lot, row: CuttingRow | None) -> InForce:
    if row is None:
        return InForce(lot, lot.problem, lot.quick, Standing.NEW)
    if row.damaged:
        return InForce(lot, lot.problem, lot.quick, Standing.DAMAGED, row)
    if row.problem_sha256 != plan_text.problem_digest(lot.problem):
        return InForce(lot, lot.problem, lot.quick, Standing.STALE, row)
    try:
        problem, result = plan_text.from_text(row.payload)
    except JournalError:  # written by another version of the program
        return InForce(lot, lot.problem, lot.quick, Standing.DAMAGED, row)
    if lot.numbers(used_of_rack(problem, result)) is None:
        return InForce(lot, lot.problem, lot.quick, Standing.RACK, row)
    same = _without_limits(problem) == _without_limits(lot.problem) and not more_on_rack(lot, problem)
    return InForce(lot, problem, result, Standing.KEPT if same else Standing.REPRICED, row)


def _without_limits(problem: BoardProblem) -> tuple[StockLength, ...]:
    return tuple(replace(stock, available=None) for stock in problem.stock if not stock.on_hand)


def _without(plan: InForce, length_nm: int, base_cents: int) -> Without:
    code = plan.lot.stock.code
    try:
        other = replan(plan, {**plan.there, length_nm: 0})
    except NoSolution as refused:
        return Without(code, length_nm, 0, (), _why_not(plan, refused))
    return Without(code, length_nm, other.cents - base_cents, other.needs.lengths)


def _why_not(plan: InForce, refused: JournalError) -> str:
    if len(plan.lot.on_sale.stock) == 1:
        return "it is sold in no other length" if isinstance(plan.lot.stock, Dimensional) else "it is sold in one size"
    return str(refused)
