"""The pace engine against published figures and another library; each test names its source."""

from __future__ import annotations

import csv
import math
import warnings
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from journal.pace import algebra
from journal.pace.algebra import ENTRY, LEVEL, OPERATION, PROJECT, Columns
from journal.pace.integrate import Grid
from journal.pace.priors import Fixed, Flat, HalfCauchy, Level, Priors
from statsmodels.regression.mixed_linear_model import MixedLM

DATA = Path(__file__).parent / "data"
NOTHING = Fixed(0)


def read(name):
    lines = (DATA / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def batches(name, value):
    rows = read(name)
    y = np.array([float(row[value]) for row in rows])
    return y, np.array([ord(row["batch"]) - ord("A") for row in rows])


def absorb_batches(y, group, *, mean=None):
    """One-way layout; a flat level (REML) or the level held at `mean` (ML)."""
    width = 1 if mean is None else 0
    columns = Columns(np.full(width, LEVEL), np.ones(width), np.full(width, fill_value=True))
    held = y if mean is None else y - mean
    return algebra.absorb(np.ones((len(y), width)), held, np.ones(len(y)), group, columns)


def likeliest(absorbed, between, within):
    """Where the library's likelihood is highest: a grid over (between sd, entry sd), narrowed eight times."""
    for _ in range(8):
        side = np.array([np.linspace(*between, 33), np.linspace(*within, 33)])
        tau, sigma = (axis.ravel() for axis in np.meshgrid(*side, indexing="ij"))
        sds = np.zeros((len(tau), algebra.SDS))
        sds[:, PROJECT], sds[:, ENTRY] = tau, sigma
        best = int(np.argmax(algebra.log_likelihood(absorbed, sds)))
        reach = 2 * (side[:, 1] - side[:, 0])
        between = (max(tau[best] - reach[0], 0.0), tau[best] + reach[0])
        within = (sigma[best] - reach[1], sigma[best] + reach[1])
    return tau[best] ** 2, sigma[best] ** 2


def shrunken(y, group, between, within):
    """Batch means with the batches as columns, at known variances."""
    batch = np.eye(group.max() + 1)[group]
    width = 1 + batch.shape[1]
    flat = np.arange(width) == 0
    columns = Columns(np.where(flat, LEVEL, OPERATION), np.ones(width), flat)
    absorbed = algebra.absorb(
        np.column_stack((np.ones(len(y)), batch)), y, np.ones(len(y)), np.full(len(y), -1), columns
    )
    sds = np.array([[0, 0, math.sqrt(between), 0, math.sqrt(within)]])
    read_off = np.column_stack((np.ones(width - 1), np.eye(width - 1)))
    return algebra.solve(absorbed, sds).combinations(read_off)[0][0]


# Statistical Methods in Research and Production, 4th ed. (1972), sec. 6.4; the estimates are the balanced closed form
# (MSB − MSW)/n, 1764.05 and 2451.25, and its ML counterpart 1388.33.


def test_dyestuff_restricted_likelihood_peaks_at_the_published_variances():
    y, group = batches("dyestuff.csv", "yield_g")
    between, within = likeliest(absorb_batches(y, group), (0, 120), (20, 120))
    assert between == pytest.approx(1764.05, abs=0.01)
    assert within == pytest.approx(2451.25, abs=0.01)


def test_dyestuff_likelihood_peaks_at_the_published_variances():
    y, group = batches("dyestuff.csv", "yield_g")
    between, within = likeliest(absorb_batches(y, group, mean=1527.5), (0, 120), (20, 120))
    assert between == pytest.approx(1388.33, abs=0.01)
    assert within == pytest.approx(2451.25, abs=0.01)


def test_dyestuff_criteria_are_the_published_ones():
    """REML criterion 319.7 and ML deviance 327.3, as published with the data."""
    y, group = batches("dyestuff.csv", "yield_g")
    reml = algebra.log_likelihood(absorb_batches(y, group), np.sqrt([[0, 0, 0, 1764.05, 2451.25]]))[0]
    ml = algebra.log_likelihood(absorb_batches(y, group, mean=1527.5), np.sqrt([[0, 0, 0, 1388.3333, 2451.25]]))[0]
    assert -2 * reml == pytest.approx(319.7, abs=0.05)
    assert -2 * ml == pytest.approx(327.3, abs=0.05)


def test_dyestuff_batch_means_shrink_as_published():
    """Weight 5 × 1764.05 / (5 × 1764.05 + 2451.25) = 0.782527 on a batch's own mean."""
    y, group = batches("dyestuff.csv", "yield_g")
    published = [1509.893, 1527.891, 1556.062, 1504.415, 1584.233, 1482.505]
    assert shrunken(y, group, 1764.05, 2451.25) == pytest.approx(published, abs=0.001)


def test_dyestuff_integrated_under_flat_priors_keeps_the_level_and_widens_the_scatter():
    """The level's posterior mean is the published 1527.5; with six batches the sd's mean lies above its mode, 42."""
    y, group = batches("dyestuff.csv", "yield_g")
    priors = Priors(Level(0, math.inf), NOTHING, NOTHING, NOTHING, Flat(2000), Flat(2000))
    absorbed = absorb_batches(y, group)
    settings = Grid()(absorbed, priors).settings
    means, covariances = algebra.solve(absorbed, settings.sds).combinations(np.ones((1, 1)))
    assert settings.weights @ means[:, 0] == pytest.approx(1527.5, abs=1e-6)
    assert settings.weights @ settings.sds[:, PROJECT] > 42.0
    assert math.sqrt(settings.weights @ covariances[:, 0, 0]) > 19.38  # the published standard error, sds plugged in


def test_dyestuff2_has_no_variance_between_batches():
    """Bayesian Inference in Statistical Analysis (1973), sec. 5.1.2: between 0, within 13.81 (REML), 13.35 (ML)."""
    y, group = batches("dyestuff2.csv", "yield")
    between, within = likeliest(absorb_batches(y, group), (0, 6), (1, 9))
    assert between == pytest.approx(0.0, abs=1e-9)
    assert within == pytest.approx(13.81, abs=0.005)
    between, within = likeliest(absorb_batches(y, group, mean=float(y.mean())), (0, 6), (1, 9))
    assert between == pytest.approx(0.0, abs=1e-9)
    assert within == pytest.approx(13.35, abs=0.005)
    assert shrunken(y, group, 0.0, 13.81) == pytest.approx([5.6656] * 6, abs=5e-5)


@pytest.mark.parametrize("reml", [True, False])
def test_dyestuff_likelihood_is_that_of_statsmodels_at_its_estimates(reml):
    """statsmodels MixedLM on the same data: variances, and the likelihood itself with its constants."""
    y, group = batches("dyestuff.csv", "yield_g")
    fitted = MixedLM(y, np.ones(len(y)), group).fit(reml=reml)
    sds = np.sqrt([[0, 0, 0, fitted.cov_re.item(), fitted.scale]])
    ours = algebra.log_likelihood(absorb_batches(y, group, mean=None if reml else float(fitted.params[0])), sds)[0]
    assert ours == pytest.approx(fitted.llf, abs=1e-6)
    between, within = likeliest(absorb_batches(y, group, mean=None if reml else 1527.5), (0, 120), (20, 120))
    assert [between, within] == pytest.approx([fitted.cov_re.item(), fitted.scale], rel=1e-3)


def test_dyestuff2_agrees_with_statsmodels_on_the_boundary():
    y, group = batches("dyestuff2.csv", "yield")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it warns that the estimate is on the boundary, which is the point
        fitted = MixedLM(y, np.ones(len(y)), group).fit(reml=True)
    assert fitted.cov_re.item() == pytest.approx(0.0, abs=0.05)
    assert fitted.scale == pytest.approx(likeliest(absorb_batches(y, group), (0, 6), (1, 9))[1], abs=0.05)


def test_crossed_effects_have_the_likelihood_of_statsmodels():
    """statsmodels MixedLM with projects and operations as crossed variance components, by maximum likelihood."""
    rng = np.random.default_rng(12)
    project, operation = (axis.ravel() for axis in np.meshgrid(np.arange(8), np.arange(6), indexing="ij"))
    y = 0.3 + rng.normal(0, 0.3, 8)[project] + rng.normal(0, 0.4, 6)[operation] + rng.normal(0, 0.2, 48)
    frame = pd.DataFrame({"y": y, "project": project, "operation": operation, "all": 1})
    parts = {"a": "0 + C(operation)", "p": "0 + C(project)"}
    fitted = MixedLM.from_formula("y ~ 1", frame, groups="all", re_formula="0", vc_formula=parts).fit(reml=False)
    columns = Columns(np.full(6, OPERATION), np.ones(6), np.zeros(6, dtype=bool))
    absorbed = algebra.absorb(np.eye(6)[operation], y - fitted.fe_params.iloc[0], np.ones(48), project, columns)
    a, p = np.sqrt(fitted.vcomp)
    ours = algebra.log_likelihood(absorbed, np.array([[0, 0, a, p, math.sqrt(fitted.scale)]]))[0]
    assert ours == pytest.approx(fitted.llf, abs=1e-6)


# Eight schools: a study of 1981 as printed in Bayesian Data Analysis, sec. 5.5. Known standard errors: d is their
# square and the entry sd is held at 1. Conditional figures are closed form, posterior means one-dimensional integrals.


def schools(level_sd):
    rows = read("eight_schools.csv")
    y = np.array([float(row["y"]) for row in rows])
    d = np.array([float(row["sigma"]) for row in rows]) ** 2
    flat = (np.arange(9) == 0) & math.isinf(level_sd)
    step = np.where(np.arange(9) == 0, 1.0 if math.isinf(level_sd) else level_sd, 1.0)
    columns = Columns(np.array([LEVEL] + [OPERATION] * 8), step, flat)
    return rows, algebra.absorb(np.column_stack((np.ones(8), np.eye(8))), y, d, np.full(8, -1), columns)


READ_SCHOOLS = np.vstack((np.eye(9)[0], np.column_stack((np.ones(8), np.eye(8)))))  # μ, then μ + each school


@pytest.mark.parametrize(
    ("tau", "column", "mu", "mu_sd"),
    [(5.0, "theta_given_tau5", 7.8510, None), (10.0, "theta_given_tau10", 8.1265, 5.5200)],
)
def test_eight_schools_given_tau(tau, column, mu, mu_sd):
    rows, absorbed = schools(math.inf)
    means, covariances = algebra.solve(absorbed, np.array([[0, 0, tau, 0, 1.0]])).combinations(READ_SCHOOLS)
    assert means[0] == pytest.approx([mu, *(float(row[column]) for row in rows)], abs=5.1e-5)
    if mu_sd:
        assert math.sqrt(covariances[0, 0, 0]) == pytest.approx(mu_sd, abs=5.1e-5)


def test_eight_schools_without_differences_all_get_the_pooled_mean():
    """Pooled 7.685617, standard error 4.071919."""
    _, absorbed = schools(math.inf)
    means, covariances = algebra.solve(absorbed, np.array([[0, 0, 0.0, 0, 1.0]])).combinations(READ_SCHOOLS)
    assert means[0] == pytest.approx([7.685617] * 9, abs=1e-6)
    assert np.sqrt(np.diag(covariances[0])) == pytest.approx([4.071919] * 9, abs=1e-6)


def test_eight_schools_under_flat_priors():
    """E μ 7.932, E τ 6.575, median τ 5.24, E θ listed; printed to the digits tested."""
    rows, absorbed = schools(math.inf)
    priors = Priors(Level(0, math.inf), NOTHING, NOTHING, Flat(2000), NOTHING, Fixed(1))
    settings = Grid(points=801)(absorbed, priors).settings
    means = settings.weights @ algebra.solve(absorbed, settings.sds).combinations(READ_SCHOOLS)[0]
    tau = settings.sds[:, OPERATION]
    assert means[0] == pytest.approx(7.932, abs=0.002)
    assert means[1:] == pytest.approx([float(row["post_mean_flat_prior"]) for row in rows], abs=0.0051)
    assert settings.weights @ tau == pytest.approx(6.575, abs=0.005)
    assert np.interp(0.5, np.cumsum(settings.weights) - settings.weights / 2, tau) == pytest.approx(5.24, abs=0.01)


def test_eight_schools_under_a_normal_and_a_half_cauchy_prior():
    """μ ~ N(0, 5²), τ ~ half-Cauchy(0, 5): exact 4.397, 3.598, θ of A 6.212; public reference draws within 0.15."""
    rows, absorbed = schools(5.0)
    priors = Priors(Level(0, 5), NOTHING, NOTHING, HalfCauchy(5), NOTHING, Fixed(1))
    settings = Grid(points=401)(absorbed, priors).settings
    means = settings.weights @ algebra.solve(absorbed, settings.sds).combinations(READ_SCHOOLS)[0]
    assert means[:2] == pytest.approx([4.397, 6.212], abs=0.002)
    assert settings.weights @ settings.sds[:, OPERATION] == pytest.approx(3.598, abs=0.005)
    assert means[1:] == pytest.approx([float(row["reference_mean"]) for row in rows], abs=0.15)


@pytest.mark.parametrize(
    ("prior", "data", "posterior", "tolerance"),
    [
        # a university course's notes on Bayesian statistics; N(99.4, 14.1) there, exact 99.4118, 14.1176
        ((110, 120), (98, 80, 1), (102.8, 48), 1e-9),
        ((110, 120), (98, 80, 5), (99.4118, 14.1176), 5e-5),
        # the classic IQ example of statistical decision theory; from memory, verify; closed form recomputed
        ((100, 225), (115, 100, 1), (110.385, 69.231), 5e-4),
    ],
)
def test_normal_prior_and_normal_data(prior, data, posterior, tolerance):
    (mean, variance), (x, noise, n) = prior, data
    columns = Columns(np.array([LEVEL]), np.array([math.sqrt(variance)]), np.array([False]))
    absorbed = algebra.absorb(np.ones((n, 1)), np.full(n, x - mean), np.full(n, float(noise)), np.full(n, -1), columns)
    means, covariances = algebra.solve(absorbed, np.array([[0, 0, 0, 0, 1.0]])).combinations(np.ones((1, 1)))
    assert mean + means[0, 0] == pytest.approx(posterior[0], abs=tolerance)
    assert covariances[0, 0, 0] == pytest.approx(posterior[1], abs=tolerance)
