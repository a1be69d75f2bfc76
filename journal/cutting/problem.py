"""What is to be cut, from what, by which rules; and what a cutting plan looks like.

The rule of the shop: a board is crosscut into segments, each segment is ripped into strips, one blank a strip.

    Σ segment lengths + crosscut kerf between them ≤ board length − 2 × end trim
    segment length = longest blank in it + segment extra
    edge allowance + Σ blank widths + rip kerf between them ≤ board width

All lengths are whole numbers in one unit, nanometres in the app; money is whole cents. The search, the bound and the
replay all read these values and share nothing else.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from journal.errors import BadInput
from journal.units import System

if TYPE_CHECKING:
    from collections.abc import Iterable
    from fractions import Fraction

Status = Literal["feasible", "optimal"]
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
    """

    id: str
    family: str
    thickness: int
    width: int
    length: int
    price_cents: int
    available: int | None = None
    on_hand: bool = False

    def __post_init__(self) -> None:
        _require_name("stock id", self.id)
        for field in ("thickness", "width", "length"):
            _require_whole(f"{field} of stock {self.id}", getattr(self, field), 1)
        _require_whole(f"price of stock {self.id}", self.price_cents, 0)
        if self.available is not None:
            _require_whole(f"number available of stock {self.id}", self.available, 0)


@dataclass(frozen=True, slots=True)
class Blank:
    """Equal pieces to be cut, allowances already in their sizes (all but the segment extra, which a segment shares).

    Attributes:
        id: unique name of the strip or part.
        families: families of stock it may come from; None is any.
        thickness: the board must be at least this thick.
        width: of the strip.
        length: of the strip.
        quantity: how many.
    """

    id: str
    families: frozenset[str] | None
    thickness: int
    width: int
    length: int
    quantity: int

    def __post_init__(self) -> None:
        _require_name("blank id", self.id)
        for field in ("thickness", "width", "length", "quantity"):
            _require_whole(f"{field} of blank {self.id}", getattr(self, field), 1)
        if self.families is not None and not self.families:
            raise BadInput(f"families of blank {self.id}", "", "at least one family, or None for any")


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
    """Stock, blanks and rules; `system` only says how lengths are written in messages."""

    stock: tuple[StockLength, ...]
    blanks: tuple[Blank, ...]
    rules: SawRules
    system: System = System.INCH

    def __post_init__(self) -> None:
        if not self.stock:
            raise BadInput("stock", "", "at least one board to cut from")
        if not self.blanks:
            raise BadInput("blanks", "", "at least one blank to cut")
        _require_unique("stock id", (stock.id for stock in self.stock))
        _require_unique("blank id", (blank.id for blank in self.blanks))

    def fits(self, blank: Blank, stock: StockLength) -> bool:
        """Whether one blank can be cut from one such board, whatever the number available."""
        return (
            (blank.families is None or stock.family in blank.families)
            and blank.thickness <= stock.thickness
            and blank.width + self.rules.edge_allowance <= stock.width
            and blank.length + self.rules.segment_extra + 2 * self.rules.end_trim <= stock.length
        )


@dataclass(frozen=True, slots=True)
class Segment:
    """A crosscut length of a board and the blanks ripped from it, from one edge to the other."""

    length: int
    blanks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BoardCut:
    """One board and its segments, from one end to the other."""

    stock_id: str
    segments: tuple[Segment, ...]


@dataclass(frozen=True, slots=True)
class CuttingPlan:
    """Every board to cut; equal boards are repeated."""

    boards: tuple[BoardCut, ...]


@dataclass(frozen=True, slots=True)
class Offcut:
    """What is left of a board, full size: the end of the board, or the edge of a segment.

    `board` is the board's place in the plan, from 0. The far end trim is counted as trim, so an end piece is really
    that much longer, with an unsquared end.
    """

    board: int
    stock_id: str
    thickness: int
    width: int
    length: int


@dataclass(frozen=True, slots=True)
class WeightRule:
    """Which dual-feasible function weighs a size, as a share x of the room there is; see `journal.cutting.bound`.

    `plain` x; `round` with a whole number k ≥ 1; `cut` with a fraction 0 < e ≤ ½.
    """

    kind: Literal["plain", "round", "cut"]
    parameter: Fraction


@dataclass(frozen=True, slots=True)
class StockWeights:
    """The rules a stock's boards are weighed by, along their length and across their width."""

    stock_id: str
    along: WeightRule
    across: WeightRule


@dataclass(frozen=True, slots=True)
class Certificate:
    """All that is needed to work the lower bound out again.

    Attributes:
        worth: for each blank id, thousandths of a cent that one such blank costs at least.
        weights: for each usable stock, the rules that limit what one board can hold.
    """

    worth: tuple[tuple[str, int], ...]
    weights: tuple[StockWeights, ...]


@dataclass(frozen=True, slots=True)
class CuttingResult:
    """A plan, what it costs, and what any plan must cost.

    Attributes:
        status: `optimal` only when the bound meets the cost.
        plan: every board with its cuts.
        cost_cents: Σ price of the boards used, those on hand at the price given for them.
        bound_cents: no plan costs less.
        bound_kind: `certified`: whole-number arithmetic alone, recomputable from the certificate.
        gap: (cost − bound) / cost, 0 when the cost is 0.
        shopping: boards to buy, (stock id, count).
        from_rack: boards on hand used, (stock id, count).
        offcuts: everything left over.
        certificate: the working of the bound.
        method: how the plan was found, with the version of the search.
    """

    status: Status
    plan: CuttingPlan
    cost_cents: int
    bound_cents: int
    bound_kind: Literal["certified"]
    gap: float
    shopping: tuple[tuple[str, int], ...]
    from_rack: tuple[tuple[str, int], ...]
    offcuts: tuple[Offcut, ...]
    certificate: Certificate
    method: str


def _require_name(field: str, value: str) -> None:
    if not value.strip():
        raise BadInput(field, value, "a name")


def _require_whole(field: str, value: object, least: int) -> None:
    if not isinstance(value, int) or isinstance(value, bool) or not least <= value <= LARGEST:
        raise BadInput(field, value, f"a whole number from {least} to {LARGEST:,}")


def _require_unique(field: str, names: Iterable[str]) -> None:
    twice = [name for name, count in Counter(names).items() if count > 1]
    if twice:
        raise BadInput(field, twice[0], "each name once")
