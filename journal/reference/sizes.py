"""In what sizes are boards and sheets sold?  All lengths in nanometres."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from journal import units
from journal.errors import BadInput, MissingReference
from journal.reference import table

if TYPE_CHECKING:
    from collections.abc import Mapping

    from journal.reference.table import Mark

CATEGORIES = ("board", "dimension", "timber")
DIMENSIONS = ("thickness", "face width")
WOOD_KINDS = ("softwood", "hardwood")


@dataclass(frozen=True, slots=True)
class SoftwoodSize:
    """One nominal thickness or face width of softwood and what is left of it dressed, dry (≤ 19%) and green."""

    category: str
    dimension: str
    nominal: str
    nominal_nm: int
    dry_nm: int
    green_nm: int
    source: str
    mark: Mark

    def __post_init__(self) -> None:
        if not self.dry_nm <= self.green_nm < self.nominal_nm:
            raise BadInput("dry", self.dry_nm, "dry at most green, and green under nominal")


@dataclass(frozen=True, slots=True)
class HardwoodThickness:
    """A thickness sold by the quarter: rough, surfaced one side (by agreement) and surfaced two sides."""

    quarter: str
    rough_nm: int
    s1s_nm: int
    s2s_nm: int
    source: str
    mark: Mark

    def __post_init__(self) -> None:
        if not self.s2s_nm < self.s1s_nm < self.rough_nm:
            raise BadInput("s2s", self.s2s_nm, "less than surfaced one side, and that less than rough")


@dataclass(frozen=True, slots=True)
class LengthSold:
    """A length in which a kind of lumber is usually sold."""

    kind: str
    length_nm: int
    source: str
    mark: Mark


@dataclass(frozen=True, slots=True)
class SheetGood:
    """A sheet as sold.

    Attributes:
        key: its short name, such as `hardwood_plywood_3_4`.
        kind: what it is made of.
        nominal: the thickness it is asked for by.
        thickness_nm, width_nm, length_nm: what is delivered.
        density_kg_m3: mass by volume.
        grained: whether its face has a grain that parts must follow.
    """

    key: str
    kind: str
    nominal: str
    thickness_nm: int
    width_nm: int
    length_nm: int
    density_kg_m3: float
    grained: bool
    source: str
    mark: Mark


def _softwood(*, nominal: str, **cells: object) -> SoftwoodSize:
    return SoftwoodSize(nominal=nominal, nominal_nm=table.length(nominal), **cells)  # type: ignore[arg-type]


SOFTWOOD_SIZES = table.Shape(
    file="softwood_sizes.csv",
    columns={
        "category": table.one_of("category", lambda: CATEGORIES),
        "dimension": table.one_of("dimension", lambda: DIMENSIONS),
        "nominal": table.text,
        "dry": table.length,
        "green": table.length,
    },
    build=table.in_nm(_softwood, "dry", "green"),
    key=lambda size: (size.category, size.dimension, size.nominal_nm),
)
HARDWOOD_THICKNESS = table.Shape(
    file="hardwood_thickness.csv",
    columns={"quarter": table.text, "rough": table.length, "s1s": table.length, "s2s": table.length},
    build=table.in_nm(HardwoodThickness, "rough", "s1s", "s2s"),
    key=lambda row: row.quarter,
)
LENGTHS_SOLD = table.Shape(
    file="lengths_sold.csv",
    columns={"kind": table.one_of("kind", lambda: WOOD_KINDS), "length": table.length},
    build=table.in_nm(LengthSold, "length"),
    key=lambda row: (row.kind, row.length_nm),
)
SHEET_GOODS = table.Shape(
    file="sheet_goods.csv",
    columns={
        "key": table.text,
        "kind": table.text,
        "nominal": table.text,
        "thickness": table.length,
        "width": table.length,
        "length": table.length,
        "density_kg_m3": table.positive,
        "grained": table.yes_no,
    },
    build=table.in_nm(SheetGood, "thickness", "width", "length"),
    key=lambda row: row.key,
)


@cache
def softwood_sizes() -> tuple[SoftwoodSize, ...]:
    """Every nominal thickness and face width of softwood with its dressed size."""
    return table.load_shared(SOFTWOOD_SIZES)


@cache
def _softwood_index() -> dict[tuple[str, str, int], SoftwoodSize]:
    return {(size.category, size.dimension, size.nominal_nm): size for size in softwood_sizes()}


def dressed(nominal_thickness: str, nominal_width: str, *, dry: bool = True) -> tuple[int, int]:
    """Dressed thickness and width (nm) of a nominal softwood size, dry (≤ 19% moisture) or green.

    A size that is not in the table is refused, never guessed.

    Raises:
        BadInput: when a nominal size is not a length.
        MissingReference: when the table does not hold the size.

    Source: PS 20, American Softwood Lumber Standard.
    """
    thickness, category = _find("thickness", nominal_thickness, CATEGORIES)
    width, _ = _find("face width", nominal_width, (category,))
    return (thickness.dry_nm, width.dry_nm) if dry else (thickness.green_nm, width.green_nm)


def _find(dimension: str, nominal: str, categories: tuple[str, ...]) -> tuple[SoftwoodSize, str]:
    nominal_nm = units.parse_length(nominal, field=f"nominal {dimension}")
    for category in categories:
        size = _softwood_index().get((category, dimension, nominal_nm))
        if size is not None:
            return size, category
    known = [size.nominal for size in softwood_sizes() if size.dimension == dimension and size.category in categories]
    raise MissingReference(f"nominal {dimension}", nominal, known)


@cache
def hardwood_quarters() -> Mapping[str, HardwoodThickness]:
    """Hardwood thicknesses by quarter, `4/4` to `16/4`."""
    return table.by_key(table.load_shared(HARDWOOD_THICKNESS), lambda row: row.quarter)


@cache
def lengths_sold(kind: str) -> tuple[int, ...]:
    """Lengths (nm), shortest first, in which `softwood` or `hardwood` is usually sold.

    Raises:
        MissingReference: for another kind.
    """
    lengths = sorted(row.length_nm for row in table.load_shared(LENGTHS_SOLD) if row.kind == kind)
    if not lengths:
        raise MissingReference("kind of lumber", kind, WOOD_KINDS)
    return tuple(lengths)


@cache
def sheet_goods() -> Mapping[str, SheetGood]:
    """Sheets as sold, by key."""
    return table.by_key(table.load_shared(SHEET_GOODS), lambda row: row.key)
