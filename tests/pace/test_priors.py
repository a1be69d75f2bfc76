from __future__ import annotations

import math
from statistics import NormalDist

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.errors import BadInput
from journal.pace.priors import Fixed, Flat, HalfCauchy, HalfNormal, Level, Priors

FREE = (HalfNormal(0.3), HalfNormal(0.35, least=0.02), HalfCauchy(5.0), Flat(200.0))


def share_below(prior, sd):
    """Each prior's distribution, straight from its definition."""
    match prior:
        case HalfNormal(scale, least):
            return math.erf((sd - least) / scale / math.sqrt(2))
        case HalfCauchy(scale):
            return 2 / math.pi * math.atan(sd / scale)
        case Flat(upper):
            return sd / upper


@pytest.mark.parametrize("prior", FREE)
@given(z=st.floats(-6, 6))
def test_as_much_of_the_prior_lies_below_the_sd_as_of_the_normal_below_z(prior, z):
    assert share_below(prior, prior.sd_at(z)) == pytest.approx(NormalDist().cdf(z), rel=1e-6, abs=1e-12)


@pytest.mark.parametrize("prior", FREE)
@given(z=st.floats(-5.9, 6))
def test_the_slope_is_that_of_the_log_of_the_sd(prior, z):
    step = 1e-4
    rise = (math.log(prior.sd_at(z + step)) - math.log(prior.sd_at(z - step))) / (2 * step)
    assert prior.log_slope(z) == pytest.approx(rise, rel=1e-3, abs=1e-7)


@pytest.mark.parametrize("prior", FREE)
def test_the_sd_keeps_growing_with_z_far_into_both_tails(prior):
    sds = [prior.sd_at(z) for z in (-8, -7, -5.001, -4.999, 0, 6, 7, 9, 20, 36)]
    assert sds == sorted(sds)
    assert math.isfinite(sds[-1])
    assert sds[0] >= 0


def test_a_fixed_sd_is_the_same_everywhere():
    assert Fixed(0.4).sd_at(-3) == Fixed(0.4).sd_at(3) == 0.4
    assert not Fixed(0.4).free


@pytest.mark.parametrize(
    "make",
    [
        lambda: HalfNormal(0),
        lambda: HalfNormal(0.1, least=-1),
        lambda: HalfCauchy(math.inf),
        lambda: Flat(-1),
        lambda: Fixed(math.nan),
        lambda: Level(math.inf),
        lambda: Level(0, -1),
        lambda: Priors(entry=Fixed(0)),
        lambda: Priors(small_task_minutes=-1),
    ],
)
def test_senseless_priors_are_refused(make):
    with pytest.raises(BadInput):
        make()
