"""A higher bound where prices fall with the number bought: no plan has every board at its lowest price.

The programme knows lowest prices alone. Here the numbers of each stock are parted into the stretches that its price is the
same over, one stock after another, and each way to have them is a programme of its own; every plan keeps to one of them, so
none costs less than the cheapest. Best first: once the cheapest way left is charged no less than its numbers cost, parting
further would not raise the bound. That bound rests on the solver of the linear programmes.
"""

from __future__ import annotations

from dataclasses import dataclass
from heapq import heappop, heappush
from math import inf
from typing import TYPE_CHECKING

from journal.cutting.master import converge

if TYPE_CHECKING:
    from journal.cutting.clock import Clock
    from journal.cutting.master import Master
    from journal.cutting.model import Model

    Way = tuple[int | None, ...]  # for each store the tier its number lies in, None when not yet said

_NEAR = 1e-4  # cents; far less than a point
_MOST_WAYS = 400


@dataclass(frozen=True, slots=True)
class _Tier:
    """Boards from `least` to `most` cost `cents` each."""

    least: float
    most: float
    cents: int


def tiers_of(model: Model, store: int) -> list[_Tier]:
    """The tiers of a store, by rising numbers."""
    one = model.stores[store]
    starts = [(0, one.cents), *one.breaks]
    ends = [*(float(least - 1) for least, _ in one.breaks), inf if one.limit is None else float(one.limit)]
    return [_Tier(float(least), most, cents) for (least, cents), most in zip(starts, ends, strict=True)]


def parted_bound(master: Master, points: int, clock: Clock) -> float:
    """Cents (points ÷ scale) that no plan costs less than; minus infinite when time is up too soon to say.

    Args:
        master: converged, of sizes that were not rounded; its programme is the same again afterwards.
        points: of the best plan; ways that cost no less are not looked at further.
        clock: ends it.
    """
    model = master.model
    tiers = [tiers_of(model, store) for store in range(len(model.stores))]
    nothing: Way = (None,) * len(tiers)
    best = points / model.scale - _NEAR
    heap: list[tuple[float, int, int | None, Way]] = []
    made, reached = 0, -inf
    queue = [nothing]
    try:
        while True:
            for way in queue:
                _set(master, tiers, way)
                if not converge(master, clock):
                    return reached
                made += 1
                heappush(heap, (master.objective, made, _undercharged(master, tiers, way), way))
            reached, _, store, way = heappop(heap)
            if store is None or reached >= best or made > _MOST_WAYS:
                return reached
            queue = [(*way[:store], tier, *way[store + 1 :]) for tier in range(len(tiers[store]))]
    finally:
        _set(master, tiers, nothing)
        master.solve()


def _set(master: Master, tiers: list[list[_Tier]], way: Way) -> None:
    for store, tier in enumerate(way):
        of = tiers[store]
        price = min(one.cents for one in of) if tier is None else of[tier].cents
        least, most = (0.0, of[-1].most) if tier is None else (of[tier].least, of[tier].most)
        master.set_store(store, price + 1 / master.model.scale, least, most)


def _undercharged(master: Master, tiers: list[list[_Tier]], way: Way) -> int | None:
    """The store whose number is charged most below what so many cost; None when none is."""
    worst, found = _NEAR, None
    for store, tier in enumerate(way):
        if tier is not None or len(tiers[store]) == 1:
            continue
        number = master.opened(store)
        due = [one.cents for one in tiers[store] if one.least <= number + _NEAR][-1]
        short = number * (due - min(one.cents for one in tiers[store]))
        if short > worst:
            worst, found = short, store
    return found
