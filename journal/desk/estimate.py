"""From parts to an estimate; the same for the page, the command and what other programs read."""

from __future__ import annotations

import json
from collections import deque
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from journal import __version__
from journal.build.stock import Sheet
from journal.desk import paces, parts
from journal.desk.edited_work import edits_of, with_edits
from journal.desk.ratios import NOTHING, adjusted_rules, adjusted_tasks, adjusted_uncertainty, read_ratios
from journal.desk.shop import Work, read_shop
from journal.errors import JournalError
from journal.quote.estimate import Estimate, estimate
from journal.quote.risk import Distribution, Range
from journal.quote.throws import Throws, throw
from journal.records.base import canonical
from journal.records.queries import estimates as estimate_records
from journal.records.queries import plans
from journal.records.queries import projects as project_records

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from journal.build.parts import Part
    from journal.build.step_edits import Edit
    from journal.desk.ratios import Ratios
    from journal.desk.shop import ShopView
    from journal.pace.model import Calibration
    from journal.records.queries.estimates import EstimateRow
    from journal.records.queries.projects import ProjectRow
    from journal.working import Spread

JSON_VERSION = 1
# One stream of random draws for every estimate: two estimates differ because their inputs do.
SEED = 20


@dataclass(frozen=True, slots=True)
class ProjectEstimate:
    """A project with its estimate and what it rests on; `inputs` for trying another shop on it."""

    project: ProjectRow
    shop: ShopView
    calibration: Calibration
    made: Estimate
    work: Work
    inputs: Inputs


def estimate_parts(
    listed: Sequence[Part],
    shop: ShopView,
    calibration: Calibration,
    *,
    benches: int = 1,
    work: Work | None = None,
    ratios: Ratios = NOTHING,
    edits: Sequence[Edit] = (),
) -> Estimate:
    """The estimate of so many identical benches.

    `ratios` is what the journal has taught beside the paces, `edits` what the maker changed in the steps.

    Raises:
        JournalError: when a part cannot be made, or a setting makes no sense.
    """
    return estimate_apart(Inputs(tuple(listed), shop, calibration, benches, work or Work(), ratios, tuple(edits)))


def estimate_project(session: Session, project_id: int, today: date) -> ProjectEstimate:
    """Today's estimate of a project from its parts as they stand.

    Raises:
        JournalError: when it has no parts, or a part cannot be made.
    """
    project = project_records.get_project(session, project_id)
    shop = read_shop(session, today)
    taught = paces.learn(session, today)
    calibration = taught.calibration
    work = work_of(project)
    listed = parts.current(session, project_id)
    ratios = read_ratios(session, shop, today, taught=taught)
    edits = edits_of(session, project_id)
    inputs = Inputs(listed, shop, calibration, project.benches, work, ratios, edits)
    return ProjectEstimate(project, shop, calibration, estimate_of(inputs), work, inputs)


@dataclass(frozen=True, slots=True, eq=False)
class Inputs:
    """All that an estimate is worked out from."""

    listed: tuple[Part, ...]
    shop: ShopView
    calibration: Calibration
    benches: int
    work: Work
    ratios: Ratios
    edits: tuple[Edit, ...]

    def same_as(self, other: Inputs) -> bool:
        """Whether they lead to the same estimate; what was learnt is one object as long as the logs are the same."""
        mine, others = ((x.listed, x.shop, x.benches, x.work, x.edits) for x in (self, other))
        same_logs = self.calibration is other.calibration and self.ratios.same_as(other.ratios)
        return same_logs and mine == others


@dataclass(frozen=True, slots=True)
class _Drawn:
    """The throws for what is known, and the last estimates from them.

    A page is opened, prices are tried on it, options compared, the estimate is kept: the same draws each time.
    """

    throws: Throws
    recent: deque[tuple[Inputs, Estimate]]


# What was learnt is one object as long as the logs are the same. What was drawn before the last entry is let go of: with
# ten years' logs it is twenty megabytes, and there is an entry every few minutes.
_newest: list[_Drawn] = []


def _drawn(calibration: Calibration) -> _Drawn:
    for known in tuple(_newest):
        if known.throws.calibration is calibration:
            return known
    drawn = _Drawn(throw(calibration, seed=SEED), deque(maxlen=24))
    _newest[:] = [drawn]
    return drawn


def estimate_of(inputs: Inputs) -> Estimate:
    """The estimate, worked out once for the same inputs: the draws have one seed, so it could not differ."""
    drawn = _drawn(inputs.calibration)
    for known, made in tuple(drawn.recent):
        if known.same_as(inputs):
            return made
    made = _made(inputs, drawn.throws)
    drawn.recent.append((inputs, made))
    return made


def estimate_apart(inputs: Inputs) -> Estimate:
    """The same estimate, without keeping it: for what was known on a day that is long past."""
    return _made(inputs, throw(inputs.calibration, seed=SEED))


def _made(inputs: Inputs, throws: Throws) -> Estimate:
    shop, work, ratios = inputs.shop, inputs.work, inputs.ratios
    adhesive, finish = work.adhesive or shop.row.default_adhesive, work.finish or shop.row.default_finish
    rules = adjusted_rules(shop.rules(work), ratios, adhesive, finish)
    takeoff = parts.taken_by(inputs.listed, shop.book(), rules, inputs.benches)
    takeoff = with_edits(replace(takeoff, tasks=adjusted_tasks(takeoff.tasks, ratios)), shop, work, inputs.edits)
    doubt = adjusted_uncertainty(shop.uncertainty(), ratios, takeoff, adhesive, finish)
    return estimate(takeoff, shop.supplies(work), shop.rates(), doubt, throws)


def work_of(project: ProjectRow) -> Work:
    """How a project is made, where it differs from the shop's habits."""
    return Work(project.adhesive or "", project.finish or "", project.coats)


def as_json(made: Estimate) -> dict[str, Any]:
    """The estimate as plain values; the form is documented in DEVELOPERS.md and does not change within a version."""
    lumber = [bill for bill in made.takeoff.bills if not isinstance(bill.stock, Sheet)]
    sheets = [bill for bill in made.takeoff.bills if isinstance(bill.stock, Sheet)]
    return {
        "version": JSON_VERSION,
        "currency": made.rates.currency.code,
        "benches": made.takeoff.benches,
        "boards": {
            "count": sum(bill.sawing.boards for bill in lumber),
            "cents": sum(bill.cents for bill in lumber),
            "board_feet": round(sum(bill.board_feet for bill in lumber), 2),
        },
        "sheets": {"count": sum(bill.sawing.boards for bill in sheets), "cents": sum(bill.cents for bill in sheets)},
        "weight_kg": round(made.takeoff.weight_kg, 2),
        "hours": {name: round(value, 3) for name, value in _four(made.hours).items()},
        "cost_cents": {name: round(value) for name, value in _four(made.cost).items()},
        "price_cents": made.price_cents,
        "operations": [
            {
                "code": operation.code,
                "quantity": round(operation.quantity, 4),
                "unit": operation.unit,
                "setups": operation.setups,
                "minutes": _three(operation.minutes),
                "logs": operation.logs,
            }
            for operation in made.operations
        ],
        "lines": [
            {
                "name": line.name,
                "value": line.value,
                "unit": line.unit,
                "working": line.working,
                "basis": str(line.basis),
                "source": line.source,
            }
            for line in made.lines
        ],
        "missing": list(made.missing),
        "notes": list(made.takeoff.notes),
    }


def _four(distribution: Distribution) -> dict[str, float]:
    found = Range.of(distribution)
    return {"p10": found.p10, "p50": found.p50, "p80": found.p80, "p90": found.p90}


def _three(spread: Spread) -> dict[str, float]:
    return {"p10": round(spread.p10, 3), "p50": round(spread.p50, 3), "p90": round(spread.p90, 3)}


def as_kept(found: ProjectEstimate) -> dict[str, Any]:
    """An estimate as it is kept: what it said, and what its paces and draws rested on."""
    return {
        "estimate": as_json(found.made),
        "project": {"code": found.project.code, "title": found.project.title, "benches": found.project.benches},
        "cost_quantiles_cents": [round(value) for value in found.made.cost.quantiles],
        "outlay_quantiles_cents": [round(value) for value in found.made.outlay.quantiles],
        "hours_quantiles": [round(value, 3) for value in found.made.hours.quantiles],
        "paces": {"entries": found.calibration.rows, "projects": found.calibration.projects},
        "draws": found.made.draws,
        "seed": found.made.seed,
    }


def keep_estimate(session: Session, found: ProjectEstimate, *, reason: str, now: datetime) -> EstimateRow:
    """Keep an estimate as it stands, never to change: inputs, lines, ranges, what the paces rested on."""
    plan = plans.latest_plan(session, found.project.id)
    return estimate_records.add_estimate(
        session,
        found.project.id,
        plan.version if plan else 0,
        canonical(as_kept(found)),
        reason=reason,
        tool_version=__version__,
        now=now,
    )


@dataclass(frozen=True, slots=True)
class Kept:
    """One line of the list of kept estimates; no price when it is damaged."""

    id: int
    plan_version: int
    made_at: datetime
    reason: str
    currency: str
    price_cents: int | None


def kept_estimates(session: Session, project_id: int) -> tuple[Kept, ...]:
    """The kept estimates of a project, newest first. One statement."""
    return tuple(_kept(row) for row in estimate_records.given(session, project_id))


def _kept(row: EstimateRow) -> Kept:
    made: dict[str, Any] = {} if row.damaged else json.loads(row.payload)["estimate"]
    return Kept(row.id, row.plan_version, row.made_at, row.reason, made.get("currency", ""), made.get("price_cents"))


def kept_estimate(session: Session, estimate_id: int) -> dict[str, Any]:
    """A kept estimate's contents.

    Raises:
        JournalError: when its checksum no longer fits, so that it is damaged.
    """
    row = estimate_records.get_estimate(session, estimate_id)
    if row.damaged:
        raise JournalError(f"the kept estimate {estimate_id} is damaged: its checksum does not fit; restore a backup")
    content: dict[str, Any] = json.loads(row.payload)
    return {
        **content,
        "id": row.id,
        "project_id": row.project_id,
        "made_at": row.made_at,
        "reason": row.reason,
        "plan_version": row.plan_version,
    }
