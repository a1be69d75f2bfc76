"""The names of a design for one set of choices, and what a cell comes to with them."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from journal import units
from journal.build.design import Kind
from journal.build.formulas import Calculator
from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Mapping

    from journal.build.design import Cell, Design, Given, Parameter
    from journal.build.formulas import Value

# Finished sizes are rounded to these.
_LEAST = {units.System.INCH: units.inches("1/64"), units.System.METRIC: units.mm("0.1")}
NM = {units.System.INCH: units.NM_PER_INCH, units.System.METRIC: units.NM_PER_MM}


class Scope:
    """The names of a design for one choice; what is worked out is worked out when it is first asked for."""

    def __init__(self, design: Design, given: Mapping[str, Given]) -> None:
        self.design = design
        self.given = given
        self.calculator = Calculator(design.system)
        self.names: dict[str, Value] = {
            parameter.word: _value(parameter, given[parameter.word], design.system) for parameter in design.parameters
        }

    def work_out(self, cell: Cell, n: int = 0) -> Value:
        """What a cell comes to; raises BadInput."""
        for name in cell.formula.names:
            if name not in self.names and name != "n":
                self.names[name] = self.work_out(self.design.worked[name])
        self.names["n"] = Fraction(n)
        return self.calculator.work_out(cell.formula, self.names, cell.place)

    def number(self, cell: Cell, n: int = 0) -> Fraction:
        """A cell that must be a number."""
        found = self.work_out(cell, n)
        if isinstance(found, str):
            raise BadInput(cell.place, found, "a number")
        return found

    def length_nm(self, cell: Cell, n: int = 0) -> int:
        """A length, rounded as finished sizes are."""
        least = _LEAST[self.design.system]
        return units.round_half_up(self.number(cell, n) * NM[self.design.system] / least) * least


def _value(parameter: Parameter, given: Given, system: units.System) -> Value:
    if parameter.kind is Kind.LENGTH:
        return Fraction(int(given), NM[system])
    return str(given) if parameter.kind in (Kind.CHOICE, Kind.WOOD) else Fraction(int(given))


def works(scope: Scope, cell: Cell) -> bool:
    """Whether a cell can be worked out."""
    try:
        scope.work_out(cell)
    except BadInput:
        return False
    return True
