"""A finished project held against what was promised of it: money, hours, days, and what was noise."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import reference, units
from journal.desk import actual_cost, paces, promises
from journal.desk.remembered import Remembered
from journal.desk.review_promise import GROUPS, promised
from journal.desk.shop import read_shop
from journal.quote.review import Side, bridge, earning
from journal.quote.review_hours import compare, place
from journal.records.queries import log as log_records
from journal.records.queries import projects as project_records

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.desk.actual_cost import Cost
    from journal.desk.promises import Agreed
    from journal.desk.review_actual import Materials
    from journal.desk.review_promise import Promised
    from journal.pace.model import Book
    from journal.quote.review import Bridge, Earning
    from journal.quote.review_hours import Hours
    from journal.records.queries.log import EntryRow
    from journal.records.queries.projects import ProjectRow


@dataclass(frozen=True, slots=True)
class Money:
    """Where the money went.

    Attributes:
        bridge: the steps; expected, made: what an hour was to earn, and earned.
        agreed_cents, extras_cents: before tax; 0 where no price was agreed.
        cost_cents: what it cost, wage included; place: share of the quoted distribution at or below that.
        materials: line by line.
    """

    bridge: Bridge
    expected: Earning
    made: Earning
    agreed_cents: int
    extras_cents: int
    cost_cents: int
    place: float
    materials: Materials


@dataclass(frozen=True, slots=True)
class StageDays:
    """A stage on the calendar: its first and last day with time, on how many days there was any, and its hours."""

    stage: str
    first_on: date
    last_on: date
    days: int
    minutes: float
    quoted_minutes: float


@dataclass(frozen=True, slots=True)
class Days:
    """From the agreement to delivery; None where a day is not known.

    Attributes:
        agreed_on, started_on, promised_on, delivered_on: of the project.
        stages: in the order they began.
    """

    agreed_on: date | None
    started_on: date | None
    promised_on: date | None
    delivered_on: date | None
    stages: tuple[StageDays, ...]

    @property
    def late(self) -> int | None:
        """Days after the promised one; below zero before it."""
        if self.promised_on is None or self.delivered_on is None:
            return None
        return (self.delivered_on - self.promised_on).days


@dataclass(frozen=True, slots=True)
class Review:
    """A project, promised and as it went.

    Attributes:
        promised: what it rests on; None where nothing is known, and then there is no `money`.
        priced: a price was agreed.
        hours: piece by piece, surprises first; rework left out.
        rework_minutes: done again.
    """

    project: ProjectRow
    promised: Promised | None
    priced: bool
    money: Money | None
    hours: Hours
    rework_minutes: float
    days: Days
    notes: Mapping[str, tuple[EntryRow, ...]]

    @property
    def beside_minutes(self) -> float:
        """Agreed beyond what the plan came to, rework left out on both sides; below zero less was agreed than planned."""
        return _beyond(self.promised, self.hours)


_seen: Remembered[Review] = Remembered(16)


def review(session: Session, project_id: int, today: date) -> Review:
    """A project held against its promise; the same journal is worked out once.

    Raises:
        MissingReference: no such project.
    """
    return _seen.of_journal(session, ("review", project_id, today), lambda: _read(session, project_id, today))


def _read(session: Session, project_id: int, today: date) -> Review:
    project = project_records.get_project(session, project_id)
    agreed = promises.agreed(session, project_id)
    shop = read_shop(session, today)
    entries = log_records.entries(session, project_id=project_id, until=today)
    found = promised(session, project, agreed, today)
    cost = actual_cost.cost(session, project, shop, found, today) if found else None
    book = paces.shop_book(session)
    hours = _hours(entries, found, book)
    money = _money(project, agreed, found, cost, _beyond(found, hours)) if found and cost else None
    return Review(
        project=project,
        promised=found,
        priced=agreed is not None,
        money=money,
        hours=hours,
        rework_minutes=sum(entry.seconds * entry.people for entry in entries if entry.rework) / 60,
        days=_days(project, entries, hours, book),
        notes=_notes(entries),
    )


def _beyond(found: Promised | None, hours: Hours) -> float:
    """Minutes agreed beyond the plan; less than one is the rounding of what was kept."""
    if found is None:
        return 0.0
    minutes = found.minutes - found.rework_minutes - hours.quoted_minutes
    return minutes if abs(minutes) >= 1 else 0.0


def _money(project: ProjectRow, agreed: Agreed | None, found: Promised, cost: Cost, beyond: float) -> Money:
    price, extras = (agreed.net_cents, agreed.extras_net_cents) if agreed else (0, 0)
    used = cost.materials
    quoted, quoted_overhead = _quoted_side(price, found)
    went = _went_side(price, cost)
    materials, beside = _quoted_materials(project, found, used)
    steps = bridge(quoted, went, used.used, extras_cents=extras, beside_cents=beside, beyond_minutes=beyond)
    return Money(
        bridge=steps,
        expected=earning(price, materials, quoted, quoted_overhead),
        made=earning(price + extras, used.cents, went, cost.rework_overhead_cents),
        agreed_cents=price,
        extras_cents=extras,
        cost_cents=cost.cents,
        place=place(found.cost_quantiles, cost.cents),
        materials=used,
    )


def _quoted_materials(project: ProjectRow, found: Promised, used: Materials) -> tuple[int, int]:
    """All quoted for materials, and the part of it without a line: with it, where a cost is on record, what is left out."""
    left_out = sum(found.materials[group] for group in used.left_out)
    beside = found.beside_cents + (0 if project.quoted_cost_cents is None else left_out)
    return sum(found.materials.values()) - left_out + beside, beside


def _quoted_side(price: int, found: Promised) -> tuple[Side, int]:
    """As quoted, and the overhead within its allowance for rework: shared by minutes, to the cent."""
    minutes = found.minutes - found.rework_minutes
    wage, rework_wage = units.share(found.wage_cents, [minutes, found.rework_minutes])
    overhead, rework_overhead = units.share(found.overhead_cents, [minutes, found.rework_minutes])
    machines = sum(found.machines.values())
    side = Side(price, minutes, wage, overhead, machines, found.rework_minutes, rework_wage + rework_overhead)
    return side, rework_overhead


def _went_side(price: int, cost: Cost) -> Side:
    paid = cost.paid
    return Side(
        price_cents=price,
        minutes=paid.minutes,
        wage_cents=paid.wage_cents,
        overhead_cents=cost.overhead_cents,
        machines_cents=cost.machines_cents,
        rework_minutes=paid.rework_minutes,
        rework_cents=paid.rework_wage_cents + cost.rework_overhead_cents,
    )


def _hours(entries: Sequence[EntryRow], found: Promised | None, book: Book) -> Hours:
    logged: Counter[str] = Counter()
    for entry in entries:
        if not entry.rework:
            logged[entry.operation or entry.stage or ""] += entry.seconds * entry.people / 60
    stage_of = {code: entry.stage for code, entry in book.items()}
    if found is None:
        return compare((), logged, stage_of)
    return compare(found.operations, logged, stage_of, allowance_minutes=found.allowance_minutes, total=found.total)


def _days(project: ProjectRow, entries: Sequence[EntryRow], hours: Hours, book: Book) -> Days:
    by_stage = hours.by_stage()
    seen: dict[str, list[EntryRow]] = {}
    for entry in entries:
        operation = book.get(entry.operation or "")
        stage = operation.stage if operation else entry.stage
        if stage in reference.stages():
            seen.setdefault(stage or "", []).append(entry)
    stages = [
        StageDays(
            stage=stage,
            first_on=min(one.on_date for one in rows),
            last_on=max(one.on_date for one in rows),
            days=len({one.on_date for one in rows}),
            minutes=sum(one.seconds * one.people for one in rows) / 60,
            quoted_minutes=by_stage.get(stage, (0.0, 0.0))[0],
        )
        for stage, rows in seen.items()
    ]
    stages.sort(key=lambda one: (one.first_on, one.last_on))
    return Days(project.agreed_on, project.started_on, project.promised_on, project.delivered_on, tuple(stages))


def _notes(entries: Sequence[EntryRow]) -> dict[str, tuple[EntryRow, ...]]:
    """What was written beside the time, or done again, by operation or stage; what is alike on a day stands once."""
    found: dict[str, dict[object, EntryRow]] = {}
    for entry in entries:
        if entry.note or entry.rework:
            alike = entry.on_date, entry.note, entry.rework, entry.set_aside_reason
            found.setdefault(entry.operation or entry.stage or "", {}).setdefault(alike, entry)
    return {what: tuple(rows.values()) for what, rows in found.items()}


__all__ = ["GROUPS", "Days", "Money", "Review", "StageDays", "review"]
