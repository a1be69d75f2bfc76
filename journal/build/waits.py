"""How long must wood, glue and finish be left alone? Hours on the clock, not at the bench."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.build.stock import Dimensional, Rough
from journal.errors import BadInput, NoSolution

if TYPE_CHECKING:
    from collections.abc import Iterable

    from journal.build.stock import Stock
    from journal.reference import Adhesive, Finish

HOURS_PER_DAY = 24.0

# A finish that dries by the air takes about twice as long for each 18 °F colder, and a quarter longer for each ten
# points of humidity over 50 % (rules of thumb, common practice). Warm or dry air is not counted on to be quicker than the
# label’s quick end.
USUAL_F, USUAL_HUMIDITY_PCT = 70.0, 50.0
DOUBLING_F = 18.0
SLOWER_PER_TEN_POINTS = 0.25


@dataclass(frozen=True, slots=True)
class Wait:
    """Hours on the clock before something may be done, and why."""

    hours: float
    why: str

    def __post_init__(self) -> None:
        if self.hours < 0:
            raise BadInput("wait", self.hours, "0 hours or more")


@dataclass(frozen=True, slots=True)
class WaitRules:
    """What this shop waits for.

    Attributes:
        rest_wet_days: construction lumber in stickers before milling.
        rest_dry_days: kiln-dried hardwood before milling.
        rest_between_days: between rough and second milling.
        clamp_hours: clamps on.
        machine_after_hours: from clamps on until the glue line is machined.
        recoat_hours: between coats, in this shop’s air; 0 without a finish.
        cure_hours: from the last coat until it is wrapped and moved.
    """

    rest_wet_days: float
    rest_dry_days: float
    rest_between_days: float
    clamp_hours: float
    machine_after_hours: float
    recoat_hours: float
    cure_hours: float


def rest_days(stocks: Iterable[Stock], rules: WaitRules) -> tuple[float, str]:
    """(days, why) before milling: the longest rest that any of the lumber asks for; 0 without lumber."""
    longest, why = 0.0, ""
    for stock in stocks:
        days, kind = 0.0, ""
        if isinstance(stock, Dimensional):
            days, kind = (
                rules.rest_wet_days,
                "construction lumber rests in stickers until it is near the shop’s moisture",
            )
        elif isinstance(stock, Rough):
            days, kind = rules.rest_dry_days, "hardwood rests in the shop before milling"
        if days > longest:
            longest, why = days, kind
    return longest, why


def clamp_hours(glue: Adhesive, temp_f: float) -> float:
    """Hours in clamps: the label’s at 70 °F; twice as long for each 18 °F colder (rule of thumb, common practice).

    Raises:
        NoSolution: colder than the glue may be used.
    """
    _refuse_cold(glue.name, temp_f, glue.min_temp_f)
    return glue.clamp_minutes / 60 * slower_when_cold(temp_f)


def slower_when_cold(temp_f: float) -> float:
    """How many times as long as at 70 °F something takes to dry or set; 1 from there up."""
    return float(2.0 ** max(0.0, (USUAL_F - temp_f) / DOUBLING_F))


def slower_when_humid(humidity_pct: float) -> float:
    """How many times as long as at 50 % a coat takes to dry; 1 below.

    Raises:
        BadInput: outside 0 to 100 %.
    """
    if not 0 <= humidity_pct <= 100:
        raise BadInput("relative humidity", humidity_pct, "0 to 100 %")
    return 1 + SLOWER_PER_TEN_POINTS * max(0.0, (humidity_pct - USUAL_HUMIDITY_PCT) / 10)


def recoat_hours(finish: Finish, temp_f: float, humidity_pct: float) -> tuple[float, float]:
    """(quick, slow) hours between coats in this air: the finish’s usual ones, longer when it is cold or humid.

    Raises:
        NoSolution: too cold to coat.
        BadInput: a humidity outside 0 to 100 %.
    """
    _refuse_cold(finish.name, temp_f, finish.min_temp_f)
    factor = slower_when_cold(temp_f) * slower_when_humid(humidity_pct)
    return finish.recoat_low_hours * factor, finish.recoat_high_hours * factor


def _refuse_cold(name: str, temp_f: float, coldest_f: float) -> None:
    if temp_f < coldest_f:
        raise NoSolution(name, f"the shop is at {temp_f:g} °F, too cold", f"warm it to {coldest_f:g} °F or more")
