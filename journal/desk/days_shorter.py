"""What would bring a project's finish forward? The same work with one thing changed."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from journal.days.workload import Activity, Workload

# The lumber's first rest comes before this step.
_RESTED = "crosscut_rough"


def shorter_loads(load: Workload, own: frozenset[str]) -> Iterator[tuple[str, Workload]]:
    """(what, the workload with it) of every change that could help.

    Args:
        load: as it is.
        own: keys of the project's own work.
    """
    early = _up_to_the_rest(load, own)
    if load.first and early:
        yield "Fetch and sticker the lumber before the other work", replace(load, first=(*early, *load.first))
    if any(one.release and one.key in own for one in load.activities):
        now = tuple(replace(one, release=0, why="") if one.key in own else one for one in load.activities)
        yield "Hardware in hand on the first day", replace(load, activities=now)
    if any(one.key == _RESTED and any(before.wait for before in one.after) for one in load.activities):
        yield "Lumber that is dry already, and need not rest", replace(load, activities=_rested(load))


def _up_to_the_rest(load: Workload, own: frozenset[str]) -> tuple[str, ...]:
    """All that must be done before the lumber lies in stickers, in order."""
    rested = next((one for one in load.activities if one.key == _RESTED and any(a.wait for a in one.after)), None)
    by_key = {one.key: one for one in load.activities}
    wanted: set[str] = set()
    asked = [before.key for before in rested.after] if rested else []
    while asked:
        key = asked.pop()
        if key in own and key not in wanted:
            wanted.add(key)
            asked += [before.key for before in by_key[key].after]
    return tuple(one.key for one in load.activities if one.key in wanted)


def _rested(load: Workload) -> tuple[Activity, ...]:
    return tuple(
        replace(one, after=tuple(replace(before, wait=0, why="") for before in one.after))
        if one.key == _RESTED
        else one
        for one in load.activities
    )
