"""Why a problem has no plan, in the user's units, and what would do."""

from __future__ import annotations

from typing import TYPE_CHECKING, NoReturn

from journal import units
from journal.errors import NoSolution

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from journal.cutting.problem import Blank, BoardProblem, StockLength


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
    thickness, width, length = _needs(problem, blank)
    reasons = [
        f"too {word} (needs {_text(problem, need)}, the nearest stock {nearest.id} has {_text(problem, has)})"
        for word, need, has in (
            ("thick", thickness, nearest.thickness),
            ("wide", width, nearest.width),
            ("long", length, nearest.length),
        )
        if need > has
    ]
    size = " × ".join(_text(problem, one) for one in (thickness, width, length))
    raise NoSolution(what, " and ".join(reasons), f"a board of at least {size} would do")


def _refuse_too_few(problem: BoardProblem, blank: Blank, homes: list[StockLength]) -> None:
    """By itself, each board at its fullest with nothing else in it: fewer than asked is certain."""
    most = 0
    for stock in homes:
        if stock.available is None:
            return
        along, across = _room(problem, stock)
        length, width = _taken(problem, blank)
        most += stock.available * (along // length) * (across // width)
    if most < blank.quantity:
        raise NoSolution(
            f"blank {blank.id}",
            f"{blank.quantity} are wanted and the boards available yield {most} at most: {blank.quantity - most} short",
            f"allow more of {_names(homes)}",
        )


def _refuse_too_small(problem: BoardProblem) -> None:
    """All blanks that only limited stock can hold, by area with kerfs in it: less board than blank is certain."""
    bound_to_limits = [
        blank
        for blank in problem.blanks
        if all(stock.available is not None for stock in problem.stock if problem.fits(blank, stock))
    ]
    stocks = [stock for stock in problem.stock if any(problem.fits(blank, stock) for blank in bound_to_limits)]
    limited = [stock for stock in stocks if stock.available is not None]
    wanted = sum(blank.quantity * _area(_taken(problem, blank)) for blank in bound_to_limits)
    there = sum((stock.available or 0) * _area(_room(problem, stock)) for stock in limited)
    if wanted > there:
        largest = max(_area(_room(problem, stock)) for stock in limited)
        short = -(-(wanted - there) // largest)
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
    has = (stock.thickness, stock.width, stock.length)
    return sum(max(0, need - size) / need for need, size in zip(_needs(problem, blank), has, strict=True))


def _taken(problem: BoardProblem, blank: Blank) -> tuple[int, int]:
    rules = problem.rules
    return blank.length + rules.segment_extra + rules.kerf_crosscut, blank.width + rules.kerf_rip


def _room(problem: BoardProblem, stock: StockLength) -> tuple[int, int]:
    rules = problem.rules
    return (
        stock.length - 2 * rules.end_trim + rules.kerf_crosscut,
        stock.width - rules.edge_allowance + rules.kerf_rip,
    )


def _area(sides: tuple[int, int]) -> int:
    return sides[0] * sides[1]


def _text(problem: BoardProblem, length: int) -> str:
    return units.format_length(length, problem.system)


def _names(stocks: Iterable[StockLength]) -> str:
    return ", ".join(sorted(stock.id for stock in stocks))
