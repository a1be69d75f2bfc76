"""What a certificate bears: the most worth that any board can hold, worked out afresh in plain whole numbers.

The argument is in `journal.cutting.bound`; nothing is shared with the search. A filling is a (size, worth) pair; of two
fillings of one worth or less the smaller is kept. All sizes are the problem's own, so nothing is rounded.
"""

from __future__ import annotations

from fractions import Fraction
from heapq import heappop, heappush
from math import gcd
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from journal.cutting.problem import Blank, BoardProblem, Certificate, StockLength

    Fillings = list[tuple[int, int]]  # (size, worth), both rising
    Item = tuple[int, int, int]  # size, worth, how many

_MOST_FILLINGS = (
    20_000  # kept of one room; with more, neighbours are joined to one of the smaller size and larger worth
)


def certified_cents(problem: BoardProblem, certificate: Certificate) -> int | None:
    """The bound its certificate bears, in cents; None when it bears none."""
    worth = dict(certificate.worth)
    if certificate.scale < 1 or any(one < 0 for one in worth.values()):
        return None
    cents = 0
    for blanks, stocks in _apart(problem):
        value = sum(worth.get(blank.id, 0) * (blank.quantity + blank.spare) for blank in blanks)
        fillings = _Rooms(problem, blanks, worth)
        for stock in stocks:
            excess = max(0, fillings.most(stock) - min(_prices(stock)) * certificate.scale)
            if excess and stock.available is None:
                return None
            value -= excess * (stock.available or 0)
        paid = [price for stock in stocks for price in _prices(stock)]
        cents += _reachable(-(-Fraction(value) // certificate.scale), paid)
    return cents


class _Rooms:
    """Most worth in rooms of one part of the problem; rooms alike are filled once."""

    def __init__(self, problem: BoardProblem, blanks: Sequence[Blank], worth: dict[str, int]) -> None:
        self.problem = problem
        self.blanks = [blank for blank in blanks if worth.get(blank.id, 0)]
        self.worth = worth
        self._across: dict[tuple[object, ...], list[tuple[int, int, Fillings]]] = {}
        self._along: dict[tuple[object, ...], Fillings] = {}

    def most(self, stock: StockLength) -> int:
        """Worth that one board can hold at most: its stretches together, or the better way to cut a sheet first."""
        trim = self.problem.rules.end_trim
        if stock.either_way:
            return max(
                self._fill(stock, stock.length - 2 * trim, stock.width, crosswise=False),
                self._fill(stock, stock.width - 2 * trim, stock.length, crosswise=True),
            )
        total, place, last = 0, trim, stock.length - trim
        for start, end in [*stock.cut_outs, (last, last)]:
            if place < min(start, last):
                total += self._fill(stock, min(start, last) - place, stock.width, crosswise=False)
            place = max(place, end)
        return total

    def _fill(self, stock: StockLength, along: int, across: int, *, crosswise: bool) -> int:
        suited = tuple(blank for blank in self.blanks if _suits(self.problem, stock, blank))
        key = (tuple(blank.id for blank in suited), crosswise, across)
        if key not in self._along:
            self._along[key] = self._segments_in_turn(suited, across, crosswise=crosswise)
        return _best(self._along[key], along + self.problem.rules.kerf_crosscut)

    def _segments_in_turn(self, blanks: Sequence[Blank], across: int, *, crosswise: bool) -> Fillings:
        """Fillings along, of the longest board there is and so of all, by segments so wide."""
        rules = self.problem.rules
        room = max(one.width if crosswise else one.length for one in self.problem.stock) + rules.kerf_crosscut
        items: list[Item] = []
        best = 0
        for length, count, fillings in self._segments(blanks, crosswise=crosswise):
            size = length + rules.segment_extra + rules.kerf_crosscut
            value = _best(fillings, across - rules.edge_allowance + rules.kerf_rip)
            if value > best:  # no shorter one, of which there are enough to fill any board, is worth as much
                items.append((size, value, count))
                best = value if count * size > room else best
        return _fillings(items, room)

    def _segments(self, blanks: Sequence[Blank], *, crosswise: bool) -> list[tuple[int, int, Fillings]]:
        """For each length along: pieces of that very length, and fillings across by strips no longer, one of them so long."""
        room = max(one.length if crosswise else one.width for one in self.problem.stock) + self.problem.rules.kerf_rip
        key = (tuple(blank.id for blank in blanks), crosswise)
        if key not in self._across:
            self._across[key] = self._by_length(blanks, room, crosswise=crosswise)
        return self._across[key]

    def _by_length(self, blanks: Sequence[Blank], room: int, *, crosswise: bool) -> list[tuple[int, int, Fillings]]:
        lies: dict[int, list[Item]] = {}
        for blank in blanks:
            sides = (blank.width, blank.length) if crosswise else (blank.length, blank.width)
            count = blank.quantity + blank.spare
            for along, across in {sides, sides[::-1]} if blank.may_turn else {sides}:
                item = (across + self.problem.rules.kerf_rip, self.worth[blank.id], count)
                lies.setdefault(along, []).append(item)
        found = []
        fillings: Fillings = [(0, 0)]
        for along in sorted(lies):
            items = lies[along]
            fillings = _fillings(items, room, fillings)
            # One strip of that length at least: it and the best of all no longer beside it, or the best of all if less.
            leading = _kept(
                (size + own, value + worth) for own, worth, _ in items for size, value in fillings if size + own <= room
            )
            least = [(size, min(value, _best(fillings, size))) for size, value in leading]
            found.append((along, sum(count for _, _, count in items), least))
        return found


def _fillings(items: Iterable[Item], room: int, fillings: Fillings | None = None) -> Fillings:
    """Every filling of the room worth keeping, beginning with those given."""
    kept = fillings or [(0, 0)]
    for size, worth, count in items:
        grown = list(kept)
        for number in range(1, min(count, room // size) + 1):
            shift, more = number * size, number * worth
            grown += [(used + shift, value + more) for used, value in kept if used + shift <= room]
        kept = _kept(grown)
    return kept


def _kept(fillings: Iterable[tuple[int, int]]) -> Fillings:
    kept: Fillings = []
    most = -1
    for size, worth in sorted(fillings, key=lambda each: (each[0], -each[1])):
        if worth > most:
            kept.append((size, worth))
            most = worth
    if len(kept) > _MOST_FILLINGS:
        # Half of them, each taken for smaller than it is: the bound may only get weaker.
        kept = [(kept[place][0], kept[min(place + 1, len(kept) - 1)][1]) for place in range(0, len(kept), 2)]
    return kept


def _prices(stock: StockLength) -> list[int]:
    """What one board may cost, with as many as there are."""
    reached = (lower for least, lower in stock.breaks if stock.available is None or least <= stock.available)
    return [stock.price_cents, *reached]


def _best(fillings: Fillings, room: int) -> int:
    """Worth of the best filling within a room."""
    low, high = 0, len(fillings)
    while low < high:
        middle = (low + high) // 2
        if fillings[middle][0] <= room:
            low = middle + 1
        else:
            high = middle
    return fillings[low - 1][1] if low else 0


def _suits(problem: BoardProblem, stock: StockLength, blank: Blank) -> bool:
    return (
        (blank.families is None or stock.family in blank.families)
        and stock.thickness >= blank.thickness
        and (stock.on_hand or problem.longest is None or stock.length <= problem.longest)
    )


def _can_hold(problem: BoardProblem, stock: StockLength, blank: Blank) -> bool:
    rules = problem.rules
    if stock.available == 0 or not _suits(problem, stock, blank):
        return False
    edges = [rules.end_trim, *(place for cut in stock.cut_outs for place in cut), stock.length - rules.end_trim]
    last = stock.length - rules.end_trim
    rooms = [
        (min(end, last) - max(start, rules.end_trim), stock.width)
        for start, end in zip(edges[::2], edges[1::2], strict=True)
    ]
    lies = ((blank.length, blank.width), (blank.width, blank.length))[: 2 if blank.may_turn else 1]
    lengthwise = any(
        length + rules.segment_extra <= along and width + rules.edge_allowance <= across
        for along, across in rooms
        for length, width in lies
    )
    crosswise = stock.either_way and any(
        width + rules.segment_extra <= stock.width - 2 * rules.end_trim
        and length + rules.edge_allowance <= stock.length
        for length, width in lies
    )
    return lengthwise or crosswise


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
