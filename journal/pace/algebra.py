"""The Gaussian part in closed form, with project effects absorbed.

    y = X β + p_group + e,   p ~ N(0, τ²),   e ~ N(0, σ² d),   β = S γ,   γ ~ N(0, 1)

S is the diagonal of the columns' prior standard deviations. With λ = τ²/σ² and, for each group j, u_j = Σ x/d and
s_j = Σ 1/d over its rows, Woodbury's identity gives

    X'V⁻¹X = σ⁻² [X'D⁻¹X − Σ_j c_j u_j u_j'],   c_j = λ / (1 + λ s_j),   ln|V| = n ln σ² + Σ ln d + Σ_j ln(1 + λ s_j)

y rides along as a last column of X, so that one Cholesky factor of

    [I + S X'V⁻¹X S    S X'V⁻¹y ]
    [ (S X'V⁻¹y)'      1 + y'V⁻¹y]

holds the posterior precision, the posterior mean and (its last corner) 1 + the residual quadratic form. The cost of
one evaluation is groups × columns² and does not depend on the number of rows. The likelihoods are those of "Maximum
likelihood approaches to variance component estimation", J. Am. Stat. Assoc. 72 (1977) 320-338.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from journal.pace.normal import Floats

DRIFT, STAGE, OPERATION, PROJECT, ENTRY, LEVEL = range(6)  # which standard deviation scales a column
SDS = 5  # LEVEL is not one of them: its column carries its prior sd itself
_LOG_TWO_PI = math.log(2.0 * math.pi)
_GROUPS_AT_ONCE = 256  # bounds the table of outer products at about 10 MB for a hundred columns
_ROWS_AT_ONCE = 4096  # bounds the copies of the rows at a few MB
_POINTS_AT_ONCE = 128
_POINTS_A_TABLE = 512


@dataclass(frozen=True, slots=True)
class Columns:
    """What the columns of X are.

    Attributes:
        block: which standard deviation scales a column, DRIFT … LEVEL; shape (q,).
        step: by what multiple of it, shape (q,); of a LEVEL column the prior sd itself, 1 if flat.
        flat: the columns without a prior, shape (q,).
    """

    block: NDArray[np.intp]
    step: Floats
    flat: NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Absorbed:
    """All that the likelihood needs of the rows.

    Attributes:
        rows: n.
        cross: X̃'D⁻¹X̃ with y as X̃'s last column, shape (q + 1, q + 1).
        sums: u_j, shape (groups, q + 1).
        weight: s_j, shape (groups,).
        log_spread: Σ ln d.
        columns: what the q columns are.
    """

    rows: int
    cross: Floats
    sums: Floats
    weight: Floats
    log_spread: float
    columns: Columns


@dataclass(frozen=True, slots=True)
class Solved:
    """The Gaussian posterior at n settings of the standard deviations.

    Attributes:
        log_likelihood: of y with β and p integrated out, shape (n,); with flat columns the restricted likelihood.
        factor: lower Cholesky factors of the matrix above, shape (n, q + 1, q + 1).
        scale: S, shape (n, q).
    """

    log_likelihood: Floats
    factor: Floats
    scale: Floats

    @classmethod
    def joined(cls, parts: Sequence[Solved]) -> Solved:
        """Several one after another."""
        return cls(
            np.concatenate([part.log_likelihood for part in parts]),
            np.concatenate([part.factor for part in parts]),
            np.concatenate([part.scale for part in parts]),
        )

    def only(self, which: NDArray[np.bool_]) -> Solved:
        """Some of the settings; `which` has shape (n,). All of them are the same object, not a copy."""
        if which.all():
            return self
        return Solved(self.log_likelihood[which], self.factor[which], self.scale[which])

    def combinations(self, of: Floats) -> tuple[Floats, Floats]:
        """Posterior mean, shape (n, m), and covariance, shape (n, m, m), of `of` @ β; `of` has shape (m, q)."""
        q = self.scale.shape[1]
        reach = np.linalg.solve(self.factor[:, :q, :q], self.scale[:, :, None] * of.T)
        mean = np.einsum("nqm,nq->nm", reach, self.factor[:, q, :q])
        return mean, np.matmul(reach.transpose(0, 2, 1), reach)


def absorb(
    x: Floats,
    y: Floats,
    d: Floats,
    group: NDArray[np.intp],
    columns: Columns,
) -> Absorbed:
    """Reduce the rows to what the likelihood needs.

    Args:
        x: shape (n, q).
        y: shape (n,).
        d: the rows' relative variances, shape (n,), > 0.
        group: each row's group, 0 … J − 1, shape (n,); −1 for a row without a group effect to absorb.
        columns: what x's columns are.
    """
    root = np.sqrt(d)
    order = np.argsort(group, kind="stable")  # rows without a group first
    groups = np.unique(group[group >= 0])
    cross = np.zeros((x.shape[1] + 1, x.shape[1] + 1))
    sums = np.zeros((len(groups), len(cross)))
    for start in range(0, len(y), _ROWS_AT_ONCE):
        rows = order[start : start + _ROWS_AT_ONCE]
        weighted = np.column_stack((x[rows], y[rows])) / root[rows, None]
        cross += weighted.T @ weighted
        first = int(np.searchsorted(group[rows], 0))
        here, starts = np.unique(group[rows[first:]], return_index=True)
        if len(here):  # a group may go on in the next rows
            parts = np.add.reduceat(weighted[first:] / root[rows[first:], None], starts, axis=0)
            sums[np.searchsorted(groups, here)] += parts
    grouped = np.searchsorted(groups, group[group >= 0])
    weight = np.asarray(np.bincount(grouped, weights=1.0 / d[group >= 0], minlength=len(groups)), dtype=np.float64)
    return Absorbed(len(y), cross, sums, weight, float(np.sum(np.log(d))), columns)


def column_scale(absorbed: Absorbed, sds: Floats) -> Floats:
    """S at each setting: shape (n, q) for `sds` of shape (n, 5)."""
    with_level = np.column_stack((sds, np.ones(len(sds))))
    return np.asarray(with_level[:, absorbed.columns.block] * absorbed.columns.step)


def solve(absorbed: Absorbed, sds: Floats) -> Solved:
    """The likelihood and the Gaussian posterior at each setting of the standard deviations.

    Args:
        absorbed: of `absorb`.
        sds: shape (n, 5): drift, stage, operation, project, entry; the last > 0.
    """
    return Solved.joined(list(parts(absorbed, sds)))


def combinations(solved: Sequence[Solved], of: Floats) -> tuple[Floats, Floats]:
    """`Solved.combinations` of all of them one after another, of each covariance its lower triangle, row by row.

    They are never held joined, and the triangles, shape (n, m (m + 1) / 2), are half of what is kept for days.
    """
    low, high = np.tril_indices(len(of))
    count = sum(len(part.scale) for part in solved)
    means, triangles = np.empty((count, len(of))), np.empty((count, len(low)))
    at = 0
    for part in solved:
        here = slice(at, at + len(part.scale))
        means[here], covariances = part.combinations(of)
        triangles[here] = covariances[:, low, high]
        at = here.stop
    return means, triangles


def log_likelihood(absorbed: Absorbed, sds: Floats) -> Floats:
    """Only the likelihood of `solve`, shape (n,); keeps no factors."""
    return np.concatenate([part.log_likelihood for part in parts(absorbed, sds)])


def parts(absorbed: Absorbed, sds: Floats) -> Iterator[Solved]:
    """What `solve` gives, a few settings at a time; the groups' outer products, the dearest part, are made once for several such parts."""
    for start in range(0, len(sds), _POINTS_A_TABLE):
        some = sds[start : start + _POINTS_A_TABLE]
        packed = _within(absorbed, (some[:, PROJECT] / some[:, ENTRY]) ** 2)
        for at in range(0, len(some), _POINTS_AT_ONCE):
            yield _solve(absorbed, some[at : at + _POINTS_AT_ONCE], packed[at : at + _POINTS_AT_ONCE])


def _solve(absorbed: Absorbed, sds: Floats, packed: Floats) -> Solved:
    entry = sds[:, ENTRY]
    ratio = (sds[:, PROJECT] / entry) ** 2
    scale = column_scale(absorbed, sds)
    stretch = np.column_stack((scale, np.ones(len(sds)))) / entry[:, None]
    inner = _unpacked(packed, len(absorbed.cross))
    inner *= stretch[:, :, None]
    inner *= stretch[:, None, :]
    q = scale.shape[1]
    diagonal = np.arange(q + 1)
    inner[:, diagonal, diagonal] += np.append(np.where(absorbed.columns.flat, 0.0, 1.0), 1.0)
    factor: Floats = np.asarray(np.linalg.cholesky(inner), dtype=np.float64)
    corners = factor[:, diagonal, diagonal]
    log_precision = 2.0 * np.sum(np.log(corners[:, :q]), axis=1)
    log_variance = (
        absorbed.rows * 2.0 * np.log(entry)
        + absorbed.log_spread
        + np.sum(np.log1p(ratio[:, None] * absorbed.weight), axis=1)
    )
    residual = corners[:, q] ** 2 - 1.0
    constant = (absorbed.rows - int(np.sum(absorbed.columns.flat))) * _LOG_TWO_PI
    return Solved(-0.5 * (constant + log_variance + log_precision + residual), factor, scale)


def _within(absorbed: Absorbed, ratio: Floats) -> Floats:
    """The lower triangle of X̃'D⁻¹X̃ − Σ_j c_j ũ_j ũ_j' at each λ, row by row, shape (n, (q + 1)(q + 2) / 2).

    One matrix product over tables of the groups' outer products.
    """
    low, high = np.tril_indices(len(absorbed.cross))
    packed = np.broadcast_to(absorbed.cross[low, high], (len(ratio), len(low))).copy()
    shrink = ratio[:, None] / (1.0 + ratio[:, None] * absorbed.weight)
    for start in range(0, len(absorbed.weight), _GROUPS_AT_ONCE):
        sums = absorbed.sums[start : start + _GROUPS_AT_ONCE]
        packed -= shrink[:, start : start + _GROUPS_AT_ONCE] @ (sums[:, low] * sums[:, high])
    return packed


def _unpacked(packed: Floats, width: int) -> Floats:
    """Symmetric matrices from their lower triangles, shape (n, width, width)."""
    low, high = np.tril_indices(width)
    full = np.empty((len(packed), width, width))
    full[:, low, high] = packed
    full[:, high, low] = packed
    return full


def score(absorbed: Absorbed, sds: Floats) -> tuple[float, Floats]:
    """The log-likelihood at one setting, and its slope against ln(sd), shape (5,).

    Args:
        absorbed: of `absorb`.
        sds: shape (5,).

    The slopes come from the posterior: for a block of columns Σ (E γ² − 1); for σ and λ from the residuals.
    """
    entry, ratio = sds[ENTRY], (sds[PROJECT] / sds[ENTRY]) ** 2
    scale = column_scale(absorbed, sds[None, :])[0]
    growth = 1.0 + ratio * absorbed.weight
    shrunk = absorbed.sums / np.sqrt(growth)[:, None]
    inner = (absorbed.cross - ratio * (shrunk.T @ shrunk)) / entry**2
    prior = np.where(absorbed.columns.flat, 0.0, 1.0)
    precision = scale[:, None] * inner[:-1, :-1] * scale + np.diag(prior)
    right = scale * inner[:-1, -1]
    factor = np.linalg.cholesky(precision)
    inverse = np.linalg.inv(factor)
    covariance = inverse.T @ inverse
    gamma = covariance @ right
    beta = scale * gamma
    fit_left = np.append(-beta, 1.0)
    residual = float(fit_left @ inner @ fit_left)
    spread = np.diag(covariance)
    by_column = (gamma**2 + spread - 1.0) * prior
    slopes = np.array([by_column[absorbed.columns.block == block].sum() for block in range(SDS)], dtype=np.float64)
    left = absorbed.sums @ fit_left
    reach = (absorbed.sums[:, :-1] * scale) @ inverse.T
    explained = (left**2 + np.sum(reach**2, axis=1)) / (entry * growth) ** 2
    by_ratio = -0.5 * (np.sum(absorbed.weight / growth) - np.sum(explained))
    slopes[PROJECT] += 2.0 * ratio * by_ratio
    slopes[ENTRY] += -absorbed.rows + np.sum(1.0 - prior * spread) + residual - 2.0 * ratio * by_ratio
    log_variance = absorbed.rows * 2.0 * math.log(entry) + absorbed.log_spread + float(np.sum(np.log(growth)))
    log_precision = 2.0 * float(np.sum(np.log(np.diag(factor))))
    shortfall = residual + float(np.sum(prior * gamma**2))
    constant = (absorbed.rows - int(np.sum(absorbed.columns.flat))) * _LOG_TWO_PI
    return -0.5 * (constant + log_variance + log_precision + shortfall), slopes
