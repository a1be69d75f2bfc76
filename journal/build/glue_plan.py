"""How a commission is glued up: sections, clampings and openings of every laminated part, and what stands in the way.

This is the one place where it is decided how many sections a part is glued in, once the glue's time, the clamps and the
weight are known; boards, minutes and glue follow from it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from journal import units
from journal.build.clamping import Clamping, Division, divide
from journal.build.clamping_rules import ClampingRules, Stack
from journal.build.gluing import GlueKind, GlueRules, GlueUp, glue_ups
from journal.build.milling import THINNEST_STRIP_NM, Milled, MillingRules
from journal.build.parts import MOST_STRIPS, Along
from journal.build.spacers import Opening, open_area_nm2, openings
from journal.build.wood import part_density_kg_m3
from journal.errors import NoSolution

if TYPE_CHECKING:
    from collections.abc import Sequence


@dataclass(frozen=True, slots=True)
class Lamination:
    """One laminated part and how its pieces are glued.

    Attributes:
        part: its label.
        pieces: how many pieces are glued so; those milled together count as one.
        division: sections and clampings of one piece; None when no clamping keeps the limits.
        trouble: why not, and what would do.
    """

    part: str
    pieces: int
    division: Division | None
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class GluePlan:
    """The commission glued.

    Attributes:
        milled: every part, laminated ones in the sections found.
        laminations: one a laminated part.
        ups: every glue-up, alike ones counted together.
        openings: joints left open between strips.
    """

    milled: tuple[Milled, ...]
    laminations: tuple[Lamination, ...]
    ups: tuple[GlueUp, ...]
    openings: tuple[Opening, ...]

    @property
    def reasons(self) -> tuple[str, ...]:
        """Why there are so many sections and clampings, or none that would do; a sentence for each part that has one."""
        divided = [(one.part, reason) for one in self.laminations if one.division for reason in one.division.reasons]
        return (*self.troubles, *(f"{part}: {reason}" for part, reason in divided))

    @property
    def troubles(self) -> tuple[str, ...]:
        """Parts that cannot be glued within the limits, and what would do."""
        return tuple(lamination.trouble for lamination in self.laminations if lamination.trouble)


def glue_plan(
    parts: Sequence[Milled], milling: MillingRules, gluing: GlueRules, clamping: ClampingRules | None
) -> GluePlan:
    """Glue every laminated part in the fewest clampings.

    Args:
        parts: as milled, in the fewest sections that the planer takes.
        milling: what the shop leaves on.
        gluing: how it glues.
        clamping: the limits; None when neither the glue's time nor the clamps are to be looked at.

    Returns:
        The plan. A part that no clamping can hold keeps its sections and is counted as if it could, with its trouble.
    """
    found = [_glued(one, milling, clamping) if clamping and one.glued else (one, None) for one in parts]
    milled = tuple(one for one, _ in found)
    opened = openings(milled)
    ups = tuple(
        replace(up, open_nm2=round(up.area_nm2 * _share_open(one, opened)))
        for one, lamination in found
        if one.glued
        for up in (glue_ups_of(lamination) if lamination and lamination.division else glue_ups([one], gluing))
    )
    return GluePlan(milled, tuple(lamination for _, lamination in found if lamination), ups, opened)


def _share_open(milled: Milled, opened: Sequence[Opening]) -> float:
    """The share of a part's glue lines that is left open."""
    pieces = math.ceil(milled.pieces / milled.pieces_per_blank)
    gross = pieces * (milled.strips - 1) * milled.line_width_nm * milled.blank_length_nm
    return min(open_area_nm2(milled, opened) / gross, 1.0)


def _glued(milled: Milled, milling: MillingRules, clamping: ClampingRules) -> tuple[Milled, Lamination]:
    pieces = math.ceil(milled.pieces / milled.pieces_per_blank)
    try:
        division = divide(
            lambda sections: stack_of(in_sections(milled, sections, milling) or milled, milling),
            clamping,
            most_sections=_most_sections(milled, milling),
        )
    except NoSolution as trouble:
        return milled, Lamination(milled.part.label, pieces, None, str(trouble))
    found = in_sections(milled, len(division.sections), milling) or milled
    by_hand = bool(milling.planer_width_nm) and not _planed(found, division, milling, clamping)
    return replace(found, by_hand=by_hand), Lamination(milled.part.label, pieces, division)


def stack_of(milled: Milled, milling: MillingRules) -> Stack:
    """The strips of a part as they are glued."""
    part = milled.part
    volume_nm3 = milled.milled_thickness_nm * milled.blank_width_nm * milled.blank_length_nm
    wide = part.along is Along.WIDTH
    return Stack(
        label=part.label,
        strips=milled.strips,
        strip_thickness_nm=milled.strip_across_nm,
        line_width_nm=milled.line_width_nm,
        joined_width_nm=part.thickness_nm if wide else part.width_nm,
        length_nm=milled.blank_length_nm,
        strip_kg=units.cubic_metres(volume_nm3) * part_density_kg_m3(milled),
        # Strips face to face are planed on their edges, whatever they add up to.
        planer_width_nm=milling.planer_width_nm if wide else 0,
    )


def _most_sections(milled: Milled, milling: MillingRules) -> int:
    """The most sections whose strips still make up the part as the maker asked for it."""
    if milled.part.along is not Along.WIDTH or milled.flat:
        return 1
    most = 1
    while 2 * (most + 1) <= milled.strips and in_sections(milled, most + 1, milling) is not None:
        most += 1
    return most


def _planed(milled: Milled, division: Division, milling: MillingRules, clamping: ClampingRules) -> bool:
    if milled.part.along is Along.WIDTH:
        return division.planed
    stack = division.stack
    across_nm = min(milled.blank_width_nm, stack.strips * stack.strip_thickness_nm)
    return across_nm <= milling.planer_width_nm and stack.strips * stack.strip_kg <= clamping.feed_kg


def in_sections(milled: Milled, sections: int, rules: MillingRules) -> Milled | None:
    """A part glued in so many sections instead: its strips, as each joint between sections takes some wood.

    Returns:
        The part milled so; None when the strips the maker asked for would not make up its width.
    """
    if sections == milled.sections:
        return milled
    part = milled.part
    allowance_nm = milled.rough_thickness_nm - milled.milled_thickness_nm
    across_nm = part.width_nm if part.along is Along.WIDTH else part.thickness_nm
    total_nm = across_nm + rules.glued_edge_nm + (sections - 1) * rules.section_joint_nm
    needed = math.ceil(total_nm / (milled.stock.thickness_nm - allowance_nm))
    strips = part.strips or needed
    milled_nm = math.ceil(total_nm / strips)
    if strips < needed or strips > MOST_STRIPS or milled_nm < THINNEST_STRIP_NM:
        return None
    return replace(
        milled,
        strips=strips,
        sections=sections,
        milled_thickness_nm=milled_nm,
        rough_thickness_nm=milled_nm + allowance_nm,
        blanks=milled.blanks // milled.strips * strips,
    )


def glue_ups_of(lamination: Lamination) -> list[GlueUp]:
    """The glue-ups of one part, alike ones counted together; their names say what is glued to what."""
    division = lamination.division
    if division is None:
        return []
    counted: dict[tuple[str, Clamping], int] = {}
    for clamping in division.clampings:
        like = replace(clamping, section=None if clamping.section is None else 0, binding="")
        name = glue_up_name(lamination.part, division, clamping)
        counted[name, like] = counted.get((name, like), 0) + 1
    return [
        GlueUp(
            name,
            times * lamination.pieces,
            like.lines,
            like.line_width_nm,
            like.length_nm,
            like.clamps,
            part=lamination.part,
            kind=_kind(like),
        )
        for (name, like), times in counted.items()
    ]


def _kind(clamping: Clamping) -> GlueKind:
    if clamping.section is None:
        return GlueKind.JOIN if clamping.first else GlueKind.JOIN_ADD
    return GlueKind.SECTION if clamping.first else GlueKind.ADD


def glue_up_name(label: str, division: Division, clamping: Clamping) -> str:
    """What a clamping is called: “Top, section of 7”, “Top, joining 3 sections”, “Top, section of 10, 4 more”."""
    one = len(division.sections) == 1
    if clamping.section is None:
        name, whole = f"{label}, joining {len(division.sections)} sections", len(division.sections)
    else:
        whole = division.sections[clamping.section]
        name = label if one else f"{label}, section of {whole}"
    if clamping.pieces == whole:
        return name
    return f"{name}, first {clamping.pieces}" if clamping.first else f"{name}, {clamping.lines} more"
