"""Shrinkage, crossed effects and scores against published figures and another library; each test names its source."""

from __future__ import annotations

import csv
import math
import warnings
from pathlib import Path

import numpy as np
import pytest
from journal.pace import algebra
from journal.pace.algebra import ENTRY, LEVEL, OPERATION, PROJECT, Columns
from journal.pace.integrate import Grid
from journal.pace.priors import Fixed, Flat, Level, Priors
from journal.pace.score import crps
from statsmodels.datasets import grunfeld
from statsmodels.regression.mixed_linear_model import MixedLM

DATA = Path(__file__).parent / "data"
NOTHING = Fixed(0)


def read(name):
    lines = (DATA / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


# J. Am. Stat. Assoc. 70 (1975) 311-319: 18 players, first 45 at-bats, and the rest of the season as the truth.


def batting():
    rows = read("batting_averages.csv")
    first = np.array([int(row["hits_in_45"]) / 45 for row in rows])
    rest = np.array([float(row["average_rest"]) for row in rows])
    shrunk = np.array([float(row["shrunk"]) for row in rows])
    return first, rest, shrunk


def batting_absorbed(first):
    columns = Columns(np.array([LEVEL] + [OPERATION] * 18), np.ones(19), np.arange(19) == 0)
    x = np.column_stack((np.ones(18), np.eye(18)))
    return algebra.absorb(x, first, np.ones(18), np.full(18, -1), columns)


READ_PLAYERS = np.column_stack((np.ones(18), np.eye(18)))


def test_batting_averages_shrink_as_printed_when_the_spread_is_theirs():
    """Printed factor 0.212 (recomputed 0.211653), first player .400 → .294, last .156 → .242."""
    first, _, shrunk = batting()
    mean = first.mean()
    noise = mean * (1 - mean) / 45
    factor = 1 - 15 * noise / np.sum((first - mean) ** 2)
    assert factor == pytest.approx(0.211653, abs=5e-7)
    sd = math.sqrt(noise * factor / (1 - factor))  # the spread at which the factor is the posterior weight
    sds = np.array([[0, 0, sd, 0, math.sqrt(noise)]])
    means, _ = algebra.solve(batting_absorbed(first), sds).combinations(READ_PLAYERS)
    assert means[0] == pytest.approx(shrunk, abs=5.1e-5)
    assert [round(means[0, 0], 3), round(means[0, -1], 3)] == [0.294, 0.242]


def test_shrunk_batting_averages_are_nearer_to_the_rest_of_the_season():
    """Squared error 0.0753 raw, 0.0213 shrunk (the 1977 article: .077, .022, ratio 3.5); integrated does as well."""
    first, rest, shrunk = batting()
    raw_error, shrunk_error = np.sum((first - rest) ** 2), np.sum((shrunk - rest) ** 2)
    assert [raw_error, shrunk_error] == pytest.approx([0.0753, 0.0213], abs=6e-5)
    mean = first.mean()
    noise = math.sqrt(mean * (1 - mean) / 45)
    priors = Priors(Level(0, math.inf), NOTHING, NOTHING, Flat(1.0), NOTHING, Fixed(noise))
    absorbed = batting_absorbed(first)
    settings = Grid(points=401)(absorbed, priors).settings
    means = settings.weights @ algebra.solve(absorbed, settings.sds).combinations(READ_PLAYERS)[0]
    assert np.sum((means - rest) ** 2) < raw_error / 3


# Investment of 11 firms over 20 years, a public panel shipped with statsmodels: firms and years cross.


def panel():
    frame = grunfeld.load_pandas().data
    frame["y"] = np.log(frame["invest"])
    frame["all"] = 1
    firms, years = (np.unique(frame[name], return_inverse=True)[1] for name in ("firm", "year"))
    return frame, firms, years


@pytest.fixture(scope="module")
def crossed():
    """statsmodels MixedLM with firms and years as crossed variance components, by maximum likelihood."""
    frame, _, _ = panel()
    parts = {"firm": "0 + C(firm)", "year": "0 + C(year)"}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # its optimiser warns when the Hessian cannot be inverted
        return MixedLM.from_formula("y ~ 1", frame, groups="all", re_formula="0", vc_formula=parts).fit(reml=False)


def absorb_panel(crossed):
    """Firms absorbed as projects, years as operations, the level held at the library's."""
    frame, firms, years = panel()
    width = years.max() + 1
    columns = Columns(np.full(width, OPERATION), np.ones(width), np.zeros(width, dtype=bool))
    y = frame["y"].to_numpy() - crossed.fe_params.iloc[0]
    return algebra.absorb(np.eye(width)[years], y, np.ones(len(y)), firms, columns)


def sds_of(crossed):
    firm, year = (math.sqrt(crossed.vcomp[crossed.model.exog_vc.names.index(name)]) for name in ("firm", "year"))
    sds = np.zeros((1, 5))
    sds[0, [OPERATION, PROJECT, ENTRY]] = year, firm, math.sqrt(crossed.scale)
    return sds


def test_crossed_firms_and_years_have_the_likelihood_of_statsmodels(crossed):
    ours = algebra.log_likelihood(absorb_panel(crossed), sds_of(crossed))[0]
    assert ours == pytest.approx(crossed.llf, abs=1e-5)


def test_crossed_firms_and_years_are_likeliest_where_statsmodels_says(crossed):
    absorbed, sds = absorb_panel(crossed), sds_of(crossed)
    best = algebra.log_likelihood(absorbed, sds)[0]
    for column in (OPERATION, PROJECT, ENTRY):
        for times in (0.9, 1.1):
            moved = sds.copy()
            moved[0, column] *= times
            assert algebra.log_likelihood(absorbed, moved)[0] < best + 1e-6


def test_the_years_shrink_as_statsmodels_shrinks_them(crossed):
    absorbed = absorb_panel(crossed)
    width = absorbed.columns.block.size
    means, _ = algebra.solve(absorbed, sds_of(crossed)).combinations(np.eye(width))
    theirs = crossed.random_effects[1]
    years = np.array([value for name, value in theirs.items() if str(name).startswith("year")])
    assert len(years) == width
    assert means[0] == pytest.approx(years, abs=2e-4)


# "Strictly proper scoring rules, prediction, and estimation", J. Am. Stat. Assoc. 102 (2007), sec. 4.2:
# CRPS(N(μ, σ²), y) = σ [z (2 Φ(z) − 1) + 2 φ(z) − 1/√π], z = (y − μ)/σ.


def crps_of_normal(mean, sd, y):
    z = (y - mean) / sd
    below = 0.5 * math.erfc(-z / math.sqrt(2))
    density = math.exp(-z * z / 2) / math.sqrt(2 * math.pi)
    return sd * (z * (2 * below - 1) + 2 * density - 1 / math.sqrt(math.pi))


@pytest.mark.parametrize(("mean", "sd", "y"), [(0, 1, 0), (0, 1, 1.5), (50, 8, 41), (50, 8, 90), (-3, 0.2, -3.1)])
def test_the_score_of_draws_is_that_of_the_normal_they_are_drawn_from(mean, sd, y):
    from statistics import NormalDist  # noqa: PLC0415

    even = (np.arange(20_000) + 0.5) / 20_000
    draws = np.array([NormalDist(mean, sd).inv_cdf(share) for share in even])
    assert crps(draws, y) == pytest.approx(crps_of_normal(mean, sd, y), rel=2e-3, abs=1e-4 * sd)


def test_the_score_at_the_middle_of_a_standard_normal_is_the_printed_figure():
    """(√2 − 1)/√π = 0.2337, the closed form at z = 0."""
    assert crps_of_normal(0, 1, 0) == pytest.approx((math.sqrt(2) - 1) / math.sqrt(math.pi), abs=1e-12)
