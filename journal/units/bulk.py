"""Areas, volumes, masses and liquids.

Exact by definition: 1 lb = 0.45359237 kg (1959 agreement), 1 US gallon = 231 in³, 1 board foot = 144 in³.
"""

from __future__ import annotations

import re

from journal.errors import BadInput
from journal.units.exact import decimal_text, read_number, tidy
from journal.units.lengths import NM_PER_FOOT, NM_PER_INCH, NM_PER_METRE, System
from journal.units.marks import Mark

NM2_PER_SQUARE_FOOT = NM_PER_FOOT**2
NM2_PER_SQUARE_METRE = NM_PER_METRE**2
NM3_PER_BOARD_FOOT = 144 * NM_PER_INCH**3
NM3_PER_CUBIC_METRE = NM_PER_METRE**3
ML_PER_LITRE = 1000.0
ML_PER_GALLON = 3785.411784
ML_PER_QUART = ML_PER_GALLON / 4
ML_PER_PINT = ML_PER_GALLON / 8
ML_PER_FLUID_OUNCE = ML_PER_GALLON / 128
KG_PER_POUND = 0.45359237

MAX_LIQUID_ML = 1_000_000.0

_ML_PER_UNIT = {
    **dict.fromkeys(("ml", "millilitre", "millilitres", "milliliter", "milliliters"), 1.0),
    **dict.fromkeys(("cl", "centilitre", "centilitres"), 10.0),
    **dict.fromkeys(("dl", "decilitre", "decilitres"), 100.0),
    **dict.fromkeys(("l", "litre", "litres", "liter", "liters"), ML_PER_LITRE),
    **dict.fromkeys(("fl oz", "fl. oz.", "fl. oz", "floz", "fluid ounce", "fluid ounces"), ML_PER_FLUID_OUNCE),
    **dict.fromkeys(("pt", "pint", "pints"), ML_PER_PINT),
    **dict.fromkeys(("qt", "quart", "quarts"), ML_PER_QUART),
    **dict.fromkeys(("gal", "gallon", "gallons"), ML_PER_GALLON),
}
_LIQUID = re.compile(r"([0-9.,/ -]*[0-9]) ?([a-z][a-z. ]*)?")


def square_feet(area_nm2: float) -> float:
    """Square feet of so many square nanometres."""
    return area_nm2 / NM2_PER_SQUARE_FOOT


def board_feet(volume_nm3: float) -> float:
    """Board feet (144 in³) of so many cubic nanometres."""
    return volume_nm3 / NM3_PER_BOARD_FOOT


def cubic_metres(volume_nm3: float) -> float:
    """Cubic metres of so many cubic nanometres."""
    return volume_nm3 / NM3_PER_CUBIC_METRE


def format_mass(mass_kg: float, system: System = System.INCH) -> str:
    """Pounds or kilograms: to a tenth under ten, whole from there on.

    Raises:
        BadInput: not a finite number.
    """
    value, name = (mass_kg / KG_PER_POUND, "lb") if system is System.INCH else (mass_kg, "kg")
    return f"{decimal_text(value, _places(value))} {name}"


def format_area(area_nm2: float, system: System = System.INCH) -> str:
    """Square feet to a tenth, or square metres to a hundredth.

    Raises:
        BadInput: not a finite number.
    """
    if system is System.INCH:
        return f"{decimal_text(square_feet(area_nm2), 1)} ft²"
    return f"{decimal_text(area_nm2 / NM2_PER_SQUARE_METRE, 2)} m²"


def format_board_feet(volume_nm3: float) -> str:
    """Board feet to a tenth: "12.3 bd ft".

    Raises:
        BadInput: not a finite number.
    """
    return f"{decimal_text(board_feet(volume_nm3), 1)} bd ft"


def format_liquid(liquid_ml: float, system: System = System.INCH) -> str:
    """Fluid ounces under a quart, quarts under a gallon, gallons; or millilitres under a litre, litres.

    Raises:
        BadInput: not a finite number.
    """
    size = abs(liquid_ml)
    if system is System.METRIC:
        if size < ML_PER_LITRE:
            return f"{decimal_text(liquid_ml, _places(liquid_ml))} ml"
        return f"{decimal_text(liquid_ml / ML_PER_LITRE, 2)} L"
    if size < ML_PER_QUART:
        places = 1 if size >= ML_PER_FLUID_OUNCE else 2
        return f"{decimal_text(liquid_ml / ML_PER_FLUID_OUNCE, places)} fl oz"
    if size < ML_PER_GALLON:
        return f"{decimal_text(liquid_ml / ML_PER_QUART, 2)} qt"
    return f"{decimal_text(liquid_ml / ML_PER_GALLON, 2)} gal"


def parse_liquid(text: str, field: str = "volume", *, mark: Mark = Mark.POINT) -> float:
    """Millilitres of a volume with its unit, US measures: "250 ml", "1 L", "8 fl oz", "1 qt", "1/2 gal"; 0 is accepted.

    `mark` is what this shop writes before decimals.

    Raises:
        BadInput: no unit, an unknown one ("oz" alone is as likely a weight), or more than 1000 L.
    """
    expected = "a volume with its unit, such as 250 ml, 1 L, 8 fl oz, 1 qt or 1/2 gal"
    match = _LIQUID.fullmatch(tidy(text, field, expected))
    if not match:
        raise BadInput(field, text, expected)
    number, unit = match[1].strip(), (match[2] or "").strip()
    ml_per_unit = _ML_PER_UNIT.get(unit) or _ML_PER_UNIT.get(unit.rstrip("."))
    if ml_per_unit is None:
        raise BadInput(
            field, text, expected + ("; “oz” alone may be a weight" if unit.startswith(("oz", "ounce")) else "")
        )
    value = read_number(number, field, text, expected, big_unit=ml_per_unit >= ML_PER_LITRE, mark=mark)
    liquid_ml = float(value) * ml_per_unit
    if liquid_ml > MAX_LIQUID_ML:
        raise BadInput(field, text, "at most 1000 L (about 264 gal)")
    return liquid_ml


def _places(value: float) -> int:
    """One decimal under ten, none from there on."""
    return 1 if abs(value) < 9.95 else 0
