"""The standard deviations, integrated numerically instead of plugged in.

Two ways, both deterministic. `Sampled` finds the mode, lays a low-discrepancy design with long tails around it in the
directions of the curvature, moves and reshapes the design by what it finds, and weighs all its points by importance
(the balance heuristic over the rounds). `Grid` is a plain tensor grid, for one or two free deviations. Both work in the
z of `journal.pace.priors`, where every prior is N(0, 1).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from journal.errors import BadInput
from journal.pace import algebra
from journal.pace.algebra import ENTRY, Solved

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from journal.pace.algebra import Absorbed
    from journal.pace.normal import Floats
    from journal.pace.priors import Priors

_LOWEST, _HIGHEST = -8.0, 36.0
_LOWEST_ENTRY = -3.7  # one ten-thousandth of the prior; below it the precision matrix loses its last digits
_LOG_ROOT_TWO_PI = 0.5 * math.log(2.0 * math.pi)
_BASES = (2, 3, 5, 7, 11)  # one prime a dimension


@dataclass(frozen=True, slots=True)
class Settings:
    """Settings of the standard deviations with their posterior weights.

    Attributes:
        sds: shape (n, 5): drift, stage, operation, project, entry.
        weights: shape (n,), sums to 1.
        effective: the number of equally weighted points worth as much.
        log_evidence: ln of the likelihood with everything integrated out.
    """

    sds: Floats
    weights: Floats
    effective: float
    log_evidence: float


@dataclass(frozen=True, slots=True)
class Integrated:
    """Weighted settings, and the Gaussian posterior solved at each, a few settings together in their order.

    The factors of a ten-year shop take 30 MB; they are never joined, because each copy would take as much again.
    """

    settings: Settings
    solved: tuple[Solved, ...]


@dataclass(frozen=True, slots=True)
class Sampled:
    """Importance sampling on a fixed design.

    Args:
        pilot: points laid around the mode first, ≥ 16.
        points: points laid by what the pilot found, ≥ 16. With these the averages of the standard deviations are within
            about 1% and the ranges of paces closer.
        most: rounds of `points` at most; more than one only while the effective number is under a quarter of all.
    """

    pilot: int = 128
    points: int = 384
    most: int = 4

    def __post_init__(self) -> None:
        if min(self.pilot, self.points) < 16 or self.most < 1:
            raise BadInput("points", min(self.pilot, self.points), "16 points or more, and at least one round")

    def __call__(self, absorbed: Absorbed, priors: Priors) -> Integrated:
        axes = _Axes(priors)
        if not axes.free:
            return _only_setting(absorbed, axes)
        mode, curvature = find_mode(lambda z: _slope(absorbed, axes, z), np.zeros(len(axes.free)))
        centre, spread = mode, _root_of_inverse(curvature)
        z, height = np.empty((0, len(axes.free))), np.empty(0)
        frames: list[_Frame] = []
        parts: list[Solved] = []
        for count in (self.pilot, *[self.points] * self.most):
            frames.append(_Frame(count, centre, spread))
            laid = frames[-1].place(_mirrored_halton(count, len(axes.free), after=len(z)))
            z = np.concatenate((z, laid))
            fresh = list(algebra.parts(absorbed, axes.sds(laid)))
            parts += fresh
            height = np.append(height, np.concatenate([part.log_likelihood for part in fresh]) + _log_normal(laid))
            log_weight = height - _log_mixture(z, frames)
            weights, effective = _normalise(log_weight)
            if len(frames) > 1 and effective >= 0.25 * len(z):
                break
            centre, spread = _moments(z, weights)
        top = float(log_weight.max())
        evidence = top + math.log(float(np.mean(np.exp(log_weight - top))))
        kept = weights > 1e-7
        settings = Settings(axes.sds(z[kept]), weights[kept] / weights[kept].sum(), effective, evidence)
        ends = np.cumsum([len(part.scale) for part in parts])[:-1]
        return Integrated(
            settings, tuple(part.only(which) for part, which in zip(parts, np.split(kept, ends), strict=True))
        )


@dataclass(frozen=True, slots=True)
class Grid:
    """A tensor grid over one or two free standard deviations, narrowed onto where the posterior is.

    Args:
        points: a side, ≥ 11. The trapezium rule on a smooth function that vanishes at both ends converges so fast
            that a hundred points give six digits.
    """

    points: int = 121

    def __post_init__(self) -> None:
        if self.points < 11:
            raise BadInput("points", self.points, "11 or more")

    def __call__(self, absorbed: Absorbed, priors: Priors) -> Integrated:
        axes = _Axes(priors)
        if not axes.free:
            return _only_setting(absorbed, axes)
        if len(axes.free) > 2:
            raise BadInput("grid", len(axes.free), "one or two free standard deviations; sample more than that")
        low = np.full(len(axes.free), _LOWEST)
        high = np.full(len(axes.free), -_LOWEST)
        for _ in range(4):
            z, cell = self._lay(low, high)
            height = algebra.log_likelihood(absorbed, axes.sds(z)) + _log_normal(z)
            near = z[height > height.max() - 40.0]
            margin = (high - low) / (self.points - 1)
            low, high = near.min(axis=0) - margin, near.max(axis=0) + margin
        weights, effective = _normalise(height)
        top = float(height.max())
        evidence = top + math.log(float(np.sum(np.exp(height - top))) * cell)
        kept = weights > 1e-12
        settings = Settings(axes.sds(z[kept]), weights[kept] / weights[kept].sum(), effective, evidence)
        return Integrated(settings, tuple(algebra.parts(absorbed, settings.sds)))

    def _lay(self, low: Floats, high: Floats) -> tuple[Floats, float]:
        sides = [np.linspace(a, b, self.points) for a, b in zip(low, high, strict=True)]
        cell = float(np.prod([side[1] - side[0] for side in sides]))
        return np.stack(np.meshgrid(*sides, indexing="ij"), axis=-1).reshape(-1, len(sides)), cell


DEFAULT = Sampled()
# For many calibrations in a row, such as one a past project: their guesses are read to a percent.
QUICK = Sampled(pilot=64, points=160, most=2)


class _Axes:
    """The free standard deviations of some priors as coordinates z."""

    def __init__(self, priors: Priors) -> None:
        self._priors = priors.sds
        self.free = [index for index, prior in enumerate(self._priors) if prior.free]

    def sds(self, z: Floats) -> Floats:
        """Standard deviations, shape (n, 5), at z of shape (n, free)."""
        out = np.tile([prior.sd_at(0.0) for prior in self._priors], (len(z), 1))
        for column, index in enumerate(self.free):
            at = self._priors[index].sd_at
            out[:, index] = [at(value) for value in self.clip(z[:, column], index).tolist()]
        return out

    def log_slopes(self, z: Floats) -> Floats:
        """D ln(sd) / dz of the free ones at one point, shape (free,)."""
        return np.array(
            [
                self._priors[index].log_slope(float(self.clip(z[column], index)))
                for column, index in enumerate(self.free)
            ]
        )

    @staticmethod
    def clip(z: Floats, index: int) -> Floats:
        return np.clip(z, _LOWEST_ENTRY if index == ENTRY else _LOWEST, _HIGHEST)


def _only_setting(absorbed: Absorbed, axes: _Axes) -> Integrated:
    sds = axes.sds(np.zeros((1, 0)))
    solved = algebra.solve(absorbed, sds)
    return Integrated(Settings(sds, np.ones(1), 1.0, float(solved.log_likelihood[0])), (solved,))


def _slope(absorbed: Absorbed, axes: _Axes, z: Floats) -> tuple[float, Floats]:
    value, slopes = algebra.score(absorbed, axes.sds(z[None, :])[0])
    return value + float(_log_normal(z[None, :])[0]), slopes[axes.free] * axes.log_slopes(z) - z


def find_mode(
    slope: Callable[[Floats], tuple[float, Floats]], start: Floats, *, most: int = 60
) -> tuple[Floats, Floats]:
    """The highest point of a smooth function by quasi-Newton steps, and the curvature there (negative second slopes).

    Args:
        slope: gives the value and the gradient, shape (k,), at a point.
        start: shape (k,).
        most: steps. A mode that is not quite reached only costs efficiency; the weights stay right.
    """
    at = start
    value, gradient = slope(at)
    inverse = np.eye(len(at))
    for _ in range(most):
        step = inverse @ gradient
        step *= min(1.0, 1.0 / float(np.max(np.abs(step)) + 1e-300))  # never further than one prior sd at once
        if float(gradient @ step) < 1e-5:
            break
        size = 1.0
        ahead, ahead_gradient = slope(at + step)
        while ahead < value + 1e-4 * size * float(gradient @ step) and size > 1e-6:
            size *= 0.5
            ahead, ahead_gradient = slope(at + size * step)
        moved, bent = size * step, gradient - ahead_gradient
        inverse = _bfgs(inverse, moved, bent)
        at, value, gradient = at + moved, ahead, ahead_gradient
    return at, _curvature(slope, at)


def _bfgs(inverse: Floats, moved: Floats, bent: Floats) -> Floats:
    along = float(moved @ bent)
    if along < 1e-10:  # not concave here: start the shape afresh
        return np.eye(len(moved))
    left = np.eye(len(moved)) - np.outer(moved, bent) / along
    return left @ inverse @ left.T + np.outer(moved, moved) / along


def _curvature(slope: Callable[[Floats], tuple[float, Floats]], at: Floats, step: float = 1e-3) -> Floats:
    table = np.array([(slope(at - axis)[1] - slope(at + axis)[1]) / (2.0 * step) for axis in np.eye(len(at)) * step])
    return np.asarray(0.5 * (table + table.T), dtype=np.float64)


def _root_of_inverse(curvature: Floats) -> Floats:
    values, vectors = np.linalg.eigh(curvature)
    return np.asarray(vectors / np.sqrt(np.maximum(values, 0.5)))


def _moments(z: Floats, weights: Floats) -> tuple[Floats, Floats]:
    """Weighted mean and a root of the weighted covariance, kept off zero when few points carry the weight."""
    mean = weights @ z
    apart = z - mean
    values, vectors = np.linalg.eigh((apart * weights[:, None]).T @ apart)
    return mean, vectors * np.sqrt(np.maximum(values, 1e-6 * max(float(values.max()), 1e-6)))


def _mirrored_halton(count: int, dimensions: int, *, after: int = 0) -> Floats:
    """`count` points evenly filling the unit cube: a Halton sequence and its mirror image, shape (count, dimensions).

    Alone, a short stretch of the sequence leans towards zero; with its mirror every average of an odd function is exact.
    """
    half = (count + 1) // 2
    index = np.arange(after // 2 + 1, after // 2 + half + 1)
    u = np.column_stack([_radical_inverse(index, base) for base in _BASES[:dimensions]])
    return np.concatenate((u, 1.0 - u))[:count]


def _radical_inverse(index: NDArray[np.intp], base: int) -> Floats:
    out = np.zeros(len(index))
    rest, place = index.copy(), 1.0 / base
    while rest.any():
        out += (rest % base) * place
        rest //= base
        place /= base
    return out


_TAIL_SCALE = 0.9  # a t of four degrees of freedom this much narrower wastes the fewest points on a normal target


def _long_tailed(u: Floats) -> Floats:
    """Student's t of four degrees of freedom at shares u, its quantile in closed form, scaled."""
    a = np.sqrt(4.0 * u * (1.0 - u))
    size = 2.0 * np.sqrt(np.maximum(np.cos(np.arccos(a) / 3.0) / a - 1.0, 0.0))
    return np.asarray(_TAIL_SCALE * np.sign(u - 0.5) * size)


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where one round of points was laid: how many, around what, how wide and in which directions."""

    count: int
    centre: Floats
    spread: Floats

    def place(self, u: Floats) -> Floats:
        """Points at shares u of the unit cube."""
        return np.asarray(self.centre + _long_tailed(u) @ self.spread.T)

    def log_density(self, z: Floats) -> Floats:
        """Ln of the density the points were laid with, at any z."""
        t = np.linalg.solve(self.spread, (z - self.centre).T).T / _TAIL_SCALE
        log_volume = float(np.linalg.slogdet(self.spread)[1]) + z.shape[1] * math.log(_TAIL_SCALE)
        return np.asarray(np.sum(math.log(0.375) - 2.5 * np.log1p(t * t / 4.0), axis=1) - log_volume)


def _log_mixture(z: Floats, frames: list[_Frame]) -> Floats:
    """Ln of the density of all rounds' points together."""
    table = np.array([frame.log_density(z) + math.log(frame.count / len(z)) for frame in frames])
    top = table.max(axis=0)
    return np.asarray(top + np.log(np.sum(np.exp(table - top), axis=0)))


def _log_normal(z: Floats) -> Floats:
    return np.asarray(-0.5 * np.sum(z * z, axis=1) - z.shape[1] * _LOG_ROOT_TWO_PI)


def _normalise(log_weight: Floats) -> tuple[Floats, float]:
    weights = np.exp(log_weight - log_weight.max())
    weights /= weights.sum()
    return weights, float(1.0 / np.sum(weights**2))
