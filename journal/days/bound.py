"""Before which moment can no schedule end, whatever its order?

A finish T is refuted when an activity cannot lie between its earliest start and the latest end that T leaves it, or when
the people, or anything held, would have more to do between two moments than there is of them (energetic reasoning:
Baptiste, Le Pape & Nuijten 1999, from memory, verify). What refutes T refutes every earlier finish, so the first T that is
not refuted is found by halving. People are counted in working time, what is held in wall time, and there as long as the
work would take without a pause, which is never too long.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from journal.days.place import Placed, Scheme

    Ints = NDArray[np.int64]
    Fixed = dict[int, tuple[int, int]]


def lower_bound(scheme: Scheme, placed: Placed) -> int:
    """Wall time before which not all that counts can have ended.

    Args:
        scheme: of the workload; what it takes first stays where it is.
        placed: a schedule there is; the answer is at most its finish.
    """
    place = scheme.load.places()
    fixed = {place[key]: (placed.starts[place[key]], placed.ends[place[key]]) for key in scheme.load.first}
    starts, ends = _earliest(scheme, fixed)
    low = max((ends[at] for at in scheme.counting), default=scheme.begin)
    high = placed.finish
    while low < high:
        middle = (low + high) // 2
        if _refuted(scheme, fixed, starts, middle):
            low = middle + 1
        else:
            high = middle
    return low


def _earliest(scheme: Scheme, fixed: Fixed) -> tuple[list[int], list[int]]:
    """Wall times at which each activity can start and end at the earliest, were it alone."""
    clock = scheme.clock
    starts: list[int] = []
    ends: list[int] = []
    for at, row in enumerate(scheme.rows):
        if at in fixed:
            starts.append(fixed[at][0])
            ends.append(fixed[at][1])
            continue
        ready = max((ends[before] + wait for before, wait in row.after), default=row.release)
        ready = max(ready, row.release)
        if row.minutes:
            worked = clock.reached(ready)
            if not row.pauses:
                worked = clock.fits(worked, row.minutes)
            starts.append(clock.start(worked))
            ends.append(clock.end(worked + row.minutes))
        else:
            starts.append(ready)
            ends.append(ready)
    return starts, ends


def _latest(scheme: Scheme, fixed: Fixed, finish: int) -> tuple[list[int], list[int]]:
    """Wall times at which each activity must have started and ended for all that counts to end by `finish`."""
    clock = scheme.clock
    far = clock.closes[-1]
    ends = [far] * len(scheme.rows)
    starts = [far] * len(scheme.rows)
    for at in scheme.counting:
        ends[at] = finish
    for at in range(len(scheme.rows) - 1, -1, -1):
        row = scheme.rows[at]
        if at in fixed:
            starts[at], ends[at] = fixed[at]
        elif row.minutes:
            worked = clock.reached(ends[at])
            if not row.pauses:
                worked = clock.fits_before(worked, row.minutes)
            starts[at] = clock.start(worked - row.minutes) if worked >= row.minutes else scheme.begin - 1
        else:
            starts[at] = ends[at]
        for before, wait in row.after:
            ends[before] = min(ends[before], starts[at] - wait)
    return starts, ends


def _refuted(scheme: Scheme, fixed: Fixed, earliest: list[int], finish: int) -> bool:
    late_starts, late_ends = _latest(scheme, fixed, finish)
    if any(late < early for early, late in zip(earliest, late_starts, strict=True)):
        return True
    rows = [at for at, row in enumerate(scheme.rows) if row.minutes]
    minutes = np.array([scheme.rows[at].minutes for at in rows], dtype=np.int64)
    people = np.array([scheme.rows[at].people for at in rows], dtype=np.int64)
    reached = scheme.clock.reached
    early = np.array([reached(earliest[at]) for at in rows], dtype=np.int64)
    late = np.array([reached(late_ends[at]) for at in rows], dtype=np.int64)
    if _overfull(early, late, minutes, people, scheme.load.people):
        return True
    return any(_held_overfull(scheme, what, earliest, late_ends) for what in scheme.load.there)


def _held_overfull(scheme: Scheme, what: str, earliest: list[int], late_ends: list[int]) -> bool:
    found = [
        (earliest[at], late_ends[at] + need.kept, row.minutes + need.kept, need.amount)
        for at, row in enumerate(scheme.rows)
        for need in row.needs
        if row.minutes and need.what == what
    ]
    if not found:
        return False
    early, late, minutes, amount = np.array(found, dtype=np.int64).T
    return _overfull(early, late, minutes, amount, scheme.load.there[what])


def _overfull(early: Ints, late: Ints, minutes: Ints, amount: Ints, capacity: int) -> bool:
    """Whether between any early start and any late end more must be done than is possible.

    Args:
        early: shape (n,), when each can begin.
        late: shape (n,), when each must have ended.
        minutes: shape (n,), at least so long within it, at a stretch.
        amount: shape (n,), taken meanwhile.
        capacity: there is.
    """
    froms, untils = np.unique(early), np.unique(late)
    early_end, late_start = early + minutes, late - minutes
    for begin in froms:
        # What must lie in [begin, until) of an activity shifted as far left, and as far right, as it may.
        left = np.maximum(0, np.minimum(early_end - begin, minutes))
        later = untils[untils > begin]
        right = np.minimum(minutes[:, None], later[None, :] - late_start[:, None])
        inside = np.minimum(np.minimum(left[:, None], right), later[None, :] - begin)
        energy = (np.maximum(inside, 0) * amount[:, None]).sum(axis=0)
        if np.any(energy > capacity * (later - begin)):
            return True
    return False
