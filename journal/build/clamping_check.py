"""Does a way of gluing a stack keep every limit? Knows nothing of how it was found."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from journal.build.clamping import Clamping, Division
    from journal.build.clamping_rules import ClampingRules

_SLACK = 1e-6
_IN2_PER_FT2 = 144
_NM_PER_INCH = 25_400_000


def faults(division: Division, rules: ClampingRules) -> tuple[str, ...]:
    """What is wrong with it, in words; nothing when all is well."""
    return (*_strips(division), *_sections(division, rules), *_each_clamping(division, rules))


def _strips(division: Division) -> list[str]:
    """Every strip is glued once, every section joined once."""
    found = []
    if sum(division.sections) != division.stack.strips or min(division.sections) < 1:
        found.append(f"{division.sections} strips in sections, {division.stack.strips} in the stack")
    for place, size in enumerate(division.sections):
        mine = [clamping for clamping in division.clampings if clamping.section == place]
        found += _grows_to(size, mine, f"section {place + 1}")
    joining = [clamping for clamping in division.clampings if clamping.section is None]
    return found + _grows_to(len(division.sections), joining, "the joining")


def _grows_to(size: int, clampings: list[Clamping], name: str) -> list[str]:
    """One piece becomes `size` pieces glued, each clamping adding all but the one that was there."""
    glued = 1
    found = []
    for clamping in clampings:
        if clamping.first != (glued == 1):
            found.append(f"{name}: a clamping is said to be the first and is not, or the other way round")
        if clamping.lines != clamping.pieces - 1 or clamping.lines < 1:
            found.append(f"{name}: {clamping.pieces} pieces and {clamping.lines} lines")
        glued += clamping.pieces - 1
    return [*found, *([f"{name}: {glued} glued of {size}"] if glued != size else [])]


def _sections(division: Division, rules: ClampingRules) -> list[str]:
    if not division.planed:
        return []
    stack = division.stack
    found = []
    for size in division.sections:
        if size * stack.strip_thickness_nm > stack.planer_width_nm:
            found.append(f"a section of {size} strips is wider than the planer")
        if size * stack.strip_kg > rules.feed_kg * (1 + _SLACK):
            found.append(f"a section of {size} strips is heavier than can be fed")
    return found


def _each_clamping(division: Division, rules: ClampingRules) -> list[str]:
    found = []
    if division.clampings and rules.temp_f < rules.min_temp_f:
        found.append("too cold")
    for clamping in division.clampings:
        square_feet = (clamping.line_width_nm / _NM_PER_INCH) * (clamping.length_nm / _NM_PER_INCH) / _IN2_PER_FT2
        face = square_feet * rules.spread_minutes_ft2 / rules.spreaders
        gaps = clamping.clamps - 1
        if clamping.clamps > rules.clamps or gaps * rules.spacing_nm < clamping.length_nm:
            found.append(f"{clamping.clamps} clamps")
        if face > rules.open_minutes + _SLACK:
            found.append(f"a face is open for {face:.2f} minutes")
        given = rules.total_minutes
        if rules.shares_open:
            given = face + rules.total_minutes * (1 - face / rules.open_minutes)
        taken = clamping.lines * face + clamping.clamps * rules.close_minutes_clamp
        if taken > given + _SLACK or not math.isclose(taken, clamping.minutes, rel_tol=1e-6):
            found.append(f"{taken:.2f} minutes of {given:.2f}")
    return found
