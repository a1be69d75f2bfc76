"""The solver of linear and integer programmes, quiet and on one thread, and the programmes it is given.

Only the search imports this module, and only when it runs: the solver is slow to load.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import inf
from typing import TYPE_CHECKING

import highspy
import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from numpy.typing import NDArray

VERSION = highspy.Highs.version(highspy._core._Highs())  # noqa: SLF001 - the plain object prints nothing

_NEAR = 1e-6  # share of a cost that sums may differ by
_LEFT_OUT = (
    "mip_allow_restart",
    "mip_heuristic_run_rens",
    "mip_heuristic_run_rins",
    "mip_heuristic_run_root_reduced_cost",
)


class _Quiet(highspy.Highs):
    """HiGHS greets on standard output when its callbacks are made ready, unless it was silenced before."""

    def enableCallbacks(self) -> None:  # noqa: N802 - HiGHS's name
        self.silent()
        super().enableCallbacks()  # type: ignore[no-untyped-call]


def solver(**options: float) -> highspy.Highs:
    """A HiGHS on one thread: its threads are one pool for the whole process, which must keep its size."""
    highs = _Quiet()  # type: ignore[no-untyped-call]
    for name, value in ({"threads": 1, "random_seed": 0} | options).items():
        highs.setOptionValue(name, value)
    return highs


@dataclass(slots=True)
class Program:
    """An integer programme: every column a whole number, columns added one by one with their rows and values."""

    cost: list[float] = field(default_factory=list)
    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    starts: list[int] = field(default_factory=lambda: [0])
    index: list[int] = field(default_factory=list)
    value: list[float] = field(default_factory=list)
    row_low: list[float] = field(default_factory=list)
    row_high: list[float] = field(default_factory=list)

    def column(self, cost: float, low: float, high: float, rows: list[int], values: list[float]) -> int:
        """Adds a column; its number."""
        self.cost.append(cost)
        self.low.append(low)
        self.high.append(high)
        self.index += rows
        self.value += values
        self.starts.append(len(self.index))
        return len(self.cost) - 1

    def row(self, low: float, high: float) -> int:
        """Adds a row; its number."""
        self.row_low.append(low)
        self.row_high.append(high)
        return len(self.row_low) - 1


@dataclass(frozen=True, slots=True)
class Limits:
    """Nodes, seconds, how near to the optimum is near enough, in money, and whether to leave out what pays on large ones.

    `light` leaves out restarts and searches of smaller programmes, which take most of the time of small ones.
    """

    nodes: int
    seconds: float
    near_enough: float = 0.0
    light: bool = False


@dataclass(frozen=True, slots=True)
class Answer:
    """Values of the best solution (None when there is none), the bound, and whether the limits were not reached.

    The bound is infinite when there is no solution at all, and minus infinite when nothing is known.
    """

    value: NDArray[np.float64] | None
    bound: float
    finished: bool


def answer(
    program: Program, hint: Mapping[int, float], limits: Limits, better: Callable[[Answer], None] | None = None
) -> Answer:
    """Solves in this process; `better` is told of each better solution and bound on the way."""
    highs = solver(
        mip_rel_gap=0.0, mip_abs_gap=limits.near_enough, mip_max_nodes=limits.nodes, time_limit=limits.seconds
    )
    if limits.light:
        for name in _LEFT_OUT:
            highs.setOptionValue(name, False)
    highs.passModel(_as_lp(program))
    if hint:
        solution = highspy.HighsSolution()
        solution.col_value = [hint.get(number, 0.0) for number in range(len(program.cost))]
        highs.setSolution(solution)
    if better is not None:
        _listen(highs, better)
    highs.run()
    if hint and _misreported(program, highs):
        return answer(program, {}, limits, better)
    status = highs.getModelStatus()
    if status == highspy.HighsModelStatus.kInfeasible:
        return Answer(None, inf, finished=True)
    info = highs.getInfo()
    finished = status == highspy.HighsModelStatus.kOptimal
    if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
        return Answer(None, info.mip_dual_bound, finished=False)
    # Programmes solved before any branching may leave their bound at nothing; finished ones are within the gap asked for.
    proven = info.objective_function_value - limits.near_enough if finished else -inf
    return Answer(np.array(highs.getSolution().col_value), max(info.mip_dual_bound, proven), finished=finished)


def _misreported(program: Program, highs: highspy.Highs) -> bool:
    """Whether it calls a solution optimal at a cost that is not its own.

    HiGHS 1.16 hands back a start as optimal, at no cost, when its presolve leaves nothing of a programme to solve.
    """
    if highs.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return False
    cost = float(np.dot(program.cost, highs.getSolution().col_value))
    return abs(cost - highs.getInfo().objective_function_value) > _NEAR * max(1.0, abs(cost))


def _listen(highs: highspy.Highs, better: Callable[[Answer], None]) -> None:
    known = [-inf]

    def improved(event: highspy.HighsCallbackEvent) -> None:
        better(Answer(np.array(event.data_out.mip_solution), event.data_out.mip_dual_bound, finished=False))

    def told(event: highspy.HighsCallbackEvent) -> None:
        if event.data_out.mip_dual_bound > known[0]:
            known[0] = event.data_out.mip_dual_bound
            better(Answer(None, known[0], finished=False))

    highs.cbMipImprovingSolution.subscribe(improved)
    highs.cbMipLogging.subscribe(told)


def _as_lp(program: Program) -> highspy.HighsLp:
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(program.cost), len(program.row_low)
    lp.col_cost_, lp.col_lower_, lp.col_upper_ = np.array(program.cost), np.array(program.low), np.array(program.high)
    lp.row_lower_, lp.row_upper_ = np.array(program.row_low), np.array(program.row_high)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    lp.a_matrix_.start_ = np.array(program.starts, dtype=np.int32)
    lp.a_matrix_.index_ = np.array(program.index, dtype=np.int32)
    lp.a_matrix_.value_ = np.array(program.value, dtype=np.float64)
    lp.integrality_ = [highspy.HighsVarType.kInteger] * len(program.cost)
    return lp
