"""Fields for what the floor measures: a temperature and an area in the shop's own units."""

from __future__ import annotations

from decimal import Decimal

from journal import units
from journal.errors import BadInput
from journal.web.forms import ParsedField, read_number
from journal.web.state import display, in_marks

_FREEZING_F, _F_PER_C = Decimal(32), Decimal("1.8")
_MM2 = {units.System.INCH: Decimal("92903.04"), units.System.METRIC: Decimal(1_000_000)}


class TemperatureField(ParsedField[float]):
    """Degrees Celsius, typed in °F in a shop that measures in inches; “20 °C” is taken everywhere."""

    inputmode = "text"

    def parse(self, text: str) -> float:
        typed = text.replace("°", "").strip().upper()
        inches = display().system is units.System.INCH
        scale = typed[-1:] if typed[-1:] in ("F", "C") else "F" if inches else "C"
        value = read_number(typed.rstrip("FC").strip(), self.label.text, "a temperature such as " + example())
        return float(value if scale == "C" else (value - _FREEZING_F) / _F_PER_C)

    def show(self, value: float) -> str:
        return self._faithful(value, shown_temperature(value), f"{Decimal(repr(value)):f} °C")


class AreaField(ParsedField[int]):
    """Square millimetres, typed in square feet or square metres as the shop measures."""

    inputmode = "decimal"

    def parse(self, text: str) -> int:
        unit = "ft²" if display().system is units.System.INCH else "m²"
        typed = text.removesuffix(unit).strip()
        value = read_number(typed, self.label.text, f"an area in {unit} such as 12.5")
        area = round(value * _MM2[display().system])
        if area < 1:
            raise BadInput(self.label.text, text, f"an area in {unit} above 0")
        return area

    def show(self, value: int) -> str:
        scale = _MM2[display().system]
        rounded = (f"{round(value / scale, places).normalize():f}" for places in (1, 2, 3, 4, 6, 9))
        return self._faithful(value, *rounded)


def shown_temperature(celsius: float) -> str:
    """“70 °F” or “21 °C”, as the shop says it; in °F to whatever was typed."""
    return in_marks(units.Shown(display().system).temperature(_fahrenheit(celsius)))


def whole_temperature(celsius: float) -> str:
    """“67 °F”: to a whole degree, to be read and not to be kept."""
    return units.Shown(display().system).temperature(round(_fahrenheit(celsius)))


def _fahrenheit(celsius: float) -> float:
    return float(Decimal(repr(celsius)) * _F_PER_C + _FREEZING_F)


def example() -> str:
    """A temperature of a shop in the shop's unit."""
    return "68 °F" if display().system is units.System.INCH else "20 °C"
