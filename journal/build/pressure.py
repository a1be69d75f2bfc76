"""How hard do the clamps press, against what is published? Advice only: sources differ by a factor of two and more."""

from __future__ import annotations

import math
from dataclasses import dataclass

from journal import units
from journal.errors import BadInput

LIGHT_SG, HEAVY_SG = 0.45, 0.60
_WHOLE_CLAMP = 1e-9


@dataclass(frozen=True, slots=True)
class Published:
    """A published range of clamping pressure, in psi, and who published it."""

    low_psi: float
    high_psi: float
    source: str


_GUIDE = "a glue maker’s general guide; others ask for half as much or twice"


def published(specific_gravity: float) -> Published:
    """The pressure a glue maker's guide asks for: softwoods 100–150 psi, medium woods 150–200, hardwoods 200–300.

    Where medium begins and ends is drawn here at a specific gravity of 0.45 and 0.60 (common practice).
    """
    if specific_gravity < LIGHT_SG:
        return Published(100, 150, _GUIDE)
    return Published(150, 200, _GUIDE) if specific_gravity < HEAVY_SG else Published(200, 300, _GUIDE)


def pressure_psi(force_lb: float, spacing_nm: int, line_width_nm: int) -> float:
    """Mean pressure on a glue line: a clamp's force over the area it stands for, spacing × width.

    Args:
        force_lb: pounds one clamp gives.
        spacing_nm: between clamps.
        line_width_nm: width of the glue line.
    """
    if min(force_lb, spacing_nm, line_width_nm) <= 0:
        raise BadInput("clamp force, spacing or width", min(force_lb, spacing_nm, line_width_nm), "more than 0")
    return force_lb / ((spacing_nm / units.NM_PER_INCH) * (line_width_nm / units.NM_PER_INCH))


def clamps_for(psi: float, line_width_nm: int, length_nm: int, force_lb: float) -> int:
    """Clamps that give a pressure over a whole glue line, rounded up: width × length × psi ÷ force."""
    if min(psi, line_width_nm, length_nm, force_lb) <= 0:
        raise BadInput("pressure, size or force", min(psi, line_width_nm, length_nm, force_lb), "more than 0")
    square_inches = (line_width_nm / units.NM_PER_INCH) * (length_nm / units.NM_PER_INCH)
    return math.ceil(square_inches * psi / force_lb - _WHOLE_CLAMP)
