"""A first valid plan within milliseconds, not the best one: where the search begins, and what is kept when it has no time.

Best fit, longest first, in several ways, the cheapest kept:

1. the longest blank left leads a segment; the rest of the width is filled with the most valuable of the others; of the
   cross-sections that can hold it the one with the most value for its money is taken;
2. the longest segment left leads a board; the rest is filled as full as possible; of the lengths that can hold it the
   one with the least price for the length used is taken;
3. then boards are swapped for cheaper ones that still hold their segments, pairs are merged, and the worst few are taken
   apart and planned again.

Steps 1 and 2 are `journal.cutting.tries`. Nothing is random and no clock is read: the same problem gives the same plan.
Limits of stock are kept; with limits a plan may be missed where there is one. A board with cut-outs gives its longest
clear stretch, and sheets are cut first across their length, with nothing turned.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from journal.cutting.tries import Bench, try_way, ways_to_try

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from journal.cutting.problem import BoardProblem
    from journal.cutting.tries import Board, Strips, Way

_TAKEN_APART = ((2, 1), (3, 2), (4, 3), (6, 4))  # boards taken apart at once, and the step to the next lot
_REPLANS_PIECES = 400  # how many pieces may be planned again in step 3


def first_plan(problem: BoardProblem, worth: dict[str, int]) -> tuple[Bench, list[Board], dict[str, int]]:
    """A plan within the limits of stock and, when some blanks found no place, how many of each.

    Args:
        problem: every blank fits some stock.
        worth: what one of each blank is worth, any unit.
    """
    bench = Bench(problem)
    demand = [blank.pieces for blank in bench.blanks]
    ways = ways_to_try(bench, worth)
    tries = [try_way(bench, way, demand, bench.available()) for way in ways]
    whole = [boards for boards, left in tries if not any(left)]
    if not whole:
        boards, _ = min(tries, key=lambda each: sum(each[1]))
        return bench, boards, _fewest_left(bench, tries)
    improved = [_improve(bench, boards) for boards in _cheapest_few(bench, whole)]
    return bench, _replan(bench, ways[:2], min(improved, key=bench.cost)), {}


def _cheapest_few(bench: Bench, plans: list[list[Board]]) -> list[list[Board]]:
    return sorted(plans, key=bench.cost)[:3]


def _improve(bench: Bench, boards: list[Board]) -> list[Board]:
    """Cheaper boards for the same segments, and pairs of boards merged, until neither helps."""
    cost = bench.cost(boards)
    while True:
        boards = _merge(bench, _swap(bench, boards))
        cheaper = bench.cost(boards)
        if cheaper >= cost:
            return boards
        cost = cheaper


def _swap(bench: Bench, boards: list[Board]) -> list[Board]:
    left = _stock_after(bench, boards)
    swapped = []
    for index, segments in boards:
        left[index] += 1
        best = _cheapest(bench, segments, left, bench.price[index])
        chosen = index if best is None else best
        left[chosen] -= 1
        swapped.append((chosen, segments))
    return swapped


def _merge(bench: Bench, boards: list[Board]) -> list[Board]:
    """Pairs whose segments one board holds for less; of many equal boards only one is tried against each other kind."""
    kinds = Counter(boards)
    left = _stock_after(bench, boards)
    longest = max(bench.room)
    length = {kind: sum(bench.length[strips[0]] for strips in kind[1]) for kind in kinds}
    order = sorted(kinds, key=lambda kind: (length[kind], kind))
    for place, one in enumerate(order):
        for other in order[place:]:
            if length[one] + length[other] > longest:
                break
            both = tuple(sorted(one[1] + other[1]))
            while kinds[one] >= 1 + (one == other) and kinds[other] >= 1:
                best = _cheapest(bench, both, left, bench.price[one[0]] + bench.price[other[0]])
                if best is None:
                    break
                left[best] -= 1
                left[one[0]] += 1
                left[other[0]] += 1
                kinds[one] -= 1
                kinds[other] -= 1
                kinds[best, both] += 1
    return sorted(kinds.elements())


def _cheapest(bench: Bench, segments: Sequence[Strips], left: Sequence[int], below: int) -> int | None:
    """The cheapest stock that holds these segments for less than `below` cents."""
    best: int | None = None
    for index, price in enumerate(bench.price):
        if left[index] and price < (below if best is None else bench.price[best]) and bench.holds(index, segments):
            best = index
    return best


def _stock_after(bench: Bench, boards: Iterable[Board]) -> list[int]:
    left = bench.available()
    for index, _ in boards:
        left[index] -= 1
    return left


def _replan(bench: Bench, ways: Sequence[Way], boards: list[Board]) -> list[Board]:
    """Takes the worst few boards apart and plans their blanks again, wherever that is cheaper."""
    budget = _REPLANS_PIECES
    while budget > 0:
        better = None
        for lot in _lots(bench, boards):
            taken = [boards[place] for place in lot]
            demand = _demand(bench, taken)
            budget -= sum(demand)
            better = _cheaper_lot(bench, ways, boards, lot, demand)
            if better is not None or budget <= 0:
                break
        if better is None:
            return boards
        boards = better
    return boards


def _lots(bench: Bench, boards: Sequence[Board]) -> Iterator[tuple[int, ...]]:
    """Small groups of boards, those with the least blank area for their price first; equal lots once."""
    order = sorted(range(len(boards)), key=lambda place: (_work_for_price(bench, boards[place]), boards[place]))
    seen: set[tuple[Board, ...]] = set()
    for size, step in _TAKEN_APART:
        for start in range(0, len(order) - size + 1, step):
            lot = tuple(order[start : start + size])
            kinds = tuple(sorted(boards[place] for place in lot))
            if kinds not in seen:
                seen.add(kinds)
                yield lot


def _work_for_price(bench: Bench, board: Board) -> float:
    area = sum(bench.length[place] * bench.width[place] for strips in board[1] for place in strips)
    return area / (bench.price[board[0]] + 1e-9)


def _demand(bench: Bench, boards: Iterable[Board]) -> list[int]:
    demand = [0] * len(bench.blanks)
    for _, segments in boards:
        for strips in segments:
            for place in strips:
                demand[place] += 1
    return demand


def _cheaper_lot(
    bench: Bench, ways: Sequence[Way], boards: list[Board], lot: tuple[int, ...], demand: list[int]
) -> list[Board] | None:
    """The plan with this lot planned again, when that costs less."""
    kept = [board for place, board in enumerate(boards) if place not in lot]
    paid = bench.cost(boards) - bench.cost(kept)
    for way in ways:
        again, left = try_way(bench, way, demand, _stock_after(bench, kept))
        if not any(left) and bench.cost(again) < paid:
            return _improve(bench, kept + again)
    return None


def _fewest_left(bench: Bench, tries: Sequence[tuple[list[Board], list[int]]]) -> dict[str, int]:
    left = min((left for _, left in tries), key=sum)
    return {blank.id: count for blank, count in zip(bench.blanks, left, strict=True) if count}
