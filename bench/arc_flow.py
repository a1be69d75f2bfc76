"""The rival: one integer programme for a whole cutting problem, in arcs, solved at once.

Filling a length is a walk from 0 to its end, in steps as long as the pieces (arc-flow; after Valério de Carvalho, Annals of
Operations Research 86, 1999, from memory, verify). Boards walk in segments; for every segment length of every section as
many walks as there are such segments go across the width in strips. Steps go from the largest to the smallest, so that each
filling is one walk. Nothing of the search is used. Cut-outs, price breaks, and sheets to be turned or cut either way are
left out: it answers None for those.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from itertools import pairwise
from math import ceil, inf
from typing import TYPE_CHECKING

import highspy
import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from journal.cutting.problem import Blank, BoardProblem, StockLength

Entries = list[tuple[int, float]]  # rows and coefficients
MOST_COLUMNS = 400_000


@dataclass(frozen=True, slots=True)
class Found:
    """Cost of the best plan (None without one), bound, status, and columns of the programme."""

    cost: int | None
    bound: int
    status: str
    columns: int


@dataclass(slots=True)
class Programme:
    """Columns of whole numbers, added one by one."""

    cost: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    entries: list[Entries] = field(default_factory=list)
    low_of_row: list[float] = field(default_factory=list)
    high_of_row: list[float] = field(default_factory=list)

    def row(self, low: float = 0.0, high: float = 0.0) -> int:
        self.low_of_row.append(low)
        self.high_of_row.append(high)
        return len(self.low_of_row) - 1

    def column(self, entries: Iterable[tuple[int, float]], cost: float = 0.0, high: float = inf) -> None:
        together: dict[int, float] = defaultdict(float)
        for row, value in entries:
            together[row] += value
        self.cost.append(cost)
        self.high.append(high)
        self.entries.append(list(together.items()))


def solve(problem: BoardProblem, seconds: float) -> Found:
    """The programme's answer within so many seconds of the solver (building it is not counted)."""
    if any(one.cut_outs or one.breaks or one.either_way for one in problem.stock) or any(
        one.may_turn for one in problem.blanks
    ):
        return Found(None, 0, "left out", 0)
    programme = _build(problem)
    if len(programme.cost) > MOST_COLUMNS:
        return Found(None, 0, "too large", len(programme.cost))
    highs = highspy.Highs()
    for name, value in {"output_flag": False, "threads": 1, "time_limit": seconds, "mip_abs_gap": 0.99}.items():
        highs.setOptionValue(name, value)
    highs.setOptionValue("mip_rel_gap", 0.0)
    highs.passModel(_as_lp(programme))
    highs.run()
    info = highs.getInfo()
    done = highs.getModelStatus() == highspy.HighsModelStatus.kOptimal
    there = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    cost = round(info.objective_function_value) if there else None
    bound = ceil(info.mip_dual_bound - 1e-4) if np.isfinite(info.mip_dual_bound) else 0
    if done and cost is not None:
        bound = cost
    return Found(cost, max(0, bound), "optimal" if done else "feasible" if there else "no plan", len(programme.cost))


def _build(problem: BoardProblem) -> Programme:
    programme = Programme()
    cover = [programme.row(one.quantity + one.spare, inf) for one in problem.blanks]
    sections: dict[tuple[str, int, int], list[StockLength]] = defaultdict(list)
    for one in problem.stock:
        sections[one.family, one.thickness, one.width].append(one)
    for (family, thickness, width), stocks in sections.items():
        fitting = [
            (blank, row)
            for blank, row in zip(problem.blanks, cover, strict=True)
            if (blank.families is None or family in blank.families)
            and blank.thickness <= thickness
            and blank.width + problem.rules.edge_allowance <= width
        ]
        _add_section(programme, problem, stocks, fitting)
    return programme


def _add_section(
    programme: Programme,
    problem: BoardProblem,
    stocks: Sequence[StockLength],
    fitting: Sequence[tuple[Blank, int]],
) -> None:
    rules = problem.rules
    ends = [one.length - 2 * rules.end_trim + rules.kerf_crosscut for one in stocks]
    length = {blank.length: blank.length + rules.segment_extra + rules.kerf_crosscut for blank, _ in fitting}
    lengths = {size: programme.row() for size in sorted(length.values(), reverse=True) if size <= max(ends)}
    if not lengths:
        return
    many: dict[int, int] = defaultdict(int)
    for blank, _ in fitting:
        many[length[blank.length]] += blank.quantity + blank.spare
    # Rows `lengths`: segments crosscut less segments ripped are none.
    steps = [(size, many[size], [(row, 1.0)]) for size, row in lengths.items()]
    places = _walks(programme, steps, max(ends), sorted({end for end in ends if end > 0}))
    for one, end in zip(stocks, ends, strict=True):
        if end > 0 and (one.on_hand or problem.longest is None or one.length <= problem.longest):
            most = inf if one.available is None else float(one.available)
            programme.column([(places[0], 1.0), (places[end], -1.0)], float(one.price_cents), most)
    across = stocks[0].width - rules.edge_allowance + rules.kerf_rip
    for size, row in lengths.items():
        shorter = [(blank, cover) for blank, cover in fitting if length[blank.length] <= size]
        shorter.sort(key=lambda each: -each[0].width)
        steps = [
            (blank.width + rules.kerf_rip, blank.quantity + blank.spare, [(cover, 1.0)]) for blank, cover in shorter
        ]
        places = _walks(programme, steps, across, [across])
        programme.column([(row, -1.0), (places[0], 1.0), (places[across], -1.0)])


def _walks(
    programme: Programme, steps: Sequence[tuple[int, int, Entries]], room: int, ends: Sequence[int]
) -> dict[int, int]:
    """Adds the arcs of walks with these (size, how many at most, rows each counts in); the row of each place."""
    places: dict[int, int] = {0: programme.row()}
    for end in ends:
        places.setdefault(end, programme.row())
    reached = {0}
    for size, most, counted in steps:
        arcs = set()
        for start in reached:
            for count in range(min(most, (room - start) // size)):
                arcs.add(start + count * size)
        for start in sorted(arcs):
            for place in (start, start + size):
                if place not in places:
                    places[place] = programme.row()
            programme.column([(places[start], -1.0), (places[start + size], 1.0), *counted])
            reached |= {start, start + size}
    order = sorted(places)
    for place, further in pairwise(order):
        programme.column([(places[place], -1.0), (places[further], 1.0)])
    return places


def _as_lp(programme: Programme) -> highspy.HighsLp:
    lp = highspy.HighsLp()
    count = len(programme.cost)
    lp.num_col_, lp.num_row_ = count, len(programme.low_of_row)
    lp.col_cost_, lp.col_lower_, lp.col_upper_ = np.array(programme.cost), np.zeros(count), np.array(programme.high)
    lp.row_lower_, lp.row_upper_ = np.array(programme.low_of_row), np.array(programme.high_of_row)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    lp.a_matrix_.start_ = np.cumsum([0, *(len(one) for one in programme.entries)]).astype(np.int32)
    lp.a_matrix_.index_ = np.array([row for one in programme.entries for row, _ in one], dtype=np.int32)
    lp.a_matrix_.value_ = np.array([value for one in programme.entries for _, value in one])
    lp.integrality_ = [highspy.HighsVarType.kInteger] * count
    return lp
