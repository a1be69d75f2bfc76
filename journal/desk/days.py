"""When a project will be done: its steps, rests and cures, its people and everybody else’s work, on the shop’s real hours."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from journal.days.bench import open_minutes, share_draws
from journal.days.calendar import Calendar, clock, midnight, to_moment
from journal.days.chain import critical_chain
from journal.days.search import MOVED, SHAKEN, Schedule, schedule
from journal.days.spread import Finishes, finishes, half_weeks
from journal.days.verify import faults
from journal.days.workload import Activity, Workload
from journal.desk import days_work, hours, shelf
from journal.desk.days_others import PROMISED, others
from journal.desk.days_shorter import shorter_loads
from journal.desk.plan import build_plan
from journal.desk.progress import remaining
from journal.desk.ratios import adjusted_uncertainty, read_ratios
from journal.desk.remembered import Remembered
from journal.errors import BadInput, JournalError
from journal.records.queries import calendar as records
from journal.records.words import FINISHED

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray
    from sqlalchemy.orm import Session

    from journal.days.chain import Link
    from journal.desk.days_others import Other
    from journal.desk.days_work import Piece
    from journal.desk.hours import BenchTime
    from journal.desk.plan import ProjectPlan
    from journal.records.queries.projects import ProjectRow

    Floats = NDArray[np.float64]

DRAWS = 300
SEED = 20
MOST_YEARS_AHEAD = 5
_OTHER = "other:"
_DAY = 1440
_WEEK = 7 * _DAY
# A what-if needs the order of magnitude, not the last hour.
_TRY_SHAKEN, _TRY_MOVED = 20, 60


@dataclass(frozen=True, slots=True)
class Hardware:
    """A kind of hardware: its word and name, whether the client brings it, days until it is in hand, the day that is."""

    feature: str
    name: str
    brought: bool
    lead_days: int
    on: date


@dataclass(frozen=True, slots=True)
class Part:
    """What a piece of work belongs to: its step, the step’s title and stage."""

    step: str
    title: str
    stage: str


@dataclass(frozen=True, slots=True)
class Shorter:
    """What would bring the finish forward, and by how many days."""

    what: str
    days: int


@dataclass(frozen=True, slots=True)
class ProjectDays:
    """When a project will be done.

    Attributes:
        project: which.
        start: the day on which deposit, agreed drawing and hardware are in hand, or today for what is in build.
        begun: whether it is in build.
        chance_pct: the shop’s confidence.
        weeks: from `start` to the finish not passed with that confidence, rounded up to half weeks.
        sure_on: that finish. p50_on, p80_on, p90_on: those not passed five, eight, nine times in ten.
        promised_on, promised_chance: what was promised, and the chance to keep it; None when nothing was.
        likely: the schedule of the likely minutes.
        chain: what decides its finish.
        finishes: equally likely ones.
        bench: the hours it was reckoned in, and what they rest on.
        ahead: work that goes before; uncounted: projects that should but have no parts.
        hardware: what is fitted.
        shorter: what would bring the finish forward.
        parts: piece of work of this project → what it belongs to.
        notes: what to know.
    """

    project: ProjectRow
    start: date
    begun: bool
    chance_pct: int
    weeks: float
    sure_on: date
    p50_on: date
    p80_on: date
    p90_on: date
    promised_on: date | None
    promised_chance: float | None
    likely: Schedule
    chain: tuple[Link, ...]
    finishes: Finishes
    bench: BenchTime
    ahead: tuple[Other, ...]
    uncounted: tuple[ProjectRow, ...]
    hardware: tuple[Hardware, ...]
    shorter: tuple[Shorter, ...]
    parts: Mapping[str, Part]
    notes: tuple[str, ...]

    @property
    def zone(self) -> str:
        """Of all its days."""
        return self.bench.calendar.zone

    @property
    def likely_on(self) -> date:
        """The day on which the likely schedule ends."""
        return to_moment(self.likely.finish, self.zone).date()

    def chance_by(self, day: date) -> float:
        """The chance to be done on a day at the latest."""
        return self.finishes.chance_by(_end_of(day, self.zone))


def days_of(session: Session, project_id: int, today: date, *, start: date | None = None) -> ProjectDays:
    """When a project will be done, counted from a day on (today unless one is given).

    Raises:
        BadInput: a day before today, or more than five years ahead.
        NoSolution: it takes more people or clamps than there are, or more than ten years.
        JournalError: it has no parts, cannot be made, or is finished already.
    """
    begin_on = start or today
    if not today <= begin_on <= today + timedelta(days=366 * MOST_YEARS_AHEAD):
        raise BadInput("start", begin_on, f"a day from today ({today}) on, in the next {MOST_YEARS_AHEAD} years")
    return _days.of_journal(
        session, (project_id, today, begin_on), lambda: _worked_out(session, project_id, today, begin_on)
    )


def _worked_out(session: Session, project_id: int, today: date, start: date) -> ProjectDays:
    plan = build_plan(session, project_id, today)
    project = plan.found.project
    if project.state in FINISHED:
        raise JournalError(f"project {project.code} is finished; its days are under Review")
    return _Days(session, plan, today, start).worked()


def known_days(session: Session, project_id: int, today: date) -> ProjectDays | None:
    """What `days_of` would say from today on, if it was worked out before and still holds; else None, at once."""
    return _days.known(session, (project_id, today, today))


def chance_within(session: Session, project_id: int, today: date, most_days: int) -> float | None:
    """The chance to be done on the day so many days from today at the latest; None where that cannot be said yet."""
    try:
        found = days_of(session, project_id, today)
    except JournalError:
        return None
    return found.chance_by(found.start + timedelta(days=most_days))


def promised_weeks(session: Session, project_id: int, today: date) -> float | None:
    """Weeks to promise from deposit, agreed drawing and hardware in hand; None where that cannot be said yet."""
    try:
        return days_of(session, project_id, today).weeks
    except JournalError:
        return None


class _Days:
    def __init__(self, session: Session, plan: ProjectPlan, today: date, start: date) -> None:
        self.session, self.plan, self.today = session, plan, today
        self.project = plan.found.project
        self.shop = plan.found.shop
        self.ratios = read_ratios(session, self.shop, today)
        self.bench = hours.bench_time(session, self.shop, self.ratios)
        self.left = self._left()
        self.start = max(today, start)
        self.calendar = self.bench.calendar
        self.clock = clock(self.calendar, self.start)
        self.begin = midnight(self.start, self.calendar.zone)
        self.others = others(session, self.project, today, DRAWS, SEED)
        self.hardware = self._hardware()

    def worked(self) -> ProjectDays:
        made = self._pieces(self.shop.row.people)
        load = self._workload(made, self.shop.row.people)
        parts = MappingProxyType({one.activity.key: Part(one.step, one.title, one.stage) for one in made})
        likely = _scheduled(load, self.calendar, self.start, self.begin)
        drawn = self._drawn(made, likely)
        all_ends = _finishes.get(
            (load, self.calendar, self.start, drawn.tobytes()), lambda: finishes(likely, self.clock, drawn)
        )
        confidence = self.shop.row.confidence_pct
        sure = all_ends.at(confidence / 100)
        promised = self.project.promised_on if self.project.state in PROMISED else None
        return ProjectDays(
            project=self.project,
            start=self.start,
            begun=self.left.begun,
            chance_pct=confidence,
            weeks=half_weeks(self.begin, sure),
            sure_on=self._day(sure),
            p50_on=self._day(all_ends.at(0.5)),
            p80_on=self._day(all_ends.at(0.8)),
            p90_on=self._day(all_ends.at(0.9)),
            promised_on=promised,
            promised_chance=all_ends.chance_by(_end_of(promised, self.calendar.zone)) if promised else None,
            likely=likely,
            chain=critical_chain(likely, self.clock),
            finishes=all_ends,
            bench=self.bench,
            ahead=self.others.ahead,
            uncounted=self.others.uncounted,
            hardware=self.hardware,
            shorter=self._shorter(load, likely, frozenset(parts)),
            parts=parts,
            notes=self._notes(made),
        )

    def _left(self) -> days_work.Left:
        begun = remaining(self.session, [self.project], self.today) if self.project.state in PROMISED else {}
        if begun and any(one.piece.logged_minutes for one in begun[self.project.id].ending.pieces):
            return days_work.left_of_build(begun[self.project.id], DRAWS)
        taken, work, shop = self.plan.found.made.takeoff, self.plan.found.work, self.shop
        glue, finish = work.adhesive or shop.row.default_adhesive, work.finish or shop.row.default_finish
        doubt = adjusted_uncertainty(shop.uncertainty(), self.ratios, taken, glue, finish)
        return days_work.left_of_plan(self.plan, doubt, DRAWS, SEED)

    def _hardware(self) -> tuple[Hardware, ...]:
        brought = records.brought(self.session, self.project.id)
        leads = hours.lead_days(records.leads(self.session), self.shop.allowances["lead_hardware_days"])
        there_now = shelf.reach(self.session, self.project.id)
        on_hand = {
            feature: there_now.get(supply.code, shelf.Reach()).there
            for feature, supply in self.shop.supplies(self.plan.found.work).hardware.items()
        }
        ordered = (self.project.agreed_on or self.start) if self.left.begun else self.start
        found = []
        for feature, count in self.plan.found.made.takeoff.hardware:
            theirs = feature in brought
            there = theirs or on_hand.get(feature, 0) >= count
            days = 0 if there else leads.get(feature, int(self.shop.allowances["lead_hardware_days"]))
            name = hours.hardware_name(feature)
            found.append(Hardware(feature, name, theirs, days, max(ordered + timedelta(days=days), self.start)))
        return tuple(found)

    def _pieces(self, people: int) -> tuple[Piece, ...]:
        allowed = self.shop.allowances
        floor = days_work.Floor(
            people=people,
            spreaders=int(allowed["glue_spreaders"]),
            clamps=int(allowed["clamps_on_hand"]),
            places=records.places(self.session),
            longest=self.clock.longest,
            zone=self.calendar.zone,
        )
        arrivals = {
            code: (midnight(one.on, self.calendar.zone), f"{one.name} ordered on the first day come")
            for one in self.hardware
            if one.on > self.start
            for code in hours.fitted_by(one.feature)
        }
        return days_work.pieces(self.plan, self.left, floor, arrivals)

    def _workload(self, made: tuple[Piece, ...], people: int) -> Workload:
        bench, beside = self._likely_bench(made)
        own = self._open(made, bench, beside, np.array([self.bench.share]))[0]
        ahead = [
            # All that may come never comes at once; its expected hours are what the middle of the draws goes by.
            Activity(f"{_OTHER}{one.project.id}", one.project.title, round(one.expected_minutes / self.bench.share))
            for one in self.others.ahead
        ]
        mine = [self._timed(piece, int(minutes)) for piece, minutes in zip(made, own, strict=True)]
        return Workload(
            activities=(*ahead, *mine),
            people=people,
            there=MappingProxyType(self._there(mine)),
            finish=frozenset(one.key for one in mine),
            first=tuple(one.key for one in ahead),
        )

    def _timed(self, piece: Piece, minutes: int) -> Activity:
        """A piece with its open minutes; a glue-up that fits by itself is not refused for what nobody planned in it."""
        one = piece.activity
        if not one.pauses and piece.bench / one.people <= self.clock.longest:
            minutes = min(minutes, self.clock.longest)
        return replace(one, minutes=minutes)

    def _likely_bench(self, made: tuple[Piece, ...]) -> tuple[Floats, Floats]:
        """One draw, the likely one: each piece at its middle, all lengthened alike until the whole is at its own.

        Middles of what may run far over do not add up to the middle of the sum.
        """
        draws, beside = self._bench_draws(made)
        each = np.append(np.median(draws, axis=0), np.median(beside))
        whole = np.median(draws.sum(axis=1) + beside)
        each = each * (whole / each.sum()) if each.sum() > 0 else each
        return each[None, :-1], each[-1:]

    def _bench_draws(self, made: tuple[Piece, ...]) -> tuple[Floats, Floats]:
        """Person-minutes at the bench, what nobody planned in them: of every piece, and of what goes alongside."""
        beside = days_work.alongside(self.plan, self.left) * self.left.beside
        return np.stack([piece.draws for piece in made], axis=1) * self.left.beside[:, None], beside

    def _open(self, made: tuple[Piece, ...], bench: Floats, beside: Floats, share: Floats) -> Floats:
        """Whole open minutes from start to end of every piece in every draw."""
        pauses = np.array([1.0 if piece.activity.pauses else 0.0 for piece in made])
        people = np.array([piece.activity.people for piece in made])
        return np.ceil(open_minutes(bench, pauses=pauses, beside=beside, share=share) / people - 1e-9)

    def _there(self, activities: list[Activity]) -> dict[str, int]:
        machines: dict[str, int] = {}
        for machine in self.shop.machines:
            machines[machine.kind] = machines.get(machine.kind, 0) + 1
        used = {need.what for one in activities for need in one.needs}
        there = {what: machines.get(what, 1) for what in used}
        there[days_work.CLAMPS] = int(self.shop.allowances["clamps_on_hand"])
        places = records.places(self.session)
        return there | ({days_work.PLACES: places} if places else {})

    def _drawn(self, made: tuple[Piece, ...], likely: Schedule) -> Floats:
        """Open minutes of every activity of the workload in every draw, shape (draws, activities)."""
        weeks = round((likely.finish - self.begin) / _WEEK) if self.bench.weekly else 1
        share = share_draws(self.bench.share, self.bench.share_sd, weeks, DRAWS, SEED)
        own = self._open(made, *self._bench_draws(made), share)
        ahead = [other.draws / share for other in self.others.ahead]
        return np.column_stack([*ahead, own])

    def _shorter(self, load: Workload, likely: Schedule, own: frozenset[str]) -> tuple[Shorter, ...]:
        """What would bring the likely finish forward, the most first."""
        found = []
        more = load.people + 1
        another = self._workload(self._pieces(more), more)
        for what, changed in (("One more person in the shop", another), *shorter_loads(load, own)):
            tried = _scheduled(changed, self.calendar, self.start, self.begin, _TRY_SHAKEN, _TRY_MOVED)
            found.append(Shorter(what, (likely.finish - tried.finish) // _DAY))
        return tuple(sorted((one for one in found if one.days >= 1), key=lambda one: -one.days))

    def _notes(self, made: tuple[Piece, ...]) -> tuple[str, ...]:
        notes = list(self.plan.troubles)
        if any(piece.step == "assemble" and piece.activity.pauses for piece in made):
            notes.append(
                "A frame takes longer to assemble than the shop is open at a stretch: it is taken in two goes."
            )
        notes += [
            f"{row.code} {row.title} goes before, and has no parts to count its hours by."
            for row in self.others.uncounted
        ]
        return tuple(notes)

    def _day(self, wall: int) -> date:
        return to_moment(wall, self.calendar.zone).date()


# A page is opened again, a quote asks for the weeks on it: the same journal gives the same days, and the same work the
# same schedule though other things in the journal have changed.
_days: Remembered[ProjectDays] = Remembered(16)
_schedules: Remembered[Schedule] = Remembered(48)
_finishes: Remembered[Finishes] = Remembered(16)


def _end_of(day: date, zone: str) -> int:
    return midnight(day + timedelta(days=1), zone)


def _scheduled(
    load: Workload, calendar: Calendar, start: date, begin: int, shaken: int = SHAKEN, moved: int = MOVED
) -> Schedule:
    """The schedule, made once for the same work, and replayed before anybody sees it."""
    return _schedules.get(
        (load, calendar, start, shaken, moved), lambda: _checked(load, calendar, start, begin, shaken, moved)
    )


def _checked(load: Workload, calendar: Calendar, start: date, begin: int, shaken: int, moved: int) -> Schedule:
    found = schedule(load, clock(calendar, start), begin, seed=SEED, shaken=shaken, moved=moved)
    broken = faults(found, calendar)
    if broken:
        raise JournalError(f"the schedule breaks its own rules and is not shown: {broken[0]}")
    return found
