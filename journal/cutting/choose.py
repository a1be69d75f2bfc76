"""The best whole plan from a list of patterns: an integer programme with limits on its work."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from math import inf
from typing import TYPE_CHECKING

from journal.cutting.highs import Answer, Limits, Program
from journal.cutting.improve import improve
from journal.cutting.layout import boards_from, overdrawn, patterns_of
from journal.cutting.master import Rows
from journal.cutting.pricing import Cross, Rip

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    import numpy as np
    from numpy.typing import NDArray

    from journal.cutting.layout import Board
    from journal.cutting.master import Column
    from journal.cutting.model import Model

    Solve = Callable[[Program, Mapping[int, float], Limits], Answer]

_SLACK = 0.3  # of a point that the solver's bound may be off by


@dataclass(frozen=True, slots=True)
class Choice:
    """What came of it.

    Attributes:
        boards: the plan, None when none was found.
        bound: points below which these patterns have no plan, by the solver's word; infinite when they have none.
        finished: the limits were not reached.
    """

    boards: list[Board] | None
    bound: float
    finished: bool


def choose(
    model: Model,
    columns: Sequence[Column],
    limits: Limits,
    solve: Solve,
    *,
    start: Sequence[Board] = (),
    floors: Mapping[Column, int] | None = None,
    stand_ins: bool = False,
) -> Choice:
    """The cheapest plan from these patterns.

    Args:
        model: the problem.
        columns: patterns to choose from; those of `start` are added.
        limits: nodes and seconds.
        solve: answers the programme, here or in a process of its own.
        start: a plan to begin with.
        floors: patterns that are used so often at least.
        stand_ins: a longer segment or strip may take the place of the next shorter one. Plans come sooner and proofs later.
    """
    rips, crosses = patterns_of(model, start)
    known = list(dict.fromkeys([*columns, *sorted(rips, key=repr), *sorted(crosses, key=repr)]))
    rows = Rows(model)
    program = Program(row_low=[0.0] * rows.count, row_high=[inf] * rows.count)
    program.row_low[: len(model.demand)] = [float(count) for count in model.demand]
    used = Counter(store for store, _ in start)
    hint = _stores(model, rows, program, used)
    first = len(program.cost)
    for column in known:
        count = rips[column] if isinstance(column, Rip) else crosses[column]
        number = program.column(0.0, float((floors or {}).get(column, 0)), inf, *rows.entries(column))
        hint[number] = float(count)
    if stand_ins:
        _stand_ins(model, rows, program)
    found = solve(program, hint if start else {}, replace(limits, near_enough=0.5 / model.scale))
    boards = None if found.value is None else _boards(model, known, found.value[first:])
    return Choice(boards, found.bound * model.scale - _SLACK, found.finished)


def _stores(model: Model, rows: Rows, program: Program, used: Counter[int]) -> dict[int, float]:
    """Columns of boards opened; with price breaks one for each price, of which one is chosen."""
    hint: dict[int, float] = {}
    point = 1 / model.scale
    points = model.points(used.elements())  # with more boards than these pay for, no plan is cheaper
    for number, store in enumerate(model.stores):
        places = rows.place[number]
        high = inf if store.limit is None else float(store.limit)
        if not store.breaks:
            column = program.column(store.cents + point, 0.0, high, places, [1.0] * len(places))
            hint[column] = float(used[number])
            continue
        most = min(high, float(sum(model.demand)), float(points // model.price(number)) if used else inf)
        one_of = program.row(-inf, 1.0)
        tiers = [(1, store.cents), *store.breaks]
        for tier, (least, cents) in enumerate(tiers):
            top = float(tiers[tier + 1][0] - 1) if tier + 1 < len(tiers) else most
            above, below = program.row(-inf, 0.0), program.row(0.0, inf)
            chosen = least <= used[number] <= top
            count = program.column(cents + point, 0.0, most, [*places, above, below], [*[1.0] * len(places), 1.0, 1.0])
            hint[count] = float(used[number]) if chosen else 0.0
            switch = program.column(0.0, 0.0, 1.0, [one_of, above, below], [1.0, -top, -float(least)])
            hint[switch] = float(chosen)
    return hint


def _stand_ins(model: Model, rows: Rows, program: Program) -> None:
    for group, (kind, _) in enumerate(model.groups):
        for length in range(1, len(model.kinds[kind].lengths)):
            row = rows.segment[group] + length
            program.column(0.0, 0.0, inf, [row, row - 1], [-1.0, 1.0])
    for longer, shorter in sorted(_next_shorter(model)):
        program.column(0.0, 0.0, inf, [longer, shorter], [-1.0, 1.0])


def _next_shorter(model: Model) -> set[tuple[int, int]]:
    """Classes and the next shorter one of the same width wherever they may be cut."""
    pairs: list[set[tuple[int, int]]] = []
    homes: list[set[int]] = [set() for _ in model.demand]
    for number, kind in enumerate(model.kinds):
        found: set[tuple[int, int]] = set()
        last: dict[int, int] = {}
        for piece in kind.pieces:
            homes[piece.of].add(number)
            if piece.across in last and last[piece.across] != piece.of:
                found.add((piece.of, last[piece.across]))
            last[piece.across] = piece.of
        pairs.append(found)
    every = set().union(*pairs)
    return {
        pair
        for pair in every
        if homes[pair[0]] == homes[pair[1]] and all(pair in pairs[kind] for kind in homes[pair[0]])
    }


def _boards(model: Model, columns: Sequence[Column], value: NDArray[np.float64]) -> list[Board] | None:
    rips: Counter[Rip] = Counter()
    crosses: Counter[Cross] = Counter()
    for column, amount in zip(columns, value, strict=False):
        count = round(float(amount))
        if count and isinstance(column, Rip):
            rips[column] += count
        elif count and isinstance(column, Cross):
            crosses[column] += count
    return tidy(model, rips, crosses)


def tidy(model: Model, rips: Counter[Rip], crosses: Counter[Cross]) -> list[Board] | None:
    """Boards of these patterns, improved; None when pieces are missing or stock is overdrawn."""
    boards = boards_from(model, rips, crosses)
    return None if boards is None or overdrawn(model, boards) else improve(model, boards)
