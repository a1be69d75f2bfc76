"""Why a problem has no plan, in the user's units, and what would do."""

from __future__ import annotations

from math import prod
from typing import TYPE_CHECKING, NoReturn

from journal import units
from journal.cutting.problem import lies
from journal.errors import NoSolution

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from journal.cutting.problem import Blank, BoardProblem, Room, StockLength


def refuse_impossible(problem: BoardProblem) -> None:
    """Raises when a blank fits no stock, or the boards available are certainly too few.

    Raises:
        NoSolution: naming the blank, the reason, and the nearest stock or what is missing.
    """
    for blank in problem.blanks:
        homes = [stock for stock in problem.stock if problem.fits(blank, stock)]
        if not homes:
            _refuse_homeless(problem, blank)
        _refuse_too_few(problem, blank, homes)
    _refuse_too_small(problem)


def refuse_unplaced(problem: BoardProblem, left: Mapping[str, int], certain: int) -> NoReturn:
    """Raises for blanks that the search found no place for.

    Raises:
        NoSolution: saying how many are certainly short, or, with none certain, that a plan might still exist.
    """
    listed = ", ".join(f"{count} × {name}" for name, count in sorted(left.items()))
    limited = _names(
        stock
        for stock in problem.stock
        if stock.available is not None and any(problem.fits(b, stock) for b in problem.blanks)
    )
    if certain:
        raise NoSolution(
            "cutting plan",
            f"the boards available do not yield all pieces, however they are cut: {certain} short at least",
            f"allow more of {limited}",
        )
    raise NoSolution(
        "cutting plan",
        f"none was found within the boards available; {sum(left.values())} short: {listed}",
        f"allow more of {limited}",
    )


def _refuse_homeless(problem: BoardProblem, blank: Blank) -> NoReturn:
    what = f"blank {blank.id}"
    family = [stock for stock in problem.stock if blank.families is None or stock.family in blank.families]
    if not family:
        wanted = " or ".join(sorted(blank.families or ()))
        known = ", ".join(sorted({stock.family for stock in problem.stock}))
        raise NoSolution(what, f"no stock of family {wanted}", f"there is stock of {known}")
    nearest = min(family, key=lambda stock: (_lacking(problem, blank, stock), stock.id))
    size = " × ".join(_text(problem, one) for one in _needs(problem, blank))
    raise NoSolution(what, " and ".join(_reasons(problem, blank, nearest)), f"a board of at least {size} would do")


def _reasons(problem: BoardProblem, blank: Blank, stock: StockLength) -> Iterator[str]:
    """Why one board does not hold one blank."""
    needs = _needs(problem, blank)
    for word, need, has in zip(("thick", "wide", "long"), needs, _sizes(stock), strict=True):
        if need > has:
            yield f"too {word} (needs {_text(problem, need)}, the nearest stock {stock.id} has {_text(problem, has)})"
    clear = max((end - start for start, end in stock.stretches(problem.rules.end_trim)), default=0)
    length = blank.length + problem.rules.segment_extra
    if stock.cut_outs and length > clear and needs[2] <= stock.length:
        yield (
            f"longer than every clear stretch (needs {_text(problem, length)}, "
            f"the longest of the nearest stock {stock.id} is {_text(problem, clear)})"
        )
    if problem.longest is not None and not stock.on_hand and stock.length > problem.longest:
        yield (
            f"the nearest stock {stock.id} is {_text(problem, stock.length)} long, "
            f"more than can be carried, {_text(problem, problem.longest)}"
        )


def _refuse_too_few(problem: BoardProblem, blank: Blank, homes: list[StockLength]) -> None:
    """By itself, each board at its fullest with nothing else in it: fewer than asked is certain."""
    most = 0
    for stock in homes:
        if stock.available is None:
            return
        held = [_most(problem, blank, room) for room in problem.rooms(stock)]
        most += stock.available * (max(held) if stock.either_way else sum(held))
    if most < blank.pieces:
        wanted = f"{blank.pieces} are wanted" + (f", {blank.spare} of them spare," if blank.spare else "")
        raise NoSolution(
            f"blank {blank.id}",
            f"{wanted} and the boards available yield {most} at most: {blank.pieces - most} short",
            f"allow more of {_names(homes)}",
        )


def _most(problem: BoardProblem, blank: Blank, room: Room) -> int:
    """No more of a blank than this come from a room, however they lie: rows of them, or by area if they may be turned."""
    along, across = _space(problem, room)
    taken = _taken(problem, blank, room)
    if len(taken) == 1:
        return (along // taken[0][0]) * (across // taken[0][1])
    return along * across // min(map(prod, taken))


def _refuse_too_small(problem: BoardProblem) -> None:
    """All blanks that only limited stock can hold, by area with kerfs in it: less board than blank is certain."""
    bound_to_limits = [
        blank
        for blank in problem.blanks
        if all(stock.available is not None for stock in problem.stock if problem.fits(blank, stock))
    ]
    limited = [stock for stock in problem.stock if any(problem.fits(blank, stock) for blank in bound_to_limits)]
    rooms = {stock.id: problem.rooms(stock) for stock in limited}
    areas = {
        stock.id: (max if stock.either_way else sum)(prod(_space(problem, room)) for room in rooms[stock.id])
        for stock in limited
    }
    wanted = sum(
        blank.pieces
        * min(prod(taken) for stock in limited for room in rooms[stock.id] for taken in _taken(problem, blank, room))
        for blank in bound_to_limits
    )
    there = sum((stock.available or 0) * areas[stock.id] for stock in limited)
    if wanted > there:
        short = -(-(wanted - there) // max(areas.values()))
        raise NoSolution(
            "cutting plan",
            f"the boards available are too few by area for {', '.join(sorted(blank.id for blank in bound_to_limits))}: "
            f"{short} of the largest short at least",
            f"allow more of {_names(limited)}",
        )


def _needs(problem: BoardProblem, blank: Blank) -> tuple[int, int, int]:
    rules = problem.rules
    return (
        blank.thickness,
        blank.width + rules.edge_allowance,
        blank.length + rules.segment_extra + 2 * rules.end_trim,
    )


def _lacking(problem: BoardProblem, blank: Blank, stock: StockLength) -> float:
    """How far a stock is from holding the blank: missing shares of thickness, width and length, added."""
    return sum(max(0, need - size) / need for need, size in zip(_needs(problem, blank), _sizes(stock), strict=True))


def _sizes(stock: StockLength) -> tuple[int, int, int]:
    return stock.thickness, stock.width, stock.length


def _taken(problem: BoardProblem, blank: Blank, room: Room) -> list[tuple[int, int]]:
    """Size along and across, a kerf in each, of every way that a blank may lie in a room."""
    rules = problem.rules
    more = rules.segment_extra + rules.kerf_crosscut
    return [(along + more, across + rules.kerf_rip) for along, across, _ in lies(blank, room)]


def _space(problem: BoardProblem, room: Room) -> tuple[int, int]:
    """Size along and across of a room, with a kerf more in each, for the last piece needs none."""
    rules = problem.rules
    return room.along + rules.kerf_crosscut, max(0, room.across - rules.edge_allowance + rules.kerf_rip)


def _text(problem: BoardProblem, length: int) -> str:
    return units.format_length(length, problem.system)


def _names(stocks: Iterable[StockLength]) -> str:
    return ", ".join(sorted(stock.id for stock in stocks))
