"""What do glues and finishes do: how far they go, how long they take?"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from journal.errors import BadInput
from journal.reference import table
from journal.reference.work import cautions

if TYPE_CHECKING:
    from collections.abc import Mapping

    from journal.reference.table import Mark

CURVES = ("resin", "general")


@dataclass(frozen=True, slots=True)
class Adhesive:
    """A class of glue.

    Attributes:
        key, name: short and long name.
        spread_g_m2, spread_low_g_m2, spread_high_g_m2: glue on one single glue line, and its usual range.
        density_kg_l: mass by volume, as poured.
        open_minutes_70f: a spread face must be closed within this, at 70 °F.
        total_minutes_70f: first spread to last clamp, at 70 °F.
        clamp_minutes: before the clamps come off, unstressed.
        machine_after_hours: before the glue line may be machined.
        min_temp_f: below this, no gluing.
        warmth_curve: which column of the warmth table shortens its times.
        cautions: keys of the cautions that apply.
    """

    key: str
    name: str
    spread_g_m2: float
    spread_low_g_m2: float
    spread_high_g_m2: float
    density_kg_l: float
    open_minutes_70f: float
    total_minutes_70f: float
    clamp_minutes: float
    machine_after_hours: float
    min_temp_f: float
    warmth_curve: str
    cautions: tuple[str, ...]
    note: str
    source: str
    mark: Mark

    def __post_init__(self) -> None:
        if not self.spread_low_g_m2 <= self.spread_g_m2 <= self.spread_high_g_m2:
            raise BadInput("spread_g_m2", self.spread_g_m2, "a spread inside its own range")
        if self.open_minutes_70f > self.total_minutes_70f:
            raise BadInput("open_minutes_70f", self.open_minutes_70f, "no more than the total assembly time")

    @property
    def spread_ml_m2(self) -> float:
        """Millilitres on one square metre of a single glue line; g/m2 over kg/L is ml/m2."""
        return self.spread_g_m2 / self.density_kg_l


@dataclass(frozen=True, slots=True)
class Warmth:
    """Assembly times of a glue at one shop temperature, as a share of those at 70 °F."""

    curve: str
    temp_f: float
    open_share: float
    total_share: float
    source: str
    mark: Mark

    def __post_init__(self) -> None:
        if not 0 <= self.open_share <= self.total_share <= 1:
            raise BadInput("open_share", self.open_share, "shares from 0 to 1, the open one no more than the total one")


@dataclass(frozen=True, slots=True)
class Finish:
    """A class of finish.

    Attributes:
        key, name: short and long name.
        coverage_first_ft2_gal, coverage_later_ft2_gal: square feet a US gallon covers, first and later coats.
        end_grain_factor: how much more end grain drinks than a face.
        coats: the usual number.
        recoat_low_hours, recoat_high_hours: wait before the next coat, quick and slow.
        wipe_off: whether the excess is wiped off each coat.
        drying_oil: whether it hardens by taking up oxygen, so that rags may heat by themselves.
        containers_ml: sizes it is usually sold in.
        cautions: keys of the cautions that apply.
    """

    key: str
    name: str
    coverage_first_ft2_gal: float
    coverage_later_ft2_gal: float
    end_grain_factor: float
    coats: int
    recoat_low_hours: float
    recoat_high_hours: float
    min_temp_f: float
    wipe_off: bool
    drying_oil: bool
    containers_ml: tuple[int, ...]
    cautions: tuple[str, ...]
    note: str
    source: str
    mark: Mark

    def __post_init__(self) -> None:
        if self.drying_oil != ("rags" in self.cautions):
            raise BadInput("cautions", "|".join(self.cautions), "rags for a drying oil, and for nothing else")
        if self.recoat_low_hours > self.recoat_high_hours:
            raise BadInput("recoat_low_hours", self.recoat_low_hours, "no more than the slow wait")
        if self.end_grain_factor < 1:
            raise BadInput("end_grain_factor", self.end_grain_factor, "1 or more")
        if self.coverage_first_ft2_gal > self.coverage_later_ft2_gal:
            raise BadInput("coverage_first_ft2_gal", self.coverage_first_ft2_gal, "no more than later coats cover")
        if not self.containers_ml or self.coats < 1:
            raise BadInput("containers_ml", "|".join(map(str, self.containers_ml)), "at least one size and one coat")


ADHESIVES = table.Shape(
    file="adhesives.csv",
    columns={
        "key": table.text,
        "name": table.text,
        "spread_g_m2": table.positive,
        "spread_low_g_m2": table.positive,
        "spread_high_g_m2": table.positive,
        "density_kg_l": table.positive,
        "open_minutes_70f": table.positive,
        "total_minutes_70f": table.positive,
        "clamp_minutes": table.positive,
        "machine_after_hours": table.positive,
        "min_temp_f": table.positive,
        "warmth_curve": table.one_of("curve", lambda: CURVES),
        "cautions": table.each_of("caution", cautions),
        "note": table.note,
    },
    build=Adhesive,
    key=lambda row: row.key,
)
GLUE_WARMTH = table.Shape(
    file="glue_warmth.csv",
    columns={
        "curve": table.one_of("curve", lambda: CURVES),
        "temp_f": table.positive,
        "open_share": table.number,
        "total_share": table.number,
    },
    build=Warmth,
    key=lambda row: (row.curve, row.temp_f),
)
FINISHES = table.Shape(
    file="finishes.csv",
    columns={
        "key": table.text,
        "name": table.text,
        "coverage_first_ft2_gal": table.positive,
        "coverage_later_ft2_gal": table.positive,
        "end_grain_factor": table.positive,
        "coats": table.whole,
        "recoat_low_hours": table.positive,
        "recoat_high_hours": table.positive,
        "min_temp_f": table.positive,
        "wipe_off": table.yes_no,
        "drying_oil": table.yes_no,
        "containers_ml": lambda cell: tuple(table.whole(word) for word in table.words(cell)),
        "cautions": table.each_of("caution", cautions),
        "note": table.note,
    },
    build=Finish,
    key=lambda row: row.key,
)


@cache
def adhesives() -> Mapping[str, Adhesive]:
    """Classes of glue, by key."""
    return table.by_key(table.load_shared(ADHESIVES), lambda row: row.key)


@cache
def glue_warmth(curve: str) -> tuple[Warmth, ...]:
    """The points of one warmth curve, coolest first."""
    return tuple(sorted((row for row in table.load_shared(GLUE_WARMTH) if row.curve == curve), key=lambda r: r.temp_f))


def assembly_shares(curve: str, temp_f: float) -> tuple[float, float]:
    """Shares of the 70 °F open and total assembly time that are left at a shop temperature (°F).

    Straight lines between the points of the table. Below its coolest point the share stays at that point's (a cool
    shop gives more time, but how much is not promised); above its warmest point it stays at the warmest.

    Raises:
        BadInput: when there is no such curve.
    """
    points = glue_warmth(curve)
    if not points:
        raise BadInput("curve", curve, " or ".join(CURVES))
    low = max((p for p in points if p.temp_f <= temp_f), key=lambda p: p.temp_f, default=points[0])
    high = min((p for p in points if p.temp_f >= temp_f), key=lambda p: p.temp_f, default=points[-1])
    if low.temp_f >= high.temp_f:
        return low.open_share, low.total_share
    way = (temp_f - low.temp_f) / (high.temp_f - low.temp_f)
    return (
        low.open_share + way * (high.open_share - low.open_share),
        low.total_share + way * (high.total_share - low.total_share),
    )


@cache
def finishes() -> Mapping[str, Finish]:
    """Classes of finish, by key."""
    return table.by_key(table.load_shared(FINISHES), lambda row: row.key)
