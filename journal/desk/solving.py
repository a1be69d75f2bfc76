"""Where the desk asks the cutting room for a plan: at once, or by a search that may take its time."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from journal import cutting
from journal.cutting.problem import Search

if TYPE_CHECKING:
    from collections.abc import Callable

    from journal.cutting.problem import BoardProblem, CuttingResult, Progress


@lru_cache(maxsize=256)
def quick(problem: BoardProblem) -> CuttingResult:
    """A plan at once, the same each time.

    Raises:
        NoSolution: there is none.
    """
    return cutting.plan(problem)


def thorough(
    problem: BoardProblem, seconds: float, tell: Callable[[int, int], None], stop: Callable[[], bool]
) -> CuttingResult:
    """The best plan found within so many seconds; the search ends sooner when nothing can cost less.

    Args:
        problem: what to cut.
        seconds: when to stop at the latest.
        tell: told (cost, bound) in cents of every better plan or bound.
        stop: asked now and then; True ends the search with the best plan so far.

    Raises:
        NoSolution: there is none.
    """

    def progress(now: Progress) -> None:
        tell(now.cost_cents, now.bound_cents)

    return cutting.plan(problem, Search(seconds=seconds, progress=progress, stop=stop, apart=True))
