"""What a project is cut from: each stock with what is on sale, and the boards of the rack that the project may take.

The estimate knows nothing of the rack: a price rests on what boards cost today, so that it does not depend on what happens
to lie there; what the rack saves is shown beside it.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from journal.build.stock import Dimensional, Offer, Rough, Sheet
from journal.desk import solving
from journal.quote import rack_stock
from journal.quote.rack_stock import RackLot
from journal.quote.takeoff import board_problem
from journal.records.queries import rack as rack_records

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from sqlalchemy.orm import Session

    from journal.cutting.problem import BoardProblem, CuttingResult, StockLength
    from journal.desk.estimate import ProjectEstimate
    from journal.quote.takeoff import StockBill
    from journal.records.queries.rack import BoardRow

Look = tuple[int, int, int, tuple[tuple[int, int], ...]]


@dataclass(frozen=True, slots=True)
class Lot:
    """One stock of a project: what is to be cut from it at today's prices, with nothing known to be short.

    Attributes:
        stock: what is cut; boards of hardwood not bought yet are as large as the blanks they are for.
        offers: what is on sale, in the order of `on_sale.stock`; none of hardwood in random widths.
        on_sale: the problem as if the rack were empty.
        rack: boards of the rack that can hold any of it.
        problem, quick: the problem with them, and a plan made at once.
        bill: what the estimate buys, the rack not counted.
    """

    stock: Dimensional | Sheet | Rough
    offers: tuple[Offer, ...]
    on_sale: BoardProblem
    rack: tuple[tuple[StockLength, RackLot], ...]
    problem: BoardProblem
    quick: CuttingResult
    bill: StockBill

    @property
    def reject(self) -> float:
        """The share bought for faults."""
        return self.bill.reject

    def offer(self, length_nm: int) -> Offer | None:
        """What is asked today for boards of a length; None when that is not on offer any more."""
        lengths = zip(self.on_sale.stock, self.offers, strict=True)
        return next((offer for stock, offer in lengths if stock.length == length_nm), None)

    def limited(self, there: Mapping[int, int]) -> BoardProblem:
        """The problem with so many boards of some lengths to be had, by length in nm; the rack as it is."""
        stock = tuple(
            one if one.on_hand else replace(one, available=there.get(one.length, one.available))
            for one in self.problem.stock
        )
        return replace(self.problem, stock=stock)

    def numbers(self, used: Mapping[Look, int]) -> list[int] | None:
        """Boards of the rack that look so, so many of each, those of the project's own first; None if too few do."""
        found: list[int] = []
        for look, count in used.items():
            like = [number for board, lot in self.rack if look_of(board) == look for number in lot.numbers]
            if len(like) < count:
                return None
            found += like[:count]
        return found


def project_lots(session: Session, found: ProjectEstimate) -> tuple[Lot, ...]:
    """What a project is cut from, by stock, with the boards of the rack it may take. Two statements."""
    return lots(found, for_project(session, found.project.id))


def lots(found: ProjectEstimate, rack: Mapping[str, Sequence[RackLot]]) -> tuple[Lot, ...]:
    """What a project is cut from, by stock; hardwood in random widths has a plan once boards of it are on the rack."""
    rules = found.shop.rules(found.work).milling
    made = []
    for bill in found.made.takeoff.bills:
        milled = [m for m in found.made.takeoff.milled if m.stock == bill.stock]
        if isinstance(bill.stock, Rough):
            offers, on_sale = (), rack_stock.rough_problem(bill.stock, milled, rules)
        else:
            offers = bill.stock.offers if isinstance(bill.stock, Dimensional) else (bill.stock.offer,)
            on_sale = board_problem(bill.stock, milled, rules)
        known = rack_stock.on_hand(
            bill.stock, rack.get(bill.stock.code, ()), kerf=on_sale.rules.kerf_crosscut, system=found.shop.system
        )
        there = rack_stock.useful(on_sale, known)
        if there or bill.cutting is not None:
            made.append(_lot(bill, offers, on_sale, there))
    return tuple(made)


def _lot(
    bill: StockBill, offers: tuple[Offer, ...], on_sale: BoardProblem, rack: tuple[tuple[StockLength, RackLot], ...]
) -> Lot:
    if not rack and bill.cutting is not None:
        return Lot(bill.stock, offers, on_sale, (), on_sale, bill.cutting, bill)
    problem = replace(on_sale, stock=(*(board for board, _ in rack), *on_sale.stock))
    return Lot(bill.stock, offers, on_sale, rack, problem, solving.quick(problem), bill)


def for_project(session: Session, project_id: int) -> Mapping[str, tuple[RackLot, ...]]:
    """By stock code: what is free, what is planned for the project, what it drew; alike ones together. Two statements.

    Those of its own come first. Once boards of a stock were bought for the project, what is free stays for others, unless
    it is planned for this one by hand: wood that is paid for is not left lying for wood on the rack.
    """
    bought = rack_records.bought_outright(session, project_id)
    by_stock: dict[str, list[BoardRow]] = defaultdict(list)
    for board in rack_records.for_project(session, project_id):
        if board.project_id == project_id or board.stock_code not in bought:
            by_stock[board.stock_code].append(board)
    return {code: _lots(boards, project_id) for code, boards in by_stock.items()}


def _lots(boards: Sequence[BoardRow], project_id: int) -> tuple[RackLot, ...]:
    alike: dict[tuple[bool, tuple[int, ...], tuple[tuple[int, int], ...]], list[int]] = defaultdict(list)
    for board in boards:
        sizes = (board.thickness_nm, board.width_nm, board.length_nm)
        cut_outs = tuple(sorted((start, end) for start, end, _ in board.cut_outs))
        alike[board.project_id != project_id, sizes, cut_outs].append(board.id)
    return tuple(
        RackLot(tuple(numbers), *sizes, cut_outs=cut_outs, own=not free)
        for (free, sizes, cut_outs), numbers in sorted(alike.items(), key=lambda each: (each[0], each[1]))
    )


def more_on_rack(lot: Lot, problem: BoardProblem) -> bool:
    """Whether the rack has boards that were not there, or not free, when a problem was set."""
    known = _rack_counts(problem.stock)
    now = _rack_counts(board for board, _ in lot.rack)
    return bool(now - known)


def _rack_counts(stock: Iterable[StockLength]) -> Counter[Look]:
    counts: Counter[Look] = Counter()
    for board in stock:
        if board.on_hand:
            counts[look_of(board)] += board.available or 0
    return counts


def used_of_rack(problem: BoardProblem, result: CuttingResult) -> dict[Look, int]:
    """Boards of the rack that a plan cuts, by look."""
    boards = {stock.id: stock for stock in problem.stock}
    counts: Counter[Look] = Counter()
    for name, count in result.from_rack:
        counts[look_of(boards[name])] += count
    return dict(counts)


def look_of(board: StockLength) -> Look:
    """What one board of the rack has in common with any that could take its place."""
    return board.thickness, board.width, board.length, board.cut_outs
