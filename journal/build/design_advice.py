"""What would make it possible: the nearest single choices with which a cell of a design can be built."""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal import units
from journal.build.design import Kind
from journal.build.design_scope import Scope
from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from journal.build.design import Cell, Design, Given, Parameter

_TRIES = 24


def would_do(design: Design, given: Mapping[str, Given], cell: Cell, good: Callable[[Scope], bool]) -> str:
    """The nearest single choices that make a cell possible, in words; what to change in the text when there are none."""
    on = _stands_on(design, cell)
    movable = [p for p in design.parameters if p.word in on and p.kind in (Kind.LENGTH, Kind.COUNT, Kind.YES_NO)]
    found = [
        f"{parameter.label} {parameter.say(value, design.system)}"
        for parameter in movable
        if (value := _nearest(design, given, parameter, good)) is not None
    ]
    if found:
        return f"{' or '.join(found[:3])} would do"
    if movable:
        return f"no {' or '.join(p.label for p in movable[:3])} within its limits alone would do; mend the formula"
    return "mend the formula"


def _stands_on(design: Design, cell: Cell) -> set[str]:
    found: set[str] = set()
    waiting = list(cell.formula.names)
    while waiting:
        name = waiting.pop()
        if name not in found:
            found.add(name)
            if name in design.worked:
                waiting += design.worked[name].formula.names
    return found


def _nearest(
    design: Design, given: Mapping[str, Given], parameter: Parameter, good: Callable[[Scope], bool]
) -> Given | None:
    """The value of one parameter, others unchanged, that is nearest to its present one and good; None when none is."""
    for value in _candidates(parameter, given[parameter.word], design.system):
        scope = Scope(design, {**given, parameter.word: value})
        try:
            if good(scope):
                return value
        except BadInput:
            continue
    return None


def _candidates(parameter: Parameter, present: Given, system: units.System) -> list[Given]:
    """Other values to try, the nearest first: every small step near the present one, coarse steps to both limits."""
    if parameter.kind is Kind.YES_NO:
        return [not present]
    step = 1
    if parameter.kind is Kind.LENGTH:
        step = units.inches("1/4") if system is units.System.INCH else units.mm(5)
    now = int(present)
    stride = step * max(1, -(-(parameter.high - parameter.low) // (step * _TRIES)))
    values = {*range(parameter.low, parameter.high, stride), parameter.low, parameter.high}
    values |= {now + step * k for k in range(-_TRIES, _TRIES + 1)}
    within = [value for value in values if parameter.low <= value <= parameter.high and value != now]
    return sorted(within, key=lambda value: (abs(value - now), value))
