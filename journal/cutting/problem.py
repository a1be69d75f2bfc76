"""What is to be cut, from what, by which rules.

The rule of the shop: a board is crosscut into segments, each segment is ripped into strips, one blank a strip.

    Σ segment lengths + crosscut kerf between them ≤ board length − 2 × end trim
    segment length = longest blank in it + segment extra
    edge allowance + Σ blank widths + rip kerf between them ≤ board width

All lengths are whole numbers in one unit, nanometres in the app; money is whole cents. The search, the bound and the
replay all read these values and those of `journal.cutting.answer`, and share nothing else.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from journal.cutting.answer import (
    BoardCut,
    Certificate,
    CuttingPlan,
    CuttingResult,
    Ended,
    Offcut,
    Progress,
    Search,
    Segment,
    Status,
)
from journal.errors import BadInput
from journal.units import System, format_length

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = [  # question and answer are read from here together
    "Blank",
    "BoardCut",
    "BoardProblem",
    "Certificate",
    "CuttingPlan",
    "CuttingResult",
    "Ended",
    "Offcut",
    "Progress",
    "Room",
    "SawRules",
    "Search",
    "Segment",
    "Status",
    "StockLength",
    "lies",
]

DEAREST = 10**9  # cents a board; with pieces counted beside it, it still fits 64 bits
LARGEST = 10**15  # a thousand kilometres in nanometres; products of two such sizes' shares stay within 64 bits


@dataclass(frozen=True, slots=True)
class StockLength:
    """Boards of one family, section and length that can be had.

    Attributes:
        id: unique name, such as "2x8-10".
        family: species or grade that blanks ask for.
        thickness: of the board as bought.
        width: of the board as bought.
        length: of the board as bought.
        price_cents: of one board; for a board on hand what using it up is worth, often 0.
        available: how many there are; None is as many as wanted.
        on_hand: already on the rack, not to be bought.
        breaks: (from so many, price of each) for all of them once so many are used; counts rising.
        cut_outs: (from, to) along the length that no part may lie over, such as a knot or a split; they are cut out
            across the whole width, the saw cuts inside them.
        either_way: a sheet that may be cut first across its width as well.
    """

    id: str
    family: str
    thickness: int
    width: int
    length: int
    price_cents: int
    available: int | None = None
    on_hand: bool = False
    breaks: tuple[tuple[int, int], ...] = ()
    cut_outs: tuple[tuple[int, int], ...] = ()
    either_way: bool = False

    def __post_init__(self) -> None:
        _require_name("stock id", self.id)
        for field in ("thickness", "width", "length"):
            _require_whole(f"{field} of stock {self.id}", getattr(self, field), 1)
        _require_whole(f"price of stock {self.id}", self.price_cents, 0, DEAREST)
        if self.available is not None:
            _require_whole(f"number available of stock {self.id}", self.available, 0)
        self._require_breaks()
        self._require_cut_outs()

    @property
    def least_price_cents(self) -> int:
        """Of one board, however many are used."""
        return min([self.price_cents, *(price for _, price in self.breaks)])

    def cost_cents(self, count: int) -> int:
        """Of so many such boards together."""
        price = self.price_cents
        for least, lower in self.breaks:
            if count >= least:
                price = lower
        return count * price

    def stretches(self, end_trim: int) -> tuple[tuple[int, int], ...]:
        """(from, to) of the clear lengths between trims and cut-outs, those of no length left out."""
        edges = [(0, end_trim), *self.cut_outs, (self.length - end_trim, self.length)]
        clear = ((max(before[1], end_trim), after[0]) for before, after in pairwise(edges))
        return tuple((start, min(end, self.length - end_trim)) for start, end in clear if start < end)

    def _require_breaks(self) -> None:
        before = 1
        for least, price in self.breaks:
            _require_whole(f"price break of stock {self.id}", least, before + 1)
            _require_whole(f"price of stock {self.id}", price, 0, DEAREST)
            before = least

    def _require_cut_outs(self) -> None:
        if self.cut_outs and self.either_way:
            raise BadInput(f"cut-outs of stock {self.id}", self.cut_outs, "none on a sheet cut either way")
        place = 0
        for start, end in self.cut_outs:
            _require_whole(f"start of a cut-out of stock {self.id}", start, place)
            _require_whole(f"end of a cut-out of stock {self.id}", end, start + 1)
            place = end
        if place > self.length:
            raise BadInput(f"cut-outs of stock {self.id}", place, f"no more than its length, {self.length}")


@dataclass(frozen=True, slots=True)
class Blank:
    """Equal pieces to be cut, allowances already in their sizes (all but the segment extra, which a segment shares).

    Attributes:
        id: unique name of the strip or part.
        families: families of stock it may come from; None is any.
        thickness: the board must be at least this thick.
        width: of the strip.
        length: of the strip.
        quantity: how many are wanted.
        spare: how many more are cut for rejects.
        may_turn: it has no grain to follow and may lie either way round.
    """

    id: str
    families: frozenset[str] | None
    thickness: int
    width: int
    length: int
    quantity: int
    spare: int = 0
    may_turn: bool = False

    def __post_init__(self) -> None:
        _require_name("blank id", self.id)
        for field in ("thickness", "width", "length", "quantity"):
            _require_whole(f"{field} of blank {self.id}", getattr(self, field), 1)
        _require_whole(f"spare of blank {self.id}", self.spare, 0)
        if self.families is not None and not self.families:
            raise BadInput(f"families of blank {self.id}", "", "at least one family, or None for any")

    @property
    def pieces(self) -> int:
        """How many are cut: those wanted and the spares."""
        return self.quantity + self.spare


@dataclass(frozen=True, slots=True)
class SawRules:
    """What the saw takes and what is left for the jointer; same unit as the stock.

    Attributes:
        kerf_crosscut: between two segments.
        kerf_rip: between two strips.
        end_trim: cut off each end of a board, its kerf included.
        segment_extra: length of a segment over its longest blank (snipe and squaring).
        edge_allowance: width lost once a segment (eased edges, first jointing).
    """

    kerf_crosscut: int
    kerf_rip: int
    end_trim: int
    segment_extra: int
    edge_allowance: int

    def __post_init__(self) -> None:
        for field in ("kerf_crosscut", "kerf_rip", "end_trim", "segment_extra", "edge_allowance"):
            _require_whole(field.replace("_", " "), getattr(self, field), 0)


@dataclass(frozen=True, slots=True)
class BoardProblem:
    """Stock, blanks and rules.

    Attributes:
        stock: what there is, on the rack and to be bought.
        blanks: what is to be cut.
        rules: of the saw.
        system: how lengths are written in messages.
        longest: no longer board is bought, for it would not fit the vehicle; None is any.
    """

    stock: tuple[StockLength, ...]
    blanks: tuple[Blank, ...]
    rules: SawRules
    system: System = System.INCH
    longest: int | None = None

    def __post_init__(self) -> None:
        if not self.stock:
            raise BadInput("stock", "", "at least one board to cut from")
        if not self.blanks:
            raise BadInput("blanks", "", "at least one blank to cut")
        _require_unique("stock id", (stock.id for stock in self.stock))
        _require_unique("blank id", (blank.id for blank in self.blanks))
        if self.longest is not None:
            _require_whole("longest board", self.longest, 1)
        self._require_kerfs()

    def _require_kerfs(self) -> None:
        """A saw that takes a whole board, or more than a cut-out leaves it, cuts nothing from it."""
        longest, widest = max(one.length for one in self.stock), max(one.width for one in self.stock)
        for field, kerf, most in (
            ("kerf of crosscuts", self.rules.kerf_crosscut, longest),
            ("kerf of rips", self.rules.kerf_rip, widest),
        ):
            if kerf >= most:
                raise BadInput(field, self._text(kerf), f"less than the largest board, {self._text(most)}")
        for stock in self.stock:
            for start, end in stock.cut_outs:
                if end - start < self.rules.kerf_crosscut:
                    least = f"a stretch no shorter than the kerf, {self._text(self.rules.kerf_crosscut)}"
                    raise BadInput(f"cut-outs of stock {stock.id}", self._text(end - start), least)

    def _text(self, length: int) -> str:
        return format_length(length, self.system)

    def suits(self, blank: Blank, stock: StockLength) -> bool:
        """Whether family and thickness suit and the board may be had at all, whatever the sizes."""
        return (
            (blank.families is None or stock.family in blank.families)
            and blank.thickness <= stock.thickness
            and (stock.on_hand or self.longest is None or stock.length <= self.longest)
        )

    def fits(self, blank: Blank, stock: StockLength) -> bool:
        """Whether one blank can be cut from one such board, whatever the number available."""
        return self.suits(blank, stock) and any(
            along + self.rules.segment_extra <= room.along and across + self.rules.edge_allowance <= room.across
            for room in self.rooms(stock)
            for along, across, _ in lies(blank, room)
        )

    def rooms(self, stock: StockLength) -> list[Room]:
        """Each clear stretch of a board; of a sheet, each way of cutting it first, of which one is taken."""
        trims = 2 * self.rules.end_trim
        if stock.either_way:
            ways = [Room(stock.length - trims, stock.width, False), Room(stock.width - trims, stock.length, True)]
            return [way for way in ways if way.along > 0]
        return [Room(end - start, stock.width, False) for start, end in stock.stretches(self.rules.end_trim)]


@dataclass(frozen=True, slots=True)
class Room:
    """What segments are cut from: clear length for them, whole width, and whether the first cuts run the other way.

    With `crosswise` the first cuts part a sheet's width, so that `along` is measured across the sheet.
    """

    along: int
    across: int
    crosswise: bool


def lies(blank: Blank, room: Room) -> list[tuple[int, int, bool]]:
    """(size along, size across, turned) of a blank in a room, one or, without grain, two ways round."""
    along, across = (blank.width, blank.length) if room.crosswise else (blank.length, blank.width)
    straight = [(along, across, False)]
    return [*straight, (across, along, True)] if blank.may_turn and along != across else straight


def _require_name(field: str, value: str) -> None:
    if not value.strip():
        raise BadInput(field, value, "a name")


def _require_whole(field: str, value: object, least: int, most: int = LARGEST) -> None:
    if not isinstance(value, int) or isinstance(value, bool) or not least <= value <= most:
        raise BadInput(field, value, f"a whole number from {least} to {most:,}")


def _require_unique(field: str, names: Iterable[str]) -> None:
    twice = [name for name, count in Counter(names).items() if count > 1]
    if twice:
        raise BadInput(field, twice[0], "each name once")
