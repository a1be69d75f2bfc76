"""Earned value."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.errors import BadInput
from journal.quote.earned import Earned

MONEY = st.floats(1, 1e7)


@given(MONEY, MONEY, st.floats(0.01, 1))
def test_the_forecast_is_budget_over_index(whole, spent, share):
    found = Earned(whole, whole * share, spent)
    assert found.at_this_rate == pytest.approx(whole / found.cost_index)
    assert found.to_come + spent == pytest.approx(found.at_this_rate)


@given(MONEY, MONEY)
def test_a_finished_job_came_to_what_was_spent(whole, spent):
    found = Earned(whole, whole, spent)
    assert found.at_this_rate == pytest.approx(spent)
    assert found.as_planned_from_here == pytest.approx(spent)
    assert found.to_come == pytest.approx(0, abs=1e-6)


def test_nothing_done_or_spent_is_not_known_yet():
    for found in (Earned(100, 0, 0), Earned(100, 0, 10), Earned(100, 10, 0), Earned(0, 0, 0)):
        assert found.cost_index is None
        assert found.at_this_rate is None
        assert found.left_over is None
        assert found.late_and_dear is None


def test_no_budget_left_needs_no_index():
    assert Earned(100, 50, 100).needed_index is None


def test_more_done_than_there_is_is_refused():
    with pytest.raises(BadInput, match="at most the whole"):
        Earned(100, 101, 5)
