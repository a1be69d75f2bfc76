"""How much surface gets finish, and how much finish that is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import units
from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Iterable

    from journal.build.milling import Milled
    from journal.build.parts import Part


@dataclass(frozen=True, slots=True)
class FinishRules:
    """How a finish goes on.

    Attributes:
        coverage_first_ft2_gal, coverage_later_ft2_gal: square feet a US gallon covers, first and later coats.
        end_grain_factor: how much more end grain drinks, 1 or more.
        coats: how many, 0 for bare wood.
        wipe_off: whether the excess is wiped off.
    """

    coverage_first_ft2_gal: float
    coverage_later_ft2_gal: float
    end_grain_factor: float
    coats: int
    wipe_off: bool

    def __post_init__(self) -> None:
        if self.coverage_first_ft2_gal <= 0 or self.coverage_later_ft2_gal <= 0:
            raise BadInput(
                "coverage", min(self.coverage_first_ft2_gal, self.coverage_later_ft2_gal), "more than 0 ft² a gallon"
            )
        if not 0 <= self.coats <= 20:
            raise BadInput("coats", self.coats, "0 to 20 coats")


@dataclass(frozen=True, slots=True)
class Surface:
    """Area that gets finish, in nm²: along the grain, and end grain."""

    face_nm2: int
    end_nm2: int

    @property
    def area_nm2(self) -> int:
        """All of it."""
        return self.face_nm2 + self.end_nm2


def surface_of(part: Part) -> Surface:
    """Surface of one piece that gets finish, by the sides the part list names; holes and mortises not counted."""
    wide = part.faces.wide * part.width_nm * part.length_nm
    edges = part.faces.edges * part.thickness_nm * part.length_nm
    ends = part.faces.ends * part.thickness_nm * part.width_nm
    return Surface(wide + edges, ends)


def surface(parts: Iterable[Milled]) -> Surface:
    """Surface of the whole commission that gets finish."""
    face_nm2 = end_nm2 = 0
    for milled in parts:
        one = surface_of(milled.part)
        face_nm2 += milled.pieces * one.face_nm2
        end_nm2 += milled.pieces * one.end_nm2
    return Surface(face_nm2, end_nm2)


def finish_ml(area: Surface, rules: FinishRules) -> float:
    """Finish for all coats in millilitres: area / coverage, the first coat thirstier, end grain thirstier still."""
    if not rules.coats:
        return 0.0
    thirsty_ft2 = units.square_feet(area.face_nm2) + rules.end_grain_factor * units.square_feet(area.end_nm2)
    gallons = (
        thirsty_ft2 / rules.coverage_first_ft2_gal + (rules.coats - 1) * thirsty_ft2 / rules.coverage_later_ft2_gal
    )
    return gallons * units.ML_PER_GALLON


def theoretical_coverage_ft2_gal(volume_solids: float, dry_mils: float) -> float:
    """Square feet a US gallon covers at a dry film thickness: 1604 × solids / mils.

    Args:
        volume_solids: share of the liquid that stays, above 0 to 1.
        dry_mils: dry film in thousandths of an inch, above 0.

    Raises:
        BadInput: outside those.

    Source: a US gallon is 231 in³, so a film of 1 mil covers 231 / 0.001 / 144 = 1604 ft² (coating bulletins).
    """
    if not 0 < volume_solids <= 1:
        raise BadInput("volume solids", volume_solids, "a share above 0, to 1")
    if dry_mils <= 0:
        raise BadInput("dry film", dry_mils, "more than 0 mils")
    return 1604 * volume_solids / dry_mils
