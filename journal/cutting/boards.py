"""Which boards and sheets to use and how to cut them: the search for each part of the problem, put together again."""

from __future__ import annotations

from collections import Counter
from contextlib import ExitStack
from functools import partial
from typing import TYPE_CHECKING

from journal.cutting.bound import independent_parts
from journal.cutting.clock import Clock
from journal.cutting.greedy import first_plan
from journal.cutting.model import make_model
from journal.cutting.offcuts import gather_offcuts, offcuts_of
from journal.cutting.problem import (
    BoardCut,
    BoardProblem,
    Certificate,
    CuttingPlan,
    CuttingResult,
    Progress,
    Search,
    Segment,
)
from journal.cutting.refusals import refuse_impossible, refuse_unplaced

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from journal.cutting.choose import Solve
    from journal.cutting.layout import Board, Filling
    from journal.cutting.model import Model
    from journal.cutting.problem import Blank, Ended, StockLength
    from journal.cutting.search import Hunt

_GREEDY_BLANKS = 150  # with more of them the greedy plan takes longer than it is worth
METHOD = "patterns priced in on both levels, rework, proof (search 3)"


def plan(problem: BoardProblem, search: Search | None = None) -> CuttingResult:
    """The best plan found with its cost and bound.

    Raises:
        NoSolution: when a blank fits no stock, when the stock's limits are certainly too low, or when no plan was found
            within the limits; the message says which.
    """
    search = search or Search()
    refuse_impossible(problem)
    clock = Clock(search.seconds, search.stop)
    with ExitStack() as stack:
        hunts = _Hunts(problem, search, clock, stack)
        hunts.run()
        return hunts.result()


class _Hunts:
    """The parts of one problem and the search for each."""

    def __init__(self, problem: BoardProblem, search: Search, clock: Clock, stack: ExitStack) -> None:
        from journal.cutting.highs import answer  # noqa: PLC0415 - the solver is slow to load
        from journal.cutting.search import Hunt, Work  # noqa: PLC0415

        self.problem = problem
        self.search = search
        self.clock = clock
        solve: Solve = answer
        if search.apart and search.seconds is not None:
            from journal.cutting.apart import Apart  # noqa: PLC0415

            solve = partial(stack.enter_context(Apart()).answer, stop=clock.over)
        work = Work(solve, clock)
        self.parts = independent_parts(problem)
        self.models = [make_model(problem, blanks, stocks) for blanks, stocks in self.parts]
        self.hunts = [Hunt(model, work, self._report) for model in self.models]
        self._told = (-1, -1)

    def run(self) -> None:
        """Quick plans for all parts first, then the proofs, those with the widest gap first."""
        for (blanks, stocks), model, hunt in zip(self.parts, self.models, self.hunts, strict=True):
            hunt.begin()
            if len(blanks) <= _GREEDY_BLANKS and not hunt.met() and not self.clock.over():
                hunt.take(_seed(self.problem, blanks, stocks, model, hunt))
        for hunt in self.hunts:
            hunt.quick()
        self._refuse_missing()
        if self.search.seconds is None:
            return
        open_ = sorted((hunt for hunt in self.hunts if not hunt.met()), key=lambda hunt: hunt.cents - hunt.bound_cents)
        while open_ and not self.clock.over():
            hunt = open_.pop()
            hunt.thorough(Clock(self.clock.left() / (len(open_) + 1), self.clock.over))

    def _refuse_missing(self) -> None:
        for (blanks, stocks), hunt in zip(self.parts, self.hunts, strict=True):
            if hunt.boards is None:
                part = BoardProblem(stocks, blanks, self.problem.rules, self.problem.system, self.problem.longest)
                refuse_unplaced(part, hunt.unplaced, hunt.short)

    def _report(self) -> None:
        if self.search.progress is None or any(hunt.boards is None for hunt in self.hunts):
            return
        cost, bound = sum(hunt.cents for hunt in self.hunts), sum(hunt.bound_cents for hunt in self.hunts)
        if (cost, bound) != self._told:
            self._told = (cost, bound)
            self.search.progress(Progress(self.clock.spent(), cost, bound))

    def result(self) -> CuttingResult:
        """All parts together."""
        problem = self.problem
        cut = [
            one
            for hunt, model in zip(self.hunts, self.models, strict=True)
            for one in _board_cuts(problem, model, hunt.boards or [])
        ]
        plan = gather_offcuts(problem, CuttingPlan(tuple(cut)))
        cost = sum(hunt.cents for hunt in self.hunts)
        bound = sum(hunt.bound_cents for hunt in self.hunts)
        certified = sum(hunt.certified_cents for hunt in self.hunts)
        used = sorted(Counter(board.stock_id for board in plan.boards).items())
        on_hand = {stock.id for stock in problem.stock if stock.on_hand}
        return CuttingResult(
            status="optimal" if cost == bound else "feasible",
            plan=plan,
            cost_cents=cost,
            bound_cents=bound,
            bound_kind="certified" if bound == certified else "solver",
            certified_cents=certified,
            gap=(cost - bound) / cost if cost else 0.0,
            fewest_boards=all(hunt.met() for hunt in self.hunts),
            shopping=tuple((name, count) for name, count in used if name not in on_hand),
            from_rack=tuple((name, count) for name, count in used if name in on_hand),
            offcuts=tuple(offcuts_of(problem, plan)),
            certificate=_certificate(self.models, self.hunts),
            ended=self._ended(),
            method=METHOD,
        )

    def _ended(self) -> Ended:
        return "proven" if all(hunt.met() for hunt in self.hunts) else self.clock.reason()


def _seed(
    problem: BoardProblem, blanks: Sequence[Blank], stocks: Sequence[StockLength], model: Model, hunt: Hunt
) -> list[Board] | None:
    """The greedy plan in the model's terms; None when it leaves pieces out."""
    part = BoardProblem(tuple(stocks), tuple(blanks), problem.rules, problem.system, problem.longest)
    worth = {name: one for members, one in zip(model.blanks, hunt.worth, strict=True) for name, _ in members}
    bench, boards, left = first_plan(part, worth)
    if left:
        return None
    of = {name: number for number, members in enumerate(model.blanks) for name, _ in members}
    stores = {name: number for number, store in enumerate(model.stores) for name, _ in store.members}
    found: list[Board] = []
    for index, segments in boards:
        store = stores[bench.stock[index].id]
        place, layout = max(
            (
                (place, layout)
                for place, layouts in enumerate(model.stores[store].places)
                for layout in range(len(layouts))
                if not layouts[layout].crosswise
            ),
            key=lambda each: model.stores[store].places[each[0]][each[1]].room,
        )
        group = model.stores[store].places[place][layout].group
        pieces = model.kinds[model.groups[group][0]].pieces
        number = {piece.of: which for which, piece in enumerate(pieces) if not piece.turned}
        strips = [tuple(sorted((number[of[bench.blanks[each].id]] for each in one), reverse=True)) for one in segments]
        fillings: list[Filling | None] = [None] * len(model.stores[store].places)
        fillings[place] = (layout, tuple(sorted(strips, reverse=True)))
        found.append((store, tuple(fillings)))
    return found


def _board_cuts(problem: BoardProblem, model: Model, boards: Sequence[Board]) -> Iterator[BoardCut]:
    """Boards with names: of equal stock the first there is, of equal blanks one after the other."""
    stock = [_names(store.members) for store in model.stores]
    blanks = [_names(members) for members in model.blanks]
    for store, fillings in sorted(boards, key=repr):
        segments: list[Segment] = []
        crosswise = False
        for place, filling in enumerate(fillings):
            if filling is None:
                continue
            layout = model.stores[store].places[place][filling[0]]
            crosswise = layout.crosswise
            pieces = model.kinds[model.groups[layout.group][0]].pieces
            segments += [
                Segment(
                    length=pieces[strips[0]].along - problem.rules.kerf_crosscut,
                    blanks=tuple(next(blanks[pieces[piece].of]) for piece in strips),
                    turned=tuple(where for where, piece in enumerate(strips) if pieces[piece].turned),
                    stretch=layout.stretch,
                )
                for strips in filling[1]
            ]
        yield BoardCut(next(stock[store]), tuple(segments), crosswise)


def _names(members: Sequence[tuple[str, int | None]]) -> Iterator[str]:
    for name, count in members:
        yielded = 0
        while count is None or yielded < count:
            yielded += 1
            yield name


def _certificate(models: Sequence[Model], hunts: Sequence[Hunt]) -> Certificate:
    """All parts' worth on the finest scale any of them has."""
    scale = max(hunt.scale for hunt in hunts)
    worth = [
        (name, one * scale // hunt.scale)
        for model, hunt in zip(models, hunts, strict=True)
        for members, one in zip(model.blanks, hunt.worth, strict=True)
        for name, _ in members
    ]
    return Certificate(tuple(sorted(worth)), scale)
