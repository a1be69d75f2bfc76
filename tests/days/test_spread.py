"""How the finish falls, and how bench time becomes open time."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.days.bench import open_minutes, share_draws
from journal.days.critical import critical_times, tails
from journal.days.search import schedule
from journal.days.spread import Finishes, finishes, half_weeks
from journal.days.workload import Activity, After, Workload
from journal.errors import BadInput
from tests.days.small import BEGIN, always, evenings

CHAIN = Workload((Activity("a", "A", 60), Activity("b", "B", 30, after=(After("a", 100),))), 1)
WEEK = 7 * 1440


def test_a_chain_ends_when_its_draws_add_up():
    found = schedule(CHAIN, always(), BEGIN)
    drawn = finishes(found, always(), np.array([[60, 30], [10, 10], [100, 50]]))
    assert drawn.walls == (BEGIN + 120, BEGIN + 190, BEGIN + 250)
    assert [drawn.at(chance) for chance in (0, 1 / 3, 0.34, 2 / 3, 1)] == [
        BEGIN + wall for wall in (120, 120, 190, 190, 250)
    ]
    assert drawn.chance_by(BEGIN + 190) == 2 / 3
    assert drawn.chance_by(BEGIN + 119) == 0


@given(st.lists(st.integers(0, 5000), min_size=1, max_size=40), st.floats(0, 1))
def test_a_finish_not_passed_with_a_chance_is_kept_so_often(walls, chance):
    drawn = Finishes(tuple(sorted(walls)))
    assert drawn.chance_by(drawn.at(chance)) >= chance - 1e-9


def test_a_glue_up_that_outlasts_the_hours_is_stayed_for():
    load = Workload((Activity("glue", "Glue", 30, pauses=False),), 1)
    found = schedule(load, evenings(), BEGIN)
    saturday = BEGIN + 5 * 1440 + 17 * 60
    assert finishes(found, evenings(), np.array([[9000.0]])).walls == (saturday,)


@pytest.mark.parametrize("minutes", [np.zeros(2), np.zeros((3, 1))])
def test_draws_of_another_shape_are_refused(minutes):
    with pytest.raises(BadInput, match="2 activities"):
        finishes(schedule(CHAIN, always(), BEGIN), always(), minutes)


@pytest.mark.parametrize("chance", [-0.1, 1.1])
def test_a_chance_outside_nought_to_one_is_refused(chance):
    with pytest.raises(BadInput, match="0 to 1"):
        Finishes((1,)).at(chance)


def test_no_draws_are_refused():
    with pytest.raises(BadInput, match="one draw"):
        Finishes(())


@pytest.mark.parametrize(
    ("minutes", "weeks"),
    [(0, 0.5), (1, 0.5), (WEEK // 2, 0.5), (WEEK // 2 + 1, 1.0), (9 * WEEK, 9.0), (9 * WEEK + 1, 9.5)],
)
def test_weeks_are_rounded_up_to_half_weeks(minutes, weeks):
    assert half_weeks(BEGIN, BEGIN + minutes) == weeks


@given(
    st.lists(st.tuples(st.floats(0, 500), st.booleans()), min_size=1, max_size=6),
    st.floats(0, 200),
    st.floats(0.1, 1),
)
def test_all_open_time_together_comes_out_at_the_share(steps, beside, share):
    bench = np.array([[minutes for minutes, _ in steps]])
    pauses = np.array([float(pausing) for _, pausing in steps])
    found = open_minutes(bench, pauses=pauses, beside=np.array([beside]), share=np.array([share]))
    assert np.all(found >= bench - 1e-9)
    np.testing.assert_array_equal(found[0][pauses == 0], bench[0][pauses == 0])
    if bench[0] @ pauses > 1e-6:
        assert found.sum() == pytest.approx((bench.sum() + beside) / share)


@pytest.mark.parametrize("share", [0.0, -0.1, 1.3])
def test_a_share_of_nothing_or_more_than_all_is_refused(share):
    with pytest.raises(BadInput, match="share of open hours"):
        open_minutes(np.ones((1, 1)), pauses=np.ones(1), beside=np.zeros(1), share=np.array([share]))


def test_a_share_evens_out_over_weeks_and_never_passes_all():
    week, quarter = (share_draws(0.4, 0.5, weeks, 20_000, seed=1) for weeks in (1, 13))
    assert week.mean() == pytest.approx(0.4, rel=0.03)
    assert quarter.mean() == pytest.approx(0.4, rel=0.01)
    assert week.std() / quarter.std() == pytest.approx(np.sqrt(13), rel=0.1)
    assert max(week) <= 1


@given(
    st.lists(
        st.tuples(st.integers(0, 9), st.sets(st.integers(0, 5), max_size=3), st.integers(0, 4)), min_size=1, max_size=8
    )
)
def test_slack_is_never_negative_and_nought_along_some_way(rows):
    activities = tuple(
        Activity(str(at), str(at), minutes, after=tuple(After(str(one), wait) for one in sorted(before) if one < at))
        for at, (minutes, before, wait) in enumerate(rows)
    )
    times = critical_times(activities)
    whole = max(one.early_end for one in times.values())
    assert all(one.slack >= 0 and one.late_end <= whole for one in times.values())
    assert any(one.slack == 0 and one.late_end == whole for one in times.values())
    longest = tails(activities, 1.0)
    assert max(longest) == whole
    assert all(one.early_start + tail <= whole for one, tail in zip(times.values(), longest, strict=True))


def test_time_on_the_clock_is_never_shorter_than_open_hours():
    with pytest.raises(BadInput, match="1 or more"):
        tails((), 0.9)
