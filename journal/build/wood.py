"""How heavy is it: density of wood at a moisture content, weight of parts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal import reference, units
from journal.build.stock import Sheet
from journal.errors import BadInput

if TYPE_CHECKING:
    from journal.build.milling import Milled

WATER_KG_M3 = 1000.0
# Furniture lumber is kept near this in a heated shop; specific gravities in the tables stand on the volume at 12 %.
USUAL_MOISTURE_PCT = 12.0


def density_kg_m3(specific_gravity: float, moisture_pct: float) -> float:
    """Density of wood with its water: ρ = 1000 × G × (1 + M/100).

    Args:
        specific_gravity: G, oven-dry weight over volume at the moisture content.
        moisture_pct: M, percent of the oven-dry weight.

    Raises:
        BadInput: for a specific gravity outside 0.1–1.3 (lighter than balsa, heavier than lignum vitae), or a moisture
            outside 0–30 %, beyond which the volume basis does not hold.

    Source: Wood Handbook (FPL-GTR-190), chapter 4.
    """
    if not 0.1 <= specific_gravity <= 1.3:
        raise BadInput("specific gravity", specific_gravity, "0.1 to 1.3")
    if not 0 <= moisture_pct <= 30:
        raise BadInput("moisture", moisture_pct, "0 to 30 %")
    return WATER_KG_M3 * specific_gravity * (1 + moisture_pct / 100)


def weight_kg(milled: Milled, moisture_pct: float = USUAL_MOISTURE_PCT) -> float:
    """Finished weight of all pieces of a part, features not taken off."""
    return milled.pieces * units.cubic_metres(milled.part.volume_nm3) * part_density_kg_m3(milled, moisture_pct)


def part_density_kg_m3(milled: Milled, moisture_pct: float = USUAL_MOISTURE_PCT) -> float:
    """Density of what a part is made of; a panel's is its own."""
    if isinstance(milled.stock, Sheet):
        return milled.stock.density_kg_m3
    return density_kg_m3(reference.species(milled.stock.species).sg_12, moisture_pct)
