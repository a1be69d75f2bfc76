"""One way to plan from nothing: form segments from the longest blank down, then pack boards from the longest segment down.

A class is one kind of blank, known by its place when sorted longest first. Kerfs and extras are folded into the sizes: n
pieces with n − 1 kerfs fit a room when the pieces with a kerf each fit the room with one kerf more.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.cutting.fill import best_fill

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from journal.cutting.problem import BoardProblem

_ENDLESS = 10**9
_MANY_PIECES = 300  # above this fewer ways are tried

Strips = tuple[int, ...]  # the classes of one segment's strips, longest first
Board = tuple[int, tuple[Strips, ...]]  # stock index, segments


@dataclass(frozen=True, slots=True)
class Section:
    """Stock of one family, thickness and width: room across, stock indices, and the classes that fit."""

    room: int
    stock: tuple[int, ...]
    classes: frozenset[int]
    thickness: int
    family: str


@dataclass(frozen=True, slots=True)
class Way:
    """One way to try: what a blank is worth in a segment, and whether a board's whole cuts set its price."""

    value: tuple[float, ...]
    whole_cuts: bool


class Bench:
    """The problem with kerfs and extras folded into the sizes. Classes are blanks sorted longest first.

    Of a board the longest clear stretch is used, and nothing is turned.
    """

    def __init__(self, problem: BoardProblem) -> None:
        rules = problem.rules
        self.problem = problem
        self.blanks = sorted(
            problem.blanks, key=lambda blank: (-blank.length, -blank.width, -blank.thickness, blank.id)
        )
        self.stock = sorted(problem.stock, key=lambda stock: stock.id)
        self.length = [blank.length + rules.segment_extra + rules.kerf_crosscut for blank in self.blanks]
        self.width = [blank.width + rules.kerf_rip for blank in self.blanks]
        clear = [max((end - start for start, end in one.stretches(rules.end_trim)), default=0) for one in self.stock]
        self.room = [length + rules.kerf_crosscut for length in clear]
        self.price = [stock.price_cents for stock in self.stock]
        self.fits = [
            [
                problem.suits(blank, stock)
                and blank.length + rules.segment_extra <= length
                and blank.width + rules.edge_allowance <= stock.width
                for blank in self.blanks
            ]
            for stock, length in zip(self.stock, clear, strict=True)
        ]
        self.sections = self._sections()

    def _sections(self) -> list[Section]:
        rules = self.problem.rules
        groups: dict[tuple[str, int, int], list[int]] = {}
        for index, stock in enumerate(self.stock):
            groups.setdefault((stock.family, stock.thickness, stock.width), []).append(index)
        return [
            Section(
                room=width - rules.edge_allowance + rules.kerf_rip,
                stock=tuple(members),
                classes=frozenset(
                    place for place in range(len(self.blanks)) if any(self.fits[index][place] for index in members)
                ),
                thickness=thickness,
                family=family,
            )
            for (family, thickness, width), members in sorted(groups.items())
        ]

    def available(self) -> list[int]:
        """Boards of each stock at the start."""
        return [_ENDLESS if stock.available is None else stock.available for stock in self.stock]

    def cost(self, boards: Iterable[Board]) -> int:
        return sum(self.price[stock] for stock, _ in boards)

    def holds(self, stock: int, segments: Sequence[Strips]) -> bool:
        """Whether one board of this stock can be cut into these segments."""
        item = self.stock[stock]
        across = item.width - self.problem.rules.edge_allowance + self.problem.rules.kerf_rip
        return (
            sum(self.length[strips[0]] for strips in segments) <= self.room[stock]
            and all(sum(self.width[place] for place in strips) <= across for strips in segments)
            and all(self.fits[stock][place] for strips in segments for place in strips)
        )


def ways_to_try(bench: Bench, worth: dict[str, int]) -> list[Way]:
    """The ways that, tried one by one on made-up problems, found the cheapest plan most often, best first."""
    area = [float(length * width) for length, width in zip(bench.length, bench.width, strict=True)]
    scale = sum(area) / max(1, sum(worth.values()))
    dual = [0.3 * own + scale * worth[blank.id] for own, blank in zip(area, bench.blanks, strict=True)]
    narrow = [own / width**0.5 for own, width in zip(area, bench.width, strict=True)]
    ways = [
        Way(tuple(dual), whole_cuts=False),
        Way(tuple(narrow), whole_cuts=False),
        Way(tuple(area), whole_cuts=True),
        Way(tuple(dual), whole_cuts=True),
        Way(tuple(area), whole_cuts=False),
    ]
    return ways if sum(blank.pieces for blank in bench.blanks) <= _MANY_PIECES else ways[:3]


def try_way(bench: Bench, way: Way, demand: Sequence[int], available: Sequence[int]) -> tuple[list[Board], list[int]]:
    """Boards, and how many of each class found no place. Sections that run out give their blanks back to the others."""
    left, stock_left = list(demand), list(available)
    boards: list[Board] = []
    closed: set[int] = set()
    while any(left):
        formed, homeless = _form_segments(bench, way, left, stock_left, closed)
        left = homeless
        returned = False
        for number, segments in formed.items():
            packed, unplaced = _pack(bench, bench.sections[number], segments, stock_left)
            boards += packed
            for strips, count in unplaced.items():
                returned = True
                closed.add(number)
                for place in strips:
                    left[place] += count
        if not returned:
            break
    return boards, left


def _form_segments(
    bench: Bench, way: Way, demand: Sequence[int], stock_left: Sequence[int], closed: set[int]
) -> tuple[dict[int, Counter[Strips]], list[int]]:
    """Segments by section, and the classes no open section can hold."""
    left = list(demand)
    homeless = [0] * len(left)
    formed: dict[int, Counter[Strips]] = {}
    for lead in range(len(left)):
        while left[lead]:
            best: tuple[float, int, Strips] | None = None
            for number, section in enumerate(bench.sections):
                rate = None if number in closed else _rate(bench, way, section, lead, stock_left)
                if rate is None:
                    continue
                strips = _fill_segment(bench, way, section, lead, left)
                price = rate * bench.length[lead] / sum(way.value[place] for place in strips)
                if best is None or price < best[0]:
                    best = (price, number, strips)
            if best is None:
                homeless[lead], left[lead] = left[lead], 0
                break
            _, number, strips = best
            counts = Counter(strips)
            copies = min(left[place] // count for place, count in counts.items())
            for place, count in counts.items():
                left[place] -= copies * count
            formed.setdefault(number, Counter())[strips] += copies
    return formed, homeless


def _rate(bench: Bench, way: Way, section: Section, lead: int, stock_left: Sequence[int]) -> float | None:
    """Least price per length among the section's boards that can hold the lead; None when there is none."""
    rates = []
    for index in section.stock:
        if stock_left[index] and bench.fits[index][lead]:
            room = bench.room[index]
            used = room // bench.length[lead] * bench.length[lead] if way.whole_cuts else room
            rates.append(bench.price[index] / used)
    return min(rates, default=None)


def _fill_segment(bench: Bench, way: Way, section: Section, lead: int, left: Sequence[int]) -> Strips:
    """The lead and the most valuable other strips beside it, longest first."""
    room = section.room - bench.width[lead]
    by_width: dict[int, list[int]] = {}
    for place in range(lead, len(left)):
        count = left[place] - (place == lead)
        if count > 0 and place in section.classes and bench.width[place] <= room:
            row = by_width.setdefault(bench.width[place], [])
            row += [place] * min(count, room // bench.width[place] - len(row))
    sizes = sorted(by_width)
    rows = [sorted(by_width[size], key=lambda place: (-way.value[place], place)) for size in sizes]
    counts = best_fill(room, sizes, [[way.value[place] for place in row] for row in rows])
    taken = [place for row, count in zip(rows, counts, strict=True) for place in row[:count]]
    return (lead, *sorted(taken))


def _pack(
    bench: Bench, section: Section, segments: Counter[Strips], stock_left: list[int]
) -> tuple[list[Board], Counter[Strips]]:
    """Boards of one section holding these segments, and those that found none. Takes from `stock_left`."""
    left = Counter(segments)
    boards: list[Board] = []
    unplaced: Counter[Strips] = Counter()
    for lead in sorted(segments):
        while left[lead]:
            best: tuple[float, int, tuple[Strips, ...]] | None = None
            for index in section.stock:
                if stock_left[index] and bench.fits[index][lead[0]]:  # the lead is its longest strip
                    chosen = _fill_board(bench, index, lead, left)
                    used = sum(bench.length[strips[0]] for strips in chosen)
                    rate = (bench.price[index] + 1e-9 * bench.room[index]) / used
                    if best is None or rate < best[0]:
                        best = (rate, index, chosen)
            if best is None:
                unplaced[lead] += left.pop(lead)
                break
            _, index, chosen = best
            copies = min(stock_left[index], *(left[strips] // count for strips, count in Counter(chosen).items()))
            for strips in chosen:
                left[strips] -= copies
            stock_left[index] -= copies
            boards += [(index, chosen)] * copies
    return boards, unplaced


def _fill_board(bench: Bench, index: int, lead: Strips, left: Counter[Strips]) -> tuple[Strips, ...]:
    """The lead and those other segments that fill the board best, longest first."""
    room = bench.room[index] - bench.length[lead[0]]
    by_length: dict[int, list[Strips]] = {}
    for strips in sorted(left):
        count = left[strips] - (strips == lead)
        size = bench.length[strips[0]]
        if count > 0 and size <= room:
            row = by_length.setdefault(size, [])
            row += [strips] * min(count, room // size - len(row))
    sizes = sorted(by_length, reverse=True)
    counts = best_fill(room, sizes, [[float(size)] * len(by_length[size]) for size in sizes])
    taken = [strips for size, count in zip(sizes, counts, strict=True) for strips in by_length[size][:count]]
    return (lead, *sorted(taken))
