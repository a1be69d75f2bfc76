"""How much does a part swell or shrink across the grain between two moistures?

A flat-sawn board is widest along its growth rings: its width moves tangentially, its thickness radially. So a top of
flat-sawn strips laid flat moves tangentially, and one of flat-sawn strips standing on edge moves radially, about half as
much; quarter-sawn strips the other way round. Along the grain wood hardly moves and nothing is counted.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from journal.build.moisture import FIBRE_SATURATION_PCT
from journal.build.parts import Along
from journal.errors import BadInput

if TYPE_CHECKING:
    from journal.build.parts import Part
    from journal.reference import Species

# The printed coefficients hold between these moistures (Wood Handbook, Table 13-5).
LOW_PCT, HIGH_PCT = 6.0, 14.0


class Sawn(StrEnum):
    """How boards were sawn from the log."""

    FLAT = "flat-sawn"
    QUARTER = "quarter-sawn"


class Direction(StrEnum):
    """Across the growth rings, or along them."""

    RADIAL = "radial"
    TANGENTIAL = "tangential"


@dataclass(frozen=True, slots=True)
class Movement:
    """What a width does between two moistures.

    Attributes:
        width_nm: at the first moisture.
        change_nm: it grows by, below zero when it shrinks.
        direction: how the wood lies.
        coefficient: change for 1 % of moisture, as a share.
        from_pct, to_pct: the two moistures, the change stopping at fibre saturation.
        warning: outside what the coefficient holds for; else blank.
    """

    width_nm: int
    change_nm: int
    direction: Direction
    coefficient: float
    from_pct: float
    to_pct: float
    warning: str = ""


def direction_of(part: Part, sawn: Sawn = Sawn.FLAT) -> Direction:
    """How a part’s width moves: strips that add up across the width stand on edge; a solid board lies flat."""
    on_edge = part.along is Along.WIDTH
    if on_edge == (sawn is Sawn.FLAT):
        return Direction.RADIAL
    return Direction.TANGENTIAL


def change_nm(width_nm: int, coefficient: float, from_pct: float, to_pct: float) -> int:
    """How much wider: D × C × (M₂ − M₁), in nm.

    Args:
        width_nm: D, at the first moisture.
        coefficient: C, share for 1 % of moisture; holds from 6 to 14 %.
        from_pct: M₁; above fibre saturation nothing moves.
        to_pct: M₂, likewise.

    Raises:
        BadInput: a moisture below 0 or over 100 %, or a coefficient that no wood has.

    Source: Wood Handbook FPL-GTR-190, Eq. 13-2.
    """
    if not 0 < coefficient < 0.01:
        raise BadInput("coefficient", coefficient, "more than 0 and less than 0.01 for 1 % of moisture")
    for moisture in (from_pct, to_pct):
        if not 0 <= moisture <= 100:
            raise BadInput("moisture", moisture, "0 to 100 %")
    return round(width_nm * coefficient * (_bound(to_pct) - _bound(from_pct)))


def _bound(moisture_pct: float) -> float:
    return min(moisture_pct, FIBRE_SATURATION_PCT)


def movement(part: Part, wood: Species, from_pct: float, to_pct: float, *, sawn: Sawn = Sawn.FLAT) -> Movement:
    """How a part’s width moves between two moistures."""
    direction = direction_of(part, sawn)
    coefficient = wood.coef_radial if direction is Direction.RADIAL else wood.coef_tangential
    low, high = sorted((from_pct, to_pct))
    outside = low < LOW_PCT or high > HIGH_PCT
    return Movement(
        width_nm=part.width_nm,
        change_nm=change_nm(part.width_nm, coefficient, from_pct, to_pct),
        direction=direction,
        coefficient=coefficient,
        from_pct=from_pct,
        to_pct=to_pct,
        warning=f"the coefficients hold from {LOW_PCT:g} to {HIGH_PCT:g}% only; take it as rough" if outside else "",
    )
