"""How many open minutes does bench work take, when only a share of the hours a shop is open is spent at the bench?

What is lost (the telephone, fetching, thinking, a late start) is lost in work that may be interrupted; a glue-up takes its
own minutes, once begun. So pausing work is stretched by as much as makes the whole come out at the share:

    stretch = (whole ÷ share − fixed) ÷ pausing,  1 or more
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from journal.errors import BadInput

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

# Less pausing work than this, in minutes, cannot take up what is lost.
_NOTHING = 1e-6


def open_minutes(bench: Floats, *, pauses: Floats, beside: Floats, share: Floats) -> Floats:
    """Open person-minutes of every activity in every draw.

    Args:
        bench: shape (draws, activities), person-minutes at the bench, ≥ 0.
        pauses: shape (activities,), 1 where it may be interrupted, else 0.
        beside: shape (draws,), person-minutes of work that goes on alongside and has no place of its own, ≥ 0.
        share: shape (draws,), of open hours spent at the bench, over 0 to 1.

    Returns:
        shape (draws, activities).
    """
    if np.any(share <= 0) or np.any(share > 1):
        raise BadInput("share of open hours at the bench", float(np.min(share)), "over 0 to 100%")
    pausing = bench @ pauses
    fixed = bench.sum(axis=1) - pausing
    whole = (pausing + fixed + beside) / share
    stretch = np.ones(len(bench))
    np.divide(whole - fixed, pausing, out=stretch, where=pausing > _NOTHING)
    return np.asarray(bench * np.where(pauses > 0, np.maximum(stretch, 1.0)[:, None], 1.0))


def share_draws(share: float, sd: float, weeks: int, draws: int, seed: int) -> Floats:
    """Draws of the share over a job of so many weeks, shape (draws,), of mean `share` but for those cut at 1.

    Args:
        share: of open hours spent at the bench, over 0 to 1.
        sd: standard deviation of its logarithm from one week to another, ≥ 0.
        weeks: over which it evens out, ≥ 1.
        draws: how many.
        seed: of them.
    """
    each = np.random.default_rng([seed, 2]).standard_normal((draws, max(weeks, 1)))
    return np.asarray(np.minimum(share * np.exp(sd * each - sd * sd / 2).mean(axis=1), 1.0))
