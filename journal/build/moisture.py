"""How wet is the wood, how wet will it become, when is it ready to mill?

Wood takes up the moisture of the air around it. What it comes to is its equilibrium moisture content (EMC), by the
Hailwood–Horrobin equation of the handbook; how fast a stack gets there is read off its moisture readings, which near it
along an exponential (common practice). Temperatures in °F, moistures in percent of the oven-dry weight, times in days.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

FIBRE_SATURATION_PCT = 30.0
DRY_LUMBER_PCT = 19.0  # “dry” on a stamp means this at most (PS 20)
LOWEST_F, HIGHEST_F = 20.0, 230.0

# A moisture meter reads to about half a percent (common practice).
METER_SD_PCT = 0.5
# How far the stack’s first moisture may be from what is assumed, and how far its time constant (natural logarithm).
START_SD_PCT, TIME_SD = 3.0, 0.7
_Z80 = 1.2816  # a normal quantity is inside this many sd eight times in ten


def emc_pct(temp_f: float, humidity_pct: float) -> float:
    """Moisture that wood comes to in air of this temperature and relative humidity, in percent.

    M = 1800/W · [K h/(1 − K h) + (K₁ K h + 2 K₁ K₂ K² h²)/(1 + K₁ K h + K₁ K₂ K² h²)]

    Args:
        temp_f: °F, 20 to 230.
        humidity_pct: relative humidity, 0 to 100 %.

    Raises:
        BadInput: outside those.

    Source: Wood Handbook FPL-GTR-190 (2010), Eq. 4-5 with the constants for °F; hysteresis and species are left out.
    """
    if not 0 <= humidity_pct <= 100:
        raise BadInput("relative humidity", humidity_pct, "0 to 100 %")
    if not LOWEST_F <= temp_f <= HIGHEST_F:
        raise BadInput("temperature", temp_f, f"{LOWEST_F:g} to {HIGHEST_F:g} °F")
    w = 330 + 0.452 * temp_f + 0.00415 * temp_f**2
    k = 0.791 + 0.000463 * temp_f - 0.000000844 * temp_f**2
    k1 = 6.34 + 0.000775 * temp_f - 0.0000935 * temp_f**2
    k2 = 1.09 + 0.0284 * temp_f - 0.0000904 * temp_f**2
    kh = k * humidity_pct / 100
    two = k1 * k2 * kh**2
    return 1800 / w * (kh / (1 - kh) + (k1 * kh + 2 * two) / (1 + k1 * kh + two))


@dataclass(frozen=True, slots=True)
class Reading:
    """What the meter said of a stack: the mean of its boards, so many days after it was stickered."""

    days: float
    moisture_pct: float

    def __post_init__(self) -> None:
        if self.days < 0:
            raise BadInput("day of the reading", self.days, "a day after the stack was put up")
        if not 0 <= self.moisture_pct <= 100:
            raise BadInput("moisture", self.moisture_pct, "0 to 100 %")


@dataclass(frozen=True, slots=True)
class Drying:
    """How a stack nears the shop’s own moisture: m(t) = E + A · exp(−t / τ).

    Attributes:
        emc_pct: E, what it comes to.
        excess_pct: A, how far it was above that when it was put up; below zero when it takes water up.
        time_days: τ, days in which the excess falls to 37 %.
        ready_days: days after it was put up until it is near enough; 0 when it was from the start.
        early_days, late_days: eight times in ten it is ready between these.
        readings: how many it rests on.
    """

    emc_pct: float
    excess_pct: float
    time_days: float
    ready_days: float
    early_days: float
    late_days: float
    readings: int

    def moisture_pct(self, days: float) -> float:
        """Moisture so many days after the stack was put up."""
        return self.emc_pct + self.excess_pct * math.exp(-days / self.time_days)


@dataclass(frozen=True, slots=True)
class Assumed:
    """What is believed of a stack before it is measured.

    Attributes:
        moisture_pct: as it arrives.
        rest_days: it is usually ready after so long.
        within_pct: this near the shop’s own moisture counts as ready.
    """

    moisture_pct: float
    rest_days: float
    within_pct: float

    def __post_init__(self) -> None:
        if self.within_pct <= 0:
            raise BadInput("ready within", self.within_pct, "more than 0 %")
        if self.rest_days <= 0:
            raise BadInput("days of rest", self.rest_days, "more than 0 days")


def dry_out(readings: Sequence[Reading], emc: float, assumed: Assumed) -> Drying:
    """When a stack is ready: an exponential approach to the shop’s EMC fitted to its readings.

    The curve is held to what is assumed (arriving moisture, usual rest) as loosely as that is known, so that no reading
    gives the usual rest, one corrects it a little, and several decide it.

    Args:
        readings: any number of them.
        emc: the shop’s equilibrium moisture, percent.
        assumed: before any reading.
    """
    start = assumed.moisture_pct - emc
    ratio = abs(start) / assumed.within_pct
    usual = assumed.rest_days / math.log(ratio) if ratio > math.e else assumed.rest_days
    prior = np.array([start, math.log(usual)])
    sds = np.array([START_SD_PCT, TIME_SD])
    at, covariance = _fitted(readings, emc, prior, sds)
    excess, time = float(at[0]), math.exp(float(at[1]))
    if abs(excess) <= assumed.within_pct:
        return Drying(emc, excess, time, 0.0, 0.0, 0.0, len(readings))
    log_ratio = math.log(abs(excess) / assumed.within_pct)
    # d ready / d (A, ln τ), for ready = τ · ln(|A| / within).
    slope = np.array([time / excess, time * log_ratio])
    ready = time * log_ratio
    sd = math.sqrt(float(slope @ covariance @ slope)) / ready
    return Drying(emc, excess, time, ready, ready * math.exp(-_Z80 * sd), ready * math.exp(_Z80 * sd), len(readings))


def _fitted(
    readings: Sequence[Reading], emc: float, prior: NDArray[np.float64], sds: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """(A, ln τ) and their covariance: damped Gauss–Newton on readings and assumptions, each over its sd."""
    days = np.array([reading.days for reading in readings])
    above = np.array([reading.moisture_pct for reading in readings]) - emc

    def residuals(at: NDArray[np.float64]) -> NDArray[np.float64]:
        fit = at[0] * np.exp(-days / math.exp(at[1]))
        return np.concatenate([(fit - above) / METER_SD_PCT, (at - prior) / sds])

    def jacobian(at: NDArray[np.float64]) -> NDArray[np.float64]:
        falling = np.exp(-days / math.exp(at[1]))
        rows = np.column_stack([falling, at[0] * falling * days / math.exp(at[1])]) / METER_SD_PCT
        return np.vstack([rows, np.diag(1 / sds)])

    at, damping = prior.copy(), 1e-3
    for _ in range(100):
        wrong, slopes = residuals(at), jacobian(at)
        damped = np.vstack([slopes, math.sqrt(damping) * np.eye(2)])
        step, *_ = np.linalg.lstsq(damped, np.concatenate([-wrong, np.zeros(2)]), rcond=None)
        if float(np.sum(residuals(at + step) ** 2)) <= float(np.sum(wrong**2)):
            at, damping = at + step, damping / 3
            if float(np.max(np.abs(step))) < 1e-9:
                break
        else:
            damping *= 4
    slopes = jacobian(at)
    return at, np.linalg.inv(slopes.T @ slopes).astype(np.float64)


class Readiness(StrEnum):
    """Whether a stack may be milled."""

    READY = "ready"
    REST = "rest"  # it would move after milling
    WET = "wet"  # wetter than what is sold as dry


@dataclass(frozen=True, slots=True)
class Advice:
    """Whether to mill, and why."""

    readiness: Readiness
    text: str


def may_mill(moisture_pct: float, emc: float, within_pct: float) -> Advice:
    """Whether wood of this moisture should be milled in a shop of this EMC.

    Raises:
        BadInput: at or above fibre saturation, 30 %: that is green wood, and no sum here holds for it.
    """
    if not 0 <= moisture_pct < FIBRE_SATURATION_PCT:
        raise BadInput("moisture", moisture_pct, "0 to under 30 %: wetter wood is green and is not milled")
    above = moisture_pct - emc
    shown = f"{moisture_pct:.1f}% where the shop’s own moisture is {emc:.1f}%"
    if moisture_pct > DRY_LUMBER_PCT:
        return Advice(
            Readiness.WET, f"{shown}: wetter than “dry” lumber may be (19%). Sticker it and do not mill it yet."
        )
    if above > within_pct:
        return Advice(
            Readiness.REST, f"{shown}: it will shrink and move after milling. Let it rest to {emc + within_pct:.1f}%."
        )
    return Advice(Readiness.READY, f"{shown}: ready to mill.")
