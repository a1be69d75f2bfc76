"""The face of a glue-up clock: what it shows and what a script needs to go on with it while there is no signal."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import datetime

    from journal.desk.glue_clock import Ready, Running


@dataclass(frozen=True, slots=True)
class Face:
    """A glue-up clock as it stands, or as it would stand once it is begun.

    Attributes:
        project_id, code, label: whose glue-up, and which.
        strips, clamps: of it.
        open_seconds, assembly_seconds: what the glue gives.
        clamped_seconds, unmachined_seconds: how long, from the last clamp, clamps stay on and machines stay away.
        clock_id: of the clock that runs; 0 while there is none.
        started_at, last_at, spread_at: the first glue, the last strip that was laid, the end of the spreading.
        on: strips that are on.
        open_until, clamped_by: the limits; None once there is none, or while nothing runs.
    """

    project_id: int
    code: str
    label: str
    strips: int
    clamps: int
    open_seconds: int
    assembly_seconds: int
    clamped_seconds: int
    unmachined_seconds: int
    clock_id: int = 0
    started_at: datetime | None = None
    last_at: datetime | None = None
    spread_at: datetime | None = None
    on: int = 1
    open_until: datetime | None = None
    clamped_by: datetime | None = None


def to_begin(ready: Ready) -> Face:
    """Of a glue-up that is about to be begun."""
    return Face(
        project_id=ready.project.id,
        code=ready.project.code,
        label=ready.planned.label,
        strips=ready.planned.strips,
        clamps=ready.planned.clamps,
        open_seconds=round(ready.open_minutes * 60),
        assembly_seconds=round(ready.limit_minutes * 60),
        clamped_seconds=round(ready.clamped_for.total_seconds()),
        unmachined_seconds=round(ready.unmachined_for.total_seconds()),
    )


def of(run: Running) -> Face:
    """Of one that runs."""
    clock = run.clock
    return Face(
        project_id=run.project.id,
        code=run.project.code,
        label=clock.label,
        strips=clock.strips,
        clamps=clock.clamps,
        open_seconds=clock.open_seconds,
        assembly_seconds=clock.assembly_seconds,
        clamped_seconds=round(run.clamped_for.total_seconds()),
        unmachined_seconds=round(run.unmachined_for.total_seconds()),
        clock_id=clock.id,
        started_at=clock.started_at,
        last_at=max([clock.started_at, *run.laid]),
        spread_at=clock.spread_at,
        on=run.strips_on,
        open_until=run.open_until,
        clamped_by=run.clamped_by,
    )
