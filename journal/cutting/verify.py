"""Whether a cutting plan can really be cut, and whether its bound holds: a replay that knows nothing of the search.

Each board is walked cut by cut from its first trim, in plain whole numbers. Every strip and offcut gets its place on the
board, every area its name, and each board's areas must add up to the board, to the unit.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, fields
from fractions import Fraction
from typing import TYPE_CHECKING

from journal.cutting.certify import certified_cents
from journal.cutting.problem import Offcut

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from journal.cutting.problem import (
        Blank,
        BoardCut,
        BoardProblem,
        CuttingResult,
        Segment,
        StockLength,
    )


@dataclass(frozen=True, slots=True)
class Balance:
    """Where the area of the boards went, in square units: board = blanks + allowances + kerf + trims + cut-outs + offcuts.

    Attributes:
        board: of the boards as bought.
        blanks: of the blanks themselves.
        allowances: edge allowances, and each strip's length over its blank.
        kerf: sawdust between pieces.
        trims: both ends of each board.
        cut_outs: stretches that no part may lie over, as far as they lie between the trims.
        offcuts: board ends and segment edges left over.
    """

    board: int = 0
    blanks: int = 0
    allowances: int = 0
    kerf: int = 0
    trims: int = 0
    cut_outs: int = 0
    offcuts: int = 0

    def __add__(self, other: Balance) -> Balance:
        return Balance(*(getattr(self, one.name) + getattr(other, one.name) for one in fields(self)))


@dataclass(frozen=True, slots=True)
class PlacedStrip:
    """A strip's place: board number, distance from the board's first end and first edge, size, and blank.

    `along` and `length` are measured along the board whichever way it is cut first; `segment` counts from 0.
    """

    board: int
    along: int
    across: int
    length: int
    width: int
    blank_id: str
    segment: int
    turned: bool


@dataclass(frozen=True, slots=True)
class Replay:
    """What the replay found: no faults is a plan that can be cut as written.

    `boards` is the balance of each board, `balance` their sum; `strips` where each strip lies, for drawings.
    """

    faults: tuple[str, ...]
    balance: Balance
    boards: tuple[Balance, ...]
    strips: tuple[PlacedStrip, ...]


def replay(problem: BoardProblem, result: CuttingResult) -> Replay:
    """Walks every cut of the plan and works the cost, the lists and the bound out again."""
    stocks = {stock.id: stock for stock in problem.stock}
    blanks = {blank.id: blank for blank in problem.blanks}
    faults: list[str] = []
    balances: list[Balance] = []
    strips: list[PlacedStrip] = []
    offcuts: list[Offcut] = []
    for number, board in enumerate(result.plan.boards):
        stock = stocks.get(board.stock_id)
        if stock is None:
            faults.append(f"board {number + 1}: no stock {board.stock_id}")
            continue
        walk = _Walk(problem, blanks, stock, number)
        walk.board(board)
        faults += walk.faults
        balances.append(walk.balance())
        strips += walk.strips
        offcuts += walk.offcuts
    faults += _count_faults(problem, strips)
    faults += _stock_faults(stocks, result)
    if Counter(offcuts) != Counter(result.offcuts):
        faults.append("the offcuts listed are not those the cuts leave")
    faults += _bound_faults(problem, result)
    return Replay(tuple(faults), sum(balances, Balance()), tuple(balances), tuple(strips))


class _Walk:
    """One board from its first end to its last; measures pile up as the saw goes.

    Of a sheet cut crosswise first, "along" is measured across the sheet until a strip or an offcut is handed over.
    """

    def __init__(self, problem: BoardProblem, blanks: dict[str, Blank], stock: StockLength, number: int) -> None:
        self.rules = problem.rules
        self.longest = problem.longest
        self.blanks = blanks
        self.stock = stock
        self.number = number
        self.crosswise = False
        self.along, self.across = stock.length, stock.width
        self.faults: list[str] = []
        self.strips: list[PlacedStrip] = []
        self.offcuts: list[Offcut] = []
        self.allowances = 0
        self.kerf = 0
        self.cut_outs = 0

    def board(self, board: BoardCut) -> None:
        """Each clear stretch from its first end; nothing may be left for stretches that are not there."""
        if board.crosswise:
            if not self.stock.either_way:
                self._fault("is no sheet to be cut crosswise")
            self.crosswise = True
            self.along, self.across = self.stock.width, self.stock.length
        if not board.segments:
            self._fault("has no segments")
        if self.longest is not None and self.stock.length > self.longest and not self.stock.on_hand:
            self._fault("is longer than can be carried")
        left = list(enumerate(board.segments))
        for stretch, (start, end) in enumerate(self._stretches()):
            self._stretch([each for each in left if each[1].stretch == stretch], start, end)
            left = [each for each in left if each[1].stretch != stretch]
        if left:
            self._fault("has segments on a stretch that is not there")

    def _stretches(self) -> Iterator[tuple[int, int]]:
        """Clear lengths between the trims, and the cut-outs between them measured."""
        place, last = self.rules.end_trim, self.along - self.rules.end_trim
        for start, end in self.stock.cut_outs:
            low, high = max(start, place), min(end, last)
            if low < high:
                self.cut_outs += (high - low) * self.across
            if place < min(start, last):
                yield place, min(start, last)
            place = max(place, end)
        if place < last:
            yield place, last

    def _stretch(self, segments: list[tuple[int, Segment]], place: int, last: int) -> None:
        """Crosscuts: a kerf before every segment but the first, and one more when the end is cut off."""
        for order, (number, segment) in enumerate(segments):
            if order:
                place += self.rules.kerf_crosscut
                self.kerf += self.rules.kerf_crosscut * self.across
            self._segment(segment, number, place)
            place += segment.length
        if place > last:
            self._fault(f"segments and kerfs pass the far trim by {place - last}")
            return
        dust = min(self.rules.kerf_crosscut, last - place) if segments else 0
        self.kerf += dust * self.across
        self._leave(last - place - dust, self.across)

    def balance(self) -> Balance:
        """The board's areas; a fault when they do not add up to it."""
        board = self.stock.length * self.stock.width
        found = Balance(
            board=board,
            blanks=sum(self.blanks[strip.blank_id].length * self.blanks[strip.blank_id].width for strip in self.strips),
            allowances=self.allowances,
            kerf=self.kerf,
            trims=2 * self.rules.end_trim * self.across,
            cut_outs=self.cut_outs,
            offcuts=sum(offcut.length * offcut.width for offcut in self.offcuts),
        )
        if sum(getattr(found, one.name) for one in fields(found)) != 2 * board:
            self._fault("areas do not add up to the board")
        return found

    def _segment(self, segment: Segment, number: int, along: int) -> None:
        """Rip cuts: the edge allowance, then strips with a kerf between, and one more when an edge is cut off."""
        known = [
            (self.blanks[name], where in segment.turned)
            for where, name in enumerate(segment.blanks)
            if name in self.blanks
        ]
        for name in segment.blanks:
            if name not in self.blanks:
                self._fault(f"no blank {name}")
        if not known:
            self._fault("a segment without strips")
            return
        due = max(self._lie(blank, turned=turned)[0] for blank, turned in known) + self.rules.segment_extra
        if segment.length != due:
            self._fault(f"a segment is {segment.length} long and should be {due}")
        self.allowances += self.rules.edge_allowance * segment.length
        place = self.rules.edge_allowance
        for order, (blank, turned) in enumerate(known):
            if order:
                place += self.rules.kerf_rip
                self.kerf += self.rules.kerf_rip * segment.length
            self._strip(blank, segment, number, along, place, turned=turned)
            place += self._lie(blank, turned=turned)[1]
        if place > self.across:
            self._fault(f"strips and kerfs pass the edge by {place - self.across}")
            return
        dust = min(self.rules.kerf_rip, self.across - place)
        self.kerf += dust * segment.length
        self._leave(segment.length, self.across - place - dust)

    def _lie(self, blank: Blank, *, turned: bool) -> tuple[int, int]:
        """A blank's size along and across the first cuts' direction."""
        return (blank.width, blank.length) if turned != self.crosswise else (blank.length, blank.width)

    def _strip(self, blank: Blank, segment: Segment, number: int, along: int, across: int, *, turned: bool) -> None:
        if turned and not blank.may_turn:
            self._fault(f"blank {blank.id} may not be turned")
        if blank.thickness > self.stock.thickness:
            self._fault(f"blank {blank.id} is thicker than the board")
        if blank.families is not None and self.stock.family not in blank.families:
            self._fault(f"blank {blank.id} may not come from {self.stock.family}")
        length, width = self._lie(blank, turned=turned)
        self.allowances += (segment.length - length) * width
        corner, size = (along, across), (segment.length, width)
        if self.crosswise:
            corner, size = corner[::-1], size[::-1]
        self.strips.append(PlacedStrip(self.number, *corner, *size, blank.id, number, turned))

    def _leave(self, along: int, across: int) -> None:
        if along and across:
            length, width = (across, along) if self.crosswise else (along, across)
            self.offcuts.append(Offcut(self.number, self.stock.id, self.stock.thickness, width, length))

    def _fault(self, what: str) -> None:
        self.faults.append(f"board {self.number + 1} ({self.stock.id}): {what}")


def _count_faults(problem: BoardProblem, strips: Sequence[PlacedStrip]) -> Iterator[str]:
    cut = Counter(strip.blank_id for strip in strips)
    for blank in problem.blanks:
        due = blank.quantity + blank.spare
        if cut[blank.id] != due:
            yield f"blank {blank.id}: {cut[blank.id]} cut, {due} wanted"


def _stock_faults(stocks: dict[str, StockLength], result: CuttingResult) -> Iterator[str]:
    used = Counter(board.stock_id for board in result.plan.boards if board.stock_id in stocks)
    for name, count in sorted(used.items()):
        limit = stocks[name].available
        if limit is not None and count > limit:
            yield f"stock {name}: {count} used, {limit} available"
    cost = sum(_price(stocks[name], count) * count for name, count in used.items())
    if cost != result.cost_cents:
        yield f"the boards cost {cost}, not {result.cost_cents}"
    if dict(result.shopping) != {name: count for name, count in used.items() if not stocks[name].on_hand}:
        yield "the shopping list is not the boards used"
    if dict(result.from_rack) != {name: count for name, count in used.items() if stocks[name].on_hand}:
        yield "the list from the rack is not the boards used"


def _price(stock: StockLength, count: int) -> int:
    """Of one board when so many are used."""
    return [stock.price_cents, *(lower for least, lower in stock.breaks if least <= count)][-1]


def _bound_faults(problem: BoardProblem, result: CuttingResult) -> Iterator[str]:
    due = certified_cents(problem, result.certificate)
    if due is None:
        yield "the certificate allows a board more worth than its price"
    elif result.certified_cents > due:
        yield f"the certificate bears {due}, not {result.certified_cents}"
    if result.certified_cents > result.bound_cents:
        yield "the certified bound is above the bound"
    if (result.bound_kind == "certified") != (result.bound_cents == result.certified_cents):
        yield f"the bound is not {result.bound_kind}"
    if result.bound_cents > result.cost_cents:
        yield "the bound is above the cost"
    if (result.status == "optimal") != (result.bound_cents == result.cost_cents):
        yield f"the status {result.status} does not follow from cost and bound"
    gap = Fraction(result.cost_cents - result.bound_cents, result.cost_cents) if result.cost_cents else Fraction(0)
    if float(gap) != result.gap:
        yield "the gap does not follow from cost and bound"
