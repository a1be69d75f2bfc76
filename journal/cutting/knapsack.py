"""The most valuable filling of a room by sizes that each may be taken so many times: tables of whole numbers.

Sizes are counted in cells. When the sizes have a large enough common divisor a cell is that divisor and all is exact. If
not, cells are coarser: `snug` rounds sizes up, so that every filling found is real, and `loose` rounds them down, so that
no real filling is missed and values are upper bounds. Rooms are rounded down, which is right for both: n sizes that fit
a room also fit it when each loses part of a cell and the room what is left of its last one.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import gcd
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Table = NDArray[np.int64]

_MOST_CELLS = 12_500  # twenty feet and more by sixty-fourths stay exact


@dataclass(frozen=True, slots=True)
class Cells:
    """Sizes and the largest room in cells of `unit`; `exact` when snug and loose are the same."""

    unit: int
    most: int
    snug: tuple[int, ...]
    loose: tuple[int, ...]

    @property
    def exact(self) -> bool:
        """Whether nothing was rounded."""
        return self.snug == self.loose

    def of(self, room: int) -> int:
        """Whole cells in a room."""
        return room // self.unit


def count_cells(sizes: Sequence[int], largest_room: int) -> Cells:
    """Cells for sizes > 0 and rooms up to the largest."""
    unit = gcd(*sizes)
    if largest_room // unit > _MOST_CELLS:
        unit = -(-largest_room // _MOST_CELLS)
    return Cells(
        unit, largest_room // unit, tuple(-(-size // unit) for size in sizes), tuple(size // unit for size in sizes)
    )


def fill_tables(sizes: Sequence[int], values: Sequence[int], most: Sequence[int], room: int) -> Table:
    """Best value of the first i sizes in every room.

    Args:
        sizes: shape (n,), cells, each ≥ 0.
        values: shape (n,), each ≥ 0.
        most: shape (n,), how often each may be taken.
        room: largest room, cells.

    Returns:
        Shape (n + 1, room + 1).
    """
    tables = np.zeros((len(sizes) + 1, room + 1), dtype=np.int64)
    for number, (size, value, limit) in enumerate(zip(sizes, values, most, strict=True)):
        before, after = tables[number], tables[number + 1]
        if size == 0:  # smaller than a cell of a coarse table: as many as there are
            np.add(before, value * limit, out=after)
            continue
        after[:] = before
        if value:
            for count in range(1, min(limit, room // size) + 1):
                shift = count * size
                np.maximum(after[shift:], before[:-shift] + count * value, out=after[shift:])
    return tables


def take(tables: Table, sizes: Sequence[int], values: Sequence[int], upto: int, room: int) -> dict[int, int]:
    """Counts by place of a best filling of a room with the first `upto` sizes, fewest pieces of the last ones."""
    counts: dict[int, int] = {}
    for number in range(upto - 1, -1, -1):
        best = int(tables[number + 1, room])
        count = 0
        while int(tables[number, room - count * sizes[number]]) + count * values[number] != best:
            count += 1
        if count:
            counts[number] = count
            room -= count * sizes[number]
    return counts
