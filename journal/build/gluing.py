"""What is glued to what: glue lines, glue-ups, clamps, how much glue.

A part laminated of N strips in S sections is S glue-ups with N − S glue lines between them, and one more glue-up that
joins the sections with S − 1 lines: the simple count, which `glue_plan` replaces where the glue's time, the clamps and the
weight are known.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from journal import units
from journal.build.parts import Along

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from journal.build.milling import Milled

NM2_PER_SQUARE_METRE = 10**18


@dataclass(frozen=True, slots=True)
class GlueRules:
    """How this shop glues.

    Attributes:
        spread_ml_m2: glue on one square metre of a single glue line.
        waste: factor for what stays in the bottle, on the roller and squeezes out, 1 or more.
        clamp_spacing_nm: between clamps.
        joint_area_nm2: glue area of one assembled joint.
    """

    spread_ml_m2: float
    waste: float
    clamp_spacing_nm: int
    joint_area_nm2: int


class GlueKind(StrEnum):
    """What a clamping makes."""

    SECTION = "section"  # strips into a section, or into the whole part
    ADD = "add"  # more strips onto a section
    JOIN = "join"  # planed sections to each other
    JOIN_ADD = "join_add"  # more sections onto those joined


@dataclass(frozen=True, slots=True)
class GlueUp:
    """One clamping, done `times` times: its glue lines, their area, the clamps it takes.

    `open_nm2` of one clamping's lines is not glued, as joints are left open between the strips; `part` is the label of
    what is glued.
    """

    label: str
    times: int
    lines: int
    line_width_nm: int
    length_nm: int
    clamps: int
    open_nm2: int = 0
    part: str = ""
    kind: GlueKind = GlueKind.SECTION

    @property
    def area_nm2(self) -> int:
        """Glue line area of one clamping, net of openings."""
        return self.lines * self.line_width_nm * self.length_nm - self.open_nm2


def glue_ups(parts: Iterable[Milled], rules: GlueRules) -> tuple[GlueUp, ...]:
    """Every glue-up of the commission, alike ones counted together."""
    found: list[GlueUp] = []
    for milled in parts:
        if milled.glued:
            found += _of_part(milled, rules)
    return tuple(found)


def _of_part(milled: Milled, rules: GlueRules) -> list[GlueUp]:
    part = milled.part
    length_nm = milled.blank_length_nm
    clamps = math.ceil(length_nm / rules.clamp_spacing_nm) + 1
    pieces = math.ceil(milled.pieces / milled.pieces_per_blank)
    smaller, larger_count = divmod(milled.strips, milled.sections)
    of_strips = {smaller + 1: larger_count, smaller: milled.sections - larger_count}
    ups = [
        GlueUp(
            part.label if milled.sections == 1 else f"{part.label}, section of {strips}",
            count * pieces,
            strips - 1,
            milled.line_width_nm,
            length_nm,
            clamps,
            part=part.label,
        )
        for strips, count in of_strips.items()
        if count and strips > 1
    ]
    if milled.sections > 1:
        joined_nm = part.thickness_nm if part.along is Along.WIDTH else part.width_nm
        ups.append(
            GlueUp(
                f"{part.label}, joining {milled.sections} sections",
                pieces,
                milled.sections - 1,
                joined_nm,
                length_nm,
                clamps,
                part=part.label,
                kind=GlueKind.JOIN,
            )
        )
    return ups


@dataclass(frozen=True, slots=True)
class Glue:
    """How much glue a commission takes: glue line and joint areas (nm²), millilitres with waste."""

    line_area_nm2: int
    joint_area_nm2: int
    ml: float

    @property
    def area_nm2(self) -> int:
        """All glued area."""
        return self.line_area_nm2 + self.joint_area_nm2


def glue_needed(ups: Iterable[GlueUp], joints: int, rules: GlueRules) -> Glue:
    """Glue for all glue-ups and for so many assembled joints: area × spread × waste."""
    line_area_nm2 = sum(up.times * up.area_nm2 for up in ups)
    joint_area_nm2 = joints * rules.joint_area_nm2
    square_metres = (line_area_nm2 + joint_area_nm2) / NM2_PER_SQUARE_METRE
    return Glue(line_area_nm2, joint_area_nm2, square_metres * rules.spread_ml_m2 * rules.waste)


def square_feet_of(ups: Iterable[GlueUp]) -> float:
    """Glue line area of all glue-ups in square feet."""
    return units.square_feet(sum(up.times * up.area_nm2 for up in ups))


def joints_of(parts: Iterable[Milled], joint_words: Mapping[str, float]) -> int:
    """How many joints are assembled: features that make one, over all pieces."""
    return round(sum(m.pieces * f.count * joint_words.get(f.word, 0.0) for m in parts for f in m.part.features))
