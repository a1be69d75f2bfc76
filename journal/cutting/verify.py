"""Whether a cutting plan can really be cut, and whether its bound holds: a replay that knows nothing of the search.

Each board is walked cut by cut from its first trim, in plain whole numbers. Every strip and offcut gets its place on the
board, every area its name, and each board's areas must add up to the board, to the unit.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, fields
from fractions import Fraction
from heapq import heappop, heappush
from math import gcd
from typing import TYPE_CHECKING

from journal.cutting.problem import Offcut

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from journal.cutting.problem import (
        Blank,
        BoardCut,
        BoardProblem,
        Certificate,
        CuttingResult,
        Segment,
        StockLength,
        StockWeights,
        WeightRule,
    )


@dataclass(frozen=True, slots=True)
class Balance:
    """Where the area of the boards went, in square units: board = blanks + allowances + kerf + trims + offcuts.

    Attributes:
        board: of the boards as bought.
        blanks: of the blanks themselves.
        allowances: edge allowances, and each strip's length over its blank.
        kerf: sawdust between pieces.
        trims: both ends of each board.
        offcuts: board ends and segment edges left over.
    """

    board: int = 0
    blanks: int = 0
    allowances: int = 0
    kerf: int = 0
    trims: int = 0
    offcuts: int = 0

    def __add__(self, other: Balance) -> Balance:
        return Balance(*(getattr(self, one.name) + getattr(other, one.name) for one in fields(self)))


@dataclass(frozen=True, slots=True)
class PlacedStrip:
    """A strip's place: board number, distance from the board's first end and first edge, size, and blank."""

    board: int
    along: int
    across: int
    length: int
    width: int
    blank_id: str


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
    """One board from its first end to its last; measures pile up as the saw goes."""

    def __init__(self, problem: BoardProblem, blanks: dict[str, Blank], stock: StockLength, number: int) -> None:
        self.rules = problem.rules
        self.blanks = blanks
        self.stock = stock
        self.number = number
        self.faults: list[str] = []
        self.strips: list[PlacedStrip] = []
        self.offcuts: list[Offcut] = []
        self.allowances = 0
        self.kerf = 0

    def board(self, board: BoardCut) -> None:
        """Crosscuts: a kerf before every segment but the first, and one more when the end is cut off."""
        if not board.segments:
            self._fault("has no segments")
        last = self.stock.length - self.rules.end_trim
        place = self.rules.end_trim
        for order, segment in enumerate(board.segments):
            if order:
                place += self.rules.kerf_crosscut
                self.kerf += self.rules.kerf_crosscut * self.stock.width
            self._segment(segment, place)
            place += segment.length
        if place > last:
            self._fault(f"segments and kerfs pass the far trim by {place - last}")
            return
        dust = min(self.rules.kerf_crosscut, last - place)
        self.kerf += dust * self.stock.width
        self._leave(self.stock.width, last - place - dust)

    def balance(self) -> Balance:
        """The board's areas; a fault when they do not add up to it."""
        board = self.stock.length * self.stock.width
        found = Balance(
            board=board,
            blanks=sum(self.blanks[strip.blank_id].length * strip.width for strip in self.strips),
            allowances=self.allowances,
            kerf=self.kerf,
            trims=2 * self.rules.end_trim * self.stock.width,
            offcuts=sum(offcut.length * offcut.width for offcut in self.offcuts),
        )
        if found.blanks + found.allowances + found.kerf + found.trims + found.offcuts != board:
            self._fault("areas do not add up to the board")
        return found

    def _segment(self, segment: Segment, along: int) -> None:
        """Rip cuts: the edge allowance, then strips with a kerf between, and one more when an edge is cut off."""
        known = [self.blanks[name] for name in segment.blanks if name in self.blanks]
        for name in segment.blanks:
            if name not in self.blanks:
                self._fault(f"no blank {name}")
        if not known:
            self._fault("a segment without strips")
            return
        due = max(blank.length for blank in known) + self.rules.segment_extra
        if segment.length != due:
            self._fault(f"a segment is {segment.length} long and should be {due}")
        self.allowances += self.rules.edge_allowance * segment.length
        place = self.rules.edge_allowance
        for order, blank in enumerate(known):
            if order:
                place += self.rules.kerf_rip
                self.kerf += self.rules.kerf_rip * segment.length
            self._strip(blank, segment, along, place)
            place += blank.width
        if place > self.stock.width:
            self._fault(f"strips and kerfs pass the edge by {place - self.stock.width}")
            return
        dust = min(self.rules.kerf_rip, self.stock.width - place)
        self.kerf += dust * segment.length
        self._leave(self.stock.width - place - dust, segment.length)

    def _strip(self, blank: Blank, segment: Segment, along: int, across: int) -> None:
        if blank.thickness > self.stock.thickness:
            self._fault(f"blank {blank.id} is thicker than the board")
        if blank.families is not None and self.stock.family not in blank.families:
            self._fault(f"blank {blank.id} may not come from {self.stock.family}")
        self.allowances += (segment.length - blank.length) * blank.width
        self.strips.append(PlacedStrip(self.number, along, across, segment.length, blank.width, blank.id))

    def _leave(self, width: int, length: int) -> None:
        if width and length:
            self.offcuts.append(Offcut(self.number, self.stock.id, self.stock.thickness, width, length))

    def _fault(self, what: str) -> None:
        self.faults.append(f"board {self.number + 1} ({self.stock.id}): {what}")


def _count_faults(problem: BoardProblem, strips: Sequence[PlacedStrip]) -> Iterator[str]:
    cut = Counter(strip.blank_id for strip in strips)
    for blank in problem.blanks:
        if cut[blank.id] != blank.quantity:
            yield f"blank {blank.id}: {cut[blank.id]} cut, {blank.quantity} wanted"


def _stock_faults(stocks: dict[str, StockLength], result: CuttingResult) -> Iterator[str]:
    used = Counter(board.stock_id for board in result.plan.boards if board.stock_id in stocks)
    for name, count in sorted(used.items()):
        limit = stocks[name].available
        if limit is not None and count > limit:
            yield f"stock {name}: {count} used, {limit} available"
    cost = sum(stocks[name].price_cents * count for name, count in used.items())
    if cost != result.cost_cents:
        yield f"the boards cost {cost}, not {result.cost_cents}"
    if dict(result.shopping) != {name: count for name, count in used.items() if not stocks[name].on_hand}:
        yield "the shopping list is not the boards used"
    if dict(result.from_rack) != {name: count for name, count in used.items() if stocks[name].on_hand}:
        yield "the list from the rack is not the boards used"


def _bound_faults(problem: BoardProblem, result: CuttingResult) -> Iterator[str]:
    due = certified_cents(problem, result.certificate)
    if due is None:
        yield "the certificate allows a board more worth than its price"
    elif result.bound_cents > due:
        yield f"the certificate bears {due}, not {result.bound_cents}"
    if result.bound_cents > result.cost_cents:
        yield "the bound is above the cost"
    if (result.status == "optimal") != (result.bound_cents == result.cost_cents):
        yield f"the status {result.status} does not follow from cost and bound"
    gap = Fraction(result.cost_cents - result.bound_cents, result.cost_cents) if result.cost_cents else Fraction(0)
    if float(gap) != result.gap:
        yield "the gap does not follow from cost and bound"


def certified_cents(problem: BoardProblem, certificate: Certificate) -> int | None:
    """The bound its certificate bears, in cents; None when it bears none.

    The argument, and why the weight functions are dual feasible, is in `journal.cutting.bound`; the arithmetic here is
    done afresh: shares as fractions, and the next reachable total by shortest paths over remainders.
    """
    worth = dict(certificate.worth)
    rules = {weights.stock_id: weights for weights in certificate.weights}
    if any(one < 0 for one in worth.values()) or not _are_sound([w.along for w in rules.values()]):
        return None
    if not _are_sound([w.across for w in rules.values()]):
        return None
    cents = 0
    for blanks, stocks in _apart(problem):
        value = Fraction(sum(worth.get(blank.id, 0) * blank.quantity for blank in blanks))
        for stock in stocks:
            excess = _excess(problem, blanks, stock, worth, rules.get(stock.id))
            if excess is None or (excess > 0 and stock.available is None):
                return None
            value -= excess * (stock.available or 0)
        cents += _reachable(-(-value // 1000), [stock.price_cents for stock in stocks])
    return cents


def _are_sound(rules: Sequence[WeightRule]) -> bool:
    for rule in rules:
        if rule.kind == "round" and (rule.parameter.denominator != 1 or rule.parameter < 1):
            return False
        if rule.kind == "cut" and not 0 < rule.parameter <= Fraction(1, 2):
            return False
    return all(rule.kind in ("plain", "round", "cut") for rule in rules)


def _excess(
    problem: BoardProblem,
    blanks: Sequence[Blank],
    stock: StockLength,
    worth: dict[str, int],
    weights: StockWeights | None,
) -> Fraction | None:
    """Thousandths of a cent by which a board's blanks may be worth more than its price; None is without end."""
    most = Fraction(0)
    rules = problem.rules
    for blank in blanks:
        one = worth.get(blank.id, 0)
        if one == 0 or not _can_hold(problem, stock, blank):
            continue
        if weights is None:
            return None
        length = Fraction(
            blank.length + rules.segment_extra + rules.kerf_crosscut,
            stock.length - 2 * rules.end_trim + rules.kerf_crosscut,
        )
        width = Fraction(blank.width + rules.kerf_rip, stock.width - rules.edge_allowance + rules.kerf_rip)
        share = _weight(weights.along, length) * _weight(weights.across, width)
        if share == 0:
            return None
        most = max(most, one / share)
    return max(Fraction(0), most - 1000 * stock.price_cents)


def _weight(rule: WeightRule, share: Fraction) -> Fraction:
    if rule.kind == "round":
        scaled = (rule.parameter + 1) * share
        return share if scaled.denominator == 1 else Fraction(scaled // 1) / rule.parameter
    if rule.kind == "cut":
        if share > 1 - rule.parameter:
            return Fraction(1)
        return share if share >= rule.parameter else Fraction(0)
    return share


def _can_hold(problem: BoardProblem, stock: StockLength, blank: Blank) -> bool:
    rules = problem.rules
    return (
        stock.available != 0
        and (blank.families is None or stock.family in blank.families)
        and stock.thickness >= blank.thickness
        and stock.width - rules.edge_allowance >= blank.width
        and stock.length - 2 * rules.end_trim - rules.segment_extra >= blank.length
    )


def _apart(problem: BoardProblem) -> list[tuple[list[Blank], list[StockLength]]]:
    """Blanks and stock in lots with nothing in common, by spreading from each blank to all it touches."""
    waiting = list(problem.blanks)
    lots = []
    while waiting:
        blanks: list[Blank] = []
        stocks: list[StockLength] = []
        reached = [waiting.pop()]
        while reached:
            blank = reached.pop()
            blanks.append(blank)
            for stock in problem.stock:
                if stock not in stocks and _can_hold(problem, stock, blank):
                    stocks.append(stock)
                    reached += [other for other in waiting if _can_hold(problem, stock, other)]
                    waiting = [other for other in waiting if not _can_hold(problem, stock, other)]
        lots.append((blanks, stocks))
    return lots


def _reachable(cents: int, prices: Sequence[int]) -> int:
    """Least total ≥ `cents` of any number of the prices, through the least total for each remainder by the lowest one."""
    paid = sorted({price for price in prices if price > 0})
    if not paid or cents <= 0:
        return max(cents, 0)
    step = gcd(*paid)
    paid, cents = [price // step for price in paid], -(-cents // step)
    base = paid[0]
    least: dict[int, int] = {}
    queue = [0]
    while queue:
        total = heappop(queue)
        if total % base not in least:
            least[total % base] = total
            for price in paid[1:]:
                if (total + price) % base not in least:
                    heappush(queue, total + price)
    return step * min(total + max(0, -(-(cents - total) // base)) * base for total in least.values())
