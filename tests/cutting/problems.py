"""Board problems for the cutting tests: makers, Hypothesis strategies, and the optimum of tiny ones by trying everything."""

from __future__ import annotations

from itertools import combinations, product

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
    """The optimum by trying every way to share pieces out to boards, and boards out to stock; None when there is none.

    Written from the rule of the shop alone. For up to five pieces.
    """
    pieces = [one for one in problem.blanks for _ in range(one.pieces)]
    holders = fillings(problem, pieces)
    costs = []
    for boards in _groupings(list(range(len(pieces)))):
        homes = [[one for one in problem.stock if frozenset(board) in holders[one.id]] for board in boards]
        for choice in product(*homes):
            used = [(one, choice.count(one)) for one in set(choice)]
            if all(one.available is None or count <= one.available for one, count in used):
                costs.append(sum(count * _price(one, count) for one, count in used))
    return min(costs, default=None)


def fillings(problem, pieces):
    """For each stock id the sets of pieces, by their places in the list, that one board of it holds."""
    numbers = range(len(pieces))
    sets = [frozenset(chosen) for size in numbers for chosen in combinations(numbers, size + 1)]
    return {
        one.id: {chosen for chosen in sets if _holds(problem, one, [pieces[number] for number in chosen])}
        for one in problem.stock
    }


def _groupings(things):
    if not things:
        yield []
        return
    first, rest = things[0], things[1:]
    for groups in _groupings(rest):
        yield [[first], *groups]
        for place in range(len(groups)):
            yield [*groups[:place], [first, *groups[place]], *groups[place + 1 :]]


def _price(stock, count):
    price = stock.price_cents
    for least, lower in stock.breaks:
        price = lower if count >= least else price
    return price


def _holds(problem, stock, pieces):
    if not stock.on_hand and problem.longest is not None and stock.length > problem.longest:
        return False
    if any(
        piece.thickness > stock.thickness or (piece.families is not None and stock.family not in piece.families)
        for piece in pieces
    ):
        return False
    trim = problem.rules.end_trim
    ways = [(_clear(stock, trim), stock.width, False)]
    if stock.either_way:
        ways.append(([stock.width - 2 * trim], stock.length, True))
    turns = list(product(*([False, True] if piece.may_turn else [False] for piece in pieces)))
    return any(
        _fills(problem.rules, stretches, across, _lying(pieces, turned, crosswise))
        for stretches, across, crosswise in ways
        for turned in turns
    )


def _lying(pieces, turned, crosswise):
    return [
        (piece.width, piece.length) if turn != crosswise else (piece.length, piece.width)
        for piece, turn in zip(pieces, turned, strict=True)
    ]


def _clear(stock, trim):
    """Lengths between trims and cut-outs, by walking the board in steps of one."""
    found, run = [], 0
    for place in range(trim, stock.length - trim):
        if any(start <= place < end for start, end in stock.cut_outs):
            found, run = [*found, run], 0
        else:
            run += 1
    return [*found, run]


def _fills(rules, stretches, across, sizes):
    for segments in _groupings(sizes):
        widths = [sum(width for _, width in segment) + rules.kerf_rip * (len(segment) - 1) for segment in segments]
        if max(widths) + rules.edge_allowance > across:
            continue
        lengths = [max(length for length, _ in segment) + rules.segment_extra for segment in segments]
        for homes in product(range(len(stretches)), repeat=len(lengths)):
            laid = [
                [length for length, home in zip(lengths, homes, strict=True) if home == place]
                for place in range(len(stretches))
            ]
            if all(
                sum(row) + rules.kerf_crosscut * (len(row) - 1) <= stretch
                for row, stretch in zip(laid, stretches, strict=True)
                if row
            ):
                return True
    return False
