"""Board feet as a yard counts them, and a tally of random widths as it is called out and written down.

Three figures that are never mixed: the exact volume; softwood, charged on its nominal size, nothing rounded (common
practice); hardwood, charged on its rough size by surface measure, which is rounded board by board.

Surface measure: width in inches, fractions kept, × length in feet, cut down to the whole foot, ÷ 12, to the nearest
whole number. Board feet are surface measure × rough thickness in inches; thinner than 1 in counts as 1 in. A bundle of
one thickness is summed in surface measure, multiplied once and rounded once. Source: the hardwood grading rules as three
dealers' and associations' pages give them; the rule book itself was not seen. An exact half may go either way there; here
it goes up.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from journal import units
from journal.errors import BadInput, BadRows, JournalError, Problem

if TYPE_CHECKING:
    from collections.abc import Sequence

MOST_BOARDS = 500  # of one tally; more is a slip of the keyboard
_WIDEST, _LONGEST = units.feet(4), units.feet(40)
_EXPECTED = "width x length, such as 6 1/2 x 8, or 3 x 6 1/2 x 8 for three of them"


@dataclass(frozen=True, slots=True)
class Sawn:
    """So many boards of one width and length."""

    width_nm: int
    length_nm: int
    count: int = 1

    def __post_init__(self) -> None:
        for field, most in (("width_nm", _WIDEST), ("length_nm", _LONGEST)):
            if not 0 < getattr(self, field) <= most:
                name = field.removesuffix("_nm")
                raise BadInput(name, _said(getattr(self, field)), f"a {name} over 0 and up to {_said(most)}")
        if not 1 <= self.count <= MOST_BOARDS:
            raise BadInput("boards", self.count, f"a whole number from 1 to {MOST_BOARDS}")

    @property
    def surface_measure(self) -> int:
        """Of all of them, each rounded by itself."""
        return self.count * surface_measure(self.width_nm, self.length_nm)


@dataclass(frozen=True, slots=True)
class Tally:
    """Boards of one thickness.

    Attributes:
        boards: how many.
        surface_measure: Σ of each board's, rounded board by board.
        board_feet: what is charged for, whole.
        exact_board_feet: their volume, for the eye.
    """

    boards: int
    surface_measure: int
    board_feet: int
    exact_board_feet: float


def surface_measure(width_nm: int, length_nm: int) -> int:
    """Of one board, in square feet, rounded as the module says; 0 for a board under a foot long."""
    whole_feet = length_nm // units.NM_PER_FOOT
    return units.round_half_up(units.to_inches(width_nm) * whole_feet / 12)


def hardwood(thickness_nm: int, boards: Sequence[Sawn]) -> Tally:
    """The tally of boards of one rough thickness.

    Raises:
        BadInput: no boards.
    """
    if not boards:
        raise BadInput("tally", "", f"at least one board: {_EXPECTED}")
    measure = sum(one.surface_measure for one in boards)
    volume = thickness_nm * sum(one.count * one.width_nm * one.length_nm for one in boards)
    inches = max(Fraction(1), units.to_inches(thickness_nm))
    return Tally(
        boards=sum(one.count for one in boards),
        surface_measure=measure,
        board_feet=units.round_half_up(measure * inches),
        exact_board_feet=units.board_feet(volume),
    )


def softwood(nominal_thickness_nm: int, nominal_width_nm: int, length_nm: int) -> float:
    """Board feet of one board by its nominal size, nothing rounded."""
    return units.board_feet(nominal_thickness_nm * nominal_width_nm * length_nm)


def parse_tally(text: str, *, system: units.System = units.System.INCH, field: str = "tally") -> tuple[Sawn, ...]:
    """Boards as they are called out, one or several alike a line: “6 1/2 x 8”, “3 x 6 1/2 x 8”, “160 mm x 2.4 m”.

    Bare widths are inches and bare lengths feet, as tally sticks have it; in a metric shop both are millimetres.

    Raises:
        BadRows: every line that cannot be read, by its number.
        BadInput: nothing in it, or too many boards.
    """
    boards: list[Sawn] = []
    problems: list[Problem] = []
    for number, line in enumerate(re.split(r"[\n;]", text[:20_000]), 1):
        if not line.strip():
            continue
        try:
            boards.append(_sawn(line, system))
        except JournalError as refusal:
            problems.append(Problem(number, "", str(refusal)))
    if problems:
        raise BadRows(field, problems)
    if not boards:
        raise BadInput(field, text, f"a board a line: {_EXPECTED}")
    if sum(one.count for one in boards) > MOST_BOARDS:
        raise BadInput(field, sum(one.count for one in boards), f"at most {MOST_BOARDS} boards at once")
    return tuple(boards)


def parse_board_length(text: str, *, system: units.System = units.System.INCH, field: str = "length") -> int:
    """The length of a board in nm; a bare number is feet, in a metric shop millimetres.

    Raises:
        BadInput: it cannot be read.
    """
    bare = re.fullmatch(r"[0-9][0-9 .,/½¼¾]*", text.strip())
    return units.parse_length(
        f"{text} ft" if bare and system is units.System.INCH else text, system=system, field=field
    )


def _sawn(line: str, system: units.System) -> Sawn:
    pieces = [piece.strip() for piece in re.split(r"[x×X*]", line)]
    if len(pieces) not in (2, 3) or not all(pieces):
        raise BadInput("board", line.strip(), _EXPECTED)
    count = 1
    if len(pieces) == 3:
        if not re.fullmatch(r"[0-9]{1,3}", pieces[0]):
            raise BadInput("boards", pieces[0], f"a whole number from 1 to {MOST_BOARDS}")
        count = int(pieces[0])
    return Sawn(
        units.parse_length(pieces[-2], system=system, field="width"),
        parse_board_length(pieces[-1], system=system),
        count,
    )


def _said(length_nm: int) -> str:
    return units.format_length(length_nm)
