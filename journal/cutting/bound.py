"""How little any cutting plan can cost: a lower bound whose working can be checked by anybody.

Why it is valid. Let a blank take the share x of a board's length and y of its width:

    x = (length + segment extra + crosscut kerf) / (board length − 2 × end trim + crosscut kerf)
    y = (width + rip kerf) / (board width − edge allowance + rip kerf)

One kerf is added to every piece and to the room, which is the same as kerfs between pieces only. The strips of a
segment then have Σ y ≤ 1, and the segments of a board Σ x ≤ 1 where a segment's x is that of its longest blank.

A function f from [0, 1] to [0, 1] is *dual feasible* when Σ x ≤ 1 implies Σ f(x) ≤ 1. Three are used, each also rising:

    plain    f(x) = x
    round k  f(x) = x when (k + 1) x is whole, else ⌊(k + 1) x⌋ / k    (Mathematical Programming 91, 2001)
    cut e    f(x) = 1 above 1 − e, 0 below e, x between; 0 < e ≤ ½     (Discrete Applied Mathematics 28, 1990)

(the two papers from memory, verify; the proofs here stand by themselves).

Round: let the whole ones sum to s and the others to r ≤ 1 − s, r > 0 (without others Σ f = s ≤ 1). For the others
Σ ⌊(k + 1) x⌋ < (k + 1) r ≤ (k + 1)(1 − s), a whole number, so Σ ⌊…⌋ ≤ (k + 1)(1 − s) − 1 and
Σ f ≤ s + ((k + 1)(1 − s) − 1) / k = 1 + (1 − s)/k − 1/k ≤ 1. Cut: beside a piece above 1 − e only pieces below e fit.

Let f and g be dual feasible and f rising. On one board Σ f(x) g(y) ≤ Σ over segments f(longest x) Σ g(y) ≤ 1. So if
every blank c that stock s can hold has worth p_c ≤ u_s f(x_c) g(y_c), one board of s holds worth u_s at most. Every plan
holds the whole Σ p_c d_c, hence, with n_s boards of s, Σ p_c d_c ≤ Σ n_s u_s ≤ Σ n_s price_s + Σ n_s (u_s − price_s), so

    cost ≥ Σ p_c d_c − Σ over limited stock  limit_s × max(0, u_s − price_s)

provided that u_s ≤ price_s wherever there is no limit. Any worth p ≥ 0 will do; here p is the least price × f × g among
the stocks a blank fits, f and g chosen stock by stock to raise the bound. Stock in a group may have any widths: each
board has its own shares. Blanks with no stock in common, however indirectly, are bounded apart; each part is raised to the
next total its prices can add up to.

Worth is kept in whole thousandths of a cent, rounded down; all that decides the bound is whole-number arithmetic.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import gcd
from typing import TYPE_CHECKING

import numpy as np

from journal.cutting.problem import Certificate, StockWeights, WeightRule

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from journal.cutting.problem import Blank, BoardProblem, StockLength

    Shares = tuple[NDArray[np.int64], int]  # sizes of the blanks, shape (n,), and the room they share

MILLI = 1000
PLAIN = WeightRule("plain", Fraction(0))
ROUNDS = tuple(WeightRule("round", Fraction(k)) for k in range(1, 11))
_SWEEPS = 3
_CLIMBS = 4
_MOST_CUTS = 8
_LARGEST_SIEVE = 4_000_000  # bits; dearer jobs are raised to a multiple of the prices' common divisor only


@dataclass(frozen=True, slots=True)
class Bound:
    """The least cost in cents, and its working."""

    cents: int
    certificate: Certificate


def lower_bound(problem: BoardProblem) -> Bound:
    """Cents that no plan can stay under, with the certificate to check it by.

    Every blank must fit some stock. The order of stock and blanks does not matter, nor does the unit of length.
    """
    cents = 0
    worth: dict[str, int] = {}
    weights: list[StockWeights] = []
    for blanks, stocks in independent_parts(problem):
        best = max((_weigh(problem, blanks, stocks, tight) for tight in _choices(stocks)), key=lambda each: each[0])
        cents += next_total(-(-best[0] // MILLI), [stock.price_cents for stock in stocks])
        worth |= best[1]
        weights += best[2]
    return Bound(cents, Certificate(tuple(sorted(worth.items())), tuple(sorted(weights, key=lambda one: one.stock_id))))


def independent_parts(problem: BoardProblem) -> list[tuple[tuple[Blank, ...], tuple[StockLength, ...]]]:
    """Blanks that share stock, directly or through others, with that stock; stock that nothing fits is left out."""
    parts: list[tuple[set[Blank], set[StockLength]]] = []
    for blank in problem.blanks:
        homes = {stock for stock in problem.stock if stock.available != 0 and problem.fits(blank, stock)}
        touching = [part for part in parts if part[1] & homes]
        merged = ({blank}.union(*(part[0] for part in touching)), homes.union(*(part[1] for part in touching)))
        parts = [part for part in parts if part not in touching] + [merged]
    parts.sort(key=lambda part: min(blank.id for blank in part[0]))
    return [(_by_size(blanks), tuple(sorted(stocks, key=lambda stock: stock.id))) for blanks, stocks in parts]


def next_total(cents: int, prices: Sequence[int]) -> int:
    """The least total of any number of these prices that is `cents` or more; `cents` when no price is above 0."""
    paid = sorted({price for price in prices if price > 0})
    if not paid or cents <= 0:
        return max(cents, 0)
    step = gcd(*paid)
    if (cents + paid[0]) // step > _LARGEST_SIEVE:
        return -(-cents // step) * step
    least = -(-cents // step)
    size = least + paid[0] // step  # some multiple of the smallest price lies in reach
    reach, mask = 1, (1 << (size + 1)) - 1
    for price in paid:
        shift = price // step
        while shift <= size:
            reach |= (reach << shift) & mask
            shift *= 2
    above = reach >> least
    return (least + (above & -above).bit_length() - 1) * step


def _by_size(blanks: set[Blank]) -> tuple[Blank, ...]:
    return tuple(sorted(blanks, key=lambda blank: (-blank.length, -blank.width, -blank.thickness, blank.id)))


def _choices(stocks: Sequence[StockLength]) -> list[frozenset[str]]:
    """Which limited stocks set the worth of blanks (tight), rather than being allowed for afterwards."""
    every = frozenset(stock.id for stock in stocks)
    endless = frozenset(stock.id for stock in stocks if stock.available is None)
    bought = endless | {stock.id for stock in stocks if not stock.on_hand and stock.price_cents > 0}
    paid = endless | {stock.id for stock in stocks if stock.price_cents > 0}
    return sorted({every, endless, bought, paid} - {frozenset()}, key=sorted)


def _weigh(
    problem: BoardProblem, blanks: Sequence[Blank], stocks: Sequence[StockLength], tight: frozenset[str]
) -> tuple[int, dict[str, int], list[StockWeights]]:
    """Bound in thousandths of a cent, worth by blank id, and rules by stock, with `tight` stocks setting the worth."""
    fits = np.array([[problem.fits(blank, stock) for blank in blanks] for stock in stocks])
    demand = np.array([blank.quantity for blank in blanks], dtype=np.float64)
    tables = [_RuleTable(problem, blanks, stock, row) for stock, row in zip(stocks, fits, strict=True)]
    leading = np.array([stock.id in tight for stock in stocks])
    homeless = ~fits[leading].any(axis=0)  # blanks that only loose stock can hold take their worth from it
    chosen = _climb(tables, fits & (leading[:, None] | homeless), demand)
    exact = [_shares(table, pair) for table, pair in zip(tables, chosen, strict=True)]
    worth = [
        min(
            MILLI * stocks[row].price_cents * exact[row][column][0] // exact[row][column][1]
            for row in range(len(stocks))
            if fits[row, column] and (leading[row] or homeless[column])
        )
        for column in range(len(blanks))
    ]
    value = sum(one * blank.quantity for one, blank in zip(worth, blanks, strict=True))
    weights = []
    for row, stock in enumerate(stocks):
        pair = chosen[row] if leading[row] else tables[row].least_room(np.array(worth, dtype=np.float64))
        weights.append(StockWeights(stock.id, tables[row].along[pair[0]], tables[row].across[pair[1]]))
        if stock.available is not None and not leading[row]:
            held = [one if fits[row, column] else 0 for column, one in enumerate(worth)]
            value -= stock.available * _excess(held, _shares(tables[row], pair), stock)
    return value, {blank.id: one for blank, one in zip(blanks, worth, strict=True)}, weights


def _excess(held: Sequence[int], shares: Sequence[tuple[int, int]], stock: StockLength) -> int:
    """Thousandths of a cent by which one board can be worth more than its price, rounded up; 0 worth is not held."""
    most = (
        max(-(-one * bottom // top) for one, (top, bottom) in zip(held, shares, strict=True) if one) if any(held) else 0
    )
    return max(0, most - MILLI * stock.price_cents)


class _RuleTable:
    """Every rule's value for every blank on one stock: `along_value` and `across_value`, shape (rules, blanks)."""

    def __init__(
        self, problem: BoardProblem, blanks: Sequence[Blank], stock: StockLength, row: NDArray[np.bool_]
    ) -> None:
        rules = problem.rules
        lengths = np.array([blank.length for blank in blanks], dtype=np.int64)
        widths = np.array([blank.width for blank in blanks], dtype=np.int64)
        self.price = stock.price_cents
        self.row = row
        self.lengths: Shares = (
            lengths + (rules.segment_extra + rules.kerf_crosscut),
            stock.length - 2 * rules.end_trim + rules.kerf_crosscut,
        )
        self.widths: Shares = (widths + rules.kerf_rip, stock.width - rules.edge_allowance + rules.kerf_rip)
        self.along = _candidates(self.lengths, row)
        self.across = _candidates(self.widths, row)
        self.along_value = _values(self.along, self.lengths)
        self.across_value = _values(self.across, self.widths)

    def pairs(self) -> NDArray[np.float64]:
        """Worth a blank may have under each pair of rules, shape (along, across, blanks); infinite where it does not fit."""
        product = self.price * self.along_value[:, None, :] * self.across_value[None, :, :]
        return np.where(self.row, product, np.inf)

    def least_room(self, worth: NDArray[np.float64]) -> tuple[int, int]:
        """The pair of rules under which one board can hold the least worth."""
        share = self.along_value[:, None, :] * self.across_value[None, :, :]
        used = self.row & (worth > 0)
        room = np.divide(worth, share, out=np.full(share.shape, np.inf), where=share > 0)
        room = np.where(used, room, 0.0).max(axis=2)
        best = int(np.argmin(room))
        return best // len(self.across), best % len(self.across)


def _candidates(shares: Shares, row: NDArray[np.bool_]) -> list[WeightRule]:
    """Rules worth trying: plain first, rounds, and cuts at the sizes that occur (at most `_MOST_CUTS`)."""
    sizes, room = shares
    small = sorted({int(size) for size in sizes[row] if 2 * int(size) <= room})
    if len(small) > _MOST_CUTS:
        small = [small[place * (len(small) - 1) // (_MOST_CUTS - 1)] for place in range(_MOST_CUTS)]
    return [PLAIN, *ROUNDS, *(WeightRule("cut", Fraction(size, room)) for size in small)]


def _values(rules: Sequence[WeightRule], shares: Shares) -> NDArray[np.float64]:
    """What `_candidates` rules make of all sizes, as floats for the search only, shape (rules, blanks)."""
    sizes, room = shares
    plain = sizes / room
    k = np.array([[int(rule.parameter)] for rule in rules if rule.kind == "round"], dtype=np.int64)
    whole, rest = np.divmod(sizes * (k + 1), room)
    least = [int(rule.parameter * room) for rule in rules if rule.kind == "cut"]
    smallest = np.array(least, dtype=np.int64).reshape(-1, 1)
    cut = np.where(sizes > room - smallest, 1.0, np.where(sizes < smallest, 0.0, plain))
    return np.vstack([plain, np.where(rest == 0, plain, whole / k), cut])


def weight(rule: WeightRule, size: int, room: int) -> tuple[int, int]:
    """f(size / room) as numerator and denominator, exact."""
    if rule.kind == "round":
        k = int(rule.parameter)
        whole, rest = divmod(size * (k + 1), room)
        return (size, room) if rest == 0 else (whole, k)
    if rule.kind == "cut":
        share = Fraction(size, room)
        if share > 1 - rule.parameter:
            return 1, 1
        if share < rule.parameter:
            return 0, 1
    return size, room


def _shares(table: _RuleTable, pair: tuple[int, int]) -> list[tuple[int, int]]:
    """f(x) g(y) of every blank under one pair of rules, exact."""
    along, across = table.along[pair[0]], table.across[pair[1]]
    result = []
    for length, width in zip(table.lengths[0], table.widths[0], strict=True):
        top, bottom = weight(along, int(length), table.lengths[1])
        top_across, bottom_across = weight(across, int(width), table.widths[1])
        result.append((top * top_across, bottom * bottom_across))
    return result


def _climb(
    tables: Sequence[_RuleTable], setting: NDArray[np.bool_], demand: NDArray[np.float64]
) -> list[tuple[int, int]]:
    """One pair of rules a stock; `setting[s, c]`: stock s limits the worth of blank c. The best of several climbs."""
    offers = [np.where(row, table.pairs(), np.inf) for table, row in zip(tables, setting, strict=True)]
    alike = 1 + len(ROUNDS)  # the rules every table has: plain and rounds
    value = np.minimum.reduce([offer[:alike, :alike] for offer in offers]) @ demand
    places = np.round(value / value.max(), 9) if value.max() > 0 else value  # equal ones keep their order anywhere
    starts = np.argsort(-places, axis=None, kind="stable")[:_CLIMBS]
    climbs = [_climb_from(divmod(int(start), alike), offers, demand) for start in starts]
    return max(climbs, key=lambda climb: climb[0])[1]


def _climb_from(
    start: tuple[int, int], offers: Sequence[NDArray[np.float64]], demand: NDArray[np.float64]
) -> tuple[float, list[tuple[int, int]]]:
    """Value and rules after improving stock by stock from one pair of rules for all."""
    chosen = [start] * len(offers)
    limits = np.array([offer[start] for offer in offers])
    for _ in range(_SWEEPS):
        before = list(chosen)
        for row, offer in enumerate(offers):
            limits[row] = np.inf
            value = np.minimum(offer, limits.min(axis=0)) @ demand
            best = int(np.argmax(value > value.max() * (1 - 1e-12))) if np.isfinite(value.max()) else 0
            chosen[row] = divmod(best, offer.shape[1])
            limits[row] = offer[chosen[row]]
        if chosen == before:
            break
    return float(limits.min(axis=0) @ demand), chosen
