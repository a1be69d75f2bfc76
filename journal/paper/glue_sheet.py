"""The glue-ups as page and paper show them: each with its minutes against what the glue gives, as a small bar."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.build.clamping_rules import face_minutes
from journal.build.glue_plan import glue_up_name
from journal.working import counted

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal.build.clamping import Clamping
    from journal.build.clamping_rules import ClampingRules
    from journal.build.glue_plan import Lamination
    from journal.build.gluing import GlueUp
    from journal.desk.plan import Pressing, ProjectPlan

_BAR = 200.0  # units of width that stand for all the minutes the glue gives


@dataclass(frozen=True, slots=True)
class Bar:
    """Minutes of one clamping over those the glue gives; positions in units of the bar's own width.

    Attributes:
        width: of the whole bar: what the glue gives from first spread to last clamp.
        spread_to, close_to: where spreading and closing end.
        told: the same in words.
    """

    width: float
    spread_to: float
    close_to: float
    told: str


@dataclass(frozen=True, slots=True)
class GlueRow:
    """Glue-ups that are alike.

    Attributes:
        label: what is glued; times: how often.
        pieces: strips or sections laid together in one.
        area_nm2, glue_ml: of one.
        clamps: of one; at_once: how many there are clamps for.
        spread_minutes, close_minutes, limit_minutes: of one, and what the glue gives for both.
        face_minutes, open_minutes: to spread one face, and how long it stays open.
        binding: why no more are glued at once; '' when nothing says so.
        bar: the minutes drawn; None where no clamping keeps the limits.
    """

    label: str
    times: int
    pieces: int
    area_nm2: int
    glue_ml: float
    clamps: int
    at_once: int
    spread_minutes: float
    close_minutes: float
    limit_minutes: float
    face_minutes: float
    open_minutes: float
    binding: str
    bar: Bar | None


@dataclass(frozen=True, slots=True)
class GluedPart:
    """A laminated part.

    Attributes:
        part: its label; pieces: how many are glued so.
        strips, sections: of one piece.
        reasons: why so many sections and clampings.
        trouble: why it cannot be glued within the limits.
        rows: its glue-ups.
        pressing: what the clamps give on its glue lines.
        slab: it is a slab, the heart of the bench.
    """

    part: str
    pieces: int
    strips: int
    sections: int
    reasons: tuple[str, ...]
    trouble: str
    rows: tuple[GlueRow, ...]
    pressing: Pressing | None
    slab: bool

    @property
    def glue_ups(self) -> int:
        """How many clampings it takes in all."""
        return sum(row.times for row in self.rows)


def glued_parts(plan: ProjectPlan) -> tuple[GluedPart, ...]:
    """Every laminated part with its glue-ups."""
    return tuple(_part(plan, lamination) for lamination in plan.gluing.laminations)


def _part(plan: ProjectPlan, lamination: Lamination) -> GluedPart:
    (milled,) = [one for one in plan.gluing.milled if one.part.label == lamination.part]
    rules = plan.found.shop.clamping(plan.found.work)
    ups = [up for up in plan.gluing.ups if up.part == lamination.part]
    clampings = _by_name(lamination)
    return GluedPart(
        part=lamination.part,
        pieces=lamination.pieces,
        strips=milled.strips,
        sections=milled.sections,
        reasons=lamination.division.reasons if lamination.division else (),
        trouble=lamination.trouble,
        rows=tuple(_row(plan, up, clampings.get(up.label), rules) for up in ups),
        pressing=next((one for one in plan.pressing if one.part == lamination.part), None),
        slab=milled.slab,
    )


def _by_name(lamination: Lamination) -> dict[str, Clamping]:
    division = lamination.division
    if division is None:
        return {}
    named = [(glue_up_name(lamination.part, division, one), one) for one in division.clampings]
    return dict(reversed(named))  # alike ones have one name; the first of them speaks for all


def _row(plan: ProjectPlan, up: GlueUp, clamping: Clamping | None, rules: ClampingRules) -> GlueRow:
    glue = plan.found.made.takeoff.glue
    return GlueRow(
        label=up.label,
        times=up.times,
        pieces=up.lines + 1,
        area_nm2=up.area_nm2,
        glue_ml=glue.ml * up.area_nm2 / glue.area_nm2 if glue.area_nm2 else 0.0,
        clamps=up.clamps,
        at_once=max(1, rules.clamps // up.clamps),
        spread_minutes=clamping.spread_minutes if clamping else 0.0,
        close_minutes=clamping.close_minutes if clamping else 0.0,
        limit_minutes=clamping.limit_minutes if clamping else 0.0,
        face_minutes=face_minutes(up.line_width_nm, up.length_nm, rules),
        open_minutes=rules.open_minutes,
        binding=clamping.binding if clamping else "",
        bar=_bar(clamping) if clamping else None,
    )


def _bar(clamping: Clamping) -> Bar:
    per_minute = _BAR / clamping.limit_minutes
    used = clamping.spread_minutes + clamping.close_minutes
    return Bar(
        width=_BAR,
        spread_to=round(clamping.spread_minutes * per_minute, 1),
        close_to=round(used * per_minute, 1),
        told=f"{clamping.spread_minutes:.1f} minutes of spreading and {clamping.close_minutes:.1f} of closing clamps, "
        f"of the {clamping.limit_minutes:.1f} that the glue gives",
    )


def shape_of(plan: ProjectPlan) -> str:
    """How the slabs are made, in a few words: “3 sections”, “in one”; '' without a slab."""
    slabs: Sequence[int] = [one.sections for one in plan.gluing.milled if one.slab and one.glued]
    if not slabs:
        return ""
    return " + ".join(counted(sections, "section") if sections > 1 else "in one" for sections in slabs)
