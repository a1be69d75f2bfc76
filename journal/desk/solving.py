"""Where the desk asks the cutting room for a plan: at once, or by a search that may take its time."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from journal import cutting

if TYPE_CHECKING:
    from collections.abc import Callable

    from journal.cutting.problem import BoardProblem, CuttingResult


@lru_cache(maxsize=256)
def quick(problem: BoardProblem) -> CuttingResult:
    """A plan at once, the same each time.

    Raises:
        NoSolution: there is none.
    """
    return cutting.plan(problem)


def thorough(
    problem: BoardProblem,
    seconds: float,  # noqa: ARG001 - the search of today ends by itself
    tell: Callable[[int, int], None],
    stop: Callable[[], bool],  # noqa: ARG001 - as seconds
) -> CuttingResult:
    """The best plan found within so many seconds.

    Args:
        problem: what to cut.
        seconds: when to stop at the latest.
        tell: told (cost, bound) in cents of every better plan or bound.
        stop: asked now and then; True ends the search with the best plan so far.

    Raises:
        NoSolution: there is none.
    """
    result = cutting.plan(problem)
    tell(result.cost_cents, result.bound_cents)
    return result
