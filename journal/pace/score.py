"""How near a guess came: the scores of forecasts that were later overtaken by what happened."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from journal.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal.pace.normal import Floats

WIDTHS = (50, 80, 90)  # the central ranges whose coverage is told, in per cent


@dataclass(frozen=True, slots=True)
class Score:
    """How well one way of guessing did, over some projects.

    Attributes:
        name: which way.
        projects: over how many.
        bias: how far the guesses lay above (+) or below (−) what it took, as a share: the mean of the logarithms.
        median_error: middle miss, as a share of what it took, either way.
        crps_share: mean continuous ranked probability score ÷ what it took; for a way that gives one figure and no
            range this is its mean miss. Smaller is better; it rewards a range only as wide as need be.
        crps_minutes: the same in minutes, not divided.
        held: share of the projects inside the range of each width; empty for a way that gives no range.
    """

    name: str
    projects: int
    bias: float
    median_error: float
    crps_share: float
    crps_minutes: float
    held: tuple[tuple[int, float], ...] = ()


def crps(draws: Floats, actual: float) -> float:
    """The continuous ranked probability score of equally likely draws, in their unit: E|X − y| − ½ E|X − X'|.

    Args:
        draws: shape (n,), n ≥ 1. A single one scores its distance.
        actual: what came.

    Raises:
        BadInput: no draws.

    Source: "Strictly proper scoring rules, prediction, and estimation", J. Am. Stat. Assoc. 102 (2007), sec. 4.2.
    """
    n = len(draws)
    if n == 0:
        raise BadInput("draws", n, "1 or more")
    rank = 2.0 * np.arange(1, n + 1) - n - 1.0
    apart = float(rank @ np.sort(draws)) / n**2  # half the mean distance of two of them
    return float(np.mean(np.abs(draws - actual))) - apart


def score(
    name: str,
    guesses: Sequence[float],
    actuals: Sequence[float],
    *,
    scores: Sequence[float] | None = None,
    places: Sequence[float] | None = None,
) -> Score:
    """The score of one way of guessing.

    Args:
        name: which way.
        guesses: its middle figures, > 0.
        actuals: what it took, > 0, as many.
        scores: crps of each; None where the guess is one figure.
        places: share of the draws at or below what it took, where there are draws.

    Raises:
        BadInput: no project, or not as many of the one as of the other.
    """
    if not guesses or len(guesses) != len(actuals):
        raise BadInput("guesses", len(guesses), f"as many as projects, {len(actuals)}, and at least one")
    guess, actual = np.asarray(guesses, dtype=np.float64), np.asarray(actuals, dtype=np.float64)
    each = np.abs(guess - actual) if scores is None else np.asarray(scores, dtype=np.float64)
    return Score(
        name=name,
        projects=len(guess),
        bias=float(np.exp(np.mean(np.log(guess / actual))) - 1.0),
        median_error=float(np.median(np.abs(guess / actual - 1.0))),
        crps_share=float(np.mean(each / actual)),
        crps_minutes=float(np.mean(each)),
        held=() if places is None else tuple((width, _held(places, width)) for width in WIDTHS),
    )


def _held(places: Sequence[float], width: int) -> float:
    return float(np.mean(np.abs(np.asarray(places) - 0.5) <= width / 200.0))
