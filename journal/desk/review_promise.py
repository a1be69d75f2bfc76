"""What was promised of a project: its costs, hours and ranges, from the best witness there is.

First the accepted quote, then the newest estimate kept by the day it was agreed. Where neither is, the plan in force that
day is estimated as the back-test would: at the prices of that day, with the paces known by then.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from journal import reference, units
from journal.desk import paces, parts
from journal.desk.backtest import finished
from journal.desk.estimate import Inputs, ProjectEstimate, as_kept, estimate_apart, work_of
from journal.desk.ratios import known_by, read_ratios
from journal.desk.remembered import Remembered
from journal.desk.shop import read_shop
from journal.errors import JournalError
from journal.pace.model import fit
from journal.pace.ratios import Kind
from journal.quote.review_hours import Quoted
from journal.records.queries import estimates as estimate_records
from journal.records.queries import moves as move_records
from journal.records.queries import plans
from journal.records.queries import quotes as quote_records
from journal.records.queries.shop import shop_zone

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date, datetime, tzinfo

    from sqlalchemy.orm import Session

    from journal.desk.promises import Agreed
    from journal.pace.model import Calibration
    from journal.records.queries.estimates import EstimateRow
    from journal.records.queries.projects import ProjectRow
    from journal.records.queries.quotes import QuoteRow

Content = dict[str, Any]

# Names of the lines of an estimate, and how its kinds of material are called here.
GROUPS = ("Boards and sheets", "Glue", "Finish", "Hardware", "Abrasives, blades, rags")
_UNPLANNED = "Work nobody planned"
_fits: Remembered[Calibration] = Remembered(1)  # some twenty megabytes each; what came of it is remembered anyway


@dataclass(frozen=True, slots=True)
class Promised:
    """What a project was promised to take.

    Attributes:
        source: where that comes from, as a page says it; kept: it was kept at the time, not worked out now.
        prices_on: the day whose price book it rests on.
        materials: kind → cents, each of `GROUPS`.
        wage_cents, overhead_cents: of all hours; machines: kind of machine → cents.
        minutes: of all hours, the allowances for rework and for what nobody plans included; where no quote was kept, as
            agreed on record, and the operations as estimated.
        rework_minutes: the allowance for rework.
        operations: the rest of the work as quoted; allowance_minutes: for what nobody plans.
        total: all hours, eight times in ten between, minutes.
        cost_quantiles: of the cost at evenly spaced chances, cents.
        beside_cents: what was promised as cost beyond these lines.
    """

    source: str
    kept: bool
    prices_on: date
    materials: Mapping[str, int]
    wage_cents: int
    overhead_cents: int
    machines: Mapping[str, int]
    minutes: float
    rework_minutes: float
    operations: tuple[Quoted, ...]
    allowance_minutes: float
    total: tuple[float, float]
    cost_quantiles: tuple[float, ...]
    beside_cents: int = 0

    @property
    def lines_cents(self) -> int:
        """The sum of its lines."""
        return sum(self.materials.values()) + self.wage_cents + self.overhead_cents + sum(self.machines.values())


def promised(session: Session, project: ProjectRow, agreed: Agreed | None, today: date) -> Promised | None:
    """What was promised; None where neither a quote nor a plan that can be estimated is known."""
    day = _day(project, today)
    quote = quote_records.get_quote(session, agreed.quote.id) if agreed and agreed.quote else None
    entered = agreed.entered_at if agreed else None
    kept = _by_quote(quote) or _by_estimate(
        estimate_records.given(session, project.id), day, entered, shop_zone(session)
    )
    return kept or _estimated(session, project, day, today)


def kept_promises(session: Session, projects: Sequence[ProjectRow], today: date) -> dict[int, Promised]:
    """What `promised` says of those whose quote or estimate was kept, by id; the others are left out.

    Five statements, and one more for each project whose newest estimate is damaged.
    """
    zone = shop_zone(session)
    agreements = move_records.acceptances(session)
    accepted = {project: move.quote_id for project, move in agreements.items() if move.quote_id}
    entered = {project: move.at for project, move in agreements.items()}
    quotes = quote_records.with_text(session, list(accepted.values()))
    heads = estimate_records.all_heads(session)
    newest = {
        project.id: head.id
        for project in projects
        for head in heads.get(project.id, ())[::-1]
        if _in_time(head.made_at, _day(project, today), entered.get(project.id), zone)
    }
    texts = estimate_records.with_text(session, list(newest.values()))
    found = {}
    for project in projects:
        text = texts.get(newest.get(project.id, 0))
        given = estimate_records.given(session, project.id) if text and text.damaged else (text,) if text else ()
        quote = quotes.get(accepted.get(project.id, 0))
        kept = _by_quote(quote) or _by_estimate(given, _day(project, today), entered.get(project.id), zone)
        if kept:
            found[project.id] = kept
    return found


def _day(project: ProjectRow, today: date) -> date:
    """When it was agreed, or the nearest day known."""
    return project.agreed_on or project.started_on or project.enquired_on or project.delivered_on or today


def _by_quote(row: QuoteRow | None) -> Promised | None:
    if row is None or row.damaged:
        return None
    return _read(json.loads(row.payload)["kept"], f"quote {row.number}", row.issued_on, kept=True)


def _by_estimate(
    given: Sequence[EstimateRow], day: date, entered: datetime | None, zone: tzinfo | None
) -> Promised | None:
    """The newest kept in time; `given` is newest first."""
    row = next((one for one in given if not one.damaged and _in_time(one.made_at, day, entered, zone)), None)
    if row is None:
        return None
    made_on = row.made_at.astimezone(zone).date()
    return _read(json.loads(row.payload), f"the estimate kept on {made_on:%Y-%m-%d}", made_on, kept=True)


def _in_time(made_at: datetime, day: date, entered: datetime | None, zone: tzinfo | None) -> bool:
    """Whether an estimate was kept by the day of the agreement, or by the moment that was entered, if later."""
    return made_at.astimezone(zone).date() <= day or (entered is not None and made_at <= entered)


def _estimated(session: Session, project: ProjectRow, day: date, today: date) -> Promised | None:
    plan = _plan_on(session, project.id, day)
    if plan is None:
        return None
    try:
        content = as_kept(_as_known_on(session, project, plan, day, today))
    except JournalError:  # its parts can no longer be made: wood no longer bought, machines sold since
        return None
    source = f"plan {plan.version} as it would have been estimated on {day:%Y-%m-%d}, with the prices and paces known then, since no quote was kept"
    return _as_agreed(_read(content, source, day, kept=False), project)


def _as_agreed(found: Promised, project: ProjectRow) -> Promised:
    """The hours and the cost on record put in the place of those worked out; the ranges stay the estimate's."""
    if project.agreed_minutes and found.minutes:
        times = project.agreed_minutes / found.minutes
        found = replace(
            found,
            minutes=project.agreed_minutes,
            rework_minutes=found.rework_minutes * times,
            wage_cents=units.round_half_up(found.wage_cents * times),
            overhead_cents=units.round_half_up(found.overhead_cents * times),
        )
    if project.quoted_cost_cents is None:
        return found
    return replace(found, beside_cents=project.quoted_cost_cents - found.lines_cents)


def _plan_on(session: Session, project_id: int, day: date) -> plans.PlanRow | None:
    """The newest version kept by a day, else the first."""
    heads, zone = plans.plan_history(session, project_id), shop_zone(session)
    in_time = next(
        (head for head in heads if head.made_at.astimezone(zone).date() <= day), heads[-1] if heads else None
    )
    return plans.get_plan(session, project_id, in_time.version) if in_time else None


def _as_known_on(session: Session, project: ProjectRow, plan: plans.PlanRow, day: date, today: date) -> ProjectEstimate:
    taught = paces.learn(session, today)
    known = [past for past in finished(session, today, taught=taught)[0] if past.finished_on <= day]
    rows = tuple(row for past in known if past.code != project.code for row in past.rows)
    book = taught.calibration.book
    calibration = _fits.get((day, rows, book), lambda: fit(rows, book, today=day))
    shop = read_shop(session, day)
    ratios = known_by(read_ratios(session, read_shop(session, today), today, taught=taught), day, tuple(Kind))
    work = work_of(project)
    inputs = Inputs(parts.from_rows(plan.parts), shop, calibration, project.benches, work, ratios, ())
    return ProjectEstimate(project, shop, calibration, estimate_apart(inputs), work, inputs)


def _read(content: Content, source: str, prices_on: date, *, kept: bool) -> Promised:
    lines: list[Content] = content["estimate"]["lines"]
    minutes, work = _hours(lines, content["estimate"]["operations"])
    rework = next((one.minutes for one in work if one.code == paces.REWORK), 0.0)
    hours = content["hours_quantiles"]
    return Promised(
        source=source,
        kept=kept,
        prices_on=prices_on,
        materials=_materials(lines),
        wage_cents=_cents(lines, "Wage"),
        overhead_cents=_cents(lines, "Overhead"),
        machines=_machines(lines),
        minutes=minutes,
        rework_minutes=rework,
        operations=tuple(one for one in work if one.code != paces.REWORK),
        allowance_minutes=next((line["value"] for line in lines if line["name"] == _UNPLANNED), 0.0),
        total=(60 * _at(hours, 0.1), 60 * _at(hours, 0.9)),
        cost_quantiles=tuple(map(float, content["cost_quantiles_cents"])),
    )


def _at(quantiles: Sequence[float], chance: float) -> float:
    return float(quantiles[units.round_half_up(chance * (len(quantiles) - 1))])


def _between(lines: Sequence[Content], first: str, last: str) -> list[Content]:
    """The lines in cents after one and before another."""
    money = [line for line in lines if line["unit"] == "cents"]
    names = [line["name"] for line in money]
    start = names.index(first) + 1
    return money[start : names.index(last, start)]


def _cents(lines: Sequence[Content], name: str) -> int:
    return next(int(line["value"]) for line in lines if line["name"] == name and line["unit"] == "cents")


def _materials(lines: Sequence[Content]) -> dict[str, int]:
    """By kind; a kind's line is named after it, with what it is after a colon, and stands above its own parts."""
    found = dict.fromkeys(GROUPS, 0)
    waiting = list(GROUPS)
    for line in _between(lines, "Materials", "Wage"):
        kind = line["name"].partition(":")[0]
        if kind in waiting:
            found[kind] = int(line["value"])
            waiting = waiting[waiting.index(kind) + 1 :]
    return found


def _machines(lines: Sequence[Content]) -> dict[str, int]:
    return {line["name"]: int(line["value"]) for line in _between(lines, "Machines", "Contingency")}


def _hours(lines: Sequence[Content], operations: Sequence[Content]) -> tuple[float, list[Quoted]]:
    """All minutes, and the work under its stages; a step of the maker's own bears its own name and no range."""
    book = reference.operations()
    ranges = {book[one["code"]].name: one for one in operations if one["code"] in book}
    stages = {stage.name: code for code, stage in reference.stages().items()}
    whole, stage, work = 0.0, "", []
    for line in lines:
        name = line["name"]
        if line["unit"] != "min" or name == _UNPLANNED:
            continue
        if name == "Hours":
            whole = float(line["value"])
        elif name in stages:
            stage = stages[name]
        elif name in ranges:
            one = ranges[name]
            work.append(Quoted(one["code"], stage, line["value"], one["minutes"]["p10"], one["minutes"]["p90"]))
        else:
            work.append(Quoted(name, stage, line["value"]))
    return whole, work
