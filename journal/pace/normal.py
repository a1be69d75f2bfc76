"""The normal distribution on arrays, and quantiles of weighted mixtures of normals."""

from __future__ import annotations

import math
from functools import cache
from statistics import NormalDist
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]

_REACH = 9.0  # beyond nine standard deviations the tail is under 1e-18
_PER_UNIT = 1024  # linear interpolation is then within 3e-8
_ROUNDS = 60
_CLOSE = 3e-8  # shares nearer than the table is true are the same


def normal_density(z: Floats) -> Floats:
    """Density of N(0, 1); any shape."""
    return np.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi)


@cache
def _table() -> tuple[Floats, Floats]:
    at = np.linspace(-_REACH, _REACH, int(2 * _REACH * _PER_UNIT) + 1)
    below = np.array([0.5 * math.erfc(-value / math.sqrt(2.0)) for value in at])
    return at, below


def normal_cdf(z: Floats) -> Floats:
    """Share of N(0, 1) below z, within 3e-8; any shape."""
    at, below = _table()
    return np.interp(z, at, below)


def mixture_quantile(weights: Floats, means: Floats, sds: Floats, share: float) -> Floats:
    """The value below which `share` of each mixture of normals lies.

    Args:
        weights: shape (n,), sums to 1.
        means: shape (n, k): n components of k mixtures.
        sds: shape (n, k), ≥ 0.
        share: between 0 and 1, ends excluded.

    Returns:
        Shape (k,), in the unit of `means`. Newton's steps on the distribution, kept inside a shrinking bracket.
    """
    sds = np.maximum(sds, 1e-12)
    low = np.min(means - _REACH * sds, axis=0)
    high = np.max(means + _REACH * sds, axis=0)
    at = weights @ means + NormalDist().inv_cdf(share) * (weights @ sds)
    for _ in range(_ROUNDS):
        z = (at - means) / sds
        excess = weights @ normal_cdf(z) - share
        low = np.where(excess < 0, at, low)
        high = np.where(excess < 0, high, at)
        if np.max(np.abs(excess)) < _CLOSE:
            break
        slope = np.maximum(weights @ (normal_density(z) / sds), 1e-300)
        step = at - excess / slope
        ahead = np.where((step > low) & (step < high), step, 0.5 * (low + high))
        at = np.where(np.abs(excess) < _CLOSE, at, ahead)
    return at


_FURTHEST = 37.0  # the share beyond it is the smallest a float holds


@cache
def _tail_table() -> tuple[Floats, Floats]:
    at = np.linspace(-_REACH, _FURTHEST, int((_REACH + _FURTHEST) * _PER_UNIT) + 1)
    return at, np.array([math.log(0.5 * math.erfc(value / math.sqrt(2.0))) for value in at])


def log_above(z: Floats) -> Floats:
    """Ln of the share of N(0, 1) above z, within 1e-6; any shape. Beyond 37 the table's slope goes on."""
    at, above = _tail_table()
    return np.asarray(np.interp(z, at, above) - np.maximum(z - _FURTHEST, 0.0) * _FURTHEST)


def beyond(z: Floats, share: Floats) -> Floats:
    """The value that `share` of the part of N(0, 1) above z exceeds.

    Args:
        z: where the part begins; any shape.
        share: of that part, above 0 to 1; same shape. With even shares the answers are draws of the part.
    """
    at, above = _tail_table()
    wanted = log_above(z) + np.log(share)
    inside = np.interp(wanted, above[::-1], at[::-1])
    # Far out the part above z falls off like an exponential of rate z.
    return np.where(z > _FURTHEST - 1.0, z - np.log(share) / np.maximum(z, 1.0), np.maximum(inside, z))
