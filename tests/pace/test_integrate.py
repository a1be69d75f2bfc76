from __future__ import annotations

import numpy as np
import pytest
from journal.errors import BadInput
from journal.pace import algebra
from journal.pace.algebra import LEVEL, OPERATION, STAGE, Columns
from journal.pace.integrate import Grid, Sampled, find_mode
from journal.pace.priors import Fixed, HalfCauchy, HalfNormal, Priors

TWO_FREE = Priors(
    drift=Fixed(0), stage=Fixed(0), operation=Fixed(0), project=HalfNormal(0.3), entry=HalfNormal(0.4, least=0.02)
)


def one_way(rng, groups=6, size=4, between=0.3, within=0.2):
    n = groups * size
    group = np.repeat(np.arange(groups), size)
    y = 0.1 + rng.normal(0, between, groups)[group] + rng.normal(0, within, n)
    columns = Columns(np.array([LEVEL]), np.array([0.5]), np.array([False]))
    return algebra.absorb(np.ones((n, 1)), y, np.ones(n), group, columns)


def crossed(rng):
    n = 40
    stage, item, group = rng.integers(0, 3, n), rng.integers(0, 6, n), rng.integers(0, 8, n)
    x = np.column_stack((np.ones(n), np.eye(3)[stage], np.eye(6)[item]))
    y = 0.2 * rng.normal(size=6)[item] + 0.2 * rng.normal(size=8)[group] + 0.25 * rng.normal(size=n)
    block = np.array([LEVEL] + [STAGE] * 3 + [OPERATION] * 6)
    columns = Columns(block, np.where(block == LEVEL, 0.5, 1.0), np.zeros(10, dtype=bool))
    return algebra.absorb(x, y, rng.uniform(1, 2, n), group, columns)


def average(settings, power=1):
    return settings.weights @ np.log(settings.sds + 1e-3) ** power


@pytest.mark.parametrize("seed", range(4))
def test_sampling_agrees_with_the_grid(seed):
    absorbed = one_way(np.random.default_rng(seed))
    sampled, grid = Sampled()(absorbed, TWO_FREE).settings, Grid()(absorbed, TWO_FREE).settings
    assert sampled.weights @ sampled.sds == pytest.approx(grid.weights @ grid.sds, rel=0.01)
    assert average(sampled)[3:] == pytest.approx(average(grid)[3:], abs=0.03)
    assert sampled.log_evidence == pytest.approx(grid.log_evidence, abs=0.01)


@pytest.mark.parametrize("seed", range(3))
def test_sampling_in_five_dimensions_agrees_with_brute_force_from_the_prior(seed):
    absorbed, priors = crossed(np.random.default_rng(seed)), Priors()
    rng = np.random.default_rng(99)
    z = np.concatenate([half := rng.standard_normal((40_000, 5)), -half])
    sds = np.array([[prior.sd_at(v) for prior, v in zip(priors.sds, row, strict=True)] for row in z.tolist()])
    log_likelihood = algebra.log_likelihood(absorbed, sds)
    weights = np.exp(log_likelihood - log_likelihood.max())
    evidence = np.log(weights.mean()) + log_likelihood.max()
    weights /= weights.sum()
    settings = Sampled()(absorbed, priors).settings
    assert settings.weights @ settings.sds == pytest.approx(
        weights @ sds, rel=0.05
    )  # both have errors of one or two hundredths
    assert settings.log_evidence == pytest.approx(evidence, abs=0.04)


def test_most_points_count():
    settings = Sampled()(crossed(np.random.default_rng(1)), Priors()).settings
    assert settings.effective > 0.5 * (Sampled().pilot + Sampled().points)
    assert settings.weights.sum() == pytest.approx(1.0)


def test_the_result_is_the_same_every_time():
    absorbed = crossed(np.random.default_rng(2))
    first, second = Sampled()(absorbed, Priors()).settings, Sampled()(absorbed, Priors()).settings
    assert np.array_equal(first.sds, second.sds)
    assert np.array_equal(first.weights, second.weights)


@pytest.mark.parametrize("priors", [TWO_FREE, Priors()])
def test_logs_without_any_scatter_settle_on_the_floor_and_break_nothing(priors):
    n = 30
    columns = Columns(np.array([LEVEL]), np.array([0.5]), np.array([False]))
    absorbed = algebra.absorb(np.ones((n, 1)), np.full(n, 0.7), np.ones(n), np.arange(n) % 5, columns)
    settings = Sampled()(absorbed, priors).settings
    assert 0.02 <= settings.weights @ settings.sds[:, 4] < 0.04
    assert settings.weights @ settings.sds[:, 3] < 0.02


def test_data_far_outside_the_prior_are_followed():
    absorbed = one_way(np.random.default_rng(4), groups=40, between=2.0, within=3.0)
    settings = Sampled()(absorbed, TWO_FREE).settings
    assert settings.weights @ settings.sds[:, 4] == pytest.approx(3.0, rel=0.25)
    assert settings.effective > 50


def test_nothing_free_is_one_setting():
    fixed = Priors(drift=Fixed(0), stage=Fixed(0), operation=Fixed(0), project=Fixed(0.2), entry=Fixed(0.3))
    for integrator in (Sampled(), Grid()):
        settings = integrator(one_way(np.random.default_rng(0)), fixed).settings
        assert settings.sds.tolist() == [[0, 0, 0, 0.2, 0.3]]
        assert settings.weights.tolist() == [1.0]


def test_a_grid_refuses_more_than_two_free_deviations():
    with pytest.raises(BadInput, match="one or two"):
        Grid()(one_way(np.random.default_rng(0)), Priors())


@pytest.mark.parametrize("make", [lambda: Sampled(points=3), lambda: Sampled(most=0), lambda: Grid(points=2)])
def test_too_few_points_are_refused(make):
    with pytest.raises(BadInput):
        make()


def test_a_long_tailed_prior_is_integrated_too():
    priors = Priors(
        drift=Fixed(0), stage=Fixed(0), operation=Fixed(0), project=HalfCauchy(1.0), entry=HalfNormal(0.4, least=0.02)
    )
    absorbed = one_way(np.random.default_rng(6))
    sampled, grid = Sampled(points=1000)(absorbed, priors).settings, Grid(points=301)(absorbed, priors).settings
    assert sampled.weights @ sampled.sds == pytest.approx(grid.weights @ grid.sds, rel=0.01)


def test_the_mode_of_a_bent_hill_is_found():
    def slope(z):
        height = -((z[0] - 1) ** 2) - 5 * (z[1] - z[0] ** 2) ** 2
        down = -2 * (z[0] - 1) + 20 * (z[1] - z[0] ** 2) * z[0]
        return height, np.array([down, -10 * (z[1] - z[0] ** 2)])

    mode, curvature = find_mode(slope, np.array([-1.0, 2.0]))
    assert mode == pytest.approx([1.0, 1.0], abs=0.01)
    assert curvature == pytest.approx(np.array([[42, -20], [-20, 10]]), abs=0.7)
