"""The settings of a shop by key: read as they are typed, held to the range that makes sense."""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal import reference, units
from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Mapping

Allowances = dict[str, float]


def allowances(typed: Mapping[str, tuple[str, str]]) -> Allowances:
    """Every setting by key, in the unit of its table (lengths in nm); `typed` holds (value, unit) of changed ones.

    Raises:
        BadInput: a changed setting that cannot be read.
    """
    found: Allowances = {key: entry.value for key, entry in reference.allowances().items()}
    for key, (value, _unit) in typed.items():
        if key in found:
            found[key] = read_allowance(key, value)
    return found


def read_allowance(key: str, text: str, system: units.System = units.System.INCH) -> float:
    """One setting as typed: a length for lengths, a number or a percentage otherwise, inside the table's range.

    Raises:
        MissingReference: no such setting.
        BadInput: not readable, or outside the range that makes sense; says the range.
    """
    entry = reference.allowance(key)
    name = entry.meaning
    if entry.unit == "nm":
        value = float(units.parse_length(text, system=system, field=name, allow_zero=True))
        low, high = (units.format_length(int(end), system) for end in (entry.low, entry.high))
    else:
        cleaned = text.strip().removesuffix("%").strip()
        try:
            value = float(cleaned)
        except ValueError:
            raise BadInput(name, text, f"a number from {entry.low:g} to {entry.high:g}") from None
        value = value / 100 if text.strip().endswith("%") else value
        low, high = f"{entry.low:g}", f"{entry.high:g}"
    if not entry.low <= value <= entry.high:
        raise BadInput(name, text, f"{low} to {high}")
    return value
