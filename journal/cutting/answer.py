"""What a cutting plan looks like, how hard to look for one, and what is known of it when the search ends.

Lengths are in the problem's unit, money is whole cents, and places are counted from 0.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Callable

Status = Literal["feasible", "optimal"]
Ended = Literal["proven", "work", "time", "stopped"]
LONGEST_SECONDS = 86_400


@dataclass(frozen=True, slots=True)
class Segment:
    """A crosscut length of a board and the blanks ripped from it, from one edge to the other.

    Attributes:
        length: of the segment.
        blanks: their ids.
        turned: places in `blanks`, from 0, of those that lie turned.
        stretch: which clear stretch of the board it comes from, from 0.
    """

    length: int
    blanks: tuple[str, ...]
    turned: tuple[int, ...] = ()
    stretch: int = 0


@dataclass(frozen=True, slots=True)
class BoardCut:
    """One board and its segments, from one end to the other; of a sheet cut `crosswise`, from one edge to the other."""

    stock_id: str
    segments: tuple[Segment, ...]
    crosswise: bool = False


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
class Certificate:
    """All that is needed to work the certified bound out again; see `journal.cutting.bound`.

    Attributes:
        worth: for each blank id, what one such blank costs at least, in cents ÷ `scale`.
        scale: how many parts a cent is counted in.
    """

    worth: tuple[tuple[str, int], ...]
    scale: int


@dataclass(frozen=True, slots=True)
class Search:
    """How hard to look.

    Attributes:
        seconds: when to stop at the latest; None is after counted work alone, which takes well under a second for a
            few hundred pieces and gives the same plan every time. With seconds the search goes on to prove its plan.
        progress: told of every better plan or bound.
        stop: asked now and then; True ends the search with the best plan so far.
        apart: run in a process of its own, so that the time is held to whatever the solver is doing.
    """

    seconds: float | None = None
    progress: Callable[[Progress], None] | None = None
    stop: Callable[[], bool] | None = None
    apart: bool = False

    def __post_init__(self) -> None:
        if self.seconds is not None and not 0 < self.seconds <= LONGEST_SECONDS:
            raise BadInput("seconds", self.seconds, f"more than 0, at most {LONGEST_SECONDS}")


@dataclass(frozen=True, slots=True)
class Progress:
    """Where a search stands: seconds so far, cost of the best plan, bound and gap."""

    seconds: float
    cost_cents: int
    bound_cents: int

    @property
    def gap(self) -> float:
        """Share of the cost that might still be saved."""
        return (self.cost_cents - self.bound_cents) / self.cost_cents if self.cost_cents else 0.0


@dataclass(frozen=True, slots=True)
class CuttingResult:
    """A plan, what it costs, and what any plan must cost.

    Attributes:
        status: `optimal` only when the bound meets the cost.
        plan: every board with its cuts.
        cost_cents: Σ price of the boards used, those on hand at the price given for them.
        bound_cents: no plan costs less.
        bound_kind: `certified`: whole-number arithmetic alone, recomputable from the certificate; `solver`: raised
            beyond that by a solver's word.
        certified_cents: the part of the bound that the certificate bears.
        gap: (cost − bound) / cost, 0 when the cost is 0.
        fewest_boards: no plan of this cost uses fewer boards, by the solver's word.
        shopping: boards to buy, (stock id, count).
        from_rack: boards on hand used, (stock id, count).
        offcuts: everything left over; which is largest is looked for last and never proven.
        certificate: the working of the bound.
        ended: what ended the search: `proven`, its counted `work`, the `time`, or `stopped`.
        method: how the plan was found, with the version of the search.
    """

    status: Status
    plan: CuttingPlan
    cost_cents: int
    bound_cents: int
    bound_kind: Literal["certified", "solver"]
    certified_cents: int
    gap: float
    fewest_boards: bool
    shopping: tuple[tuple[str, int], ...]
    from_rack: tuple[tuple[str, int], ...]
    offcuts: tuple[Offcut, ...]
    certificate: Certificate
    ended: Ended
    method: str
