"""What is left of the boards, and segments moved between them so that the largest piece left is larger.

The boards to be used stand; only which of them gives which segment is changed. This is the last of the goals, looked for
in a few tries, and never proven.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import groupby
from typing import TYPE_CHECKING

from journal.cutting.fill import best_fill
from journal.cutting.problem import BoardCut, CuttingPlan, Offcut

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from journal.cutting.problem import BoardProblem, Segment, StockLength

_MOST_FILLS = 150  # boards filled again in all the tries of one section


def offcuts_of(problem: BoardProblem, plan: CuttingPlan) -> Iterator[Offcut]:
    """The end of each stretch and the edge of each segment; a rest thinner than the kerf is sawdust."""
    stocks = {stock.id: stock for stock in problem.stock}
    rules = problem.rules
    for number, board in enumerate(plan.boards):
        stock = stocks[board.stock_id]
        for stretch, room in enumerate(_rooms(problem, stock, crosswise=board.crosswise)):
            segments = [segment for segment in board.segments if segment.stretch == stretch]
            rest = room - sum(segment.length + rules.kerf_crosscut for segment in segments)
            across = stock.length if board.crosswise else stock.width
            if rest > 0:
                yield Offcut(number, stock.id, stock.thickness, *_sides(rest, across, crosswise=board.crosswise))
            for segment in segments:
                edge = across - rules.edge_allowance - _ripped(problem, segment, crosswise=board.crosswise)
                if edge > 0:
                    sides = _sides(segment.length, edge, crosswise=board.crosswise)
                    yield Offcut(number, stock.id, stock.thickness, *sides)


def gather_offcuts(problem: BoardProblem, plan: CuttingPlan) -> CuttingPlan:
    """The same boards with the same segments, moved so that the largest end left is as large as a few tries make it."""
    stocks = {stock.id: stock for stock in problem.stock}
    simple = [board for board in plan.boards if _is_simple(stocks[board.stock_id])]
    others = [board for board in plan.boards if not _is_simple(stocks[board.stock_id])]

    def section(board: BoardCut) -> tuple[str, int, int]:
        stock = stocks[board.stock_id]
        return stock.family, stock.thickness, stock.width

    best: tuple[int, list[BoardCut], list[BoardCut]] | None = None
    for _, group in groupby(sorted(simple, key=section), key=section):
        boards = list(group)
        found = _gathered(problem, stocks, boards)
        if found is not None and (best is None or found[0] > best[0]):
            best = (found[0], boards, found[1])
    if best is not None and best[0] > max((end for end, _ in _ends(problem, stocks, simple)), default=0):
        simple = [board for board in simple if board not in best[1]] + best[2]
    return CuttingPlan(tuple(sorted([*simple, *others], key=lambda board: (board.stock_id, repr(board)))))


def _is_simple(stock: StockLength) -> bool:
    return not stock.cut_outs and not stock.either_way


def _rooms(problem: BoardProblem, stock: StockLength, *, crosswise: bool) -> list[int]:
    """Clear lengths of the stretches, one way of cutting the board first."""
    if crosswise:
        return [stock.width - 2 * problem.rules.end_trim]
    return [end - start for start, end in stock.stretches(problem.rules.end_trim)]


def _sides(along: int, across: int, *, crosswise: bool) -> tuple[int, int]:
    """(width, length) of a piece measured along and across the first cuts' direction."""
    return (along, across) if crosswise else (across, along)


def _ripped(problem: BoardProblem, segment: Segment, *, crosswise: bool) -> int:
    """Width of a segment's strips, each with a kerf."""
    blanks = {blank.id: blank for blank in problem.blanks}
    total = 0
    for place, name in enumerate(segment.blanks):
        lengthwise = crosswise != (place in segment.turned)
        total += (blanks[name].length if lengthwise else blanks[name].width) + problem.rules.kerf_rip
    return total


def _ends(
    problem: BoardProblem, stocks: dict[str, StockLength], boards: Sequence[BoardCut]
) -> Iterator[tuple[int, BoardCut]]:
    """Area of each board's end."""
    for board in boards:
        stock = stocks[board.stock_id]
        used = sum(segment.length + problem.rules.kerf_crosscut for segment in board.segments)
        rest = _rooms(problem, stock, crosswise=False)[0] - used
        yield max(0, rest) * stock.width, board


def _gathered(
    problem: BoardProblem, stocks: dict[str, StockLength], boards: Sequence[BoardCut]
) -> tuple[int, list[BoardCut]] | None:
    """The largest end that emptying one board as far as the others can be filled leaves, with the boards then."""
    best: tuple[int, list[BoardCut]] | None = None
    for emptied in sorted(set(boards), key=lambda board: -stocks[board.stock_id].length)[: _MOST_FILLS // len(boards)]:
        found = _emptied(problem, stocks, boards, emptied)
        if found is not None:
            end = max(area for area, _ in _ends(problem, stocks, found))
            if best is None or end > best[0]:
                best = (end, found)
    return best


def _emptied(
    problem: BoardProblem, stocks: dict[str, StockLength], boards: Sequence[BoardCut], emptied: BoardCut
) -> list[BoardCut] | None:
    """The boards filled as full as can be in turn, shortest first, `emptied` last; None when not all finds room there."""
    kerf = problem.rules.kerf_crosscut
    order = sorted(boards, key=lambda board: (stocks[board.stock_id].length, board.stock_id))
    order.remove(emptied)
    left = sorted(
        (segment for board in boards for segment in board.segments), key=lambda each: (-each.length, repr(each))
    )
    found = []
    for board in [*order, emptied]:
        room = _rooms(problem, stocks[board.stock_id], crosswise=False)[0] + kerf
        fitting = [segment for segment in left if segment.length + kerf <= room]
        sizes = sorted({segment.length + kerf for segment in fitting}, reverse=True)
        rows = [[segment for segment in fitting if segment.length + kerf == size] for size in sizes]
        counts = best_fill(
            room, sizes, [[float(size)] * min(len(row), room // size) for size, row in zip(sizes, rows, strict=True)]
        )
        taken = [segment for row, count in zip(rows, counts, strict=True) for segment in row[:count]]
        if not taken:
            return None
        for segment in taken:
            left.remove(segment)
        found.append(replace(board, segments=tuple(taken)))
    return None if left else found
