"""Hours agreed against hours taken, a dot a job, with the line on which a job stands that took what was agreed.

Both axes go by ratio: a job a third over stands equally far above the line whether it is small or large, and the many
small ones do not fall on one spot beside a large one.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import floor, log, log10
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal.desk.across import Job

_LEFT, _FOOT, _AIR = 46.0, 44.0, 24.0
_SIDE = 328.0
_LEAST_TICKS = 3
_ROUND = (
    (1, 2, 5),
    (1, 1.5, 2, 3, 5, 7),
    (1, 1.2, 1.4, 1.6, 1.8, 2, 2.5, 3, 3.5, 4, 5, 6, 7, 8, 9),
)  # per power of ten
_MARGIN = 1.15  # of the axes beyond the least and the most hours


@dataclass(frozen=True, slots=True)
class Dot:
    """A job: where it stands, and what it says."""

    x: float
    y: float
    said: str
    over: bool


@dataclass(frozen=True, slots=True)
class Tick:
    """A round number of hours on both axes."""

    x: float
    y: float
    text: str


@dataclass(frozen=True, slots=True)
class Scatter:
    """The drawing, square; positions in its own units, y downwards."""

    size: float
    left: float
    base: float
    right: float
    top: float
    dots: tuple[Dot, ...]
    ticks: tuple[Tick, ...]
    said: str


def scatter(jobs: Sequence[Job]) -> Scatter | None:
    """The drawing of the jobs that have both; None where no job has."""
    both = [(job, job.quoted_minutes / 60, job.minutes / 60) for job in jobs if job.quoted_minutes and job.minutes]
    if not both:
        return None
    low = min(min(quoted, took) for _, quoted, took in both) / _MARGIN
    high = max(max(quoted, took) for _, quoted, took in both) * _MARGIN
    base, top, right = _SIDE - _FOOT, _AIR, _SIDE - _AIR

    def along(hours: float) -> float:
        return log(hours / low) / log(high / low)

    def x(hours: float) -> float:
        return round(_LEFT + along(hours) * (right - _LEFT), 1)

    def y(hours: float) -> float:
        return round(base - along(hours) * (base - top), 1)

    over = sum(took > quoted for _, quoted, took in both)
    return Scatter(
        size=_SIDE,
        left=_LEFT,
        base=base,
        right=right,
        top=top,
        dots=tuple(
            Dot(x(quoted), y(took), f"{job.code}: {quoted:,.0f} h agreed, {took:,.0f} h taken", took > quoted)
            for job, quoted, took in both
        ),
        ticks=tuple(Tick(x(mark), y(mark), f"{mark:g}") for mark in _marks(low, high)),
        said=f"{over} of {len(both)} jobs took more hours than agreed and stand above the line.",
    )


def _marks(low: float, high: float) -> list[float]:
    """Round numbers of hours inside, at least three where there are so many; the coarsest that do."""
    found: list[float] = []
    for steps in _ROUND:
        powers = range(floor(log10(low)), floor(log10(high)) + 1)
        found = [step * 10.0**power for power in powers for step in steps if low <= step * 10.0**power <= high]
        if len(found) >= _LEAST_TICKS:
            return found
    return found
