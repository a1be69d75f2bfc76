"""Which boards to buy and how to cut them.

`problem` the values in and out; `problem_file` reads them from JSON; `boards` looks for a plan (with `tries`, a plan from
nothing, `fill`, the knapsack inside, and `refusals`, why there is none); `bound` says what any plan must cost; `verify`
replays a plan and imports none of the search. Use `plan` from here: it never hands out a plan that the replay finds
fault with.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal.cutting import boards
from journal.cutting.verify import replay

if TYPE_CHECKING:
    from journal.cutting.problem import BoardProblem, CuttingResult


def plan(problem: BoardProblem) -> CuttingResult:
    """A replayed cutting plan with its certified bound.

    Raises:
        NoSolution: when there is no plan, or none was found within the limits of stock.
        RuntimeError: when the replay finds fault: a mistake in the search, never in the input.
    """
    result = boards.plan(problem)
    faults = replay(problem, result).faults
    if faults:
        raise RuntimeError("the cutting plan failed its own check: " + "; ".join(faults))
    return result
