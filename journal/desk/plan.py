"""A project's build plan: glue-ups, steps, machines, waits, wood, handling and cautions, joined from the shop's own figures.

Everything follows from the parts as they stand and from the estimate's own take-off, so that the plan and the price are
about the same bench.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import reference, units
from journal.build import handling
from journal.build.moisture import emc_pct
from journal.build.movement import Movement, movement
from journal.build.order import with_minutes
from journal.build.pressure import Published, pressure_psi, published
from journal.build.routes import Capacity, Route, routes
from journal.build.spacers import Block, blocks
from journal.build.step_edits import apply_edits
from journal.build.stock import Sheet
from journal.build.waits import WaitRules, clamp_hours, recoat_hours
from journal.build.wood import part_density_kg_m3, weight_kg
from journal.desk.edited_work import edit_of, steps_of
from journal.desk.estimate import estimate_project
from journal.desk.moisture import stack_of
from journal.errors import NoSolution
from journal.records.queries import building

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.build.glue_plan import GluePlan, Lamination
    from journal.build.handling import Box, Move, Stairs
    from journal.build.milling import Milled
    from journal.build.step import StepPlan
    from journal.desk.estimate import ProjectEstimate
    from journal.desk.moisture import Stack
    from journal.desk.shop import ShopView, Work
    from journal.quote.takeoff import Takeoff
    from journal.records.queries.building import EditRow
    from journal.reference import Caution


@dataclass(frozen=True, slots=True)
class Moving:
    """How the width of one slab moves between the shop and where it will stand."""

    part: str
    wood: str
    movement: Movement


@dataclass(frozen=True, slots=True)
class Pressing:
    """What the clamps give on the glue lines of one part, and what is published for its wood."""

    part: str
    psi: float
    published: Published


@dataclass(frozen=True, slots=True)
class CautionUse:
    """One caution and the steps it belongs to."""

    caution: Caution
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NoFit:
    """A change of a step that fits the plan no more, and why."""

    edit: EditRow
    why: str


@dataclass(frozen=True, slots=True)
class ProjectPlan:
    """Everything the floor needs.

    Attributes:
        found: the project with its estimate.
        gluing: sections and clampings.
        steps: in order, as the maker changed them; whole: as the parts ask for them.
        edits: the changes that hold and fit; no_fit: those that fit no more.
        routes: which machine does what to each part.
        blocks: spacer blocks for joints left open.
        stack: the lumber at rest; None without lumber.
        moving: how slabs move with the air.
        moves: how sections, slabs and benches are moved.
        pressing: clamp pressure.
        shop_emc_pct, client_emc_pct: moisture that wood comes to here and there.
        cautions: each once.
        troubles: what stands in the way, and what would do.
    """

    found: ProjectEstimate
    gluing: GluePlan
    steps: StepPlan
    whole: StepPlan
    edits: tuple[EditRow, ...]
    no_fit: tuple[NoFit, ...]
    routes: tuple[Route, ...]
    blocks: tuple[Block, ...]
    stack: Stack | None
    moving: tuple[Moving, ...]
    moves: tuple[Move, ...]
    pressing: tuple[Pressing, ...]
    shop_emc_pct: float
    client_emc_pct: float
    cautions: tuple[CautionUse, ...]
    troubles: tuple[str, ...]


def build_plan(session: Session, project_id: int, today: date) -> ProjectPlan:
    """Today's build plan of a project: prices, settings and the lumber's moisture as of the day.

    Raises:
        JournalError: when there are no parts, or a part cannot be made.
    """
    found = estimate_project(session, project_id, today)
    shop, taken = found.shop, found.made.takeoff
    air = shop.allowances
    emc = emc_pct(air["shop_temp"], air["shop_humidity_pct"])
    client_emc = emc_pct(air["shop_temp"], air["client_humidity_pct"])
    stack = stack_of(session, project_id, taken, shop, emc, today)
    waits, cold = _waits(shop, found.work, stack, today)
    edits = building.edits(session, project_id)
    whole = steps_of(taken, shop, found.work, waits)
    steps, misfits = apply_edits(whole, [edit_of(row) for row in edits])
    no_fit = {misfit.place: misfit.why for misfit in misfits}
    minutes = {operation.code: operation.minutes for operation in found.made.operations}
    plan = with_minutes(steps, minutes)
    return ProjectPlan(
        found=found,
        gluing=taken.gluing,
        steps=plan,
        whole=whole,
        edits=tuple(row for place, row in enumerate(edits) if place not in no_fit),
        no_fit=tuple(NoFit(edits[place], why) for place, why in no_fit.items()),
        routes=routes(taken.milled, capacities(shop), air["feed_weight_max"] * shop.row.people, shop.shown),
        blocks=blocks(taken.milled, shop.rules(found.work).milling),
        stack=stack,
        moving=_moving(taken.milled, emc, client_emc),
        moves=_moves(taken, shop, emc),
        pressing=_pressing(taken.milled, shop),
        shop_emc_pct=emc,
        client_emc_pct=client_emc,
        cautions=cautions_of(plan),
        troubles=(*taken.gluing.troubles, *cold),
    )


def cautions_of(plan: StepPlan) -> tuple[CautionUse, ...]:
    """Every caution of a plan once, with the steps from which it is opened."""
    known = reference.cautions()
    return tuple(
        CautionUse(known[key], tuple(step.key for step in plan.steps if key in step.cautions)) for key in plan.cautions
    )


def capacities(shop: ShopView) -> dict[str, Capacity]:
    """What the machines take, by kind: the shop's own, or the usual ones while it has listed none."""
    book = reference.machines()
    if not shop.machines:
        return {
            kind: Capacity(
                machine.max_width_nm or 0,
                machine.max_height_nm or 0,
                machine.min_length_nm or 0,
                machine.min_thickness_nm or 0,
            )
            for kind, machine in book.items()
        }
    found: dict[str, Capacity] = {}
    for row in shop.machines:
        have = found.get(row.kind, Capacity())
        found[row.kind] = Capacity(
            max(have.width_nm, row.max_width_nm or 0),
            max(have.height_nm, row.max_height_nm or 0),
            max(have.shortest_nm, row.min_length_nm or 0),
            book[row.kind].min_thickness_nm or 0,
        )
    return found


def _waits(shop: ShopView, work: Work, stack: Stack | None, today: date) -> tuple[WaitRules, tuple[str, ...]]:
    """What the shop waits for, and why it is too cold for glue or finish, if it is."""
    air, glue, finish = shop.allowances, shop.glue(work), shop.finish(work)
    cold: list[str] = []
    in_clamps, (quick, slow) = glue.clamp_minutes / 60, (finish.recoat_low_hours, finish.recoat_high_hours)
    try:
        in_clamps = clamp_hours(glue, air["shop_temp"])
    except NoSolution as refused:
        cold.append(str(refused))
    try:
        quick, slow = recoat_hours(finish, air["shop_temp"], air["shop_humidity_pct"])
    except NoSolution as refused:
        cold.append(str(refused))
    left = {"rest_wet_days": air["rest_wet_days"], "rest_dry_days": air["rest_dry_days"]}
    if stack is not None and stack.drying.readings:
        left = dict.fromkeys(left, float(max(0, (stack.ready_on - today).days)))
    rules = WaitRules(
        **left,
        rest_between_days=air["rest_between_millings_days"],
        clamp_hours=in_clamps,
        machine_after_hours=max(air["machine_after_hours"], glue.machine_after_hours),
        recoat_hours=(quick + slow) / 2,
        cure_hours=slow,
    )
    return rules, tuple(cold)


def _moving(milled: Sequence[Milled], emc: float, client_emc: float) -> tuple[Moving, ...]:
    slabs = [one for one in milled if one.slab and not isinstance(one.stock, Sheet)]
    return tuple(_moving_one(one, _species(one), emc, client_emc) for one in slabs)


def _moving_one(milled: Milled, wood: str, emc: float, client_emc: float) -> Moving:
    return Moving(milled.part.label, wood, movement(milled.part, reference.species(wood), emc, client_emc))


def _species(milled: Milled) -> str:
    return "" if isinstance(milled.stock, Sheet) else milled.stock.species


def _moves(taken: Takeoff, shop: ShopView, emc: float) -> tuple[Move, ...]:
    """Sections and slabs, and the finished bench, heaviest last."""
    by_label = {milled.part.label: milled for milled in taken.milled}
    weights: dict[str, float] = {}
    for lamination in taken.gluing.laminations:
        milled = by_label[lamination.part]
        if milled.slab:
            weights |= _section_weights(lamination, milled, emc)
            weights[lamination.part] = weight_kg(milled, emc) / milled.pieces
    whole = sum(weight_kg(milled, emc) for milled in taken.milled) / taken.benches
    weights["The finished bench"] = whole
    alone = shop.allowances["lift_alone_max"]
    return tuple(handling.move(what, kg, alone, system=shop.system) for what, kg in weights.items())


def _section_weights(lamination: Lamination, milled: Milled, emc: float) -> dict[str, float]:
    division = lamination.division
    if division is None or len(division.sections) < 2:
        return {}
    strip_nm3 = milled.milled_thickness_nm * milled.blank_width_nm * milled.blank_length_nm
    strip_kg = units.cubic_metres(strip_nm3) * part_density_kg_m3(milled, emc)
    return {
        f"{lamination.part}, section of {size}": size * strip_kg
        for size in sorted(set(division.sections), reverse=True)
    }


def _pressing(milled: Sequence[Milled], shop: ShopView) -> tuple[Pressing, ...]:
    force, spacing = shop.allowances["clamp_force"], int(shop.allowances["clamp_spacing"])
    return tuple(
        Pressing(
            one.part.label,
            pressure_psi(force, spacing, one.line_width_nm),
            published(reference.species(_species(one)).sg_12),
        )
        for one in milled
        if one.glued
    )


@dataclass(frozen=True, slots=True)
class Carried:
    """Whether something goes through the door and up the stairs as typed; None for what was not typed."""

    what: str
    through_door: bool | None
    up_stairs: bool | None


def way_in(
    plan: ProjectPlan,
    *,
    bench: Box | None = None,
    door_nm: tuple[int, int] | None = None,
    stairs: Stairs | None = None,
) -> tuple[Carried, ...]:
    """Whether the finished bench (its outer size as typed) and its slabs go through a door (width, height) and on stairs."""
    boxes = {
        milled.part.label: handling.Box(milled.part.length_nm, milled.part.width_nm, milled.part.thickness_nm)
        for milled in plan.gluing.milled
        if milled.slab
    }
    whole: Mapping[str, Box] = {"The finished bench": bench} if bench else {}
    return tuple(
        Carried(
            what,
            handling.goes_through(box, *door_nm) if door_nm else None,
            handling.goes_up(box, stairs) if stairs else None,
        )
        for what, box in {**whole, **boxes}.items()
    )
