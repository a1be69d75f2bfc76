"""A ballpark: length, depth and wood; a price and hours from the nearest design and the shop's own benches."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal import units
from journal.build.design import Kind
from journal.build.design_parts import make_parts
from journal.build.stock import Dimensional, Rough
from journal.desk import designs
from journal.errors import BadInput, JournalError
from journal.quote.ballpark import Band, alike, blend, brought_to, growth
from journal.quote.risk import price_for
from journal.records.queries import designs as records

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.build.design import Design, Given, Parameter
    from journal.build.stock import StockBook
    from journal.desk.designs import Bearings, Entry
    from journal.quote.estimate import Estimate
    from journal.records.queries.designs import BuiltBench

SHORTEST_NM, LONGEST_NM = units.inches(12), units.feet(20)
_MOST_OWN = 8  # own benches that count, the likest first
_LARGER = 1.25  # the design is worked out again at an area larger by about this, to see how its figures grow
_MOST_TOPS = 3  # a top may be made in so many pieces of one kind, side by side


@dataclass(frozen=True, slots=True)
class Built:
    """A bench of the shop's own: its size, its hours a bench, what was agreed for one, and whether of the same wood."""

    code: str
    title: str
    delivered_on: date | None
    length_nm: int
    depth_nm: int
    hours: float
    price_cents: int | None
    same_wood: bool

    @property
    def area(self) -> float:
        """Of its top, in nm²."""
        return float(self.length_nm) * self.depth_nm


@dataclass(frozen=True, slots=True)
class Ballpark:
    """A figure at the gate.

    Attributes:
        design: the nearest one; its word and title.
        length_nm, depth_nm: worked out at; other than asked where the design does not reach (`stretched`).
        wood: the wood it was worked out in.
        given: what was chosen of the design.
        price_cents, hours: the bands.
        quoted_cents: what a quote would ask by the design alone, whatever the shop's own benches came to.
        own: the benches that counted; own_prices: how many of them counted towards the price.
        logged, finished: entries and finished jobs behind the paces.
        missing: what has no price and is left out.
    """

    design: Entry
    length_nm: int
    depth_nm: int
    stretched: bool
    wood: str
    given: Mapping[str, Given]
    price_cents: Band
    hours: Band
    quoted_cents: int
    own: tuple[Built, ...]
    own_prices: int
    logged: int
    finished: int
    missing: tuple[str, ...]

    @property
    def at_least_cents(self) -> float:
        """What nobody should promise less than: the likely figure, or what a quote would then ask if that is more."""
        return max(self.price_cents.likely, self.quoted_cents)


def ballpark(session: Session, length_nm: int, depth_nm: int, wood: str, now: Bearings, *, word: str = "") -> Ballpark:
    """What a bench of this size and wood may cost and take; of the design named, or of the nearest one.

    Raises:
        BadInput: a size that no bench has.
        JournalError: no design has a length and a depth, or the shop cannot build it.
    """
    for name, size_nm in (("length", length_nm), ("depth", depth_nm)):
        if not SHORTEST_NM <= size_nm <= LONGEST_NM:
            raise BadInput(name, units.format_length(size_nm), "12 in to 20 ft")
    usual = now.shop.row.default_species
    entry = designs.find(session, word) if word else nearest(designs.shelf(session), length_nm, depth_nm)
    design = designs.ready(entry)
    sizes = _within(design, length_nm, depth_nm)
    given = _given(design, sizes, wood)
    made = now.estimate(make_parts(design, given))
    own = _own_benches(session, now.shop.book(), entry.word, wood or usual, length_nm, depth_nm)
    price, hours = _bands(made)
    prices = [built for built in own if built.same_wood and built.price_cents]
    if own:
        price, hours = _with_own(_grown(design, given, now), made, own, prices, length_nm * depth_nm)
    return Ballpark(
        design=entry,
        length_nm=sizes[0],
        depth_nm=sizes[1],
        stretched=sizes != (length_nm, depth_nm),
        wood=wood or usual,
        given=given,
        price_cents=price,
        hours=hours,
        quoted_cents=made.price_cents,
        own=own,
        own_prices=len(prices),
        logged=now.calibration.rows,
        finished=now.calibration.projects,
        missing=made.missing,
    )


def nearest(shelf: tuple[Entry, ...], length_nm: int, depth_nm: int) -> Entry:
    """The design that reaches the size and whose usual size is nearest to it.

    Raises:
        JournalError: none has a length and a depth.
    """
    reaching = [entry for entry in shelf if sized(entry)]
    if not reaching:
        raise JournalError("no design has the parameters length and depth, so none can be brought to a size")
    return min(reaching, key=lambda entry: (_distance(entry.design, length_nm, depth_nm), entry.title))


def sized(entry: Entry) -> bool:
    """Whether a design can be brought to a length and a depth."""
    return entry.design is not None and all(_sides(entry.design))


def _sides(design: Design | None) -> tuple[Parameter | None, Parameter | None]:
    found = [design.parameter(word) if design else None for word in ("length", "depth")]
    length, depth = (
        side if side and side.kind is Kind.LENGTH and side.low and side.default else None for side in found
    )
    return length, depth


def _distance(design: Design | None, length_nm: int, depth_nm: int) -> float:
    """How far a size is from a design's usual one, in logarithms; beyond its limits counts ten times."""
    far = 0.0
    for side, asked_nm in zip(_sides(design), (length_nm, depth_nm), strict=True):
        if side:
            reached_nm = min(max(asked_nm, side.low), side.high)
            far += abs(math.log(reached_nm / int(side.default))) + 10 * abs(math.log(asked_nm / reached_nm))
    return far


def _within(design: Design, length_nm: int, depth_nm: int) -> tuple[int, int]:
    sides = zip(_sides(design), (length_nm, depth_nm), strict=True)
    length, depth = (min(max(asked, side.low), side.high) if side else asked for side, asked in sides)
    return length, depth


def _given(design: Design, sizes: tuple[int, int], wood: str) -> dict[str, Given]:
    given: dict[str, Given] = {"length": sizes[0], "depth": sizes[1]}
    given |= {parameter.word: wood for parameter in design.parameters if parameter.kind is Kind.WOOD}
    return given


def _bands(made: Estimate) -> tuple[Band, Band]:
    rates = made.rates
    low, high = (price_for(made.cost.at(chance), rates.margin, rates.rounding_cents) for chance in (0.1, 0.9))
    likely = max(made.price_cents, 1)
    price = Band(max(min(low, likely), 1), likely, max(high, likely))
    hours = [max(made.hours.at(chance), 0.01) for chance in (0.1, 0.5, 0.9)]
    return price, Band(*hours)


@dataclass(frozen=True, slots=True)
class _Grown:
    """The same design in another length: by what its area changes, and what it comes to."""

    ratio: float
    made: Estimate


def _grown(design: Design, given: dict[str, Given], now: Bearings) -> _Grown | None:
    """None for a design of one length."""
    side, _ = _sides(design)
    length_nm = int(given["length"])
    if side is None or side.low == side.high:
        return None
    longer_nm = min(int(length_nm * _LARGER), side.high)
    other_nm = longer_nm if longer_nm > length_nm else max(int(length_nm / _LARGER), side.low)
    made = now.estimate(make_parts(design, {**given, "length": other_nm}))
    return _Grown(other_nm / length_nm, made)


def _with_own(
    grown: _Grown | None, made: Estimate, own: tuple[Built, ...], prices: list[Built], asked_area: float
) -> tuple[Band, Band]:
    """The design's bands drawn towards the shop's own benches, each brought to the asked size."""
    price, hours = _bands(made)
    by_hours = _growth(grown, made.hours.mean, grown.made.hours.mean) if grown else 1.0
    by_price = _growth(grown, made.expected_cents, grown.made.expected_cents) if grown else 1.0
    took = [brought_to(one.hours, one.area, asked_area, by_hours) for one in own]
    paid = [brought_to(one.price_cents, one.area, asked_area, by_price) for one in prices if one.price_cents]
    return blend(price, paid), blend(hours, took)


def _growth(grown: _Grown, here: float, there: float) -> float:
    return growth(1.0, here, grown.ratio, there) if grown.ratio > 1 else growth(grown.ratio, there, 1.0, here)


def _own_benches(
    session: Session, book: StockBook, word: str, wood: str, length_nm: int, depth_nm: int
) -> tuple[Built, ...]:
    """The shop's own benches nearest in size, of the same kind where there are two of that kind."""
    found = [
        (_kin(bench.design_word, word), built)
        for bench in records.built_benches(session)
        if (built := _built(bench, book, wood))
    ]
    near = [(kin, built) for kin, built in found if alike(built.area, length_nm * depth_nm)]
    kindred = [built for kin, built in near if kin]
    chosen = kindred if len(kindred) >= 2 else [built for _, built in near]
    return tuple(sorted(chosen, key=lambda one: _apart(one, length_nm, depth_nm))[:_MOST_OWN])


def _apart(one: Built, length_nm: int, depth_nm: int) -> float:
    return abs(math.log(one.length_nm / length_nm)) + abs(math.log(one.depth_nm / depth_nm))


def _kin(design_word: str | None, word: str) -> bool:
    """Whether a project's design is this one: “slab bench” is of the kind slab-bench, and so is slab-bench-2."""
    mine = (design_word or "").strip().lower().replace(" ", "-")
    return bool(mine) and (mine.startswith(word) or word.startswith(mine))


def _built(bench: BuiltBench, book: StockBook, wood: str) -> Built | None:
    """A finished bench as far as a ballpark needs it; None without hours or without parts."""
    if bench.minutes <= 0 or not bench.parts:
        return None
    top = max(bench.parts, key=lambda part: part.width_nm * part.length_nm)
    values = bench.design_values or {}
    # A top in two or three pieces lies side by side; more of a kind are no tops.
    pieces = top.quantity if top.quantity <= _MOST_TOPS else 1
    length_nm, depth_nm = values.get("length", top.length_nm), values.get("depth", top.width_nm * pieces)
    heaviest = max(bench.parts, key=lambda part: part.quantity * part.thickness_nm * part.width_nm * part.length_nm)
    return Built(
        code=bench.code,
        title=bench.title,
        delivered_on=bench.delivered_on,
        length_nm=max(length_nm, depth_nm),
        depth_nm=min(length_nm, depth_nm),
        hours=bench.minutes / 60 / bench.benches,
        price_cents=round(bench.agreed_price_cents / bench.benches) if bench.agreed_price_cents else None,
        same_wood=_wood_of(heaviest.stock_code, book) == wood,
    )


def _wood_of(stock_code: str, book: StockBook) -> str:
    try:
        stock = book.find(stock_code)[0]
    except JournalError:  # a stock the shop no longer keeps says nothing of the wood
        return ""
    return stock.species if isinstance(stock, Dimensional | Rough) else ""
