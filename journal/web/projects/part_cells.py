"""A part list as boxes to fill in, and back: what a box shows, sent again unchanged, is the very same part."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING

from journal import units
from journal.build.features import features_text
from journal.build.part_list import MOST_ROWS, read
from journal.errors import BadInput, Problem
from journal.web.state import in_marks, pointed

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from werkzeug.datastructures import MultiDict

    from journal.build.parts import Part

HEADINGS = {
    "label": "Part",
    "qty": "Qty",
    "thickness": "Thick",
    "width": "Wide",
    "length": "Long",
    "stock": "Stock",
    "strips": "Strips",
    "faces": "Finish on",
    "features": "Holes, joints, fittings",
    "note": "Note",
}
SIZES = ("thickness", "width", "length")
_MARKED = (*SIZES, "features")  # numbers stand in these boxes as the shop writes them
_UID = re.compile(r"[0-9a-f]{32}")
_HEADING_LINES = 1
_UNIT = {units.System.INCH: "in", units.System.METRIC: "mm"}


@dataclass(frozen=True, slots=True)
class Cell:
    """One box: its column, what stands in it, what is wrong with it."""

    key: str
    heading: str
    value: str
    errors: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Row:
    """One part being edited.

    Attributes:
        number: tells the boxes of one row from those of another; nothing else.
        uid: the part's identity; empty for a new one.
        cells: by column, in their order.
        removed: ticked to go.
        errors: what is wrong with the row as a whole.
    """

    number: int
    uid: str
    cells: tuple[Cell, ...]
    removed: bool = False
    errors: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """What the row is called when it is spoken of."""
        return self.cells[0].value or f"new part {self.number + 1}"

    @property
    def wrong(self) -> bool:
        """Whether anything in it could not be read."""
        return bool(self.errors) or any(cell.errors for cell in self.cells)

    @property
    def blank(self) -> bool:
        """Whether nothing was filled in."""
        return not any(cell.value for cell in self.cells)


@dataclass(frozen=True, slots=True)
class Typed:
    """Rows as they were sent, the parts they are, and what was understood without being said."""

    rows: tuple[Row, ...]
    parts: tuple[Part, ...]
    notes: tuple[str, ...] = ()
    errors: tuple[str, ...] = ()

    @property
    def refused(self) -> bool:
        """Whether anything in it could not be read; there are no parts then."""
        return bool(self.errors) or any(row.wrong for row in self.rows)


def headings(system: units.System) -> tuple[tuple[str, str], ...]:
    """(key, heading) of each column; sizes name their unit."""
    unit = _UNIT[system]
    return tuple((key, f"{text}, {unit}" if key in SIZES else text) for key, text in HEADINGS.items())


def size_text(length_nm: int, system: units.System) -> str:
    """A size without its unit as short as it can be and still reads back exactly; in mm, named, where no fraction does."""
    for denominator in (16, 32, 64):
        text = units.format_length(length_nm, system, denominator=denominator, unit=False)
        if units.parse_length(text, system=system, allow_zero=True) == length_nm:
            return text
    return _millimetres(length_nm)


def _millimetres(length_nm: int) -> str:
    return f"{(Decimal(length_nm) / units.NM_PER_MM).normalize():f} mm"


def strips_text(part: Part) -> str:
    """“1”, “20 along width”, “auto along thickness”."""
    return f"{part.strips or 'auto'} along {part.along.value}" if part.laminated else "1"


def texts_of(part: Part, system: units.System) -> dict[str, str]:
    """What each box of a part shows, by column."""
    return {
        "label": part.label,
        "qty": str(part.quantity),
        "thickness": size_text(part.thickness_nm, system),
        "width": size_text(part.width_nm, system),
        "length": size_text(part.length_nm, system),
        "stock": part.stock,
        "strips": strips_text(part),
        "faces": str(part.faces),
        "features": features_text(part.features, system),
        "note": part.note,
    }


def rows_of(parts: Sequence[Part], system: units.System) -> tuple[Row, ...]:
    """A row a part."""
    return tuple(_row(number, part.uid, _shown(part, system), system) for number, part in enumerate(parts))


def _shown(part: Part, system: units.System) -> dict[str, str]:
    return {key: in_marks(text) if key in _MARKED else text for key, text in texts_of(part, system).items()}


def blank_row(number: int, system: units.System) -> Row:
    """A row for a part to come."""
    return _row(number, "", {}, system)


def _row(number: int, uid: str, texts: dict[str, str], system: units.System, *, removed: bool = False) -> Row:
    cells = tuple(Cell(key, heading, texts.get(key, "")) for key, heading in headings(system))
    return Row(number, uid, cells, removed)


def rows_sent(sent: MultiDict[str, str], system: units.System) -> tuple[Row, ...]:
    """The rows of a form that was sent: `row` numbers them in their order, boxes are named <column>-<number>."""
    numbers = [text for text in sent.getlist("row") if text.isascii() and text.isdigit()][: MOST_ROWS + 1]
    return tuple(
        _row(
            place,
            uid if _UID.fullmatch(uid := sent.get(f"uid-{number}", "")) else "",
            {key: " ".join(sent.get(f"{key}-{number}", "").split()) for key in HEADINGS},
            system,
            removed=f"remove-{number}" in sent,
        )
        for place, number in enumerate(numbers)
    )


def read_rows(rows: Sequence[Row], system: units.System) -> Typed:
    """The parts of the rows that are filled in and not ticked to go; every bad box is named where it stands."""
    live = [row for row in rows if not row.removed and not row.blank]
    if not live:
        return Typed(tuple(rows), ())
    unclear = [problem for line, row in enumerate(live, _HEADING_LINES + 1) for problem in _unclear(row, line)]
    if unclear:
        wrong = {row.number: _with_problems(row, line, unclear) for line, row in enumerate(live, _HEADING_LINES + 1)}
        return Typed(tuple(wrong.get(row.number, row) for row in rows), ())
    reading = read(_as_csv([_pointed(row) for row in live]), source="part list", system=system)
    notes = tuple(re.sub(r"^line \d+: ", "", note) for note in reading.notes)
    if not reading.problems:
        uids = [row.uid for row in live]
        return Typed(tuple(rows), tuple(replace(p, uid=uid) for p, uid in zip(reading.parts, uids, strict=True)), notes)
    wrong = {
        row.number: _with_problems(row, line, reading.problems) for line, row in enumerate(live, _HEADING_LINES + 1)
    }
    errors = tuple(problem.message for problem in reading.problems if problem.line <= _HEADING_LINES)
    return Typed(tuple(wrong.get(row.number, row) for row in rows), (), notes, errors)


def as_csv(parts: Sequence[Part], system: units.System) -> str:
    """The list as a file, with plain decimals, so that a spreadsheet takes no fraction for a date."""
    listed = [{**texts_of(part, system), **_plain_sizes(part, system)} for part in parts]
    return _as_csv(listed, {key: f"{key} ({_UNIT[system]})" if key in SIZES else key for key in HEADINGS})


def _plain_sizes(part: Part, system: units.System) -> dict[str, str]:
    sizes = (part.thickness_nm, part.width_nm, part.length_nm)
    return dict(zip(SIZES, (_plain_size(size, system) for size in sizes), strict=True))


def _plain_size(length_nm: int, system: units.System) -> str:
    per_unit = units.NM_PER_INCH if system is units.System.INCH else units.NM_PER_MM
    value = Fraction(length_nm, per_unit)
    if 10**6 % value.denominator:  # 1/64 in has six decimals; what has more is said in mm
        return _millimetres(length_nm)
    return f"{(Decimal(value.numerator) / value.denominator).normalize():f}"


def _as_csv(listed: Sequence[dict[str, str]], named: dict[str, str] | None = None) -> str:
    names = named or {key: key for key in HEADINGS}
    text = io.StringIO()
    writer = csv.DictWriter(text, list(HEADINGS), lineterminator="\n")
    writer.writerow(names)
    writer.writerows(listed)
    return text.getvalue()


def _pointed(row: Row) -> dict[str, str]:
    """What was typed in each box, as the part list is read."""
    return {cell.key: pointed(cell.value, cell.heading) if cell.key in _MARKED else cell.value for cell in row.cells}


def _unclear(row: Row, line: int) -> Iterator[Problem]:
    """Numbers with two readings."""
    for cell in row.cells:
        try:
            pointed(cell.value if cell.key in _MARKED else "", cell.heading)
        except BadInput as refusal:
            yield Problem(line, cell.key, in_marks(f"{cell.heading}: expected {refusal.expected}"))


def _with_problems(row: Row, line: int, problems: Sequence[Problem]) -> Row:
    mine = [problem for problem in problems if problem.line == line]
    cells = tuple(replace(cell, errors=tuple(said(p) for p in mine if p.column == cell.key)) for cell in row.cells)
    placed = {cell.key for cell in row.cells}
    return replace(row, cells=cells, errors=tuple(p.message for p in mine if p.column not in placed))


def said(problem: Problem) -> str:
    """A problem beside the name of its box, which need not be said again."""
    text = re.sub(r"^[\w ]{1,20}: ", "", problem.message)
    return text[:1].upper() + text[1:]


def what_changed(before: Sequence[Part], after: Sequence[Part]) -> str:
    """In a few words, for the history: “Top changed; Shelf added; Chop removed”."""
    old, new = ({part.uid: part for part in listed if part.uid} for listed in (before, after))
    changed = [part.label for uid, part in new.items() if uid in old and part != old[uid]]
    added = [part.label for part in after if part.uid not in old]
    removed = [part.label for uid, part in old.items() if uid not in new]
    said = [
        f"{_some(names)} {word}"
        for names, word in ((changed, "changed"), (added, "added"), (removed, "removed"))
        if names
    ]
    return "; ".join(said) or "put in another order"


def _some(names: Sequence[str]) -> str:
    shown = ", ".join(name[:40] for name in names[:3])
    return shown + (f" and {len(names) - 3} more" if len(names) > 3 else "")


def decoded(content: bytes) -> str:
    """An uploaded file as the text to mend, where it is text."""
    encoding = "utf-16" if content[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    return "" if b"\x00" in content and encoding != "utf-16" else content.decode(encoding, errors="replace")
