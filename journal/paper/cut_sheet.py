"""A cutting plan as a sheet to stand by the saw: each board to scale with its cuts in order, and the lists beside it.

Boards lie with their first end to the left and their first edge on top; crosscuts go from left to right, rips from the
top down. Lengths have one scale throughout; widths are drawn so many times as large that the narrowest strip can be
read. Positions are units of the drawing, y downwards.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from journal import units
from journal.cutting.verify import replay
from journal.errors import BadInput
from journal.quote.rack_stock import worth_keeping

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from journal.cutting.problem import BoardCut, BoardProblem, CuttingResult, Segment, StockLength
    from journal.cutting.verify import Balance, PlacedStrip

Kind = Literal["strip", "offcut"]

WIDE, NARROW = 720.0, 320.0  # units; on paper a unit is a point
LETTER = 6.3  # units of width a letter takes at the labels' size, rounded up
TEXT = 11.0  # size of the labels
_LINE = 15.0  # a strip this high holds its label
_HEAD = 18.0  # room over a board for the lengths of its segments
_EDGE = 1.0  # so that the outline is not cut in half
_MOST_TIMES = 6


@dataclass(frozen=True, slots=True)
class Piece:
    """A strip or an offcut on the drawing: its rectangle, what is written in it ('' without room), its full name."""

    kind: Kind
    x: float
    y: float
    width: float
    height: float
    label: str
    name: str


@dataclass(frozen=True, slots=True)
class Mark:
    """The length of a segment, over its middle; `text` is '' without room."""

    x: float
    text: str


@dataclass(frozen=True, slots=True)
class Step:
    """A crosscut and the rips after it; lengths and widths as text in the shop's units."""

    order: int
    length: str
    strips: tuple[tuple[str, str], ...]  # name, width
    left: str  # the offcut of its edge, '' when none is worth keeping


@dataclass(frozen=True, slots=True)
class BoardRow:
    """One board.

    Attributes:
        number: from 1.
        title: which board, of what.
        width, height: of the drawing; the board itself is the rectangle x, y, long, high on it.
        pieces, marks: on the drawing.
        steps: the cuts in order; rest: what is left at the far end, '' when nothing worth keeping.
    """

    number: int
    title: str
    width: float
    height: float
    x: float
    y: float
    long: float
    high: float
    pieces: tuple[Piece, ...]
    marks: tuple[Mark, ...]
    steps: tuple[Step, ...]
    rest: str


@dataclass(frozen=True, slots=True)
class Named:
    """A part's letter: all its strips bear it, numbered through."""

    letter: str
    part: str
    pieces: int
    length_nm: int
    width_nm: int


@dataclass(frozen=True, slots=True)
class Left:
    """An offcut worth keeping."""

    name: str
    board: int
    length_nm: int
    width_nm: int
    thickness_nm: int


@dataclass(frozen=True, slots=True)
class CutSheet:
    """The boards of one stock.

    Attributes:
        boards: a row each.
        parts: what the letters mean.
        offcuts: worth keeping, in the order they fall.
        balance: where the area of the boards went: name, share of it, nm².
        times: how many times as large as lengths the widths are drawn.
        per_nm: units of the drawing for a nanometre of length.
        piece: what one of them is called: board or sheet.
    """

    boards: tuple[BoardRow, ...]
    parts: tuple[Named, ...]
    offcuts: tuple[Left, ...]
    balance: tuple[tuple[str, float, int], ...]
    times: int
    per_nm: float
    piece: str


@dataclass(frozen=True, slots=True)
class _Area:
    """A rectangle of a board, in nm."""

    along: int
    across: int
    length: int
    width: int


@dataclass(slots=True)
class _Cut:
    """One board being laid out. With `crosswise` its first cuts part a sheet's width, so all is measured from there."""

    number: int
    stock: StockLength
    crosswise: bool
    pieces: list[Piece] = field(default_factory=list)
    marks: list[Mark] = field(default_factory=list)
    steps: list[Step] = field(default_factory=list)

    @property
    def across(self) -> int:
        """How far rips run over the whole board."""
        return self.stock.length if self.crosswise else self.stock.width

    def stretches(self, end_trim: int) -> tuple[tuple[int, int], ...]:
        """(from, to) of the clear lengths that segments are crosscut from."""
        if self.crosswise:
            return ((end_trim, self.stock.width - end_trim),)
        return self.stock.stretches(end_trim)

    def area(self, along: int, across: int, length: int, width: int) -> _Area:
        """A rectangle measured the way the board is cut, as it lies on the board."""
        return _Area(across, along, width, length) if self.crosswise else _Area(along, across, length, width)


@dataclass(frozen=True, slots=True)
class _Drawing:
    """The scales of all boards of a sheet."""

    width: float
    per_nm: float
    times: int
    say: Callable[[int], str]

    def piece(self, kind: Kind, area: _Area, labels: Sequence[str]) -> Piece:
        """A rectangle with the first of the labels that it holds; the first is its full name."""
        x, y = _EDGE + area.along * self.per_nm, _HEAD + area.across * self.per_nm * self.times
        long, high = area.length * self.per_nm, area.width * self.per_nm * self.times
        return Piece(kind, x, y, long, high, _fitting(labels, long, high), labels[0])

    def mark(self, area: _Area, order: int) -> Mark:
        """The length of a segment over it."""
        text = _fitting([f"{order}: {self.say(area.length)}", self.say(area.length)], area.length * self.per_nm, _LINE)
        return Mark(_EDGE + (area.along + area.length / 2) * self.per_nm, text)


def lay_out(
    problem: BoardProblem,
    result: CuttingResult,
    *,
    system: units.System,
    denominator: int = 16,
    mark: units.Mark = units.Mark.POINT,
    width: float = WIDE,
    piece: str = "board",
) -> CutSheet:
    """The sheet of a plan.

    Args:
        problem: what the plan answers; lengths in nm.
        result: the plan.
        system: of the lengths written on it.
        denominator: finest fraction of an inch written.
        mark: what stands before decimals.
        width: of the drawing, in its units.
        piece: what one of them is called: board or sheet.

    Raises:
        BadInput: the plan does not answer the problem.
    """
    replayed = replay(problem, result)
    if replayed.faults:
        raise BadInput("cutting plan", replayed.faults[0], "a plan that can be cut as it stands")

    def say(nm: int) -> str:
        return units.marked(units.format_length(nm, system, denominator=denominator), mark)

    drawing = _scales(problem, result, replayed.strips, width, say)
    letters = {blank.id: letter(place) for place, blank in enumerate(problem.blanks)}
    walk = _Walk(problem, drawing, letters, piece)
    by_board: dict[int, list[PlacedStrip]] = defaultdict(list)
    for strip in replayed.strips:
        by_board[strip.board].append(strip)
    rows = tuple(walk.board(place + 1, board, by_board[place]) for place, board in enumerate(result.plan.boards))
    counted = Counter(strip.blank_id for strip in replayed.strips)
    parts = tuple(
        Named(letters[blank.id], blank.id, counted[blank.id], blank.length, blank.width) for blank in problem.blanks
    )
    return CutSheet(rows, parts, tuple(walk.kept), _shares(replayed.balance), drawing.times, drawing.per_nm, piece)


def letter(place: int) -> str:
    """A, B … Z, AA, AB … by place from 0, without I and O, which read as 1 and 0."""
    letters = "ABCDEFGHJKLMNPQRSTUVWXYZ"
    text = ""
    place += 1
    while place:
        place, rest = divmod(place - 1, len(letters))
        text = letters[rest] + text
    return text


class _Walk:
    """Board after board: strips are numbered through by part, offcuts worth keeping named as they fall."""

    def __init__(self, problem: BoardProblem, drawing: _Drawing, letters: dict[str, str], piece: str) -> None:
        self.stocks = {stock.id: stock for stock in problem.stock}
        self.rules = problem.rules
        self.drawing = drawing
        self.letters = letters
        self.piece = piece
        self.cut: Counter[str] = Counter()
        self.kept: list[Left] = []

    def board(self, number: int, board: BoardCut, strips: Sequence[PlacedStrip]) -> BoardRow:
        stock, per_nm, times = self.stocks[board.stock_id], self.drawing.per_nm, self.drawing.times
        cut = _Cut(number, stock, board.crosswise)
        rests = []
        for stretch, (start, end) in enumerate(cut.stretches(self.rules.end_trim)):
            here = [(n, one) for n, one in enumerate(board.segments) if one.stretch == stretch]
            place = start
            for order, segment in here:
                place += self.rules.kerf_crosscut if place > start else 0
                self._segment(cut, order, segment, place, [one for one in strips if one.segment == order])
                place += segment.length
            dust = self.rules.kerf_crosscut if here else 0
            rests.append(self._offcut(cut, cut.area(place + dust, 0, end - place - dust, cut.across)))
        long, high = stock.length * per_nm, stock.width * per_nm * times
        first = ", first cuts along its length" if board.crosswise else ""
        return BoardRow(
            number=number,
            title=f"{self.piece.capitalize()} {number}: {stock.id}{first}",
            width=self.drawing.width,
            height=_HEAD + high + _EDGE,
            x=_EDGE,
            y=_HEAD,
            long=long,
            high=high,
            pieces=tuple(cut.pieces),
            marks=tuple(cut.marks),
            steps=tuple(cut.steps),
            rest="; ".join(filter(None, rests)),
        )

    def _segment(self, cut: _Cut, order: int, segment: Segment, place: int, strips: Sequence[PlacedStrip]) -> None:
        names = [self._name(strip) for strip in strips]
        cut.pieces += [self._strip(strip, name) for strip, name in zip(strips, names, strict=True)]
        last = strips[-1]
        used = last.along + last.length if cut.crosswise else last.across + last.width
        edge = used + self.rules.kerf_rip
        left = self._offcut(cut, cut.area(place, edge, segment.length, cut.across - edge))
        if not cut.crosswise:
            cut.marks.append(self.drawing.mark(cut.area(place, 0, segment.length, cut.across), order + 1))
        say = self.drawing.say
        sizes = [say(strip.length if cut.crosswise else strip.width) for strip in strips]
        cut.steps.append(Step(order + 1, say(segment.length), tuple(zip(names, sizes, strict=True)), left))

    def _name(self, strip: PlacedStrip) -> str:
        self.cut[strip.blank_id] += 1
        return f"{self.letters[strip.blank_id]}{self.cut[strip.blank_id]}"

    def _strip(self, strip: PlacedStrip, name: str) -> Piece:
        area = _Area(strip.along, strip.across, strip.length, strip.width)
        width = self.drawing.say(strip.width)
        labels = (f"{name} {strip.blank_id}, {width}", f"{name} {strip.blank_id}", f"{name}, {width}", name)
        return self.drawing.piece("strip", area, labels)

    def _offcut(self, cut: _Cut, area: _Area) -> str:
        """Draws an offcut and answers with its name and size; '' when there is none, or it is scrap."""
        if area.length <= 0 or area.width <= 0:
            return ""
        size = f"{self.drawing.say(area.length)} × {self.drawing.say(area.width)}"
        if not worth_keeping(area.length, area.width):
            cut.pieces.append(self.drawing.piece("offcut", area, [f"scrap {size}", "scrap"]))
            return ""
        name = f"R{len(self.kept) + 1}"
        self.kept.append(Left(name, cut.number, area.length, area.width, cut.stock.thickness))
        cut.pieces.append(self.drawing.piece("offcut", area, [f"{name} left over, {size}", f"{name}, {size}", name]))
        return f"{name}, {size}"


def _scales(
    problem: BoardProblem,
    result: CuttingResult,
    strips: Sequence[PlacedStrip],
    width: float,
    say: Callable[[int], str],
) -> _Drawing:
    used = {board.stock_id for board in result.plan.boards}
    per_nm = (width - 2 * _EDGE) / max(stock.length for stock in problem.stock if stock.id in used)
    narrowest = min(strip.width for strip in strips) * per_nm
    times = min(_MOST_TIMES, max(1, math.ceil(_LINE / narrowest)))
    return _Drawing(width, per_nm, times, say)


def _fitting(labels: Sequence[str], long: float, high: float) -> str:
    if high < _LINE - 2:
        return ""
    return next((label for label in labels if len(label) * LETTER + 6 <= long), "")


def _shares(balance: Balance) -> tuple[tuple[str, float, int], ...]:
    """Where the area went, largest share first; every area the replay names."""
    names = {
        "blanks": "Parts, as blanks",
        "allowances": "Edges and lengths left on",
        "kerf": "Sawdust",
        "trims": "Ends trimmed off",
        "cut_outs": "Knots and splits cut out",
        "offcuts": "Left over",
    }
    areas = [(text, getattr(balance, field)) for field, text in names.items() if getattr(balance, field, 0)]
    return tuple((text, area / balance.board, area) for text, area in sorted(areas, key=lambda one: -one[1]))
