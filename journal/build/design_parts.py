"""From a design and what was chosen: the parts of one bench, and where its pieces stand.

Everything is worked out in exact fractions of the design's unit; a finished size is then rounded to 1/64 in, or to
0.1 mm in a metric design.
"""

from __future__ import annotations

import itertools
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from journal import units
from journal.build.design_advice import would_do
from journal.build.design_scope import NM, Scope, works
from journal.build.parts import LONGEST_NM, MOST_OF_A_KIND, MOST_STRIPS, SMALLEST_NM, Along, Feature, Part
from journal.errors import BadInput, BadRows, Problem
from journal.reference import features as known_features

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from journal.build.design import Cell, Design, Given, Row

# Pieces beyond this are a slip of a formula, and no drawing shows them.
MOST_PIECES = 400


@dataclass(frozen=True, slots=True)
class Box:
    """A piece as a box: its part's label; the corner nearest to the left front foot, and its sizes, along x, y, z in nm.

    `stacked` is the direction (0 to 2 for x, y, z) in which its strips are stacked; None for solid wood.
    """

    label: str
    corner_nm: tuple[int, int, int]
    size_nm: tuple[int, int, int]
    stacked: int | None = None

    @property
    def far_nm(self) -> tuple[int, int, int]:
        """The opposite corner."""
        x, y, z = (a + b for a, b in zip(self.corner_nm, self.size_nm, strict=True))
        return (x, y, z)


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole seen from above: its middle and the width across it, in nm."""

    x_nm: int
    y_nm: int
    across_nm: int


@dataclass(frozen=True, slots=True)
class Marked:
    """A dimension to draw in a view: between two places along one of its directions, in nm."""

    view: str
    upright: bool
    start_nm: int
    end_nm: int


@dataclass(frozen=True, slots=True)
class Made:
    """One bench of a design.

    Attributes:
        parts: its part list.
        outer_nm: its length, depth and height.
        boxes, holes, measures: for its drawing.
        given: what was chosen, defaults filled in.
    """

    parts: tuple[Part, ...]
    outer_nm: tuple[int, int, int]
    boxes: tuple[Box, ...]
    holes: tuple[Hole, ...]
    measures: tuple[Marked, ...]
    given: Mapping[str, Given]


def make_parts(design: Design, given: Mapping[str, Given]) -> tuple[Part, ...]:
    """The part list of one bench; what `given` leaves out is at its default. Raises as `make`."""
    return make(design, given).parts


def make(design: Design, given: Mapping[str, Given]) -> Made:
    """One bench of a design, with these choices.

    Raises:
        BadInput: a choice that the design does not have, or that is outside its limits.
        BadRows: every cell that cannot be worked out or comes to what no bench has; says what would make it possible.
    """
    return _Maker(design, complete(design, given)).make()


def complete(design: Design, given: Mapping[str, Given], system: units.System | None = None) -> dict[str, Given]:
    """Every parameter: as chosen, else at its default.

    Raises:
        BadInput: an unknown name, or a value outside its limits.
    """
    for word in given:
        if design.parameter(word) is None:
            known = ", ".join(parameter.word for parameter in design.parameters)
            raise BadInput(design.title, word, f"one of its parameters: {known}")
    found = {**design.defaults, **given}
    for parameter in design.parameters:
        parameter.check(found[parameter.word], system or design.system)
    return found


class _Maker:
    """Makes one bench; collects problems instead of stopping at the first."""

    def __init__(self, design: Design, given: dict[str, Given]) -> None:
        self.design = design
        self.given = given
        self.scope = Scope(design, given)
        self.problems: list[Problem] = []
        self.told: set[str] = set()

    def make(self) -> Made:
        outer = [
            self._size(cell) for cell in (self.design.outer.length, self.design.outer.depth, self.design.outer.height)
        ]
        parts: list[Part] = []
        boxes: list[Box] = []
        holes: list[Hole] = []
        for row in self.design.rows:
            part = self._part(row)
            if part:
                parts.append(part)
                boxes += self._boxes(row, part)
                holes += self._holes(row)
        measures = [self._measure(index) for index in range(len(self.design.measures))]
        if not parts and not self.problems:
            self.problems.append(Problem(self.design.rows[0].line, "parts", "none is built with these choices"))
        if self.problems:
            raise BadRows(self.design.title, self.problems)
        length, depth, height = (size or 0 for size in outer)
        marked = tuple(measure for measure in measures if measure)
        return Made(tuple(parts), (length, depth, height), tuple(boxes), tuple(holes), marked, dict(self.given))

    # Cells

    def _told(self, cell: Cell, message: str, good: Callable[[Scope], bool]) -> None:
        """Tell of a cell, once, and of the nearest choices that would make it possible."""
        cause = self._cause(cell)
        if cause.place in self.told:
            return
        self.told.add(cause.place)
        advice = would_do(self.design, self.given, cell, good)
        self.problems.append(Problem(cause.line, cause.place, f"{message}; {advice}"))

    def _cause(self, cell: Cell) -> Cell:
        """The first cell that cannot be worked out among those this one stands on; else the cell itself."""
        for name in sorted(cell.formula.names & self.design.worked.keys()):
            if not works(self.scope, self.design.worked[name]):
                return self._cause(self.design.worked[name])
        return cell

    def _number(self, cell: Cell, accept: Callable[[Fraction], bool], expected: str) -> Fraction | None:
        def good(scope: Scope) -> bool:
            return accept(scope.number(cell))

        try:
            found = self.scope.number(cell)
        except BadInput as refused:
            self._told(
                cell, f"“{str(refused.received).strip()}” cannot be worked out, expected {refused.expected}", good
            )
            return None
        if not accept(found):
            self._told(cell, f"“{cell.formula.text.strip()}” comes to {_plain(found)}, expected {expected}", good)
            return None
        return found

    def _count(self, cell: Cell, most: int) -> int | None:
        found = self._number(
            cell,
            lambda value: value.denominator == 1 and 0 <= value <= most,
            f"a whole number from 0 to {most:,} (floor( ) and ceil( ) make it whole)",
        )
        return None if found is None else int(found)

    def _size(self, cell: Cell) -> int | None:
        nm = NM[self.design.system]
        unit = "in" if self.design.system is units.System.INCH else "mm"
        least, most = (_plain(Fraction(end, nm)) for end in (SMALLEST_NM, LONGEST_NM))
        found = self._number(
            cell, lambda value: SMALLEST_NM <= value * nm <= LONGEST_NM, f"a size from {least} to {most} {unit}"
        )
        return None if found is None else self.scope.length_nm(cell)

    # Parts

    def _part(self, row: Row) -> Part | None:
        built = self._number(row.when, lambda _: True, "yes or no") if row.when else Fraction(1)
        quantity = self._count(row.quantity, MOST_OF_A_KIND) if built else 0
        if not built or not quantity:
            return None
        thickness, width, length = (self._size(cell) for cell in (row.thickness, row.width, row.length))
        strips = self._count(row.strips, MOST_STRIPS) if row.strips else int(row.along is Along.NONE)
        features = [self._feature(word, cell) for word, cell in row.features]
        if thickness is None or width is None or length is None or strips is None:
            return None
        try:
            return Part(
                label=row.label,
                quantity=quantity,
                thickness_nm=thickness,
                width_nm=width,
                length_nm=length,
                stock=self._stock(row.stock),
                strips=strips,
                # One strip is solid wood, whichever way it would have been glued.
                along=Along.NONE if strips == 1 else row.along,
                faces=row.faces,
                features=tuple(feature for feature in features if feature),
                note=row.note,
            )
        except BadInput as refused:
            self.problems.append(Problem(row.line, row.label, str(refused)))
            return None

    def _stock(self, template: str) -> str:
        text = re.sub(r"\{(\w+)\}", lambda found: str(self.given[found[1]]), template)
        return " ".join(text.split())

    def _feature(self, word: str, cell: Cell) -> Feature | None:
        if known_features()[word].counted_by == "length":
            found = self._number(cell, lambda value: value >= 0, "a length of 0 or more")
            length_nm = self.scope.length_nm(cell) if found else 0
            return Feature(word, length_nm=length_nm) if length_nm else None
        count = self._count(cell, MOST_OF_A_KIND)
        return Feature(word, count=count) if count else None

    # The drawing

    def _boxes(self, row: Row, part: Part) -> list[Box]:
        places = row.places
        if places is None:
            return []
        corners = list(itertools.product(places.x, places.y, places.z))
        each, left = divmod(part.quantity, len(corners)) if places.counted else (1, part.quantity - len(corners))
        if left or part.quantity > MOST_PIECES:
            drawn = f"{len(corners)} places" + (", n counting on at each" if places.counted else "")
            self.problems.append(
                Problem(row.line, f"{row.label}, at", f"{part.quantity} pieces and {drawn}; a place for every piece")
            )
            return []
        sizes = {"length": part.length_nm, "width": part.width_nm, "thickness": part.thickness_nm}
        x, y, z = (sizes[axis] for axis in places.axes)
        stacked = None if part.along is Along.NONE else places.axes.index(part.along.value)
        found: list[Box] = []
        for cells in corners:
            for n in range(each):
                corner = self._corner(cells, n)
                if corner is None:
                    return []
                found.append(Box(row.label, corner, (x, y, z), stacked))
        return found

    def _corner(self, cells: Sequence[Cell], n: int) -> tuple[int, int, int] | None:
        try:
            x, y, z = (self.scope.length_nm(cell, n) for cell in cells)
        except BadInput as refused:
            self._told(cells[0], str(refused), lambda scope: all(works(scope, cell) for cell in cells))
            return None
        return (x, y, z)

    def _holes(self, row: Row) -> list[Hole]:
        if row.holes is None:
            return []
        count = self._count(row.holes.count, MOST_PIECES) or 0
        across = self._size(row.holes.across) if count else None
        if not across:
            return []
        found: list[Hole] = []
        for n in range(count):
            corner = self._corner((row.holes.x, row.holes.y, row.holes.across), n)
            if corner is None:
                return []
            found.append(Hole(corner[0], corner[1], across))
        return found

    def _measure(self, index: int) -> Marked | None:
        measure = self.design.measures[index]
        ends = [self._number(cell, lambda _: True, "a length") for cell in (measure.start, measure.end)]
        if None in ends:
            return None
        start, end = (self.scope.length_nm(cell) for cell in (measure.start, measure.end))
        return Marked(measure.view, measure.upright, start, end) if start < end else None


def _plain(value: Fraction) -> str:
    """A number as people write it, to a hundredth: 3 1/4 stays a fraction where it is one of a rule."""
    if value.denominator in (1, 2, 4, 8, 16, 32, 64):
        whole, rest = divmod(abs(value), 1)
        text = f"{whole} {rest}" if whole and rest else str(whole or rest or 0)
        return f"−{text}" if value < 0 else text
    return f"{float(value):.4g}".replace("-", "−")
