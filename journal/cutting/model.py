"""The problem as the search sees it: kerfs and extras folded into the sizes, equal blanks one class, alike boards one store.

n pieces with n − 1 kerfs fit a room when the pieces with a kerf each fit the room with one kerf more. A *kind* is a list
of pieces that may lie in one segment; a *group* is a kind and a room across; a *layout* is a group and a room along; a
*place* of a store is a stretch of its boards, filled by one of its layouts. The money here is *points*: cents × `scale`
+ 1 a board, so that of plans of one cost the one of fewest boards has the fewest points.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from math import gcd
from typing import TYPE_CHECKING

from journal.cutting.problem import lies

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from journal.cutting.problem import Blank, BoardProblem, Room, StockLength

_MOST_CELLS = 1 << 18  # rooms of more units than this are not narrowed to what the sizes can fill


@dataclass(frozen=True, slots=True)
class Piece:
    """One way a class may lie in a segment; sizes with a kerf each."""

    of: int
    along: int
    across: int
    turned: bool


@dataclass(frozen=True, slots=True)
class Kind:
    """Pieces that may share a segment, shortest first, and their different lengths."""

    pieces: tuple[Piece, ...]
    lengths: tuple[int, ...]

    def upto(self, number: int) -> int:
        """How many pieces, from the first, are no longer than length `number`."""
        return sum(piece.along <= self.lengths[number] for piece in self.pieces)


@dataclass(frozen=True, slots=True)
class Layout:
    """A group and the room along; `stretch` and `crosswise` say where on the board that is."""

    group: int
    room: int
    stretch: int
    crosswise: bool


@dataclass(frozen=True, slots=True)
class Store:
    """Boards of one sort. `members` are (stock id, available); `limit` is their sum, None without end."""

    members: tuple[tuple[str, int | None], ...]
    cents: int
    breaks: tuple[tuple[int, int], ...]
    limit: int | None
    places: tuple[tuple[Layout, ...], ...]

    @property
    def least_cents(self) -> int:
        """Price of one board, however many are used."""
        return min([self.cents, *(price for _, price in self.breaks)])

    def cost(self, count: int) -> int:
        """Cents for so many together."""
        price = self.cents
        for least, lower in self.breaks:
            if count >= least:
                price = lower
        return count * price


@dataclass(frozen=True, slots=True)
class Model:
    """One family of blanks with all the stock it may come from.

    Attributes:
        blanks: for each class its (blank id, pieces), in order.
        demand: pieces of each class.
        kinds, stores: see there.
        groups: (kind, room across).
        scale: points in a cent.
        prices: of one board of each store at its lowest, in points.
    """

    blanks: tuple[tuple[tuple[str, int], ...], ...]
    demand: tuple[int, ...]
    kinds: tuple[Kind, ...]
    groups: tuple[tuple[int, int], ...]
    stores: tuple[Store, ...]
    scale: int
    prices: tuple[int, ...]

    def price(self, store: int) -> int:
        """Points of one board at its lowest price."""
        return self.prices[store]

    def points(self, boards: Iterable[int]) -> int:
        """Points of these stores' boards together."""
        counts = Counter(boards)
        return sum(self.stores[store].cost(count) * self.scale + count for store, count in counts.items())


def make_model(problem: BoardProblem, blanks: Sequence[Blank], stocks: Sequence[StockLength]) -> Model:
    """One part of a problem that shares no stock with the rest; every blank fits some stock."""
    classes = _classes(problem, blanks, stocks)
    first = [members[0] for members in classes]
    kinds: dict[tuple[Piece, ...], int] = {}
    groups: dict[tuple[int, int], int] = {}
    stores: dict[tuple[object, ...], list[StockLength]] = {}
    for stock in stocks:
        places = _places(problem, first, stock, kinds, groups)
        if places:
            alone = stock.id if stock.available is None or stock.breaks else ""
            stores.setdefault((stock.on_hand, stock.price_cents, places, alone), []).append(stock)
    scale = 10 ** len(str(sum(blank.pieces for blank in blanks)))
    made = tuple(_store(alike, key[2]) for key, alike in stores.items())  # type: ignore[arg-type]
    return Model(
        blanks=tuple(tuple((blank.id, blank.pieces) for blank in members) for members in classes),
        demand=tuple(sum(blank.pieces for blank in members) for members in classes),
        kinds=tuple(Kind(kind, tuple(sorted({piece.along for piece in kind}))) for kind in kinds),
        groups=tuple(groups),
        stores=made,
        scale=scale,
        prices=tuple(store.least_cents * scale + 1 for store in made),
    )


def _store(alike: Sequence[StockLength], places: tuple[tuple[Layout, ...], ...]) -> Store:
    limits = [stock.available for stock in alike if stock.available is not None]
    return Store(
        members=tuple((stock.id, stock.available) for stock in alike),
        cents=alike[0].price_cents,
        breaks=tuple((least, price) for least, price in alike[0].breaks if not limits or least <= sum(limits)),
        limit=sum(limits) if limits else None,
        places=places,
    )


def _classes(problem: BoardProblem, blanks: Sequence[Blank], stocks: Sequence[StockLength]) -> list[list[Blank]]:
    """Blanks of equal size that suit the same stock, longest first."""
    found: dict[tuple[object, ...], list[Blank]] = {}
    for blank in sorted(blanks, key=lambda each: (-each.length, -each.width, each.id)):
        suited = tuple(stock.id for stock in stocks if problem.suits(blank, stock))
        found.setdefault((blank.length, blank.width, blank.may_turn, suited), []).append(blank)
    return list(found.values())


def _places(
    problem: BoardProblem,
    blanks: Sequence[Blank],
    stock: StockLength,
    kinds: dict[tuple[Piece, ...], int],
    groups: dict[tuple[int, int], int],
) -> tuple[tuple[Layout, ...], ...]:
    layouts = []
    for number, room in enumerate(problem.rooms(stock)):
        layout = _layout(problem, blanks, stock, room, kinds, groups)
        if layout is not None:
            layouts.append(Layout(*layout, 0 if stock.either_way else number, room.crosswise))
    if stock.either_way:
        return (tuple(layouts),) if layouts else ()
    return tuple((layout,) for layout in layouts)


def _layout(
    problem: BoardProblem,
    blanks: Sequence[Blank],
    stock: StockLength,
    room: Room,
    kinds: dict[tuple[Piece, ...], int],
    groups: dict[tuple[int, int], int],
) -> tuple[int, int] | None:
    """Group number and room along, both narrowed to what the pieces can fill; None when nothing fits."""
    rules = problem.rules
    more = rules.segment_extra + rules.kerf_crosscut
    along, across = room.along + rules.kerf_crosscut, room.across - rules.edge_allowance + rules.kerf_rip
    suited = [
        Piece(number, size + more, width + rules.kerf_rip, turned)
        for number, blank in enumerate(blanks)
        if problem.suits(blank, stock)
        for size, width, turned in lies(blank, room)
    ]
    fitting = [piece for piece in suited if piece.along <= along and piece.across <= across]
    if not fitting:
        return None
    kind = tuple(sorted(suited, key=lambda piece: (piece.along, piece.across, piece.of)))
    fullest = _fullest([piece.across for piece in fitting], across)
    group = (kinds.setdefault(kind, len(kinds)), fullest)
    return groups.setdefault(group, len(groups)), _fullest([piece.along for piece in fitting], along)


def _fullest(sizes: Sequence[int], room: int) -> int:
    """The largest sum of any number of these sizes within the room (the room itself when that is too much work)."""
    unit = gcd(*sizes)
    cells = room // unit
    if cells > _MOST_CELLS:
        return room
    reach, mask = 1, (1 << (cells + 1)) - 1
    for size in sorted({size // unit for size in sizes}):
        shift = size
        while shift <= cells:
            reach |= (reach << shift) & mask
            shift *= 2
    return (reach.bit_length() - 1) * unit
