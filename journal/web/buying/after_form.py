"""The boxes of the page for after cutting: how many offcuts go back, what became of each line of a receipt."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from journal.desk.after_cutting import Fate
from journal.errors import BadInput
from journal.records.words import StockForm
from journal.web import figures, forms
from journal.web.state import in_marks

if TYPE_CHECKING:
    from collections.abc import Mapping

    from journal.desk.after_cutting import After, Bought, Left


@dataclass(frozen=True, slots=True)
class Box:
    """One box: its name in the form, what stands in it, what is wrong with it."""

    name: str
    value: str
    error: str = ""


@dataclass(frozen=True, slots=True)
class OffcutRow:
    """Offcuts of one size, and how many of them go back."""

    left: Left
    back: Box


@dataclass(frozen=True, slots=True)
class LineRow:
    """A line of a receipt: told or not yet, how many were used, how many were bad."""

    bought: Bought
    told: bool
    used: Box
    rejected: Box

    @property
    def lot(self) -> bool:
        """Whether it is a lot of hardwood, told by its board feet."""
        return self.bought.form is StockForm.ROUGH


@dataclass(frozen=True, slots=True)
class AfterRows:
    """All boxes of the page."""

    offcuts: tuple[OffcutRow, ...]
    lines: tuple[LineRow, ...]

    @property
    def wrong(self) -> bool:
        """Whether any box could not be read."""
        boxes = [row.back for row in self.offcuts] + [box for row in self.lines for box in (row.used, row.rejected)]
        return any(box.error for box in boxes)


def rows_for(after: After) -> AfterRows:
    """The boxes, filled in with what the plan says."""
    offcuts = tuple(OffcutRow(left, Box(f"back-{left.key}", str(left.count))) for left in after.left)
    lines = tuple(
        LineRow(
            bought,
            told=False,
            used=Box(f"used-{bought.line.id}", figures.number(bought.cut)),
            rejected=Box(f"bad-{bought.line.id}", "0"),
        )
        for bought in after.bought
    )
    return AfterRows(offcuts, lines)


def read(rows: AfterRows, sent: Mapping[str, str]) -> AfterRows:
    """What was typed; faults stand at their boxes, the text stays as typed."""
    offcuts = tuple(replace(row, back=_read(row.back, sent, row.left.count)) for row in rows.offcuts)
    return AfterRows(offcuts, tuple(_line(row, sent) for row in rows.lines))


def back(rows: AfterRows) -> dict[str, int]:
    """How many offcuts go back, by key; none of those with a 0."""
    counts = {row.left.key: int(row.back.value or 0) for row in rows.offcuts}
    return {key: count for key, count in counts.items() if count}


def fates(rows: AfterRows) -> list[Fate]:
    """What became of the lines that are ticked."""
    return [
        Fate(row.bought.line.id, float(row.used.value or 0), float(row.rejected.value or 0))
        for row in rows.lines
        if row.told
    ]


def _line(row: LineRow, sent: Mapping[str, str]) -> LineRow:
    told = f"told-{row.bought.line.id}" in sent
    if not told:
        return replace(row, told=False)
    most = row.bought.line.quantity
    used, rejected = (_read(box, sent, most) for box in (row.used, row.rejected))
    together = 0.0 if used.error or rejected.error else float(used.value or 0) + float(rejected.value or 0)
    if together > most:
        rejected = replace(rejected, error=in_marks(f"Used and bad are {together:g} together, bought {most:g}."))
    return replace(row, told=True, used=used, rejected=rejected)


def _read(box: Box, sent: Mapping[str, str], most: float) -> Box:
    text = sent.get(box.name, "").strip()
    if not text:
        return replace(box, value="")
    expected = f"a whole number from 0 to {most:g}"
    try:
        value = forms.read_number(text, "number", expected)
    except BadInput as refusal:
        return Box(box.name, text, forms.explain(refusal))
    if not 0 <= value <= most or value != value.to_integral_value():
        return Box(box.name, text, f"Read “{text}”, expected {expected}.")
    return Box(box.name, str(int(value)))
