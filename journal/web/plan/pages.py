"""What the templates of the Plan section receive."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import units
from journal.build.handling import ASSUMED, LOAD_CONSTANT_KG, SLAB_LIFT, Way, recommended_kg, tips_over
from journal.build.step import waiting_hours
from journal.desk import steps as desk_steps
from journal.paper import glue_sheet, step_sheet
from journal.web.drawings import bench_figure
from journal.web.plan import drying_view, forms
from journal.web.state import display, in_marks

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from journal.build.routes import Station
    from journal.desk.drawn_bench import DrawnBench
    from journal.desk.liquids import Coating, Liquid
    from journal.desk.parts import Trouble
    from journal.desk.plan import Carried, ProjectPlan
    from journal.desk.what_if import Comparison
    from journal.records.queries.building import EditRow
    from journal.records.queries.projects import ProjectRow
    from journal.reference import Caution
    from journal.web.drawings import BenchFigure


@dataclass(frozen=True, slots=True)
class Told:
    """A change that was just made, to be undone with one button.

    Attributes:
        text: what was done.
        action: the address of the button; '' for none.
        button: what stands on it.
    """

    text: str
    action: str
    button: str


@dataclass(frozen=True, slots=True)
class RouteRow:
    """Parts that go the same way through the shop."""

    parts: tuple[str, ...]
    way: tuple[Station, ...]
    unusual: tuple[Station, ...]


@dataclass(frozen=True, slots=True)
class Changed:
    """A change of a step in a list: in words, and why it fits no more ('' while it fits)."""

    row: EditRow
    said: str
    why: str = ""


@dataclass(frozen=True, slots=True)
class Tried:
    """What was tried with the glue-ups, and what comes of it; nothing while the form is untouched or wrong.

    Attributes:
        form: what was asked; found: what comes of it.
        clampings, minutes, cents: how many more than now.
        sections: parts whose sections change, (part, now, then).
        refused: why it cannot be worked out.
    """

    form: forms.WhatIfForm
    found: Comparison | None
    clampings: int = 0
    minutes: float = 0.0
    cents: int = 0
    sections: tuple[tuple[str, int, int], ...] = ()
    refused: str = ""

    @classmethod
    def of(cls, form: forms.WhatIfForm, found: Comparison) -> Tried:
        """The differences of a comparison."""
        before, after = found.before.sections, found.after.sections
        changed = tuple((part, before[part], after[part]) for part in before if before[part] != after[part])
        return cls(form, found, -found.clampings_saved, -found.minutes_saved, -found.cents_saved, changed)


@dataclass(frozen=True, slots=True)
class WayIn:
    """The door and the stairs that were asked about; nothing while the form is untouched or wrong."""

    form: forms.WayInForm
    found: tuple[Carried, ...]


@dataclass(frozen=True, slots=True)
class Planned:
    """The plan laid out.

    Attributes:
        plan: itself.
        glue_ups: how many clampings; shape: sections of the slabs.
        hours: range of the hours; waiting: longest wait on the clock.
        two: what is moved with a second person; hoist: with a hoist.
        glued: the laminated parts; steps: in groups; together: what the steps come to, and why Price has more; drying: the stack drawn.
        routes: ways through the shop, unusual ones first.
        changes: of steps, those that fit no more first.
        glue, coating: what goes on.
        drawing: three views, where the parts came from a design; outdated: the parts were changed since.
        tried, way_in, add, reading, stack: forms and what came of them.
        ready: “the 14th”; lift_kg, load_kg, assumed: the lifting equation's figures.
        tips: the finished bench is narrow enough to tip.
        oily: steps after which rags are dealt with; always: cautions for every machine.
    """

    plan: ProjectPlan
    glue_ups: int
    shape: str
    hours: str
    waiting: str
    two: tuple[str, ...]
    hoist: tuple[str, ...]
    glued: tuple[glue_sheet.GluedPart, ...]
    steps: tuple[step_sheet.StepGroup, ...]
    together: str
    drying: drying_view.DryingFigure | None
    routes: tuple[RouteRow, ...]
    changes: tuple[Changed, ...]
    glue: Liquid
    coating: Coating
    drawing: BenchFigure | None
    outdated: bool
    tried: Tried
    way_in: WayIn
    add: forms.AddForm
    reading: forms.ReadingForm
    stack: forms.StackForm
    ready: str
    lift_kg: float
    load_kg: float
    assumed: str
    tips: bool
    oily: tuple[str, ...]
    always: tuple[Caution, ...]


@dataclass(frozen=True, slots=True)
class PlanPage:
    """What plan/show.html receives.

    Attributes:
        project: what is built.
        it: its plan; None when there is none.
        troubles: why there is none; empty then means that there are no parts.
        told: the change just made.
    """

    project: ProjectRow
    it: Planned | None = None
    troubles: tuple[Trouble, ...] = ()
    told: Told | None = None


@dataclass(frozen=True, slots=True)
class StepPage:
    """What plan/step.html receives: a step, and what can be done with it."""

    project: ProjectRow
    line: step_sheet.StepLine
    note: forms.NoteForm
    move: forms.MoveForm
    split: forms.SplitForm
    drop: forms.StepForm
    refused: str = ""


@dataclass(frozen=True, slots=True)
class Filled:
    """The forms of the plan page, as they were filled in."""

    tried: Tried
    way_in: WayIn
    add: forms.AddForm
    reading: forms.ReadingForm
    stack: forms.StackForm


def lay_out(
    plan: ProjectPlan, filled: Filled, glue: Liquid, coating: Coating, drawn: DrawnBench | None, today: date
) -> Planned:
    """The plan as the page shows it."""
    hours, within = plan.found.made.hours, plan.found.shop.allowances["ready_within_pct"]
    return Planned(
        plan=plan,
        glue_ups=sum(up.times for up in plan.gluing.ups),
        shape=glue_sheet.shape_of(plan),
        hours=in_marks(f"{hours.at(0.1):,.0f} – {hours.at(0.9):,.0f} h"),
        waiting=step_sheet.clock(waiting_hours(plan.steps)),
        two=tuple(move.what for move in plan.moves if move.way.needs_two),
        hoist=tuple(move.what for move in plan.moves if move.way is Way.HOIST),
        glued=glue_sheet.glued_parts(plan),
        steps=step_sheet.step_groups(plan.steps, plan.found.shop.shown),
        together=_together(plan),
        drying=drying_view.drying_figure(plan.stack, today, within) if plan.stack else None,
        routes=_routes(plan),
        changes=changes_of(plan),
        glue=glue,
        coating=coating,
        drawing=bench_drawing(drawn) if drawn else None,
        outdated=drawn.changed if drawn else False,
        tried=filled.tried,
        way_in=filled.way_in,
        add=filled.add,
        reading=filled.reading,
        stack=filled.stack,
        ready=drying_view.about(plan.stack.ready_on, today) if plan.stack else "",
        lift_kg=recommended_kg(SLAB_LIFT),
        load_kg=LOAD_CONSTANT_KG,
        assumed=ASSUMED,
        tips=tips_over(drawn.outer_nm[1], drawn.outer_nm[2]) if drawn else False,
        always=tuple(use.caution for use in plan.cautions if use.caution.key == step_sheet.ALWAYS),
        oily=tuple(step.title for step in plan.steps.steps if step.key in plan.steps.oily),
    )


def changes_of(plan: ProjectPlan) -> tuple[Changed, ...]:
    """The changes of the steps, those that fit no more first."""
    misfits = tuple(Changed(one.edit, desk_steps.say(one.edit), one.why) for one in plan.no_fit)
    return (*misfits, *(Changed(row, desk_steps.say(row)) for row in plan.edits))


def _together(plan: ProjectPlan) -> str:
    """What the steps come to, beside the hours that Price counts with."""
    steps = sum(step.minutes.p50 for step in plan.steps.steps if step.minutes)
    return (
        f"Together {units.format_hours(steps)}: of each step the time not passed in half of all cases. Price counts with "
        f"{units.format_hours(plan.found.made.hours.mean * 60)}, their averages and what nobody planned: what goes "
        "wrong adds more than what goes well saves."
    )


def _routes(plan: ProjectPlan) -> tuple[RouteRow, ...]:
    """Parts that go the same way stand together, unusual ways first."""
    ways: dict[tuple[Station, ...], list[str]] = {}
    for route in plan.routes:
        ways.setdefault(route.stations, []).append(route.part)
    rows = [
        RouteRow(tuple(parts), way, tuple(station for station in way if station.why)) for way, parts in ways.items()
    ]
    return tuple(sorted(rows, key=lambda row: not row.unusual))


def bench_drawing(drawn: DrawnBench) -> BenchFigure:
    """Three views of a bench, with its dimensions."""
    shown = display()
    return bench_figure(
        "bench", drawn.title, drawn.views, lambda nm: units.format_length(nm, shown.system), shown.system
    )


def more(count: float) -> str:
    """A difference of a count: “2 fewer”, “1 more”, “the same”."""
    if not count:
        return "the same"
    return in_marks(f"{abs(count):g} {'fewer' if count < 0 else 'more'}")


def more_hours(minutes: float) -> str:
    """A difference of hours: “1.5 h less”, “the same” under three minutes."""
    if abs(minutes) < 3:  # a twentieth of an hour: no more is shown
        return "the same"
    return f"{in_marks(units.format_hours(abs(minutes)))} {'less' if minutes < 0 else 'more'}"


def more_money(cents: int) -> str:
    """A difference of money: “$120.00 less”, “the same”."""
    if not cents:
        return "the same"
    return f"{in_marks(units.format_money(abs(cents), display().currency))} {'less' if cents < 0 else 'more'}"


def signed_length(nm: int) -> str:
    """A length that grows or shrinks: “1/16 in narrower”; finer than what is shown: “less than 1/32 in”."""
    shown = display()
    finest = units.inches("1/32") if shown.system is units.System.INCH else units.mm("0.5")
    if abs(nm) < finest:
        return f"less than {units.format_length(finest, shown.system, denominator=32)} either way"
    size = in_marks(units.format_length(abs(nm), shown.system, denominator=32))
    return f"{size} {'narrower' if nm < 0 else 'wider'}"


def yes_no(value: bool | None) -> str:  # noqa: FBT001 - a filter
    """“yes”, “no”, or “not asked”."""
    return "not asked" if value is None else "yes" if value else "no"


def listed(words: Sequence[str]) -> str:
    """“the top, the legs and the rails”."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"
