"""In which order is it built: every step with what it waits for?

Operations of one kind are one step, so that like cuts are made on one set-up; glue-ups and coats are steps of their own,
as the clock runs between them. A step's key outlives a changed dimension, so that what the maker changed in the plan
(dropped, added, moved, noted) finds its step again.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from journal import reference, units
from journal.build.gluing import GlueKind
from journal.build.step import Step, StepPlan, Work, in_order
from journal.build.waits import HOURS_PER_DAY, Wait, rest_days
from journal.errors import BadInput
from journal.working import Spread, counted

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from journal.build.glue_plan import GluePlan
    from journal.build.gluing import GlueUp
    from journal.build.spacers import Block
    from journal.build.steps import Task
    from journal.build.stock import Stock
    from journal.build.waits import WaitRules


@dataclass(frozen=True, slots=True)
class StepInput:
    """What steps are made of.

    Attributes:
        tasks: every operation of the commission.
        gluing: its glue-ups.
        stocks: what is bought.
        blocks: spacer blocks for joints left open.
        minutes: of every operation, by code.
        waits: what the shop waits for.
        clamps: on hand.
        glue_cautions, finish_cautions: of the glue and the finish in use.
        shown: how the shop writes lengths.
    """

    tasks: Sequence[Task]
    gluing: GluePlan
    stocks: Sequence[Stock]
    blocks: Sequence[Block]
    minutes: Mapping[str, Spread]
    waits: WaitRules
    clamps: int
    glue_cautions: tuple[str, ...] = ()
    finish_cautions: tuple[str, ...] = ()
    shown: units.Shown = units.IN_INCHES


# What each operation comes after, in the order of work; glue-ups, flattening and coats are put in between. What a
# commission does not take is passed over to what comes before it. Common practice.
_AFTER: dict[str, tuple[str, ...]] = {
    "drawings": (),
    "fetch_stock": ("drawings",),
    "sort_mark": ("fetch_stock",),
    "sticker": ("sort_mark",),
    "crosscut_rough": ("sticker",),
    "rip_rough": ("crosscut_rough",),
    "joint_face": ("rip_rough",),
    "plane_by_hand": ("rip_rough",),
    "joint_edge": ("joint_face", "plane_by_hand"),
    "plane_thickness": ("joint_edge",),
    "resaw": ("plane_thickness",),
    "rip_final": ("resaw",),
    "mill_again": ("rip_final",),
    "jig": ("mill_again",),
    "glue:sections": ("mill_again", "jig"),
    "flatten_by_machine": ("glue:sections",),
    "flatten_panel": ("glue:sections",),
    "glue:joins": ("flatten_by_machine", "flatten_panel"),
    "crosscut_final": ("flatten_by_machine", "flatten_panel"),
    "trim_slab": ("glue:joins",),
    "mark_joint": ("crosscut_final",),
    "cut_tenon": ("mark_joint", "jig"),
    "cut_mortise": ("mark_joint", "jig"),
    "cut_lap": ("mark_joint", "jig"),
    "cut_dovetail": ("mark_joint", "jig"),
    "fit_laminated_joint": ("cut_tenon", "crosscut_final"),
    "bore_large": ("crosscut_final", "trim_slab", "jig"),
    "counterbore_pilot": ("crosscut_final", "trim_slab"),
    "rout_groove": ("crosscut_final", "trim_slab", "jig"),
    "rout_profile": ("crosscut_final", "trim_slab"),
    "cut_panel": ("fetch_stock",),
    "notch": ("cut_panel", "crosscut_final"),
    "dry_fit": ("cut_tenon", "cut_mortise", "cut_lap", "cut_dovetail", "fit_laminated_joint", "rout_groove"),
    "assemble": ("dry_fit", "bore_large"),
    "drive_screw": ("assemble", "counterbore_pilot"),
    "drive_bolt": ("assemble", "counterbore_pilot"),
    "plug": ("drive_screw",),
    "fit_panel": ("assemble", "notch", "cut_panel"),
    "fit_vise": ("assemble", "bore_large"),
    "fit_drawer": ("assemble",),
    "fit_hardware": ("assemble", "drive_bolt"),
    "level_feet": ("assemble", "drive_bolt", "drive_screw", "fit_vise"),
    "flatten_final": ("level_feet", "trim_slab", "plug"),
    "ease_edges": ("flatten_final", "rout_profile"),
    "sand": ("ease_edges", "fit_panel", "fit_drawer"),
    "coats": ("sand",),
    "wax": ("coats",),
    "wrap": ("wax", "fit_hardware"),
    "deliver": ("wrap",),
    "install": ("deliver",),
    "call_back": ("install",),
}
_ANYTIME = ("turn_over", "sharpen", "clean_up", "rework")
_GLUE_UP = ("dry_clamp", "rehearse_align", "spread_glue", "close_clamps", "unclamp_clean")
_COATS = ("apply_coat", "wipe_off", "scuff")
_MORE_CAUTIONS = {"sticker": ("wet_wood",), "turn_over": ("tipping",), "assemble": ("tipping",)}


def step_plan(given: StepInput) -> StepPlan:
    """All steps of a commission, in order, with precedence and waits.

    Raises:
        BadInput: an operation that no step knows, so that none is lost.
    """
    return with_minutes(StepPlan(in_order(_Making(given).steps())), given.minutes)


def with_minutes(plan: StepPlan, minutes: Mapping[str, Spread]) -> StepPlan:
    """The plan with the minutes of its steps.

    Each operation's minutes are shared over the steps it is part of, by the starting book's minutes; a step without an
    operation keeps its own.

    Args:
        plan: the steps.
        minutes: of every operation in it, by code; one without any takes no time.
    """
    whole: dict[str, float] = {}
    for step in plan.steps:
        for work in step.works:
            whole[work.code] = whole.get(work.code, 0.0) + work.baseline_minutes
    return StepPlan(
        tuple(replace(step, minutes=_minutes(step, minutes, whole)) if step.works else step for step in plan.steps)
    )


def _minutes(step: Step, minutes: Mapping[str, Spread], whole: Mapping[str, float]) -> Spread:
    low = usual = high = 0.0
    for work in step.works:
        spread = minutes.get(work.code)
        if spread is None or not whole[work.code]:
            continue
        share = work.baseline_minutes / whole[work.code]
        low, usual, high = low + share * spread.p10, usual + share * spread.p50, high + share * spread.p90
    return Spread(low, usual, high)


class _Making:
    """Steps in the making: which keys stand for each place in the order of work."""

    def __init__(self, given: StepInput) -> None:
        self.given = given
        self.by_code = {task.code: task for task in given.tasks}
        self.places: dict[str, tuple[str, ...]] = {}
        self.needed: dict[str, set[str]] = {}
        unknown = set(self.by_code) - {*_AFTER, *_ANYTIME, *_GLUE_UP, *_COATS}
        if unknown:
            raise BadInput("operation", ", ".join(sorted(unknown)), "an operation with a place in the order of work")

    def steps(self) -> list[Step]:
        found: list[Step] = []
        for place in _AFTER:
            made = [self._known(step) for step in self._at(place)]
            # What the commission does not take stands for what comes before it.
            self.places[place] = tuple(_ends(made)) if made else self._before(place)
            found += made
        return [*found, *(self._single(code, anytime=True) for code in _ANYTIME if code in self.by_code)]

    def _before(self, place: str) -> tuple[str, ...]:
        """What a place comes after; what one of them needs anyway is not said again."""
        keys = dict.fromkeys(key for before in _AFTER[place] for key in self.places[before])
        implied = {needed for key in keys for needed in self.needed[key]}
        return tuple(key for key in keys if key not in implied)

    def _known(self, step: Step) -> Step:
        self.needed[step.key] = {*step.after, *(needed for key in step.after for needed in self.needed[key])}
        return step

    def _at(self, place: str) -> list[Step]:
        if place == "glue:sections":
            return self._glued((GlueKind.SECTION, GlueKind.ADD), place)
        if place == "glue:joins":
            return self._glued((GlueKind.JOIN, GlueKind.JOIN_ADD), place)
        if place == "coats":
            return self._coats()
        return [self._single(place)] if place in self.by_code else []

    def _single(self, code: str, *, anytime: bool = False) -> Step:
        task = self.by_code[code]
        operation = reference.operations()[code]
        after = () if anytime else self._before(code)
        blocks = self.given.blocks if code == "jig" else ()
        notes = (task.working, *(_said(block, self.given.shown) for block in blocks))
        step = Step(
            key=code,
            title="Make jigs and spacer blocks" if blocks else operation.name,
            stage=operation.stage,
            after=after,
            wait=self._wait(code) if after else None,
            notes=notes,
            anytime=anytime,
        )
        return self._with(step, (Work(code, task.quantity, task.setups),))

    def _wait(self, code: str) -> Wait | None:
        waits = self.given.waits
        if code == "crosscut_rough":
            days, why = rest_days(self.given.stocks, waits)
            return Wait(days * HOURS_PER_DAY, why) if days else None
        if code == "mill_again":
            return Wait(
                waits.rest_between_days * HOURS_PER_DAY, "milled boards rest and move before the second milling"
            )
        glued = self._before(code)[0].startswith("unclamp:")
        if code in ("flatten_by_machine", "flatten_panel", "trim_slab") and glued:
            hours = max(0.0, waits.machine_after_hours - waits.clamp_hours)
            return Wait(hours, f"{waits.machine_after_hours:g} h from clamps on until a glue line may be machined")
        if code == "wrap" and self.by_code.get("apply_coat"):
            return Wait(waits.cure_hours, "the last coat hardens before it is wrapped and moved")
        return None

    def _glued(self, kinds: tuple[GlueKind, ...], place: str) -> list[Step]:
        found: list[Step] = []
        numbers: dict[str, int] = {}
        for up in self.given.gluing.ups:
            if up.kind not in kinds:
                continue
            number = numbers[up.part] = numbers.get(up.part, 0) + 1
            joins = up.kind in (GlueKind.JOIN, GlueKind.JOIN_ADD)
            name = f"{self._identity(up.part)}:{'join' if joins else 'section'}:{number}"
            before = self._before(place)
            if up.kind in (GlueKind.ADD, GlueKind.JOIN_ADD):
                before = (f"unclamp:{name.rsplit(':', 1)[0]}:{number - 1}",)
            found += self._glue_up(up, name, before)
        return found

    def _identity(self, label: str) -> str:
        for milled in self.given.gluing.milled:
            if milled.part.label == label:
                return milled.part.uid or label.casefold()
        raise BadInput("glue-up", label, "a part of the commission")

    def _glue_up(self, up: GlueUp, name: str, before: tuple[str, ...]) -> list[Step]:
        hours, clamps = self.given.waits.clamp_hours, max(self.given.clamps, up.clamps)
        at_once = max(1, clamps // up.clamps)
        rounds = math.ceil(up.times / at_once)
        times = f", {up.times} times" if up.times > 1 else ""
        glue = Step(
            key=f"glue:{name}",
            title=f"Glue up {up.label}{times}",
            stage="glue_up",
            after=before,
            notes=(f"{counted(up.lines, 'glue line')}, {counted(up.clamps, 'clamp')} each; {at_once} at once",),
        )
        loose = Step(key=f"unclamp:{name}", title=f"Unclamp {up.label}{times}", stage="glue_up", after=(glue.key,))
        waiting = "in clamps" if rounds == 1 else f"in clamps, {rounds} rounds of {hours:g} h with the clamps there are"
        feet = units.square_feet(up.times * up.area_nm2)
        return [
            self._with(
                glue,
                (
                    Work("dry_clamp", up.times, 0),
                    Work("rehearse_align", up.times, 0),
                    Work("spread_glue", feet, up.times),
                    Work("close_clamps", up.times * up.clamps, up.times),
                ),
                more=self.given.glue_cautions,
            ),
            self._with(replace(loose, wait=Wait(hours * rounds, waiting)), (Work("unclamp_clean", up.times, 0),)),
        ]

    def _coats(self) -> list[Step]:
        task = self.by_code.get("apply_coat")
        if task is None:
            return []
        count = task.setups
        found: list[Step] = []
        for coat in range(1, count + 1):
            works = [Work("apply_coat", task.quantity / count, 1)]
            wiped, scuffed = self.by_code.get("wipe_off"), self.by_code.get("scuff")
            if wiped:
                works.append(Work("wipe_off", wiped.quantity / count, 1))
            if scuffed and coat > 1:
                works.insert(0, Work("scuff", scuffed.quantity / (count - 1), 1))
            step = Step(
                key=f"coat:{coat}",
                title=f"Coat {coat} of {count}" if count > 1 else "Coat with finish",
                stage="finishing",
                after=(f"coat:{coat - 1}",) if coat > 1 else self._before("coats"),
                wait=Wait(self.given.waits.recoat_hours, "the coat before dries") if coat > 1 else None,
            )
            found.append(self._with(step, tuple(works), more=self.given.finish_cautions))
        return found

    def _with(self, step: Step, works: tuple[Work, ...], *, more: tuple[str, ...] = ()) -> Step:
        """The step with its works, their machines, minutes and cautions."""
        book, kinds = reference.operations(), reference.machines()
        operations = [book[work.code] for work in works]
        machines = tuple(dict.fromkeys(operation.machine for operation in operations if operation.machine))
        # Rags belong to the finish: a wax is wiped off too, and does not heat.
        own = [operation.caution for operation in operations if operation.caution and operation.caution != "rags"]
        by_machine = [key for machine in machines for key in kinds[machine].cautions]
        extra = _MORE_CAUTIONS.get(step.key, ())
        return replace(
            step,
            works=works,
            machines=machines,
            cautions=tuple(dict.fromkeys([*by_machine, *own, *extra, *more])),
        )


def _said(block: Block, shown: units.Shown) -> str:
    size = " × ".join(shown.length(size_nm) for size_nm in (block.thickness_nm, block.width_nm, block.length_nm))
    stock = shown.length(block.stock_length_nm, feet=True)
    return (
        f"{block.part}: {counted(block.count, 'block')} of {size} for {block.mate}, from {stock} milled with the strips"
    )


def _ends(steps: Sequence[Step]) -> list[str]:
    """Those of some steps that no other of them comes after."""
    needed = {key for step in steps for key in step.after}
    return [step.key for step in steps if step.key not in needed]
