"""A glue-up against the glue's own time: begun, told of each strip, ended with the last clamp; it logs itself.

Its minutes are taps of the clock, so that they become time entries like any other and one undo takes both back. What the
glue allows is kept with the start; a page opened again reads the same moments.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta
from typing import TYPE_CHECKING

from journal import reference, units
from journal.build.clamping_rules import face_minutes, limit_minutes
from journal.build.waits import clamp_hours
from journal.desk import begun
from journal.desk.estimate import estimate_project
from journal.desk.taps import put_taps
from journal.errors import BadInput, Conflict, MissingReference, NoSolution
from journal.floor import clock as day_clock
from journal.floor.taps import Task, What
from journal.records.queries import acts, floor, gluing
from journal.records.queries import projects as project_records
from journal.records.queries.floor import GlueUpRow
from journal.records.queries.gluing import ClockDraft

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from journal.build.gluing import GlueUp
    from journal.desk.estimate import ProjectEstimate
    from journal.desk.sending import Sending
    from journal.desk.shop import ShopView
    from journal.records.queries.gluing import ClockRow
    from journal.records.queries.projects import ProjectRow

SPREAD, CLOSE = "spread_glue", "close_clamps"
NM2_PER_MM2 = units.NM_PER_MM**2
FREEZING_F, F_PER_C = 32.0, 1.8
COLDEST_C, HOTTEST_C = -20.0, 60.0  # a shop outside is a slip of the pen


@dataclass(frozen=True, slots=True)
class Planned:
    """A glue-up of the plan: how often it is done, and how often it was."""

    label: str
    times: int
    done: int
    strips: int
    area_nm2: int
    clamps: int


@dataclass(frozen=True, slots=True)
class Choice:
    """A project's glue-ups, planned, running and done; `trouble`: why there is no plan of them."""

    project: ProjectRow
    planned: tuple[Planned, ...]
    done: tuple[GlueUpRow, ...]
    running: tuple[ClockRow, ...] = ()
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class Ready:
    """One glue-up before the first glue: what it takes and what the glue gives at a temperature.

    `limit_minutes` and `open_minutes` are of the glue, and so are the waits from the last clamp: `clamped_for`, and
    `unmachined_for`; `spread_minutes` and `close_minutes` are the shop's pace.
    """

    project: ProjectRow
    planned: Planned
    glue: str
    temperature_c: float
    open_minutes: float
    limit_minutes: float
    spread_minutes: float
    close_minutes: float
    clamped_for: timedelta
    unmachined_for: timedelta

    @property
    def tight(self) -> bool:
        """Whether it is likely to be too late."""
        return self.spread_minutes + self.close_minutes > self.limit_minutes


@dataclass(frozen=True, slots=True)
class Running:
    """A glue-up that was begun, as it stands.

    Attributes:
        project, clock: which.
        laid: when each strip after the first was laid.
        glue_up: what was kept of it; None until the last clamp is on.
        glue: its name.
        clamped_for, unmachined_for: how long, from the last clamp, clamps stay on and machines stay away.
    """

    project: ProjectRow
    clock: ClockRow
    laid: tuple[datetime, ...]
    glue_up: GlueUpRow | None
    glue: str
    clamped_for: timedelta
    unmachined_for: timedelta

    @property
    def strips_on(self) -> int:
        return 1 + len(self.laid)

    @property
    def unclamp_at(self) -> datetime | None:
        """When the clamps may come off; None until the last one is on."""
        return self.clock.clamped_at and self.clock.clamped_at + self.clamped_for

    @property
    def machine_at(self) -> datetime | None:
        """When the joint may be machined; None until then."""
        return self.clock.clamped_at and self.clock.clamped_at + self.unmachined_for

    @property
    def open_until(self) -> datetime | None:
        """When the face that is being spread must be closed; None once all are."""
        if self.clock.spread_at is not None:
            return None
        return max([self.clock.started_at, *self.laid]) + timedelta(seconds=self.clock.open_seconds)

    @property
    def clamped_by(self) -> datetime:
        return self.clock.started_at + timedelta(seconds=self.clock.assembly_seconds)

    def late_seconds(self, now: datetime) -> float:
        """How far over the assembly time, so far or in the end; 0 inside it."""
        return max(0.0, ((self.clock.clamped_at or now) - self.clamped_by).total_seconds())

    def skinned(self, now: datetime) -> int:
        """Faces that lay open longer than the glue allows."""
        ends = [*self.laid, *([] if self.clock.spread_at else [now])]
        return sum(
            (end - begin).total_seconds() > self.clock.open_seconds
            for begin, end in zip([self.clock.started_at, *self.laid], ends, strict=False)
        )


def choices(session: Session, project_id: int, today: date) -> Choice:
    """The glue-ups of a project."""
    project, done = project_records.get_project(session, project_id), floor.glue_ups(session, project_id=project_id)
    now = tuple(one for one in gluing.running_clocks(session) if one.project_id == project_id)
    try:
        found = estimate_project(session, project_id, today)
    except (NoSolution, BadInput, MissingReference) as refused:
        return Choice(project, (), done, now, str(refused))
    counted = [_planned(up, done) for up in found.made.takeoff.ups]
    return Choice(project, tuple(counted), done, now)


def ready(session: Session, project_id: int, label: str, today: date, temperature_c: float | None = None) -> Ready:
    """A glue-up as the plan has it, at a temperature (°C); the shop's own when none is named.

    Raises:
        MissingReference: the plan has no such glue-up.
        BadInput: a temperature no shop has.
        NoSolution: too cold for this glue.
    """
    found = estimate_project(session, project_id, today)
    ups = {up.label: up for up in found.made.takeoff.ups}
    if label not in ups:
        raise MissingReference("glue-up", label, tuple(ups))
    temp_f = found.shop.allowances["shop_temp"] if temperature_c is None else to_fahrenheit(temperature_c)
    return _ready(found, ups[label], temp_f, floor.glue_ups(session, project_id=project_id))


def newest(session: Session, project_id: int, label: str, shop: Mapping[str, float]) -> Running | None:
    """The last time this glue-up was begun, running or done; `shop` are its settings."""
    row = gluing.newest_clock(session, project_id, label)
    return running(session, row.id, shop) if row else None


def begun_at(session: Session, project_id: int, label: str, moment: datetime) -> int:
    """The clock of a glue-up that was begun at a moment: how a page without signal names the one it started.

    Raises:
        Conflict: there is none; its start was taken back, or could not be taken.
    """
    row = gluing.clock_begun(session, project_id, label, moment)
    if row is None:
        raise Conflict(f"the glue-up of {label}", "its start is not in the journal: log it by hand if it was glued")
    return row.id


def running(session: Session, clock_id: int, shop: Mapping[str, float]) -> Running:
    """A glue-up that was begun."""
    row = gluing.get_clock(session, clock_id)
    off, machine = waits_after(row.adhesive, row.temperature_c, shop)
    return Running(
        project=project_records.get_project(session, row.project_id),
        clock=row,
        laid=gluing.ticks(session, clock_id),
        glue_up=floor.get_glue_up(session, row.glue_up_id) if row.glue_up_id else None,
        glue=reference.adhesives()[row.adhesive].name,
        clamped_for=off,
        unmachined_for=machine,
    )


def waits(
    adhesive: str, clamped_at: datetime, temperature_c: float | None, shop: Mapping[str, float]
) -> tuple[datetime, datetime]:
    """(clamps off, safe to machine) after the last clamp, at this temperature; the shop's own when nobody said one."""
    off, machine = waits_after(adhesive, temperature_c, shop)
    return clamped_at + off, clamped_at + machine


def waits_after(adhesive: str, temperature_c: float | None, shop: Mapping[str, float]) -> tuple[timedelta, timedelta]:
    """How long after the last clamp (clamps come off, machines may come near)."""
    glue = reference.adhesives()[adhesive]
    temp_f = shop["shop_temp"] if temperature_c is None else to_fahrenheit(temperature_c)
    try:
        hours = clamp_hours(glue, temp_f)
    except NoSolution:  # it was glued all the same: the label's time, which is what is known
        hours = glue.clamp_minutes / 60
    machine = max(shop["machine_after_hours"], glue.machine_after_hours, hours)
    return timedelta(hours=hours), timedelta(hours=machine)


def begin(
    session: Session, project_id: int, label: str, temperature_c: float, who: Sequence[int], *, sent: Sending
) -> int:
    """The first glue: the clock starts, and so does the time of those who spread. Answers the clock's id.

    Raises:
        Conflict: this glue-up runs already.
        BadInput, MissingReference, NoSolution: as for `ready`.
    """
    known = gluing.newest_clock(session, project_id, label)
    if known is not None and sent.before(session):
        return known.id
    if known is not None and known.clamped_at is None:
        raise Conflict("this glue-up", "its clock runs already: open it again")
    found = estimate_project(session, project_id, sent.today)
    at = ready(session, project_id, label, sent.today, temperature_c)
    steps = put_taps(session, who, What.START, Task(project_id, SPREAD), sent=sent)
    row = gluing.add_clock(
        session,
        ClockDraft(
            project_id=project_id,
            label=label,
            adhesive=found.work.adhesive or found.shop.row.default_adhesive,
            temperature_c=at.temperature_c,
            strips=at.planned.strips,
            line_area_mm2=max(1, round(at.planned.area_nm2 / NM2_PER_MM2 / (at.planned.strips - 1))),
            clamps=at.planned.clamps,
            open_seconds=round(at.open_minutes * 60),
            assembly_seconds=round(at.limit_minutes * 60),
            workers=" ".join(str(one) for one in who),
            started_at=sent.when,
        ),
    )
    said = begun.told(f"Began to glue {label}", steps)
    acts.add_act(session, sent.key, said, [{"do": "no_glue_clock", "id": row.id}, *steps], now=sent.now)
    return row.id


def lay(session: Session, clock_id: int, *, sent: Sending) -> str:
    """A strip is on; the last one ends the spreading. Answers what was done.

    Raises:
        Conflict: all strips are on already, or the clock was taken back.
    """
    if before := sent.before(session):
        return before
    row = _live(session, clock_id, sent)
    if row.spread_at is not None:
        raise Conflict("this glue-up", "its strips are all on: open it again")
    steps = [{"do": "no_glue_tick", "id": gluing.add_tick(session, clock_id, sent.when)}]
    on = 1 + len(gluing.ticks(session, clock_id))
    if on >= row.strips:
        steps += _end_spreading(session, row, sent)
    said = f"Strip {on} of {row.strips} is on: {row.label}"
    acts.add_act(session, sent.key, said, steps, now=sent.now)
    return said


def all_on(session: Session, clock_id: int, *, sent: Sending) -> str:
    """All strips are on, whether or not each was tapped. Answers what was done."""
    if before := sent.before(session):
        return before
    row = _live(session, clock_id, sent)
    if row.spread_at is not None:
        raise Conflict("this glue-up", "its strips are all on: open it again")
    said = f"All strips are on: {row.label}"
    acts.add_act(session, sent.key, said, _end_spreading(session, row, sent), now=sent.now)
    return said


def clamped(session: Session, clock_id: int, *, sent: Sending) -> str:
    """The last clamp is on: the glue-up is kept as the clock saw it, and its time is logged. Answers what was done."""
    if before := sent.before(session):
        return before
    row = _live(session, clock_id, sent)
    steps = _end_spreading(session, row, sent) if row.spread_at is None else []
    steps += put_taps(session, _who(row), What.STOP, Task(row.project_id, CLOSE), sent=sent)
    spread_at = row.spread_at or sent.when
    kept = floor.add_glue_up(
        session,
        GlueUpRow(
            project_id=row.project_id,
            on_date=day_clock.day_of(row.started_at, sent.zone),
            label=row.label,
            strips=row.strips,
            area_mm2=row.line_area_mm2 * (row.strips - 1),
            spread_seconds=_seconds(row.started_at, spread_at),
            assembly_seconds=_seconds(row.started_at, sent.when),
            clamps=row.clamps,
            temperature_c=row.temperature_c,
            clamped_at=sent.when,
        ),
    )
    gluing.change_clock(session, clock_id, {"clamped_at": sent.when, "glue_up_id": kept.id})
    steps += [
        {"do": "no_glue_up", "id": kept.id},
        {"do": "glue_clock", "id": clock_id, "to": {"clamped_at": None, "glue_up_id": None}},
    ]
    said = f"In clamps: {row.label}"
    acts.add_act(session, sent.key, said, steps, now=sent.now)
    return said


def to_fahrenheit(celsius: float) -> float:
    """°F; refuses what no shop has.

    Raises:
        BadInput: outside −20 to 60 °C.
    """
    if not COLDEST_C <= celsius <= HOTTEST_C:
        raise BadInput("temperature", f"{celsius:g} °C", "−20 to 60 °C, −4 to 140 °F")
    return celsius * F_PER_C + FREEZING_F


def to_celsius(fahrenheit: float) -> float:
    """°C."""
    return (fahrenheit - FREEZING_F) / F_PER_C


def _planned(up: GlueUp, done: Sequence[GlueUpRow]) -> Planned:
    count = sum(one.label == up.label for one in done)
    return Planned(up.label, up.times, count, up.lines + 1, up.area_nm2, up.clamps)


def _ready(found: ProjectEstimate, up: GlueUp, temp_f: float, done: Sequence[GlueUpRow]) -> Ready:
    rules = _at(found.shop, temp_f).clamping(found.work)
    if temp_f < rules.min_temp_f:
        raise NoSolution(
            up.label,
            f"{rules.shown.temperature(temp_f)} is too cold to glue",
            f"{rules.glue} wants {rules.shown.temperature(rules.min_temp_f)} or more: warm the shop and the wood",
        )
    face = face_minutes(up.line_width_nm, up.length_nm, rules)
    adhesive = found.work.adhesive or found.shop.row.default_adhesive
    off, machine = waits_after(adhesive, to_celsius(temp_f), found.shop.allowances)
    return Ready(
        project=found.project,
        planned=_planned(up, done),
        glue=rules.glue,
        temperature_c=to_celsius(temp_f),
        open_minutes=rules.open_minutes,
        # A face that takes the whole open time leaves nothing of the rest; the clock then says that it is late.
        limit_minutes=limit_minutes(min(face, rules.open_minutes), rules),
        spread_minutes=face * up.lines,
        close_minutes=up.clamps * rules.close_minutes_clamp,
        clamped_for=off,
        unmachined_for=machine,
    )


def _at(shop: ShopView, temp_f: float) -> ShopView:
    return replace(shop, allowances={**shop.allowances, "shop_temp": temp_f})


def _live(session: Session, clock_id: int, sent: Sending) -> ClockRow:
    row = gluing.get_clock(session, clock_id)
    if row.removed_at is not None or row.clamped_at is not None:
        raise Conflict("this glue-up", "its clock does not run any more: open it again")
    if sent.when < max([row.started_at, *gluing.ticks(session, clock_id)]):
        raise Conflict("this glue-up", "it was told of something later already: put it right under what it was")
    return row


def _end_spreading(session: Session, row: ClockRow, sent: Sending) -> list[dict[str, object]]:
    """From spreading to clamps."""
    steps = put_taps(session, _who(row), What.START, Task(row.project_id, CLOSE), sent=sent)
    gluing.change_clock(session, row.id, {"spread_at": sent.when})
    return [*steps, {"do": "glue_clock", "id": row.id, "to": {"spread_at": None}}]


def _who(row: ClockRow) -> list[int]:
    return [int(one) for one in row.workers.split()]


def _seconds(begin: datetime, end: datetime) -> int:
    """At least one: a glue-up that took no time at all was tapped through."""
    return max(1, round((end - begin).total_seconds()))
