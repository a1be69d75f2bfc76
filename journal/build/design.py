"""What is a design: a bench with named dimensions, and part rows that are formulas in them.

A design says what can be chosen (its parameters, with limits), what follows from them (its worked names) and what is
built of them (its rows). `design_file` reads one from its text, `design_parts` makes parts of it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, TypeAlias

from journal import units
from journal.build.parts import LONGEST_NM, Along, Faces
from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Mapping

    from journal.build.formulas import Formula

MOST_PARAMETERS = 40
MOST_WORKED = 80
MOST_ROWS = 80
MOST_OPTIONS = 30
MOST_COUNT = 200
# Addresses of a page beside the designs.
RESERVED = ("new", "take")

# A length in nm, a count, a yes or no, a word: what a parameter may be.
Given: TypeAlias = int | bool | str


class Kind(StrEnum):
    """What kind of thing a parameter is."""

    LENGTH = "length"
    COUNT = "count"
    CHOICE = "choice"
    YES_NO = "yes/no"
    WOOD = "wood"  # a wood the shop buys; nothing for its usual one


@dataclass(frozen=True, slots=True)
class Parameter:
    """Something that can be chosen.

    Attributes:
        word: its name in formulas.
        label: its name on a page.
        kind: what it is.
        default: what it is until somebody says otherwise; nm for a length.
        low, high: ends of what makes sense, both included; nm for a length; 0 where the kind has none.
        options: the words to choose from.
        hint: a line about it.
        line: of the design's text.
    """

    word: str
    label: str
    kind: Kind
    default: Given
    low: int = 0
    high: int = 0
    options: tuple[str, ...] = ()
    hint: str = ""
    line: int = field(default=0, compare=False)

    def __post_init__(self) -> None:
        if self.kind in (Kind.LENGTH, Kind.COUNT) and not 0 <= self.low <= self.high <= self._highest:
            raise BadInput(self.label, f"{self.low} to {self.high}", "a low end, and a high end that is not under it")
        if self.kind is Kind.CHOICE and not 2 <= len(self.options) <= MOST_OPTIONS:
            raise BadInput(self.label, ", ".join(self.options), f"2 to {MOST_OPTIONS} options")
        self.check(self.default)

    @property
    def _highest(self) -> int:
        return LONGEST_NM if self.kind is Kind.LENGTH else MOST_COUNT

    def check(self, given: Given, system: units.System = units.System.INCH) -> None:
        """Refuse what is not of the parameter's kind, or outside its limits.

        Raises:
            BadInput: says the limits, lengths in `system`.
        """
        if self.kind in (Kind.LENGTH, Kind.COUNT):
            whole = isinstance(given, int) and not isinstance(given, bool)
            if not whole or not self.low <= int(given) <= self.high:
                shown = self.say(given, system) if whole else given
                raise BadInput(self.label, shown, f"{self.say(self.low, system)} to {self.say(self.high, system)}")
        elif self.kind is Kind.YES_NO and not isinstance(given, bool):
            raise BadInput(self.label, given, "yes or no")
        elif self.kind is Kind.CHOICE and given not in self.options:
            raise BadInput(self.label, given, ", ".join(self.options))
        elif self.kind is Kind.WOOD and (not isinstance(given, str) or not re.fullmatch(r"[\w ,()'’-]{0,60}", given)):
            raise BadInput(self.label, given, "the name of a wood, or nothing for the usual one")

    def say(self, given: Given, system: units.System = units.System.INCH) -> str:
        """A value as people write it."""
        if self.kind is Kind.YES_NO:
            return "yes" if given else "no"
        return units.format_length(int(given), system) if self.kind is Kind.LENGTH else str(given)


@dataclass(frozen=True, slots=True)
class Cell:
    """A formula with the place it stands in: line of the text, and what it is called there (“Leg, width”)."""

    formula: Formula
    place: str
    line: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Places:
    """Where the pieces of a row stand in the bench, for its drawing.

    A piece for every combination of the alternatives in x, y and z; where a formula uses n, for every n from 0 as well.

    Attributes:
        x, y, z: corner nearest to the left front foot: along the bench's length, from the front to the back, upwards.
        axes: which dimension of a piece runs along x, y and z.
    """

    x: tuple[Cell, ...]
    y: tuple[Cell, ...]
    z: tuple[Cell, ...]
    axes: tuple[str, str, str]

    @property
    def counted(self) -> bool:
        """Whether pieces are told apart by n."""
        return any("n" in cell.formula.names for cell in (*self.x, *self.y, *self.z))


@dataclass(frozen=True, slots=True)
class HolePlaces:
    """Where holes are seen from above: middles by n, from 0, and the width across."""

    x: Cell
    y: Cell
    across: Cell
    count: Cell


@dataclass(frozen=True, slots=True)
class Row:
    """One kind of piece. Lengths and counts are formulas; faces and stock are as in a part list.

    Attributes:
        label: what the maker calls it.
        quantity, thickness, width, length: of the finished piece.
        when: built only where this is not 0; None: always.
        stock: as typed in a part list; {word} stands for what a choice or a wood is.
        strips: how many are laminated into it, 0 to be worked out; along: which dimension they add up to.
        features: word and how many, or how long; what comes to 0 is left out.
        places, holes: for the drawing; None: not drawn.
        line: of the design's text.
    """

    label: str
    quantity: Cell
    thickness: Cell
    width: Cell
    length: Cell
    when: Cell | None = None
    stock: str = ""
    strips: Cell | None = None
    along: Along = Along.NONE
    faces: Faces = field(default_factory=Faces)
    features: tuple[tuple[str, Cell], ...] = ()
    places: Places | None = None
    holes: HolePlaces | None = None
    note: str = ""
    line: int = field(default=0, compare=False)

    @property
    def cells(self) -> tuple[Cell, ...]:
        """Every formula of the row."""
        places = (*self.places.x, *self.places.y, *self.places.z) if self.places else ()
        holes = (self.holes.x, self.holes.y, self.holes.across, self.holes.count) if self.holes else ()
        given = (self.when, self.quantity, self.thickness, self.width, self.length, self.strips)
        return (*(cell for cell in given if cell), *(cell for _, cell in self.features), *places, *holes)


@dataclass(frozen=True, slots=True)
class Outer:
    """The outer dimensions of the whole bench."""

    length: Cell
    depth: Cell
    height: Cell


@dataclass(frozen=True, slots=True)
class Measure:
    """A dimension worth drawing: between two places, across or up, in one view (front, side, top)."""

    view: str
    upright: bool
    start: Cell
    end: Cell


@dataclass(frozen=True, slots=True)
class Design:
    """A parametric bench.

    Attributes:
        word: its short name; title: its name on a page; about: a line or two about it.
        system: what a bare number in its formulas means.
        parameters: what can be chosen, in order.
        worked: names that follow from the parameters and from each other; none stands on itself.
        outer: the outer dimensions.
        rows: what is built; measures: what is dimensioned besides the outer sizes.
    """

    word: str
    title: str
    about: str
    system: units.System
    parameters: tuple[Parameter, ...]
    outer: Outer
    rows: tuple[Row, ...]
    worked: Mapping[str, Cell] = field(default_factory=dict)
    measures: tuple[Measure, ...] = ()

    def __post_init__(self) -> None:
        check_design_word(self.word)
        if not self.title.strip() or len(self.title) > 120:
            raise BadInput("title", self.title, "a few words, at most 120 characters")

    def parameter(self, word: str) -> Parameter | None:
        """A parameter by its word; None when there is none."""
        return next((parameter for parameter in self.parameters if parameter.word == word), None)

    @property
    def defaults(self) -> dict[str, Given]:
        """Every parameter at its default."""
        return {parameter.word: parameter.default for parameter in self.parameters}


def check_design_word(word: str) -> None:
    """Refuse a design's word that could not stand in an address.

    Raises:
        BadInput: unless it is lower-case letters and digits with single hyphens, 60 at most.
    """
    if word in RESERVED or len(word) > 60 or not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", word):
        raise BadInput(
            "word",
            word,
            f"lower-case letters and digits, with hyphens between, such as slab-bench; not {' or '.join(RESERVED)}",
        )
