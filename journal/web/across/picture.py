"""Hours agreed against hours taken, a dot a job, with the line on which a job stands that took what was agreed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.web.pictures import round_ticks

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal.desk.across import Job

_LEFT, _FOOT, _AIR = 46.0, 30.0, 12.0
_SIDE = 328.0
_TICKS = 4


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
    most = max(max(quoted, took) for _, quoted, took in both) * 1.05
    base, top, right = _SIDE - _FOOT, _AIR, _SIDE - _AIR

    def x(hours: float) -> float:
        return round(_LEFT + hours / most * (right - _LEFT), 1)

    def y(hours: float) -> float:
        return round(base - hours / most * (base - top), 1)

    first, each = round_ticks(0.0, most, _TICKS)
    marks = [first + each * place for place in range(_TICKS + 1) if first + each * place <= most]
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
        ticks=tuple(Tick(x(mark), y(mark), f"{mark:g}") for mark in marks),
        said=f"{over} of {len(both)} jobs took more hours than agreed and stand above the line.",
    )
