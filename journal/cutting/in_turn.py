"""Plans made one board after another, each the most valuable for its price of those that the pieces left can fill.

What pieces are worth is corrected by what each board turned out to cost: a piece that ended up on a wasteful board is worth
more in the next plan, comes sooner there, and finds better company. A plan takes milliseconds, and of a few the best is
near the best there is. Nothing is random: the worths are spread by multiples of the golden section.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.cutting.improve import improve
from journal.cutting.knapsack import fill_tables, take
from journal.cutting.layout import count_pieces

if TYPE_CHECKING:
    from collections import Counter
    from collections.abc import Callable, Iterator, Sequence

    from journal.cutting.knapsack import Table
    from journal.cutting.layout import Board, Filling, Strips
    from journal.cutting.model import Layout, Model
    from journal.cutting.pricing import Pricer, Segments

_SCALE = 10**6  # parts of a cent that worths are rounded to
_ENDLESS = 10**9
_LARGER = 1.02  # power of the area that a board's price is shared out by: large pieces are the harder to place
_SPREAD = 0.3  # worths begin each round within so much of one another
_GOLDEN = 0.6180339887498949
_ROUND = 10  # plans before the worths are set back
_CLASSES = 150  # considered for one board: the longest still left
_HURRIED = 12  # of them once time is up


@dataclass(frozen=True, slots=True)
class _Strips:
    """Pieces of a kind that are still to be cut, shortest first, and how they fill the width.

    Attributes:
        numbers: of the pieces in the kind.
        sizes: their widths in cells.
        values: what they are worth.
        table: of fillings by the first so many of them.
        lengths: numbers of their different lengths in the kind.
        upto: for each length how many pieces are no longer.
        many: for each length how many are left of just that length.
    """

    numbers: list[int]
    sizes: list[int]
    values: list[int]
    table: Table
    lengths: list[int]
    upto: list[int]
    many: list[int]


class InTurn:
    """Plans for one model, better ones as the worths are corrected.

    Attributes:
        worth: of each class in cents.
        left: pieces of each class that the last plan found no board for.
    """

    def __init__(
        self,
        model: Model,
        pricer: Pricer,
        worth: Sequence[float],
        over: Callable[[], bool] = lambda: False,
        classes: int = _CLASSES,
    ) -> None:
        """`pricer` in snug cells, of this model or one with the same sizes; fewer `classes` for one board are sooner done."""
        self.model = model
        self.pricer = pricer
        self.over = over
        self.classes = classes
        self.worth = list(worth)
        self.left: list[int] = []
        self._size = [0.0] * len(model.demand)
        longest = [0] * len(model.demand)
        for kind in model.kinds:
            for piece in kind.pieces:
                self._size[piece.of] = float(piece.along * piece.across) ** _LARGER
                longest[piece.of] = max(longest[piece.of], piece.along)
        self._order = sorted(range(len(model.demand)), key=lambda of: (-longest[of], of))

    def plans(self, turn: int = 0) -> Iterator[list[Board] | None]:
        """One plan after another without end, None for one that left pieces over. `turn` is where the spread begins."""
        first = list(self.worth)
        while True:
            spread = [1 + _SPREAD * (turn * (number + 1) * _GOLDEN % 1 - 0.5) for number in range(len(first))]
            self.worth = [one * by for one, by in zip(first, spread, strict=True)] if turn else list(first)
            for _ in range(_ROUND):
                yield self.plan()
            turn += 1

    def plan(self, *, hurry: bool = False) -> list[Board] | None:
        """The next plan; None when the boards there are do not hold all pieces this way, or when time is up.

        In a hurry the end of time does not end it, but fewer classes are considered for each board from then on.
        """
        left = self.left = list(self.model.demand)
        stocked = [_ENDLESS if store.limit is None else store.limit for store in self.model.stores]
        boards: list[Board] = []
        while any(left):
            late = self.over()
            if late and not hurry:
                return None
            board = self._best_board(left, stocked, _HURRIED if late else self.classes)
            if board is None:
                return None
            used = count_pieces(self.model, [board])
            copies = min(stocked[board[0]], *(left[of] // count for of, count in used.items()))
            for of, count in used.items():
                left[of] -= copies * count
            stocked[board[0]] -= copies
            boards += [board] * copies
            self._correct(board[0], used, copies)
        return improve(self.model, boards)

    def _best_board(self, left: Sequence[int], stocked: Sequence[int], classes: int) -> Board | None:
        """The board that holds most for its price, filled as well as the pieces left allow; None when none holds any."""
        asked = [of for of in self._order if left[of]][:classes]
        worth = {of: max(1, round(self.worth[of] * _SCALE)) for of in asked}
        strips = [self._strips(kind, worth, left) for kind in range(len(self.model.kinds))]
        segments = [self._segments(group, strips[kind]) for group, (kind, _) in enumerate(self.model.groups)]

        def held(layout: Layout) -> int:
            return segments[layout.group].worth(self.pricer.room(layout))

        best: tuple[float, int] | None = None
        for number, store in enumerate(self.model.stores):
            if stocked[number]:
                rate = sum(max(map(held, layouts)) for layouts in store.places) / self.model.price(number)
                if rate and (best is None or rate > best[0]):
                    best = rate, number
        if best is None:
            return None
        rest = list(left)
        fillings: list[Filling | None] = []
        for layouts in self.model.stores[best[1]].places:
            which = max(range(len(layouts)), key=lambda each: held(layouts[each]))
            group = layouts[which].group
            lengths = segments[group].counts(self.pricer.room(layouts[which]))
            ripped = self._rip(group, lengths, strips[self.model.groups[group][0]], rest)
            fillings.append((which, ripped) if ripped else None)
        return best[1], tuple(fillings)

    def _strips(self, kind: int, worth: dict[int, int], left: Sequence[int]) -> _Strips:
        pieces = self.model.kinds[kind].pieces
        numbers = [number for number, piece in enumerate(pieces) if piece.of in worth and left[piece.of]]
        sizes = [self.pricer.widths[kind][number] for number in numbers]
        values = [worth[pieces[number].of] for number in numbers]
        limits = [left[pieces[number].of] for number in numbers]
        many: dict[int, int] = {}
        upto: dict[int, int] = {}
        for row, (number, limit) in enumerate(zip(numbers, limits, strict=True), 1):
            many[pieces[number].along] = many.get(pieces[number].along, 0) + limit
            upto[pieces[number].along] = row
        known = {length: number for number, length in enumerate(self.model.kinds[kind].lengths)}
        table = fill_tables(sizes, values, limits, self.pricer.across[kind].most)
        lengths = [known[length] for length in many]
        return _Strips(numbers, sizes, values, table, lengths, list(upto.values()), list(many.values()))

    def _segments(self, group: int, strips: _Strips) -> Segments:
        kind, across = self.model.groups[group]
        values = strips.table[strips.upto, self.pricer.across[kind].of(across)].tolist() if strips.upto else []
        return self.pricer.segments(group, values, strips.many, strips.lengths)

    def _rip(
        self, group: int, lengths: Sequence[tuple[int, int]], strips: _Strips, rest: list[int]
    ) -> tuple[Strips, ...]:
        """Segments of these (length, count), longest first, each ripped as well as `rest` allows; takes from it."""
        kind, _ = self.model.groups[group]
        pieces = self.model.kinds[kind].pieces
        worth = {pieces[number].of: value for number, value in zip(strips.numbers, strips.values, strict=True)}
        found: list[Strips] = []
        for length in (length for length, count in reversed(lengths) for _ in range(count)):
            wanted, taken = self._take(group, length, strips, rest)
            if len(taken) < wanted:  # other segments of the board took some of them: what else is there?
                _, taken = self._take(group, length, self._strips(kind, worth, rest), rest)
            for number in taken:
                rest[pieces[number].of] -= 1
            if taken:
                found.append(tuple(sorted(taken, reverse=True)))
        return tuple(sorted(found, reverse=True))

    def _take(self, group: int, length: int, strips: _Strips, rest: Sequence[int]) -> tuple[int, list[int]]:
        """How many strips no longer than this fill the width best, and those pieces of them that are left.

        A class that may lie two ways has two rows in the table, each as if it had all of them.
        """
        kind, across = self.model.groups[group]
        pieces, longest = self.model.kinds[kind].pieces, self.model.kinds[kind].lengths[length]
        upto = sum(pieces[number].along <= longest for number in strips.numbers)
        counts = take(strips.table, strips.sizes, strips.values, upto, self.pricer.across[kind].of(across))
        left: dict[int, int] = {}
        taken: list[int] = []
        for row, count in counts.items():
            of = pieces[strips.numbers[row]].of
            few = min(count, left.get(of, rest[of]))
            left[of] = left.get(of, rest[of]) - few
            taken += [strips.numbers[row]] * few
        return sum(counts.values()), taken

    def _correct(self, store: int, used: Counter[int], copies: int) -> None:
        """Moves the worth of a board's pieces towards their share of its price, further the more of them it took."""
        cents = self.model.price(store) / self.model.scale
        whole = sum(self._size[of] * count for of, count in used.items())
        for of, count in used.items():
            weight = copies * count / (self.model.demand[of] + copies * count)
            self.worth[of] += weight * (cents * self._size[of] / whole - self.worth[of])
