"""Quantities in the words of one shop: what workings, reasons and refusals are written in."""

from __future__ import annotations

from dataclasses import dataclass

from journal.units.bulk import (
    KG_PER_POUND,
    NM2_PER_SQUARE_FOOT,
    NM3_PER_CUBIC_METRE,
    format_area,
    format_liquid,
    format_mass,
    square_feet,
)
from journal.units.exact import decimal_text
from journal.units.lengths import NM_PER_FOOT, NM_PER_METRE, System, format_length

_METRES_PER_FOOT = NM_PER_FOOT / NM_PER_METRE
_M2_PER_FT2 = _METRES_PER_FOOT**2
_FINE = 32  # the finest fraction a thickness is planed to

# A unit of the starting book, as a metric shop counts it: its name there, how many of it one of the book's is.
_METRIC = {"ft": ("m", _METRES_PER_FOOT), "ft2": ("m²", _M2_PER_FT2)}

_NO_PLURAL = {"h", "bd ft"}
_NM3_PER_FT3 = NM_PER_FOOT**3
_KG_M3_PER_LB_FT3 = KG_PER_POUND / (_NM3_PER_FT3 / NM3_PER_CUBIC_METRE)


@dataclass(frozen=True, slots=True)
class Shown:
    """The shop's way of writing quantities; a value handed down to whatever explains a figure.

    Attributes:
        system: feet and inches, or metric.
    """

    system: System = System.INCH

    def length(self, length_nm: int, *, feet: bool = False) -> str:
        """A width or length: "1½ in"; with `feet`, "6 ft 4 in"."""
        return format_length(length_nm, self.system, feet=feet)

    def thickness(self, length_nm: int) -> str:
        """A thickness, to 1/32 in: "1 11/32 in"."""
        return format_length(length_nm, self.system, denominator=_FINE)

    def run(self, length_nm: float) -> str:
        """A length that is worked along, whole feet or metres to a tenth: "212 ft"."""
        if self.system is System.METRIC:
            return f"{decimal_text(length_nm / NM_PER_METRE, 1)} m"
        return f"{decimal_text(length_nm / NM_PER_FOOT, 0)} ft"

    def area(self, area_nm2: float) -> str:
        """An area: "12.3 ft²"."""
        return format_area(area_nm2, self.system)

    def liquid(self, liquid_ml: float) -> str:
        """A volume of glue or finish: "12.3 fl oz"."""
        return format_liquid(liquid_ml, self.system)

    def spread(self, liquid_ml: float, area_nm2: float) -> str:
        """How much goes on an area: "0.08 fl oz a ft²", "26 ml a m²"."""
        if self.system is System.METRIC:
            return f"{format_liquid(liquid_ml / (square_feet(area_nm2) * _M2_PER_FT2 or 1), self.system)} a m²"
        return f"{format_liquid(liquid_ml / (area_nm2 / NM2_PER_SQUARE_FOOT or 1), self.system)} a ft²"

    def mass(self, mass_kg: float) -> str:
        """A weight: "310 lb"."""
        return format_mass(mass_kg, self.system)

    def volume(self, volume_nm3: float) -> str:
        """A volume of wood to weigh: "4.11 ft³", "116 L"."""
        if self.system is System.METRIC:
            return f"{decimal_text(volume_nm3 / NM3_PER_CUBIC_METRE * 1000, 1)} L"
        return f"{decimal_text(volume_nm3 / _NM3_PER_FT3, 3)} ft³"

    def density(self, kg_m3: float) -> str:
        """How heavy wood is: "34 lb a ft³", "0.545 kg a litre"."""
        if self.system is System.METRIC:
            return f"{decimal_text(kg_m3 / 1000, 3)} kg a litre"
        return f"{decimal_text(kg_m3 / _KG_M3_PER_LB_FT3, 1)} lb a ft³"

    def temperature(self, temp_f: float) -> str:
        """A temperature given in °F: "70 °F", "21 °C"."""
        return f"{temp_f:g} °F" if self.system is System.INCH else f"{(temp_f - 32) * 5 / 9:.0f} °C"

    def counted_in(self, unit: str) -> str:
        """The unit an operation is counted in here: the book's "ft2·coat" is "ft² and coat", or "m² and coat"."""
        first, dot, rest = unit.partition("·")
        name = _METRIC[first][0] if self.system is System.METRIC and first in _METRIC else first.replace("ft2", "ft²")
        return f"{name} and {rest}" if dot else name

    def amount(self, quantity: float, unit: str, *, places: int | None = None) -> str:
        """So much of an operation, given in the book's unit: "212 ft", "12 holes", "138 ft² of coats".

        With `places`, to that many decimals, where somebody may work it out again; else to what is worth reading.
        """
        here = quantity * self.units_of(unit)
        if places is None:
            places = 0 if abs(here) >= 100 else 1 if abs(here) >= 10 else 2
        number = decimal_text(here, places)
        first, _, rest = unit.partition("·")
        name = self.counted_in(first)
        if first not in _METRIC and first not in _NO_PLURAL and number != "1":
            name += "es" if name.endswith("ch") else "s"
        return f"{number} {name}" + (f" of {rest}s" if rest else "")

    def units_of(self, unit: str) -> float:
        """How many of the units that an operation is counted in here make one of the book's; 1 where they are the same."""
        first = unit.partition("·")[0]
        return _METRIC[first][1] if self.system is System.METRIC and first in _METRIC else 1.0


IN_INCHES = Shown()
