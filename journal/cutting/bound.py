"""How little any cutting plan can cost: a lower bound whose working can be checked by anybody.

Give every blank c a worth p_c ≥ 0. Let u_s be the most worth that one board of stock s can hold, over all ways to cut it.
Every plan holds the whole Σ p_c d_c, hence, with n_s boards of s, Σ p_c d_c ≤ Σ n_s u_s = Σ n_s price_s + Σ n_s (u_s − price_s),
so

    cost ≥ Σ p_c d_c − Σ over limited stock  limit_s × max(0, u_s − price_s)

provided that u_s ≤ price_s wherever there is no limit. Any worth will do; any multiple t p of one is tried that makes it
so. The duals of a linear programme make the best worth (Operations Research 9 and 11, 1961 and 1963, from memory, verify;
the argument here stands by itself). Stock with price breaks counts at its lowest price. Blanks with no stock in common,
however indirectly, are bounded apart; each part is raised to the next total its prices can add up to.

All that decides the bound is whole-number arithmetic.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import gcd
from typing import TYPE_CHECKING

from journal.cutting.pricing import Priced, most

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal.cutting.model import Model
    from journal.cutting.pricing import Pricer
    from journal.cutting.problem import Blank, BoardProblem, StockLength

_LARGEST_SIEVE = 4_000_000  # bits; dearer jobs are raised to a multiple of the prices' common divisor only
_FINEST = 10**9
_LARGEST_WORTH = 10**13  # of a whole board; the worth of thousands of pieces still adds up within 64 bits


@dataclass(frozen=True, slots=True)
class Held:
    """A worth that no board without limit holds more of than its price.

    Attributes:
        worth: of each class, in money ÷ `scale`.
        scale: parts of a unit of money.
        total: the bound, in money ÷ scale.
        priced: what boards hold under this worth, at most.
    """

    worth: tuple[int, ...]
    scale: int
    total: int
    priced: Priced

    @property
    def bound(self) -> Fraction:
        """The bound in units of money, not yet raised to a whole number."""
        return Fraction(self.total, self.scale)


def hold(pricer: Pricer, worth: Sequence[float], prices: Sequence[int]) -> Held:
    """The bound that a worth bears, after the best multiple of it is taken.

    Args:
        pricer: in loose cells, or exact.
        worth: of each class, any unit.
        prices: of each store, whole money.
    """
    model = pricer.model
    scale = max(1, min(_FINEST, _LARGEST_WORTH // max(1, *prices)))
    largest = max(1, *prices) * scale
    top = max([*worth, 0.0])
    whole = [round(max(0.0, one) / top * largest) if top > 0 else 0 for one in worth]
    boards = [sum(places) for places in most(pricer, whole).place]
    factor = _best_factor(model, whole, boards, [one * scale for one in prices])
    held = tuple(one * factor.numerator // factor.denominator for one in whole)
    priced = most(pricer, held)
    return Held(held, scale, _total(model, held, priced, [one * scale for one in prices]), priced)


def _total(model: Model, worth: Sequence[int], priced: Priced, prices: Sequence[int]) -> int:
    total = sum(one * count for one, count in zip(worth, model.demand, strict=True))
    for store, places, cost in zip(model.stores, priced.place, prices, strict=True):
        if store.limit is not None:
            total -= store.limit * max(0, sum(places) - cost)
    return total


def _best_factor(model: Model, worth: Sequence[int], boards: Sequence[int], prices: Sequence[int]) -> Fraction:
    """The multiple with the highest bound: it falls at a price ÷ what a board holds, no higher than the least of endless stock."""
    marks = {Fraction(cost, held) for cost, held in zip(prices, boards, strict=True) if held}
    ceiling = min(
        (
            Fraction(cost, held)
            for store, cost, held in zip(model.stores, prices, boards, strict=True)
            if store.limit is None and held
        ),
        default=None,
    )
    whole = sum(one * count for one, count in zip(worth, model.demand, strict=True))

    def total(factor: Fraction) -> Fraction:
        over = sum(
            (store.limit or 0) * max(Fraction(0), factor * held - cost)
            for store, cost, held in zip(model.stores, prices, boards, strict=True)
        )
        return factor * whole - over

    return max((mark for mark in marks if ceiling is None or mark <= ceiling), key=total, default=Fraction(0))


def material_worth(model: Model) -> list[float]:
    """A worth to begin with: each class's share of the area of the board that is cheapest for it."""
    worth = []
    for number in range(len(model.demand)):
        shares = [
            model.price(index) * piece.along * piece.across / (layout.room * model.groups[layout.group][1])
            for index, store in enumerate(model.stores)
            for layouts in store.places
            for layout in layouts
            for piece in model.kinds[model.groups[layout.group][0]].pieces
            if piece.of == number and store.limit != 0
        ]
        worth.append(min(shares, default=0.0))
    return worth


def independent_parts(problem: BoardProblem) -> list[tuple[tuple[Blank, ...], tuple[StockLength, ...]]]:
    """Blanks that share stock, directly or through others, with that stock; stock that nothing fits is left out."""
    parts: list[tuple[set[Blank], set[StockLength]]] = []
    for blank in problem.blanks:
        homes = {stock for stock in problem.stock if stock.available != 0 and problem.fits(blank, stock)}
        touching = [part for part in parts if part[1] & homes]
        merged = ({blank}.union(*(part[0] for part in touching)), homes.union(*(part[1] for part in touching)))
        parts = [part for part in parts if part not in touching] + [merged]
    parts.sort(key=lambda part: min(blank.id for blank in part[0]))
    return [
        (tuple(sorted(blanks, key=lambda blank: blank.id)), tuple(sorted(stocks, key=lambda stock: stock.id)))
        for blanks, stocks in parts
    ]


def prices_of(stocks: Sequence[StockLength]) -> list[int]:
    """Every price that a board of this stock may have."""
    return [price for stock in stocks for price in (stock.price_cents, *(lower for _, lower in stock.breaks))]


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
    for price_ in paid:
        shift = price_ // step
        while shift <= size:
            reach |= (reach << shift) & mask
            shift *= 2
    above = reach >> least
    return (least + (above & -above).bit_length() - 1) * step
