import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from journal.errors import BadInput
from journal.quote.ballpark import DESIGN_COUNTS, Band, alike, blend, brought_to, growth

Z90 = 1.2815515655446004
amounts = st.floats(10, 1e6)


def lognormal(median, deviation):
    return Band(median * math.exp(-Z90 * deviation), median, median * math.exp(Z90 * deviation))


def test_without_own_benches_the_design_stands():
    band = Band(40, 50, 70)
    assert blend(band, []) is band


def test_one_bench_by_hand():
    """The design says 50 h with a scatter of 0.2; one bench took 100 h; the design counts as three."""
    found = blend(lognormal(50, 0.2), [100])
    mean = (3 * math.log(50) + math.log(100)) / 4
    variance = (3 * 0.04 + 3 / 4 * math.log(2) ** 2) / 4
    assert found.likely == pytest.approx(math.exp(mean))
    assert math.log(found.high / found.likely) == pytest.approx(Z90 * math.sqrt(variance))
    assert math.log(found.likely / found.low) == pytest.approx(Z90 * math.sqrt(variance))


def test_many_benches_that_agree_make_it_narrow_and_theirs():
    found = blend(lognormal(50, 0.4), [80.0] * 60)
    assert found.likely == pytest.approx(80, rel=0.03)
    assert found.high / found.low < 1.45


@given(amounts, st.floats(0.02, 0.8), st.lists(amounts, min_size=1, max_size=8))
def test_the_middle_lies_between_the_design_and_the_shops_own(median, deviation, own):
    found = blend(lognormal(median, deviation), own)
    assert min(median, *own) * (1 - 1e-9) <= found.likely <= max(median, *own) * (1 + 1e-9)
    assert found.low <= found.likely <= found.high


@given(st.floats(0.02, 0.8), st.lists(st.floats(20, 200), min_size=1, max_size=6), st.floats(0.1, 50))
def test_in_another_unit_it_is_the_same_band(deviation, own, factor):
    one = blend(lognormal(50, deviation), own)
    other = blend(lognormal(50 * factor, deviation), [value * factor for value in own])
    for name in ("low", "likely", "high"):
        assert getattr(other, name) == pytest.approx(getattr(one, name) * factor, rel=1e-9)


def test_the_design_counts_as_many_benches_as_it_says():
    found = blend(lognormal(50, 0.2), [200.0] * DESIGN_COUNTS)
    assert found.likely == pytest.approx(100)


@given(st.floats(1, 100), st.floats(1.1, 5), st.floats(1, 1000), st.floats(0, 1))
def test_growth_undoes_bringing_to_a_size(area, ratio, value, exponent):
    larger = brought_to(value, area, area * ratio, exponent)
    assert growth(area, value, area * ratio, larger) == pytest.approx(exponent, abs=1e-6)


def test_growth_stays_between_none_and_the_area():
    assert growth(1, 100, 2, 90) == 0
    assert growth(1, 100, 2, 400) == 1
    for areas in ((2, 1), (1, 1), (0, 1)):
        with pytest.raises(BadInput):
            growth(areas[0], 1, areas[1], 1)
    with pytest.raises(BadInput):
        growth(1, 0, 2, 1)


@given(st.floats(0.1, 100), st.floats(0.1, 100))
def test_alike_is_mutual(one, other):
    assume(abs(one / other - 1.75) > 1e-9)
    assume(abs(other / one - 1.75) > 1e-9)
    assert alike(one, other) == alike(other, one)
    assert alike(one, one)


@pytest.mark.parametrize("ends", [(0, 1, 2), (2, 1, 3), (1, 3, 2), (1, 2, math.inf), (math.nan, 1, 2)])
def test_a_band_that_is_none_is_refused(ends):
    with pytest.raises(BadInput):
        Band(*ends)


@pytest.mark.parametrize("own", [[0.0], [-1.0], [10.0, math.inf]])
def test_own_benches_that_took_nothing_are_refused(own):
    with pytest.raises(BadInput):
        blend(lognormal(50, 0.2), own)
