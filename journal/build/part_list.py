"""A table of parts as people keep it: commas, tabs or semicolons, headings in their own words, sizes in their own units.

Reading goes on to the end and reports every bad cell by line and column; nothing of a list with a bad cell is taken.
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from journal import reference, units
from journal.build.features import parse_features
from journal.build.parts import Along, Faces, Feature, Part, parse_faces
from journal.errors import BadInput, BadRows, JournalError, MissingReference, Problem

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

LARGEST_BYTES = 2_000_000
MOST_ROWS = 2_000
MOST_COLUMNS = 100
COLUMNS = ("label", "qty", "thickness", "width", "length", "stock", "strips", "along", "faces", "features", "note")
_REQUIRED = ("label", "thickness", "width", "length")

_HEADINGS = {
    "label": "label part parts name piece item description what",
    "qty": "qty quantity count pieces pcs number no howmany # each",
    "thickness": "thickness thick t th thk",
    "width": "width wide w wd",
    "length": "length long l len lg",
    "stock": "stock material materials wood lumber timber species from madefrom",
    "strips": "strips strip laminations lamination lams lam plies layers boards",
    "along": "along laminatedalong stripsalong dimension direction laminated across stripdimension",
    "faces": "faces face facesfinished finishedfaces finish finished sides sidesfinished",
    "features": "features feature joints work machining holesandjoints",
    "note": "note notes remark remarks comment comments",
}
_HEADING_OF = {word: column for column, words in _HEADINGS.items() for word in words.split()}
_UNIT_WORDS = {
    "in": "in inch inches",
    "mm": "mm millimetre millimetres millimeter millimeters",
    "cm": "cm centimetre centimetres centimeter centimeters",
    "m": "m metre metres meter meters",
    "ft": "ft foot feet",
}
_UNIT_OF = {word: unit for unit, words in _UNIT_WORDS.items() for word in words.split()}
_MARKS = {'"': "in", "''": "in", "'": "ft"}
_SYSTEM_OF = {"in": units.System.INCH, "mm": units.System.METRIC}
_NEGATIVE = re.compile(r"-\s*[\d.,][\d\s.,/¼½¾⅛⅜⅝⅞]*[^\W\d_]*[\"'′″]*")  # a number and its unit: no spreadsheet runs it
_NOTHING = ("0", "-", "–", "—", "no", "none")
_ALONG_WORDS = {
    Along.WIDTH: "width w wide across sidebyside alongwidth edge onedge",
    Along.THICKNESS: "thickness t thick facetoface alongthickness face stacked",
}
_ALONG_OF = {word: along for along, words in _ALONG_WORDS.items() for word in words.split()}


@dataclass(frozen=True, slots=True)
class Reading:
    """What a part list held: the parts, every bad cell, and what was understood without being said."""

    source: str
    parts: tuple[Part, ...]
    problems: tuple[Problem, ...]
    notes: tuple[str, ...] = ()

    def taken(self) -> tuple[Part, ...]:
        """The parts, all of them.

        Raises:
            BadRows: when any cell was bad.
        """
        if self.problems:
            raise BadRows(self.source, self.problems)
        return self.parts


def read(content: bytes | str, *, source: str = "part list", system: units.System = units.System.INCH) -> Reading:
    """Read a part list.

    Args:
        content: the file or what was pasted; UTF-8 (with or without mark) or UTF-16.
        source: its name, for messages.
        system: what a bare number means, inches or millimetres; a heading such as “length (mm)” overrides it.
    """
    try:
        rows = _table(_text(content))
    except BadInput as refused:
        return Reading(source, (), (Problem(1, "", f"{refused.received}: {refused.expected}"),))
    return _Reader(source, system).read(rows)


def _text(content: bytes | str) -> str:
    if len(content) > LARGEST_BYTES:
        raise BadInput(
            "file", f"{len(content):,} bytes", f"a part list under {LARGEST_BYTES:,} bytes; is this the right file?"
        )
    if isinstance(content, bytes):
        encoding = "utf-16" if content[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
        try:
            content = content.decode(encoding)
        except UnicodeDecodeError:
            raise BadInput("file", "not text", "a CSV or tab-separated text file saved as UTF-8") from None
    if "\x00" in content:
        raise BadInput("file", "not text", "a CSV or tab-separated text file; a spreadsheet must be saved as CSV first")
    content = content.lstrip("\ufeff")
    if not content.strip():
        raise BadInput(
            "file", "empty", "a row of headings (label, qty, thickness, width, length, stock …) and a row a part"
        )
    return content


def _table(text: str) -> list[tuple[int, list[str]]]:
    rows = list(_rows(text))
    if not rows:
        raise BadInput("file", "nothing but separators", "a row of headings and a row a part")
    return rows


def _rows(text: str) -> Iterable[tuple[int, list[str]]]:
    """Rows that hold something, each with the line it starts on; the delimiter is the one the heading row uses most."""
    first = next(line for line in text.splitlines() if line.strip())
    delimiter = max("\t,;|", key=first.count)
    if not first.count(delimiter):
        raise BadInput(
            "file", "one column only", "columns separated by commas, tabs or semicolons, with headings in the first row"
        )
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    starts_on = 1
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                yield starts_on, [cell.strip() for cell in row]
            starts_on = reader.line_num + 1
    except csv.Error as broken:
        raise BadInput(
            "file", f"line {reader.line_num} cannot be read ({broken})", "a CSV or tab-separated text file"
        ) from None


def _heading_key(text: str) -> str:
    return re.sub(r"[^a-z#]", "", text.lower())


@dataclass(frozen=True, slots=True)
class _Column:
    kind: str  # one of COLUMNS, or "feature"
    heading: str
    system: units.System | None = None
    feature: str = ""
    unit: str = ""  # of bare numbers under the heading, where it is neither inches nor millimetres


class _Reader:
    """One pass over a table; collects problems instead of stopping at the first."""

    def __init__(self, source: str, system: units.System) -> None:
        self.source = source
        self.system = system
        self.problems: list[Problem] = []
        self.notes: list[str] = []

    def read(self, rows: Sequence[tuple[int, list[str]]]) -> Reading:
        heading_line, headings = rows[0]
        if len(headings) > MOST_COLUMNS:
            self._problem(heading_line, "", f"{len(headings):,} columns; a part list has at most {MOST_COLUMNS}")
            return Reading(self.source, (), tuple(self.problems))
        columns = self._columns(heading_line, headings)
        if not self.problems and len(rows) == 1:
            self._problem(heading_line, "", "there are headings but no parts under them; add a row a part")
        if len(rows) - 1 > MOST_ROWS:
            self._problem(heading_line, "", f"{len(rows) - 1:,} rows; a part list has at most {MOST_ROWS:,}")
        if self.problems:
            return Reading(self.source, (), tuple(self.problems))
        parts: list[Part] = []
        seen: dict[str, int] = {}
        for line, cells in rows[1:]:
            part = self._part(line, cells, columns)
            if part is None:
                continue
            label = part.label.casefold()
            if label in seen:
                self._problem(
                    line,
                    "label",
                    f"“{part.label}” is already on line {seen[label]}; give each part its own label, or raise qty there",
                )
            seen.setdefault(label, line)
            parts.append(part)
        return Reading(self.source, tuple(parts), tuple(sorted(self.problems, key=lambda p: p.line)), tuple(self.notes))

    def _problem(self, line: int, column: str, message: str) -> None:
        self.problems.append(Problem(line, column, message))

    def _columns(self, line: int, headings: list[str]) -> list[_Column | None]:
        if _looks_like_a_part(headings):
            self._problem(
                line,
                "",
                "this row looks like a part; put a row of headings above it: label, qty, thickness, width, length …",
            )
            return []
        columns = [self._column(line, heading) for heading in headings]
        kinds = [column.kind for column in columns if column and column.kind != "feature"]
        for kind in _REQUIRED:
            if kind not in kinds:
                self._problem(
                    line,
                    kind,
                    f"no column for {kind}; headings read: {', '.join(h[:20] for h in headings[:12] if h) or 'none'}",
                )
        for kind in sorted({kind for kind in kinds if kinds.count(kind) > 1}):
            self._problem(line, kind, f"two columns are read as {kind}; rename one")
        return columns

    def _column(self, line: int, heading: str) -> _Column | None:
        if not heading:
            return None
        bare = re.sub(r"[(\[].*?[)\]]", "", heading).replace("_", " ")
        unit = _heading_unit(heading)
        system = _SYSTEM_OF.get(unit)
        other = "" if system else unit
        without_unit = re.sub(rf"\b({'|'.join(_UNIT_OF)})\b", "", bare, flags=re.IGNORECASE)
        for text in (bare, without_unit):
            kind = _HEADING_OF.get(_heading_key(text))
            if kind:
                return _Column(kind, heading, system, unit=other)
        try:
            return _Column("feature", heading, system, reference.find_feature(without_unit).word, other)
        except MissingReference:
            self._problem(
                line,
                heading[:40],
                f"this heading is not known; use {', '.join(COLUMNS)}, or a feature such as holes or screws",
            )
            return None

    def _part(self, line: int, cells: list[str], columns: list[_Column | None]) -> Part | None:
        before = len(self.problems)
        extra = [cell for cell in cells[len(columns) :] if cell]
        if extra:
            self._problem(
                line, "", f"more cells than headings ({extra[0][:30]!r}); put a text that holds the separator in quotes"
            )
        found: dict[str, tuple[_Column, str]] = {}
        features: list[Feature] = []
        formulas: set[str] = set()
        for column, cell in zip(columns, cells, strict=False):
            if column is None or not cell:
                continue
            if looks_like_formula(cell):
                self._problem(line, column.heading, f"“{cell[:30]}” looks like a spreadsheet formula; paste its value")
                formulas.add(column.kind)
            elif column.kind in ("feature", "features"):
                features += self._features(line, column, cell)
            else:
                found[column.kind] = (column, cell)
        values = {kind: self._value(line, kind, *entry) for kind, entry in found.items()}
        for kind in _REQUIRED:
            if kind not in found and kind not in formulas:
                self._problem(line, kind, f"nothing here; every part needs a {kind}")
        if len(self.problems) > before:
            return None
        return self._built(line, values, features)

    def _value(self, line: int, kind: str, column: _Column, cell: str) -> Any:  # noqa: ANN401 - a cell's own kind
        try:
            if kind in ("thickness", "width", "length"):
                return units.parse_length(_with_unit(cell, column), system=column.system or self.system, field=kind)
            if kind == "qty":
                return _whole(kind, cell)
            if kind == "strips":
                return parse_strips(cell)
            if kind == "along":
                return parse_along(cell)
            if kind == "faces":
                return parse_faces(cell)
        except JournalError as refused:
            self._problem(line, column.heading, str(refused))
            return None
        return cell

    def _features(self, line: int, column: _Column, cell: str) -> list[Feature]:
        if cell.lower() in _NOTHING:
            return []
        text = f"{column.feature} {_with_unit(cell, column)}" if column.feature else cell
        try:
            said = bool(column.feature and column.system)
            return parse_features(text, system=column.system or self.system, bare_lengths=said)
        except JournalError as refused:
            self._problem(line, column.heading, str(refused))
            return []

    def _mention_uncounted(self, line: int, part: Part) -> None:
        """A note that speaks of a feature nobody counted is worth a word: a vise costs money."""
        for word in re.findall(r"[a-z]{4,}", part.note.lower()):
            try:
                found = reference.find_feature(word).word
            except MissingReference:
                continue
            if found not in {feature.word for feature in part.features}:
                self.notes.append(
                    f"line {line}: {part.label}: the note mentions “{word}”; to count it, put it under features"
                )
                return

    def _built(self, line: int, values: dict[str, Any], features: list[Feature]) -> Part | None:
        along: Along | None = values.get("along")
        # A part said to be laminated, with no number of strips beside it, has them worked out.
        strips, said_with_strips = values.get("strips") or (0 if along else 1, None)
        along = along or said_with_strips
        try:
            part = Part(
                label=values["label"][:120],
                quantity=values.get("qty", 1),
                thickness_nm=values["thickness"],
                width_nm=values["width"],
                length_nm=values["length"],
                stock=values.get("stock", ""),
                faces=values.get("faces") or Faces(),
                features=tuple(features),
                note=values.get("note", ""),
            )
            self._mention_uncounted(line, part)
            if strips == 1:
                return part
            if along is None:
                along = likely_along(part, strips)
                self.notes.append(
                    f"line {line}: {part.label}: {strips or 'the'} strips taken to add up along the {along}"
                )
            return replace(part, strips=strips, along=along)
        except BadInput as refused:
            self._problem(line, refused.field, str(refused))
            return None


def _looks_like_a_part(headings: Sequence[str]) -> bool:
    """Whether a list begins without headings: several of its first cells are numbers, and none is a known heading."""
    numbers = sum(1 for cell in headings if re.match(r"[\d¼½¾⅛⅜⅝⅞]", cell))
    return numbers >= 3 and not any(_heading_key(cell) in _HEADING_OF for cell in headings)


def looks_like_formula(cell: str) -> bool:
    """Whether a spreadsheet would run the cell: it starts with =, +, @, or a minus that is not just a number's."""
    return cell[:1] in ("=", "+", "@", "\t", "\r") or (
        cell[:1] == "-" and len(cell) > 1 and not _NEGATIVE.fullmatch(cell)
    )


def _heading_unit(heading: str) -> str:
    """The unit a heading names: in brackets, or as its last word; nothing when it names none."""
    words = re.findall(r"[a-z]+|[\"']+", heading.lower())
    bracketed = re.findall(r"[(\[]\s*([a-z]+|[\"']+)\.?\s*[)\]]", heading.lower())
    for word in (*bracketed, *words[1:][-1:]):
        if word in _UNIT_OF or word in _MARKS:
            return _UNIT_OF.get(word) or _MARKS[word]
    return ""


def _with_unit(cell: str, column: _Column) -> str:
    """A bare number under a heading in feet, centimetres or metres, with that unit said."""
    return cell if not column.unit or re.search(r"[a-zA-Z\"'′″’”]", cell) else f"{cell} {column.unit}"


def _whole(field: str, cell: str) -> int:
    if not re.fullmatch(r"[0-9]{1,9}(\.0+)?", cell):
        raise BadInput(field, cell, "a whole number of 1 or more")
    return int(float(cell))


def parse_strips(text: str) -> tuple[int, Along | None]:
    """How many strips, and along which dimension if the cell says so: “16”, “16 along width”, “3 thickness”, “auto”.

    Returns:
        (count, along): count 1 for a solid part, 0 to be worked out; along None when not said.

    Raises:
        BadInput: for anything else.
    """
    expected = "a number of strips such as 16, “16 along width”, “3 along thickness”, or auto"
    match = re.fullmatch(r"\s*([0-9]{1,6}(?:\.0+)?(?![0-9.,/])|auto)\s*(.*)", text.lower()[:80])
    if not match:
        raise BadInput("strips", text, expected)
    count = 0 if match[1] == "auto" else int(float(match[1]))
    if count == 0 and match[1] != "auto":
        count = 1
    said = re.sub(r"^(strips?|boards?|laminations?|plies|layers)\b", "", match[2].strip()).strip()
    if not said:
        return count, None
    along = parse_along(said)
    return count, along


def parse_along(text: str) -> Along | None:
    """Which dimension the strips add up to; None for a blank or “none”.

    Raises:
        BadInput: for another word.
    """
    key = _heading_key(text)
    if key in ("none", "solid") or text.strip() in ("", "-", "–", "—"):
        return None
    if key in _ALONG_OF:
        return _ALONG_OF[key]
    for word in sorted(_ALONG_OF, key=len, reverse=True):
        if len(word) > 3 and word in key:
            return _ALONG_OF[word]
    raise BadInput("along", text, "width (strips side by side) or thickness (strips face to face)")


def likely_along(part: Part, strips: int) -> Along:
    """Along which dimension strips add up when nobody said: the one that gives the more likely strip.

    Common practice: a strip of a dressed 2-by ends near 1⅜ in; so of the two, the one nearer to it. Counts to be worked
    out (0) go along the wider dimension.

    Raises:
        BadInput: when neither gives a strip between ⅜ in and 3 in.
    """
    if strips == 0:
        return Along.WIDTH if part.width_nm >= part.thickness_nm else Along.THICKNESS
    usual = units.inches("1 3/8")
    options = [
        (abs(size_nm / strips - usual), along)
        for size_nm, along in ((part.width_nm, Along.WIDTH), (part.thickness_nm, Along.THICKNESS))
        if units.inches("3/8") <= size_nm / strips <= units.inches(3)
    ]
    if not options:
        raise BadInput(
            "strips",
            strips,
            "a number that leaves strips from ⅜ in to 3 in thick; say “along width” or “along thickness”",
        )
    return min(options)[1]
