"""What a client is told they get: the bench in words, written from the parts that are priced.

Only what is in the price is named: hardware without a price is left out of it, and so it is left out of the words.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from journal import reference, units
from journal.build.parts import Faces
from journal.build.stock import Sheet
from journal.working import counted

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from journal.build.milling import Milled
    from journal.quote.costing import Supply
    from journal.quote.takeoff import Takeoff

# Worth a client's while to read; other features are how it is made.
_HOLES = "hole"
# A bench has about ten kinds of parts; of a longer list a client reads no more than this.
_MOST_PARTS = 14


def describe(
    takeoff: Takeoff,
    priced: Mapping[str, Supply],
    shown: units.Shown,
    *,
    what: str = "",
    sizes_nm: tuple[int, int, int] | None = None,
    finish: str = "",
    coats: int = 0,
) -> str:
    """One bench in words, a line each: what it is, its wood, its parts, its finish, the hardware in the price.

    Args:
        takeoff: what the benches take.
        priced: the hardware that has a price, by feature.
        shown: how the shop writes lengths.
        what: it is called; '' where only its parts are known.
        sizes_nm: length, depth and height of the bench itself; None where only its parts are known.
        finish: its name.
        coats: of it, 0 for bare wood.
    """
    seen = _seen(takeoff)
    woods = tuple(dict.fromkeys(_wood(milled) for milled in seen))
    coated = finish and coats and takeoff.surface.area_nm2
    said = (
        _head(what, sizes_nm, shown),
        f"Wood: {'; '.join(woods)}.",
        *_parts(seen, shown, alone=len(woods) == 1),
        f"{finish}, {counted(coats, 'coat')}." if coated else "Left bare, without a finish.",
        _hardware(takeoff, priced),
    )
    return "\n".join(line for line in said if line)


def hardware_in(takeoff: Takeoff, priced: Mapping[str, Supply]) -> tuple[tuple[str, int], ...]:
    """The hardware of one bench that is in the price: feature and how many."""
    return tuple((word, count // takeoff.benches) for word, count in takeoff.hardware if word in priced)


def speaks_against(excluded: str, included: Iterable[str]) -> tuple[str, ...]:
    """Lines of what is not included that name a piece of hardware which is, by any of its names.

    Args:
        excluded: a line each.
        included: features.
    """
    features = [reference.find_feature(word) for word in included]
    names = {name for one in features for name in (one.word, one.plural, *one.aliases, *(f"{a}s" for a in one.aliases))}
    # The one word for all of them says nothing about any of them.
    told = sorted(re.escape(name) for name in names - {"hardware"})
    if not told:
        return ()
    found = re.compile(rf"\b(?:{'|'.join(told)})\b", re.IGNORECASE)
    return tuple(line.strip() for line in excluded.splitlines() if found.search(line))


def _head(what: str, sizes_nm: tuple[int, int, int] | None, shown: units.Shown) -> str:
    if not what or sizes_nm is None:
        return f"{what}." if what else ""
    length, depth, height = (shown.length(size) for size in sizes_nm)
    return f"{what}, {length} long, {depth} deep, {height} high."


def _seen(takeoff: Takeoff) -> tuple[Milled, ...]:
    """The parts a client sees; what gets no finish on any side is inside, unless nothing gets any."""
    coated = tuple(milled for milled in takeoff.milled if milled.part.faces != Faces(0, 0, 0))
    return coated or takeoff.milled


def _wood(milled: Milled) -> str:
    return milled.stock.kind if isinstance(milled.stock, Sheet) else milled.stock.species


def _parts(seen: tuple[Milled, ...], shown: units.Shown, *, alone: bool) -> list[str]:
    """A line each, in their order; of a long list the largest."""
    largest = sorted(seen, key=lambda milled: -milled.part.volume_nm3)[:_MOST_PARTS]
    lines = [_part(milled, shown, alone=alone) for milled in seen if milled in largest]
    left = len(seen) - len(lines)
    return [*lines, f"And {counted(left, 'smaller kind')} of part."] if left else lines


def _part(milled: Milled, shown: units.Shown, *, alone: bool) -> str:
    part = milled.part
    each = f", {part.quantity}" if part.quantity > 1 else ""
    sizes = (
        units.format_length(part.thickness_nm, shown.system, denominator=32, unit=False),
        units.format_length(part.width_nm, shown.system, unit=False),
        shown.length(part.length_nm),
    )
    more = ("" if alone else _wood(milled), "laminated" if milled.strips > 1 else "", _holes(milled))
    return ", ".join((f"{part.label}{each}: {' × '.join(sizes)}", *(one for one in more if one))) + "."


def _holes(milled: Milled) -> str:
    count = milled.part.count(_HOLES)
    return counted(count, "dog hole") if count else ""


def _hardware(takeoff: Takeoff, priced: Mapping[str, Supply]) -> str:
    listed = [counted(count, word, reference.find_feature(word).plural) for word, count in hardware_in(takeoff, priced)]
    return f"Hardware{' on each' if takeoff.benches > 1 else ''}: {', '.join(listed)}." if listed else ""
