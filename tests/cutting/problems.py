"""Board problems for the cutting tests: makers, Hypothesis strategies, and the optimum of tiny ones by trying everything."""

from __future__ import annotations

from itertools import product

from hypothesis import strategies as st
from journal.cutting.problem import Blank, BoardProblem, SawRules, StockLength
from journal.units import inches

NO_WASTE = SawRules(kerf_crosscut=0, kerf_rip=0, end_trim=0, segment_extra=0, edge_allowance=0)


def stock(name="2x8-8", length="96", price=828, *, width="7 1/4", thickness="1 1/2", family="fir", **more):
    return StockLength(name, family, inches(thickness), inches(width), inches(length), price, **more)


def blank(name="strip", length="48", quantity=1, *, width="3 1/2", thickness="1 1/4", families=frozenset({"fir"})):
    return Blank(name, families, inches(thickness), inches(width), inches(length), quantity)


def saw(*, kerf="0", trim="0", extra="0", edge="0"):
    return SawRules(inches(kerf), inches(kerf), inches(trim), inches(extra), inches(edge))


def problem(stocks, blanks, rules=NO_WASTE):
    return BoardProblem(tuple(stocks), tuple(blanks), rules)


@st.composite
def problems(draw, *, most_blanks=6, most_pieces=12, most_stock=5, limits=True, extras=False):
    """Small problems, in which every blank fits at least one stock."""
    small = st.integers(0, 3)
    rules = SawRules(draw(small), draw(small), draw(small), draw(small), draw(small))
    stocks = tuple(
        StockLength(
            f"s{number}",
            draw(st.sampled_from(["a", "b"])),
            draw(st.integers(2, 3)),
            draw(st.sampled_from([12, 20, 31])),
            draw(st.integers(30, 90)),
            draw(st.integers(1, 900)),
            draw(st.none() | st.integers(1, 3)) if limits and number else None,
            draw(st.booleans()) if limits else False,
            **(draw(stock_extras()) if extras else {}),
        )
        for number in range(draw(st.integers(1, most_stock)))
    )
    left = most_pieces
    blanks = []
    for number in range(draw(st.integers(1, most_blanks))):
        home = draw(st.sampled_from(stocks))
        if left == 0:
            break
        quantity = draw(st.integers(1, min(left, 5)))
        left -= quantity
        blanks.append(
            Blank(
                f"b{number}",
                draw(st.sampled_from([None, frozenset({home.family}), frozenset({"a", "b"})])),
                draw(st.integers(1, home.thickness)),
                draw(st.integers(1, home.width - rules.edge_allowance)),
                draw(st.integers(1, home.length - 2 * rules.end_trim - rules.segment_extra)),
                quantity,
                draw(st.integers(0, 1)) if extras else 0,
                draw(st.booleans()) if extras else False,
            )
        )
    return BoardProblem(stocks, tuple(blanks), rules)


@st.composite
def stock_extras(draw):
    """At times a price break, a cut-out near the board's end, or a sheet to be cut either way."""
    start = draw(st.integers(0, 20))
    return draw(
        st.sampled_from(
            [
                {},
                {"breaks": ((3, draw(st.integers(0, 400))),)},
                {"cut_outs": ((start, start + draw(st.integers(3, 9))),)},
                {"either_way": True},
            ]
        )
    )


def least_cost(problem):
    """The optimum by trying every way to group pieces into segments and segments into boards; None when there is none.

    Written from the rule of the shop alone. For up to five pieces.
    """
    pieces = [one for one in problem.blanks for _ in range(one.pieces)]
    costs = [
        cost
        for segments in _groupings(pieces)
        for boards in _groupings(segments)
        if (cost := _cheapest_stock(problem, boards)) is not None
    ]
    return min(costs, default=None)


def _groupings(things):
    if not things:
        yield []
        return
    first, rest = things[0], things[1:]
    for groups in _groupings(rest):
        yield [[first], *groups]
        for place in range(len(groups)):
            yield [*groups[:place], [first, *groups[place]], *groups[place + 1 :]]


def _cheapest_stock(problem, boards):
    homes = [[one for one in problem.stock if _holds(problem.rules, one, segments)] for segments in boards]
    if all(one.available is None for one in problem.stock):
        return sum(min(one.price_cents for one in options) for options in homes) if all(homes) else None
    costs = [
        sum(one.price_cents for one in choice)
        for choice in product(*homes)
        if all(one.available is None or choice.count(one) <= one.available for one in choice)
    ]
    return min(costs, default=None)


def _holds(rules, stock, segments):
    lengths = [max(piece.length for piece in segment) + rules.segment_extra for segment in segments]
    along = sum(lengths) + rules.kerf_crosscut * (len(lengths) - 1)
    widths = [sum(piece.width for piece in segment) + rules.kerf_rip * (len(segment) - 1) for segment in segments]
    return (
        along <= stock.length - 2 * rules.end_trim
        and max(widths) + rules.edge_allowance <= stock.width
        and all(
            piece.thickness <= stock.thickness and (piece.families is None or stock.family in piece.families)
            for segment in segments
            for piece in segment
        )
    )
