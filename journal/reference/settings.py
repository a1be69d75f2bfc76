"""With which settings does a shop start?"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from journal.errors import BadInput, MissingReference
from journal.reference import table

if TYPE_CHECKING:
    from collections.abc import Mapping

    from journal.reference.table import Mark

UNITS = ("in", "ft", "share", "factor", "sd", "count", "minutes", "hours", "days", "F", "pct", "kg", "lb", "in2")


@dataclass(frozen=True, slots=True)
class Allowance:
    """One shop setting to start with.

    Attributes:
        key: its short name.
        value, low, high: the setting and its sensible range, in `unit`.
        unit: `nm` for a length (the table writes inches or feet), else `share`, `factor`, `sd` (of a natural
            logarithm), `count`, `minutes`, `hours`, `days`, `F`, `pct`, `kg`, `lb` or `in2`.
        meaning: what it does, as shown to the user.
    """

    key: str
    value: float
    unit: str
    low: float
    high: float
    meaning: str
    source: str
    mark: Mark

    def __post_init__(self) -> None:
        if not self.low <= self.value <= self.high:
            raise BadInput("value", self.value, f"between its own low ({self.low}) and high ({self.high})")
        if self.unit == "share" and self.high > 1:
            raise BadInput("high", self.high, "a share, 1 at most")

    @property
    def length_nm(self) -> int:
        """The value as a length in nanometres.

        Raises:
            BadInput: when this setting is not a length.
        """
        if self.unit != "nm":
            raise BadInput(self.key, self.unit, "a setting that is a length")
        return int(self.value)


def _allowance(*, unit: str, value: str, low: str, high: str, **cells: object) -> Allowance:
    if unit in ("in", "ft"):
        lengths = {name: _length(cell, unit) for name, cell in (("value", value), ("low", low), ("high", high))}
        return Allowance(unit="nm", **lengths, **cells)  # type: ignore[arg-type]
    numbers = {name: table.number(cell) for name, cell in (("value", value), ("low", low), ("high", high))}
    return Allowance(unit=unit, **numbers, **cells)  # type: ignore[arg-type]


def _length(cell: str, unit: str) -> int:
    return 0 if cell == "0" else table.length(f"{cell} {unit}")


ALLOWANCES = table.Shape(
    file="allowances.csv",
    columns={
        "key": table.text,
        "value": table.text,
        "unit": table.one_of("unit", lambda: UNITS),
        "low": table.text,
        "high": table.text,
        "meaning": table.text,
    },
    build=_allowance,
    key=lambda row: row.key,
)


@cache
def allowances() -> Mapping[str, Allowance]:
    """Shop settings to start with, by key."""
    return table.by_key(table.load_shared(ALLOWANCES), lambda row: row.key)


def allowance(key: str) -> Allowance:
    """One setting.

    Raises:
        MissingReference: listing the known keys.
    """
    found = allowances().get(key)
    if found is None:
        raise MissingReference("setting", key, tuple(allowances()))
    return found
