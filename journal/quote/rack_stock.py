"""Boards on the rack as stock to cut from, and what using one up is worth.

What a board on the rack costs a plan is not what was paid for it, which is gone either way, but what the shop gives up
by using it (its opportunity cost). The rule, a starting assumption: a board that could stand in for one that is sold is
worth half of that one's price today, because it saves buying one some day, and one day it may warp or go missing; a piece
shorter or narrower than what is sold is worth nothing; and a board already set aside for the project costs it nothing.
Where everything costs nothing, fewer boards are better.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from journal import reference, units
from journal.build.stock import Dimensional, Rough, Sheet
from journal.cutting.problem import StockLength
from journal.errors import BadInput
from journal.quote.takeoff import board_problem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal.build.milling import Milled, MillingRules
    from journal.build.stock import Stock
    from journal.cutting.problem import Blank, BoardProblem, SawRules

SALVAGE = Fraction(1, 2)  # of today's price, see above
# An offcut at least so long and wide is worth keeping: a starting assumption.
KEEP_LENGTH_NM, KEEP_WIDTH_NM = units.inches(12), units.inches("1 1/2")


@dataclass(frozen=True, slots=True)
class RackLot:
    """Boards of one stock on the rack that are alike; lengths in nm.

    Attributes:
        numbers: of the boards, as they stand on the rack.
        thickness, width, length: of each.
        cut_outs: (from, to) along the length that no part may lie over.
        own: set aside for the project that is planned, or already drawn for it.
    """

    numbers: tuple[int, ...]
    thickness: int
    width: int
    length: int
    cut_outs: tuple[tuple[int, int], ...] = ()
    own: bool = False

    def __post_init__(self) -> None:
        if not self.numbers:
            raise BadInput("boards of the rack", "", "at least one")


def worth_keeping(length_nm: int, width_nm: int) -> bool:
    """Whether an offcut goes back to the rack rather than into the stove."""
    return length_nm >= KEEP_LENGTH_NM and width_nm >= KEEP_WIDTH_NM


def on_hand(
    stock: Stock, lots: Sequence[RackLot], *, kerf: int, system: units.System = units.System.INCH
) -> tuple[tuple[StockLength, RackLot], ...]:
    """Boards on the rack as stock that is not bought; forbidden stretches at least as long as the kerf is wide.

    Args:
        stock: what they are of.
        lots: those of this stock; boards of random width are lots of one.
        kerf: of the crosscut, in nm.
        system: of the lengths in their names.
    """
    names: set[str] = set()
    found = []
    for lot in lots:
        name = _name(stock, lot, system)
        if name in names:
            name = f"{name}, no. {lot.numbers[0]}"
        names.add(name)
        cut_outs = _widened(lot.cut_outs, lot.length, kerf)
        if cut_outs == ((0, lot.length),):
            continue
        board = StockLength(
            id=name,
            family=stock.code,
            thickness=lot.thickness,
            width=lot.width,
            length=lot.length,
            price_cents=salvage_cents(stock, lot),
            available=len(lot.numbers),
            on_hand=True,
            cut_outs=cut_outs,
            either_way=isinstance(stock, Sheet) and not cut_outs,
        )
        found.append((board, lot))
    return tuple(found)


def salvage_cents(stock: Stock, lot: RackLot) -> int:
    """What using up one such board is worth, by the rule above."""
    if lot.own:
        return 0
    longest = max((end - start for start, end in _clear(lot)), default=0)
    if isinstance(stock, Dimensional):
        if lot.width < stock.width_nm or lot.thickness < stock.thickness_nm:
            return 0
        prices = [offer.price_cents for offer in stock.offers if offer.length_nm <= longest]
        return units.round_half_up(max(prices, default=0) * SALVAGE)
    if isinstance(stock, Rough):
        if longest < min(reference.lengths_sold("hardwood")) or lot.width < stock.usual_width_nm / 2:
            return 0
        feet = units.board_feet(lot.thickness * lot.width * longest)
        return units.round_half_up(feet * stock.offer.price_cents * float(SALVAGE))
    share = Fraction(lot.width * longest, stock.width_nm * stock.length_nm)
    return units.round_half_up(stock.offer.price_cents * min(share, Fraction(1)) * SALVAGE) if share >= SALVAGE else 0


def useful(
    problem: BoardProblem, boards: Sequence[tuple[StockLength, RackLot]]
) -> tuple[tuple[StockLength, RackLot], ...]:
    """Those boards of the rack that can hold any of the blanks."""
    return tuple(each for each in boards if any(problem.fits(blank, each[0]) for blank in problem.blanks))


def rough_problem(stock: Rough, milled: Sequence[Milled], rules: MillingRules) -> BoardProblem:
    """What is to be cut from hardwood in random widths, all of it still to be bought.

    Boards not bought yet have no sizes, so each blank has one of its own, priced by the board feet it holds: the plan that
    costs least is then the one that leaves the fewest to be bought.
    """
    stand_in = Dimensional(
        code=stock.code,
        species=stock.species,
        nominal=stock.quarter,
        thickness_nm=stock.thickness_nm,
        width_nm=stock.usual_width_nm,
        nominal_thickness_nm=stock.thickness_nm,
        nominal_width_nm=stock.usual_width_nm,
        offers=(replace(stock.offer, length_nm=stock.usual_length_nm),),
    )
    problem = board_problem(stand_in, milled, rules)
    return replace(problem, stock=tuple(_to_buy(stock, blank, problem.rules) for blank in problem.blanks))


def _to_buy(stock: Rough, blank: Blank, rules: SawRules) -> StockLength:
    length = blank.length + rules.segment_extra
    feet = units.board_feet(stock.thickness_nm * blank.width * length)
    return StockLength(
        id=f"{stock.code} to buy, for {blank.id}",
        family=stock.code,
        thickness=stock.thickness_nm,
        width=blank.width + rules.edge_allowance,
        length=length + 2 * rules.end_trim,
        price_cents=units.round_half_up(feet * stock.offer.price_cents),
    )


def _clear(lot: RackLot) -> list[tuple[int, int]]:
    edges = [0, *(edge for pair in _widened(lot.cut_outs, lot.length, 1) for edge in pair), lot.length]
    return [(start, end) for start, end in zip(edges[::2], edges[1::2], strict=True) if start < end]


def _widened(cut_outs: Sequence[tuple[int, int]], length: int, least: int) -> tuple[tuple[int, int], ...]:
    """In order, within the board, none shorter than the kerf, those that touch made one."""
    done: list[tuple[int, int]] = []
    for start, end in sorted(cut_outs):
        missing = max(0, least - (end - start))
        low = max(0, min(start - missing // 2, length - least))
        high = min(length, max(end, low + least))
        if done and low <= done[-1][1]:
            done[-1] = (done[-1][0], max(done[-1][1], high))
        elif low < high:
            done.append((low, high))
    return tuple(done)


def _name(stock: Stock, lot: RackLot, system: units.System) -> str:
    long = isinstance(stock, Sheet)
    length = units.format_length(lot.length, system, feet=not long)
    usual = stock.width_nm if isinstance(stock, Dimensional | Sheet) else 0
    across = "" if lot.width == usual else f" × {units.format_length(lot.width, system)}"
    return f"{stock.code} {length}{across} from the rack"
