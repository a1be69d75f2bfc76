"""Scores of guesses that were overtaken by what happened."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.errors import BadInput
from journal.pace.score import crps, score

minutes = st.floats(1, 1e5)


def test_a_single_draw_scores_its_distance():
    assert crps(np.array([50.0]), 62.0) == 12.0


def test_two_draws_by_hand():
    """E|X − 3| = (2 + 3)/2 for draws 1 and 6; E|X − X'|/2 = 5/4."""
    assert crps(np.array([6.0, 1.0]), 3.0) == pytest.approx(2.5 - 1.25)


@given(st.lists(minutes, min_size=1, max_size=40), minutes)
def test_the_score_is_the_double_sum_and_never_below_zero(values, actual):
    draws = np.array(values)
    by_hand = np.mean(np.abs(draws - actual)) - 0.5 * np.mean(np.abs(draws[:, None] - draws))
    assert crps(draws, actual) == pytest.approx(by_hand, abs=1e-6)
    assert crps(draws, actual) >= -1e-6


@given(st.lists(minutes, min_size=1, max_size=40), minutes, st.floats(0.1, 60))
def test_the_score_is_in_the_unit_of_the_draws(values, actual, times):
    draws = np.array(values)
    assert crps(draws * times, actual * times) == pytest.approx(times * crps(draws, actual), rel=1e-6, abs=1e-3)


def test_no_draws_are_refused():
    with pytest.raises(BadInput, match="draws"):
        crps(np.array([]), 1.0)


def test_bias_error_and_score_by_hand():
    found = score("a", [110.0, 90.0, 200.0], [100.0, 100.0, 100.0])
    assert found.bias == pytest.approx((1.1 * 0.9 * 2.0) ** (1 / 3) - 1)
    assert found.median_error == pytest.approx(0.1)
    assert found.crps_minutes == pytest.approx((10 + 10 + 100) / 3)
    assert found.crps_share == pytest.approx(0.4)
    assert found.held == ()


def test_a_range_holds_what_lies_within_its_tails():
    found = score("a", [1.0] * 4, [1.0] * 4, scores=[0.0] * 4, places=[0.5, 0.26, 0.11, 0.04])
    assert found.held == ((50, 0.5), (80, 0.75), (90, 0.75))


@pytest.mark.parametrize(("guesses", "actuals"), [([], []), ([1.0], [1.0, 2.0])])
def test_guesses_without_as_many_projects_are_refused(guesses, actuals):
    with pytest.raises(BadInput, match="guesses"):
        score("a", guesses, actuals)
