"""Today on the floor: what runs, what asks, what comes next, what is in clamps or drying, which evenings are not logged."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from journal import reference
from journal.build.waits import clamp_hours, recoat_hours
from journal.desk import acts, coating, glue_clock
from journal.desk.allowances import allowances
from journal.desk.forgotten import all_forgotten
from journal.desk.next_work import OnTheFloor, on_the_floor
from journal.desk.paces import shop_book
from journal.desk.taps import name_of
from journal.errors import NoSolution
from journal.floor.quiet import LOOK_BACK_DAYS, quiet_days
from journal.floor.stretches import derive
from journal.floor.taps import Key, Task
from journal.records.queries import devices, floor, gluing, logbook
from journal.records.queries import projects as project_records
from journal.records.queries import shop as shop_records
from journal.records.queries import taps as tap_records
from journal.records.queries.floor import GlueUpRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date, tzinfo

    from sqlalchemy.orm import Session

    from journal.floor.stretches import Derived, Stretch
    from journal.pace.model import Book
    from journal.records.queries.acts import ActRow
    from journal.records.queries.devices import WorkerRow
    from journal.records.queries.floor import CoatRow
    from journal.records.queries.gluing import ClockRow
    from journal.records.queries.log import EntryRow
    from journal.records.queries.projects import ProjectRow
    from journal.records.queries.taps import RefusedRow, TapRow

_CLAMPED, _LOOSE, _COATED = "close_clamps", "unclamp_clean", "apply_coat"
_LOOK_BACK = timedelta(days=7)  # no clamp stays on, and no coat is waited for, longer
_SAME_TAP = timedelta(minutes=1)  # a glue-up and the end of its clock are one moment
_TOLD_FOR = timedelta(days=1)  # how long a tap that did nothing is spoken of


@dataclass(frozen=True, slots=True)
class Clock:
    """A clock that runs, waits paused, or asks.

    Attributes:
        tap_id: the tap that opened its stretch; 0 for one that is paused.
        worker_id, worker: whose.
        task, name: what is worked on.
        project: number and title; empty for the shop's own time.
        since: when it began.
        until: when it ended; None while it runs.
        seconds: how long so far.
    """

    tap_id: int
    worker_id: int
    worker: str
    task: Task
    name: str
    project: tuple[str, str]
    since: datetime | None = None
    until: datetime | None = None
    seconds: int = 0


@dataclass(frozen=True, slots=True)
class Gluing:
    """A glue-up that runs: its clock, number and title of its project, and how long so far."""

    clock: ClockRow
    project: tuple[str, str]
    seconds: int

    @property
    def by(self) -> datetime:
        """When the last clamp is to be on."""
        return self.clock.started_at + timedelta(seconds=self.clock.assembly_seconds)

    @property
    def over_seconds(self) -> int:
        """How far over the time the glue gives; 0 inside it."""
        return max(0, self.seconds - self.clock.assembly_seconds)


@dataclass(frozen=True, slots=True)
class Ignored:
    """A tap that did nothing, because somebody was quicker."""

    tap: TapRow
    worker: str
    name: str


@dataclass(frozen=True, slots=True)
class Waiting:
    """Something the clock on the wall is waited for: what, until when, and on what that rests."""

    project: ProjectRow
    what: str
    until: datetime
    why: str


@dataclass(frozen=True, slots=True)
class Today:
    """The floor at one moment.

    Attributes:
        day: today.
        workers: everybody at the bench.
        running, paused: clocks.
        asking: clocks that ran too long to be believed, ended or not.
        floor: the projects in build with what comes next.
        gluing: glue-up clocks that run.
        waiting: in clamps or drying, the soonest first.
        quiet: days without a log though there usually is one, the newest first.
        refused: taps that could not be taken.
        ignored: taps that did nothing.
        logged_seconds: of today, so far.
        last: what was last done, and may be taken back.
        any_project: the journal holds one, in whatever state.
    """

    day: date
    workers: tuple[WorkerRow, ...]
    running: tuple[Clock, ...]
    paused: tuple[Clock, ...]
    asking: tuple[Clock, ...]
    floor: tuple[OnTheFloor, ...]
    gluing: tuple[Gluing, ...]
    waiting: tuple[Waiting, ...]
    quiet: tuple[date, ...]
    refused: tuple[RefusedRow, ...]
    ignored: tuple[Ignored, ...]
    logged_seconds: int
    last: ActRow | None
    any_project: bool


def today(session: Session, day: date, *, zone: tzinfo, now: datetime) -> Today:
    """The floor as it is now. Its statements do not grow with the log."""
    rows = tap_records.newest_windows(session)
    derived = derive(row.event for row in rows)
    asking = all_forgotten(session, zone=zone, now=now)
    ignored = tap_records.without_effect(session, now - _TOLD_FOR)
    people = devices.all_workers(session)
    gluing_now = gluing.running_clocks(session)
    projects = _projects_of(derived, [one.tap.task for one in asking]) | {one.project_id for one in gluing_now}
    titles = tap_records.titles(session, projects)
    tap_ids = {Key(row.device_id, row.sequence): row.id for row in rows}
    maker = _Clocks(people, titles, shop_book(session), now)
    forgotten = {one.stretch.opened_by for one in asking}
    on = on_the_floor(session)
    return Today(
        day=day,
        workers=devices.workers(session),
        running=tuple(
            maker.clock(tap_ids[one.opened_by], one) for one in derived.running if one.opened_by not in forgotten
        ),
        paused=tuple(maker.paused(person, task) for person, task in sorted(derived.paused.items())),
        asking=tuple(maker.clock(one.tap.id, one.stretch) for one in asking),
        floor=on,
        gluing=tuple(gluing_of(one, titles[one.project_id], now) for one in gluing_now),
        waiting=_waiting(session, [one.project for one in on], day, now),
        quiet=quiet_days(logbook.days_logged(session, day - timedelta(days=LOOK_BACK_DAYS), day), day),
        refused=tap_records.refused(session),
        ignored=tuple(Ignored(row, people[row.worker_id], name_of(row.task, maker.book)) for row in ignored),
        logged_seconds=sum(row.seconds * row.people for row in logbook.entries_between(session, day, day)),
        last=acts.newest(session, now),
        any_project=bool(on) or bool(project_records.count_by_state(session)),
    )


def gluing_of(clock: ClockRow, project: tuple[str, str], now: datetime) -> Gluing:
    """A clock that runs, as it stands at a moment."""
    return Gluing(clock, project, max(0, int((now - clock.started_at).total_seconds())))


@dataclass(frozen=True, slots=True)
class _Clocks:
    """Stretches as the page shows them."""

    people: Mapping[int, str]
    titles: Mapping[int, tuple[str, str]]
    book: Book
    now: datetime

    def paused(self, person: int, task: Task) -> Clock:
        return Clock(0, person, self.people[person], task, name_of(task, self.book), self._project(task))

    def clock(self, tap_id: int, stretch: Stretch) -> Clock:
        return Clock(
            tap_id=tap_id,
            worker_id=stretch.person,
            worker=self.people[stretch.person],
            task=stretch.task,
            name=name_of(stretch.task, self.book),
            project=self._project(stretch.task),
            since=stretch.start,
            until=stretch.end,
            seconds=stretch.seconds(self.now),
        )

    def _project(self, task: Task) -> tuple[str, str]:
        return ("", "") if task.project_id is None else self.titles[task.project_id]


def _projects_of(derived: Derived, more: Iterable[Task]) -> set[int]:
    tasks = [*(one.task for one in derived.stretches), *derived.paused.values(), *more]
    return {task.project_id for task in tasks if task.project_id is not None}


def _waiting(session: Session, projects: Sequence[ProjectRow], day: date, now: datetime) -> tuple[Waiting, ...]:
    """What went into clamps or under a coat, by what was told of it or by the clock, and is not ready yet."""
    rows = logbook.clocked_since(session, day - _LOOK_BACK, (_CLAMPED, _LOOSE, _COATED))
    glue_ups, coats = floor.glue_ups(session, since=day - _LOOK_BACK), floor.coats(session, since=day - _LOOK_BACK)
    if not (rows or glue_ups or coats):
        return ()
    shop, air = shop_records.get_shop(session), settings_now(session)
    by_id = {project.id: project for project in projects}
    newest = _newest(rows)
    found = []
    for project_id in by_id.keys() & {*newest, *(one.project_id for one in (*glue_ups, *coats))}:
        project, clocked = by_id[project_id], newest.get(project_id, {})
        glued = [one for one in glue_ups if one.project_id == project_id and one.clamped_at]
        coated = [one for one in coats if one.project_id == project_id and one.at]
        glue, finish = project.adhesive or shop.default_adhesive, project.finish or shop.default_finish
        found += _glued(project, glued, glue, air, clocked)
        # What was told says more than a clock: which glue-up, how warm it was. Later taps say what came after.
        found += _in_clamps(project, _after(clocked, _CLAMPED, glued), reference.adhesives()[glue], air)
        found += _coated(project, coated, air)
        found += _drying(project, _after(clocked, _COATED, coated), reference.finishes()[finish], air)
    return tuple(sorted((one for one in found if one.until > now), key=lambda one: one.until))


def settings_now(session: Session) -> dict[str, float]:
    """Every setting of the shop by key."""
    return allowances({key: (one.value, one.unit) for key, one in shop_records.settings(session).items()})


def _after(
    clocked: Mapping[str, datetime], operation: str, told: Sequence[GlueUpRow] | Sequence[CoatRow]
) -> Mapping[str, datetime]:
    """The clock's moments, without one that a record of the same day speaks for."""
    last = clocked.get(operation)
    latest = max((_moment(one) for one in told), default=None)
    if last is None or latest is None or last > latest + _SAME_TAP:
        return clocked
    return {code: moment for code, moment in clocked.items() if code != operation}


def _moment(told: GlueUpRow | CoatRow) -> datetime:
    found = told.clamped_at if isinstance(told, GlueUpRow) else told.at
    return found or datetime.min.replace(tzinfo=UTC)


def _glued(
    project: ProjectRow,
    told: Iterable[GlueUpRow],
    glue: str,
    air: Mapping[str, float],
    clocked: Mapping[str, datetime],
) -> list[Waiting]:
    found = []
    for one in told:
        off, machine = glue_clock.waits(glue, _moment(one), one.temperature_c, air)
        name = reference.adhesives()[glue].name
        if clocked.get(_LOOSE, _moment(one)) <= _moment(one):
            found.append(Waiting(project, f"in clamps: {one.label}", off, name))
        found.append(Waiting(project, f"not to be machined: {one.label}", machine, name))
    return found


def _coated(project: ProjectRow, told: Iterable[CoatRow], air: Mapping[str, float]) -> list[Waiting]:
    """The newest coat alone: the one before it was dry when it went on."""
    newest = max(told, key=_moment, default=None)
    when = coating.next_from(newest, air) if newest else None
    if newest is None or when is None:
        return []
    name = reference.finishes()[newest.finish].name
    return [Waiting(project, f"coat {newest.coat} drying", when[1], f"rule of thumb, {name}")]


def _newest(rows: Iterable[EntryRow]) -> dict[int, dict[str, datetime]]:
    """Project → operation → when it last ended."""
    found: dict[int, dict[str, datetime]] = {}
    for row in rows:
        if row.project_id is not None and row.operation is not None and row.started_at is not None:
            found.setdefault(row.project_id, {})[row.operation] = row.started_at + timedelta(seconds=row.seconds)
    return found


def _in_clamps(
    project: ProjectRow, newest: Mapping[str, datetime], glue: reference.Adhesive, air: Mapping[str, float]
) -> list[Waiting]:
    closed = newest.get(_CLAMPED)
    if closed is None:
        return []
    try:
        hours = clamp_hours(glue, air["shop_temp"])
    except NoSolution:  # too cold by the shop's own setting: the label's time, which is what is known
        hours = glue.clamp_minutes / 60
    later = max(air["machine_after_hours"], glue.machine_after_hours)
    found = [Waiting(project, "a joint from which machines stay away", closed + timedelta(hours=later), f"{later:g} h")]
    if newest.get(_LOOSE, closed) <= closed:
        found.append(Waiting(project, "in clamps", closed + timedelta(hours=hours), f"{hours:g} h, {glue.name}"))
    return found


def _drying(
    project: ProjectRow, newest: Mapping[str, datetime], finish: reference.Finish, air: Mapping[str, float]
) -> list[Waiting]:
    coated = newest.get(_COATED)
    if coated is None:
        return []
    try:
        _, slow = recoat_hours(finish, air["shop_temp"], air["shop_humidity_pct"])
    except NoSolution:  # as above
        slow = finish.recoat_high_hours
    return [Waiting(project, "a coat drying", coated + timedelta(hours=slow), f"up to {slow:g} h, {finish.name}")]
