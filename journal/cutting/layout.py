"""From counts of patterns to boards and back: where each segment lies, what is surplus, what a shorter blank can use."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import zip_longest
from typing import TYPE_CHECKING

from journal.cutting.pricing import Cross, Rip

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from journal.cutting.model import Model

    Strips = tuple[int, ...]  # pieces of the kind, highest number (longest) first
    Filling = tuple[int, tuple[Strips, ...]]  # layout number, segments
    Board = tuple[int, tuple[Filling | None, ...]]  # store, one filling a place


@dataclass(slots=True)
class _Filled:
    """One layout of one board while its segments are found."""

    store: int
    place: int
    layout: int
    segments: list[list[int]]


def boards_from(model: Model, rips: Counter[Rip], crosses: Counter[Cross]) -> list[Board] | None:
    """Boards with just the pieces wanted; None when the patterns do not yield them."""
    filled = _fill(model, rips, crosses)
    if filled is None or _reassign(model, filled):
        return None
    boards: list[Board] = []
    for number, store in enumerate(model.stores):
        places: list[list[Filling]] = [[] for _ in store.places]
        for one in filled:
            segments = tuple(sorted((tuple(sorted(s, reverse=True)) for s in one.segments if s), reverse=True))
            if one.store == number and segments:
                places[one.place].append((one.layout, segments))
        boards += [(number, fillings) for fillings in zip_longest(*(sorted(each) for each in places))]
    return boards


def _fill(model: Model, rips: Counter[Rip], crosses: Counter[Cross]) -> list[_Filled] | None:
    """Longest strips into longest crosscuts; None when there are too few crosscuts so long."""
    strips: list[list[list[int]]] = [[] for _ in model.groups]
    for rip in sorted(rips, key=lambda each: (each.group, -each.length, each.pieces)):
        ripped = [piece for piece, count in rip.pieces for _ in range(count)]
        strips[rip.group] += [list(ripped) for _ in range(rips[rip])]
    slots: list[list[tuple[int, int]]] = [[] for _ in model.groups]
    filled: list[_Filled] = []
    for cross in sorted(crosses, key=lambda each: (each.store, each.place, each.layout, each.lengths)):
        group = model.stores[cross.store].places[cross.place][cross.layout].group
        for _ in range(crosses[cross]):
            slots[group] += [(-length, len(filled)) for length, count in cross.lengths for _ in range(count)]
            filled.append(_Filled(cross.store, cross.place, cross.layout, []))
    for group in range(len(model.groups)):
        lengths = model.kinds[model.groups[group][0]].lengths
        longest = [model.kinds[model.groups[group][0]].pieces[max(ripped)].along for ripped in strips[group]]
        found = sorted(slots[group])
        if len(found) < len(longest) or any(
            lengths[-slot[0]] < need for slot, need in zip(found, longest, strict=False)
        ):
            return None
        for (_, where), ripped in zip(found, strips[group], strict=False):
            filled[where].segments.append(ripped)
    return filled


def _reassign(model: Model, filled: Sequence[_Filled]) -> int:
    """Surplus strips become shorter or narrower blanks that are short, or go; how many pieces stay short."""
    left = list(model.demand)
    surplus: list[tuple[int, list[int], int, int]] = []  # strips in the segment, the segment, place in it, kind
    full_first = sorted(
        ((len(segment), segment, one) for one in filled for segment in one.segments), key=lambda each: -each[0]
    )
    for size, segment, one in full_first:
        kind = model.groups[model.stores[one.store].places[one.place][one.layout].group][0]
        for place, piece in enumerate(segment):
            of = model.kinds[kind].pieces[piece].of
            if left[of]:
                left[of] -= 1
            else:
                surplus.append((size, segment, place, kind))
    for of in [of for of, count in enumerate(left) if count]:
        while left[of] and (found := _stand_in(model, of, surplus)) is not None:
            number, piece = found
            _, segment, place, _ = surplus.pop(number)
            segment[place] = piece
            left[of] -= 1
    for _, segment, place, _ in sorted(surplus, key=lambda each: -each[2]):
        del segment[place]
    return sum(left)


def _stand_in(model: Model, of: int, surplus: Sequence[tuple[int, list[int], int, int]]) -> tuple[int, int] | None:
    """A surplus strip that holds a blank of this class, the least one, and the blank's way to lie in it."""
    best: tuple[int, int, int] | None = None
    for number, (_, segment, place, kind) in enumerate(surplus):
        pieces = model.kinds[kind].pieces
        strip = pieces[segment[place]]
        for which, piece in enumerate(pieces):
            fits = piece.of == of and piece.along <= strip.along and piece.across <= strip.across
            if fits and (best is None or strip.along * strip.across < best[0]):
                best = (strip.along * strip.across, number, which)
    return None if best is None else (best[1], best[2])


def patterns_of(model: Model, boards: Iterable[Board]) -> tuple[Counter[Rip], Counter[Cross]]:
    """The patterns of boards, so often each."""
    rips: Counter[Rip] = Counter()
    crosses: Counter[Cross] = Counter()
    for store, fillings in boards:
        for place, filling in enumerate(fillings):
            if filling is None:
                continue
            layout, segments = filling
            group = model.stores[store].places[place][layout].group
            kind = model.kinds[model.groups[group][0]]
            number = {length: where for where, length in enumerate(kind.lengths)}
            lengths: Counter[int] = Counter()
            for strips in segments:
                longest = number[kind.pieces[strips[0]].along]
                lengths[longest] += 1
                rips[Rip(group, longest, tuple(sorted(Counter(strips).items())))] += 1
            crosses[Cross(store, place, layout, tuple(sorted(lengths.items())))] += 1
    return rips, crosses


def count_pieces(model: Model, boards: Iterable[Board]) -> Counter[int]:
    """How many of each class are cut from these boards."""
    found: Counter[int] = Counter()
    for store, fillings in boards:
        for place, filling in enumerate(fillings):
            if filling is not None:
                pieces = model.kinds[model.groups[model.stores[store].places[place][filling[0]].group][0]].pieces
                found.update(pieces[piece].of for strips in filling[1] for piece in strips)
    return found


def overdrawn(model: Model, boards: Sequence[Board]) -> bool:
    """Whether more boards of a store are used than there are."""
    counts = Counter(store for store, _ in boards)
    return any(store.limit is not None and counts[number] > store.limit for number, store in enumerate(model.stores))
