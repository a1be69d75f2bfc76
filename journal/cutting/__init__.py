"""Which boards to buy and how to cut them, and sheets too.

`problem` and `answer` the values in and out; `problem_file` reads them from JSON, `result_file` writes them; `panels` makes a
problem of sheets. `boards` searches: `in_turn` for a first plan, or `greedy` (with `tries`, `fill`); `model` folds kerfs in;
`pricing` (with `knapsack`) finds patterns; `master` the linear programme, `dive` plans out of it, `choose` integer programmes
(`highs` the solver, `apart` its own process), `improve` cheaper boards for the same segments, `rework` parts of a plan again,
`near` and `prove` the proof, `search` all that in order; `bound` what any plan must cost, `tiers` where prices fall with the
number bought; `offcuts` the last goal; `refusals` why there is no plan. `verify` and `certify` replay a plan and import none
of the search. Use `plan` from here: it never hands out a plan that the replay finds fault with.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal.cutting import boards
from journal.cutting.verify import replay

if TYPE_CHECKING:
    from journal.cutting.problem import BoardProblem, CuttingResult, Search


def plan(problem: BoardProblem, search: Search | None = None) -> CuttingResult:
    """A replayed cutting plan with its bound; by default a quick one, the same every time.

    Raises:
        NoSolution: when there is no plan, or none was found within the limits of stock.
        RuntimeError: when the replay finds fault: a mistake in the search, never in the input.
    """
    result = boards.plan(problem, search)
    faults = replay(problem, result).faults
    if faults:
        raise RuntimeError("the cutting plan failed its own check: " + "; ".join(faults))
    return result
