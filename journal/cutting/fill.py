"""Filling one length or width from a list of sizes: the knapsack inside the search for plans.

Exact for the few sizes a bench has; with many sizes only the `_BEAM` best partial fillings are carried on.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Sequence

    _Chain = tuple[Any, ...]  # counts from the last size to the first: (the chain before, count), () at the start
    _State = tuple[int, float, _Chain]  # size used, value, counts

_BEAM = 24


def best_fill(room: int, sizes: Sequence[int], values: Sequence[Sequence[float]]) -> tuple[int, ...]:
    """How many of each size to take.

    Args:
        room: what the sizes must fit into, kerf already added to both.
        sizes: shape (n,), each > 0.
        values: for each size the values of its first, second, … piece, above 0 and falling; as many as there are
            pieces.

    Returns:
        Counts, shape (n,), of the most valuable filling found; of equal ones the smallest in size.
    """
    if not sizes or min(sizes) > room:
        return (0,) * len(sizes)
    if len(sizes) == 1:
        return (min(len(values[0]), room // sizes[0]),)
    states: list[_State] = [(0, 0.0, ())]
    for size, worth in zip(sizes, values, strict=True):
        grown = [(used, value, (counts, 0)) for used, value, counts in states]
        for used, value, counts in states:
            reached, total = used, value
            for count, one in enumerate(worth[: (room - used) // size], 1):
                reached += size
                total += one
                grown.append((reached, total, (counts, count)))
        states = _keep(grown) if len(grown) > len(states) else grown
    return _unroll(max(states, key=_most_valuable)[2])


def _keep(states: list[_State]) -> list[_State]:
    """States that no smaller state beats, thinned evenly to the beam with the most valuable kept."""
    states.sort(key=_smallest)
    kept = [states[0]]
    most = states[0][1]
    for state in states:
        if state[1] > most:
            kept.append(state)
            most = state[1]
    if len(kept) <= _BEAM:
        return kept
    return [kept[place * (len(kept) - 1) // (_BEAM - 1)] for place in range(_BEAM)]


def _smallest(state: _State) -> tuple[int, float]:
    return state[0], -state[1]


def _most_valuable(state: _State) -> tuple[float, int]:
    return state[1], -state[0]


def _unroll(chain: _Chain) -> tuple[int, ...]:
    counts: list[int] = []
    while chain:
        chain, count = chain
        counts.append(count)
    return tuple(reversed(counts))
