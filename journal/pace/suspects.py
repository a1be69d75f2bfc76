"""Entries that do not fit the others: likely a slip of the pen, and strong enough to bend what is learned.

The model takes every entry at its word; one forty times the rest widens every range and pulls paces that have nothing to
do with it. So such rows are named, for the user to correct or set aside; nothing is dropped by itself.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass
from statistics import median
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal.pace.design import Row

# Rules of thumb: how many times its fellows a row must be, either way, to be asked about.
_TIMES_ALIKE = 6.0  # against others of the same operation
_TIMES_ANY = 12.0  # against all others, where its own kind is hardly known
_FEWEST = 3  # fellows


@dataclass(frozen=True, slots=True)
class Suspect:
    """A row to look at.

    Attributes:
        row: which.
        times: how many times what the others say; under 1 where it is far below.
        fellows: how many others it was compared with.
        alike: whether those are of its own operation, or all others.
    """

    row: Row
    times: float
    fellows: int
    alike: bool


def suspects(rows: Sequence[Row]) -> tuple[Suspect, ...]:
    """Rows far off the middle of the others, the furthest first.

    Args:
        rows: the evidence. A row is compared with those whose largest operation is the same (6 times), or with all
            others where there are fewer than three of those (12 times); with fewer than three others, with nothing.
    """
    logs = [math.log(row.minutes / row.baseline_minutes) for row in rows]
    kinds: dict[str, list[float]] = {}
    for row, own in sorted(zip(rows, logs, strict=True), key=lambda pair: pair[1]):
        kinds.setdefault(_kind(row), []).append(own)
    everything = sorted(logs)
    found = []
    for row, own in zip(rows, logs, strict=True):
        fellows = kinds[_kind(row)]
        alike = len(fellows) > _FEWEST
        if not alike:
            fellows = everything
        if len(fellows) <= _FEWEST:
            continue
        off = own - _middle_of_others(fellows, own)
        if abs(off) > math.log(_TIMES_ALIKE if alike else _TIMES_ANY):
            found.append(Suspect(row, math.exp(off), len(fellows) - 1, alike))
    return tuple(sorted(found, key=lambda one: abs(math.log(one.times)), reverse=True))


def _kind(row: Row) -> str:
    return max(row.shares, key=lambda share: share[1])[0]


def _middle_of_others(ordered: Sequence[float], own: float) -> float:
    """The median without one of them, which stands somewhere in the ordered values."""
    at = bisect_left(ordered, own)
    n = len(ordered) - 1
    kept = [ordered[place + (place >= at)] for place in {(n - 1) // 2, n // 2}]
    return median(kept)
