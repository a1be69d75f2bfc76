"""The absorbed algebra against plain dense linear algebra on the same small problems."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from journal.pace import algebra
from journal.pace.algebra import DRIFT, LEVEL, OPERATION, PROJECT, STAGE, Columns


def random_problem(seed, *, flat=False, rows=None):
    rng = np.random.default_rng(seed)
    n = rows if rows is not None else int(rng.integers(1, 25))
    block = np.array([LEVEL, DRIFT, DRIFT, STAGE, STAGE, OPERATION, OPERATION, OPERATION])
    x = rng.normal(0, 1, (n, len(block))) * (rng.random((n, len(block))) < 0.6)
    x[:, 0] = 1.0
    step = np.where(block == DRIFT, math.sqrt(2), 1.0)
    step[0] = 1.0 if flat else 0.5
    y, d = rng.normal(0, 0.4, n), rng.uniform(1, 3, n)
    group = rng.integers(0, 4, n)
    columns = Columns(block, step, (block == LEVEL) & flat)
    sds = np.exp(rng.normal(-1.2, 0.7, (3, 5)))
    return x, y, d, group, columns, sds


def dense(problem, sd):
    """Log density of y, and mean and covariance of β, by the covariance matrix of y itself (no flat columns)."""
    x, y, d, group, columns, _ = problem
    scale = np.append(sd, 1.0)[columns.block] * columns.step
    noise = np.diag(sd[4] ** 2 * d) + sd[3] ** 2 * (group[:, None] == group)
    cover = (x * scale**2) @ x.T + noise
    solved = np.linalg.solve(cover, y)
    log_density = -0.5 * (len(y) * math.log(2 * math.pi) + np.linalg.slogdet(cover)[1] + y @ solved)
    gain = (scale**2)[:, None] * x.T
    return log_density, gain @ solved, np.diag(scale**2) - gain @ np.linalg.solve(cover, gain.T)


@given(seed=st.integers(0, 10_000))
@settings(max_examples=40)
def test_likelihood_mean_and_covariance_are_those_of_the_dense_normal(seed):
    problem = random_problem(seed)
    solved = algebra.solve(algebra.absorb(*problem[:5]), problem[5])
    means, covariances = solved.combinations(np.eye(len(problem[4].block)))
    for at, sd in enumerate(problem[5]):
        log_density, mean, covariance = dense(problem, sd)
        assert solved.log_likelihood[at] == pytest.approx(log_density, abs=1e-8)
        assert means[at] == pytest.approx(mean, abs=1e-8)
        assert covariances[at] == pytest.approx(covariance, abs=1e-8)


@given(seed=st.integers(0, 10_000))
@settings(max_examples=25)
def test_a_few_rows_and_settings_at_a_time_give_what_all_at_once_do(seed):
    """Groups that go on from one lot of rows to the next, rows of no group, and settings over several tables."""
    x, y, d, group, columns, sds = random_problem(seed, rows=23)
    group = group - 1  # −1: no group
    whole = algebra.absorb(x, y, d, group, columns)
    together = algebra.solve(whole, sds)
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(algebra, "_ROWS_AT_ONCE", 4)
        patched.setattr(algebra, "_POINTS_A_TABLE", 2)
        patched.setattr(algebra, "_POINTS_AT_ONCE", 1)
        parts = algebra.absorb(x, y, d, group, columns)
        apart = algebra.solve(parts, sds)
    for name in ("cross", "sums", "weight", "log_spread"):
        assert getattr(parts, name) == pytest.approx(getattr(whole, name), abs=1e-10)
    assert apart.log_likelihood == pytest.approx(together.log_likelihood, abs=1e-9)
    assert apart.factor == pytest.approx(together.factor, abs=1e-9)


@given(seed=st.integers(0, 10_000))
@settings(max_examples=25)
def test_a_flat_level_gives_the_restricted_likelihood(seed):
    """REML from contrasts: an orthonormal basis of what is left of y when the level is projected out."""
    x, y, d, group, columns, sds = problem = random_problem(seed, flat=True, rows=14)
    found = algebra.log_likelihood(algebra.absorb(*problem[:5]), sds)
    contrasts = np.linalg.qr(np.column_stack((np.ones(14), np.eye(14)[:, 1:])))[0][:, 1:].T
    for at, sd in enumerate(sds):
        scale = sd[np.minimum(columns.block[1:], 4)] * columns.step[1:]
        cover = (x[:, 1:] * scale**2) @ x[:, 1:].T + np.diag(sd[4] ** 2 * d) + sd[3] ** 2 * (group[:, None] == group)
        inner, left = contrasts @ cover @ contrasts.T, contrasts @ y
        log_density = -0.5 * (
            13 * math.log(2 * math.pi) + np.linalg.slogdet(inner)[1] + left @ np.linalg.solve(inner, left)
        )
        # the two differ by ½ ln|1'1|, which no standard deviation moves
        assert found[at] == pytest.approx(log_density - 0.5 * math.log(14), abs=1e-8)


@given(seed=st.integers(0, 10_000), flat=st.booleans())
@settings(max_examples=40)
def test_the_score_is_the_slope_of_the_likelihood(seed, flat):
    problem = random_problem(seed, flat=flat)
    absorbed, sd = algebra.absorb(*problem[:5]), problem[5][0]
    value, slopes = algebra.score(absorbed, sd)
    assert value == pytest.approx(algebra.log_likelihood(absorbed, sd[None])[0], abs=1e-8)
    for axis in range(5):
        ends = np.tile(sd, (2, 1))
        ends[:, axis] *= np.exp([-1e-4, 1e-4])
        low, high = algebra.log_likelihood(absorbed, ends)
        assert slopes[axis] == pytest.approx((high - low) / 2e-4, rel=1e-4, abs=1e-5)


def test_a_group_absorbed_equals_a_group_with_a_column():
    x, y, d, group, columns, sds = random_problem(3, rows=20)
    absorbed = algebra.absorb(x, y, d, group, columns)
    own = np.column_stack((x, group == 2)).astype(float)
    kept = algebra.absorb(
        own,
        y,
        d,
        np.where(group == 2, -1, group),
        Columns(np.append(columns.block, PROJECT), np.append(columns.step, 1.0), np.append(columns.flat, False)),
    )
    assert algebra.log_likelihood(kept, sds) == pytest.approx(algebra.log_likelihood(absorbed, sds), abs=1e-9)


def test_settings_solved_in_several_parts_are_the_same_as_all_together():
    problem = random_problem(5, rows=20)
    absorbed = algebra.absorb(*problem[:5])
    together = algebra.solve(absorbed, problem[5])
    parts = [algebra.solve(absorbed, problem[5][:1]), algebra.solve(absorbed, problem[5][1:])]
    means, triangles = algebra.combinations(parts, np.eye(8))
    joined, covariances = together.combinations(np.eye(8))
    assert means == pytest.approx(joined, abs=1e-12)
    assert triangles == pytest.approx(np.array([one[np.tril_indices(8)] for one in covariances]), abs=1e-12)
    assert together.only(np.ones(3, dtype=bool)) is together


def test_no_rows_leave_the_prior():
    problem = random_problem(1, rows=0)
    solved = algebra.solve(algebra.absorb(*problem[:5]), problem[5])
    means, covariances = solved.combinations(np.eye(8))
    scale = algebra.column_scale(algebra.absorb(*problem[:5]), problem[5])
    assert solved.log_likelihood == pytest.approx(0.0, abs=1e-12)
    assert means == pytest.approx(0.0, abs=1e-12)
    assert covariances[0] == pytest.approx(np.diag(scale[0] ** 2), abs=1e-12)


def test_more_groups_and_settings_than_fit_at_once_change_nothing():
    rng = np.random.default_rng(8)
    n = 900
    group = rng.integers(0, 700, n)
    columns = Columns(np.array([LEVEL, OPERATION]), np.array([0.5, 1.0]), np.zeros(2, dtype=bool))
    absorbed = algebra.absorb(
        np.column_stack((np.ones(n), rng.random(n))), rng.normal(0, 1, n), np.ones(n), group, columns
    )
    sds = np.exp(rng.normal(-1, 0.5, (200, 5)))
    together = algebra.log_likelihood(absorbed, sds)
    assert together == pytest.approx([algebra.score(absorbed, sd)[0] for sd in sds], rel=1e-10)


def test_deviations_of_zero_are_allowed_everywhere_but_in_the_entry():
    problem = random_problem(5, rows=12)
    sd = np.array([0.0, 0.0, 0.0, 0.0, 0.3])
    absorbed = algebra.absorb(*problem[:5])
    assert algebra.log_likelihood(absorbed, sd[None])[0] == pytest.approx(dense(problem, sd)[0], abs=1e-8)
    assert np.isfinite(algebra.score(absorbed, sd)[1]).all()
