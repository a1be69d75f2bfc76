"""Plans made one board after another, each the most valuable for its price of those that the pieces left can fill.

What pieces are worth is corrected by what each board turned out to cost: a piece that ended up on a wasteful board is worth
more in the next plan, comes sooner there, and finds better company. A plan takes milliseconds, and of a few the best is
near the best there is. Nothing is random: the worths are spread by multiples of the golden section.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from journal.cutting.knapsack import take
from journal.cutting.layout import improve

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from journal.cutting.knapsack import Table
    from journal.cutting.layout import Board, Filling, Strips
    from journal.cutting.model import Layout, Model
    from journal.cutting.pricing import Counts, Pricer

_SCALE = 10**6  # parts of a cent that worths are rounded to
_ENDLESS = 10**9
_LARGER = 1.02  # power of the area that a board's price is shared out by: large pieces are the harder to place
_SPREAD = 0.3  # worths begin each round within so much of one another
_GOLDEN = 0.6180339887498949
_ROUND = 10  # plans before the worths are set back


class InTurn:
    """Plans for one model, better ones as the worths are corrected."""

    def __init__(self, model: Model, pricer: Pricer, worth: Sequence[float]) -> None:
        """`pricer` in snug cells, of this model or one with the same sizes; `worth` of each class in cents."""
        self.model = model
        self.pricer = pricer
        self.worth = list(worth)
        self._size = [0.0] * len(model.demand)
        for kind in model.kinds:
            for piece in kind.pieces:
                self._size[piece.of] = float(piece.along * piece.across) ** _LARGER

    def plans(self, turn: int = 0) -> Iterator[list[Board]]:
        """One plan after another without end; none at all once pieces are left over. `turn` is where the spread begins."""
        first = list(self.worth)
        while True:
            spread = [1 + _SPREAD * (turn * (number + 1) * _GOLDEN % 1 - 0.5) for number in range(len(first))]
            self.worth = [one * by for one, by in zip(first, spread, strict=True)] if turn else list(first)
            for _ in range(_ROUND):
                boards = self._plan()
                if boards is None:
                    break
                yield improve(self.model, boards)
            else:
                turn += 1
                continue
            return

    def _plan(self) -> list[Board] | None:
        """One plan; None when the boards there are do not hold all pieces this way."""
        left = list(self.model.demand)
        stocked = [_ENDLESS if store.limit is None else store.limit for store in self.model.stores]
        boards: list[Board] = []
        while any(left):
            board = self._best_board(left, stocked)
            if board is None:
                return None
            used = self._pieces(board)
            copies = min(stocked[board[0]], *(left[of] // count for of, count in used.items()))
            for of, count in used.items():
                left[of] -= copies * count
            stocked[board[0]] -= copies
            boards += [board] * copies
            self._correct(board[0], used, copies)
        return boards

    def _best_board(self, left: Sequence[int], stocked: Sequence[int]) -> Board | None:
        """The board that holds most for its price, filled as well as the pieces left allow; None when none holds any."""
        worth = [max(1, round(one * _SCALE)) if count else 0 for one, count in zip(self.worth, left, strict=True)]
        strips = [self.pricer.strips(kind, worth, left) for kind in range(len(self.model.kinds))]
        limits = [self.pricer.segment_limits(kind, left) for kind in range(len(self.model.kinds))]
        segments = []
        for group, (kind, across) in enumerate(self.model.groups):
            values = strips[kind][0][self.pricer.upto[kind], self.pricer.across[kind].of(across)].tolist()
            segments.append(self.pricer.segments(group, values, limits[kind]))

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
            lengths = segments[layouts[which].group].counts(self.pricer.room(layouts[which]))
            ripped = self._rip(layouts[which].group, lengths, strips, worth, rest)
            fillings.append((which, ripped) if ripped else None)
        return best[1], tuple(fillings)

    def _rip(
        self,
        group: int,
        lengths: Counts,
        strips: Sequence[tuple[Table, list[int]]],
        worth: Sequence[int],
        rest: list[int],
    ) -> tuple[Strips, ...]:
        """Segments of these lengths, longest first, ripped as priced or as what is left by then allows; takes from `rest`."""
        kind, _ = self.model.groups[group]
        found: list[Strips] = []
        for length in (length for length, count in reversed(lengths) for _ in range(count)):
            counts = self._take(group, length, strips[kind])
            if any(count > rest[of] for of, count in self._count(group, counts).items()):
                counts = self._take(group, length, self.pricer.strips(kind, worth, rest))
            taken: list[int] = []
            for piece, count in counts.items():
                of = self.model.kinds[kind].pieces[piece].of
                few = min(count, rest[of])  # a class that may lie two ways stands in the table twice
                rest[of] -= few
                taken += [piece] * few
            if taken:
                found.append(tuple(sorted(taken, reverse=True)))
        return tuple(sorted(found, reverse=True))

    def _take(self, group: int, length: int, strips: tuple[Table, list[int]]) -> dict[int, int]:
        """The most valuable strips of a segment, none longer than this length."""
        kind, across = self.model.groups[group]
        table, values = strips
        room = self.pricer.across[kind].of(across)
        return take(table, self.pricer.widths[kind], values, self.pricer.upto[kind][length], room)

    def _count(self, group: int, counts: dict[int, int]) -> Counter[int]:
        """Pieces of each class in strips by piece of the kind."""
        pieces = self.model.kinds[self.model.groups[group][0]].pieces
        found: Counter[int] = Counter()
        for piece, count in counts.items():
            found[pieces[piece].of] += count
        return found

    def _pieces(self, board: Board) -> Counter[int]:
        store, fillings = board
        found: Counter[int] = Counter()
        for place, filling in enumerate(fillings):
            if filling is not None:
                group = self.model.stores[store].places[place][filling[0]].group
                for strips in filling[1]:
                    found += self._count(group, Counter(strips))
        return found

    def _correct(self, store: int, used: Counter[int], copies: int) -> None:
        """Moves the worth of a board's pieces towards their share of its price, further the more of them it took."""
        cents = self.model.price(store) / self.model.scale
        whole = sum(self._size[of] * count for of, count in used.items())
        for of, count in used.items():
            weight = copies * count / (self.model.demand[of] + copies * count)
            self.worth[of] += weight * (cents * self._size[of] / whole - self.worth[of])
