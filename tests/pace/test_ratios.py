"""Ratios learned by the pace engine: pulled by what was seen, held by what is set, sure only as far as seen."""

import math
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from journal.pace.ratios import Kind, Seen, learn

TODAY = date(2026, 6, 30)


def seen(place, ratio, *, group="hard_oil", item="first coat", expected=500.0):
    on = TODAY - timedelta(days=30 * (place + 1))
    return Seen(f"P{place}", on, group, item, expected, expected * ratio)


def test_nothing_seen_leaves_the_setting_alone():
    assert learn(Kind.GLUE, (), today=TODAY).factor() is None


@pytest.mark.parametrize("kind", list(Kind))
def test_every_kind_goes_towards_what_it_sees(kind):
    ratio = 1.08 if kind in (Kind.REJECTS, Kind.PRICE, Kind.REWORK, Kind.UNPLANNED) else 1.4
    found = learn(kind, [seen(place, ratio) for place in range(12)], today=TODAY).factor()
    assert found.range.p10 < ratio < found.range.p90
    assert found.mean == pytest.approx(ratio, rel=0.05)
    assert (found.seen, found.projects, found.newest) == (12, 12, TODAY - timedelta(days=30))


def test_one_receipt_moves_less_than_twelve():
    one, many = (learn(Kind.GLUE, [seen(p, 1.4) for p in range(n)], today=TODAY).factor() for n in (1, 12))
    assert 1.05 < one.range.p50 < many.range.p50 < 1.45
    assert one.sd > 2 * many.sd


def test_the_spread_is_that_between_projects():
    rng = np.random.default_rng(5)
    ratios = np.exp(rng.normal(0.1, 0.2, 60))
    found = learn(Kind.GLUE, [seen(p, r) for p, r in enumerate(ratios)], today=TODAY).factor()
    assert found.sd == pytest.approx(0.2, abs=0.05)
    assert math.log(found.range.p50) == pytest.approx(0.1, abs=0.06)


def test_glue_ups_of_one_project_add_up_before_they_are_compared():
    together = [Seen("A", TODAY, "pva", "pva", 100.0, 90.0), Seen("A", TODAY, "pva", "pva", 300.0, 390.0)]
    whole = learn(Kind.GLUE, together, today=TODAY)
    assert [(row.baseline_minutes, row.minutes, row.logs) for row in whole.rows] == [(400.0, 480.0, 2)]


def test_two_finishes_are_told_apart_and_one_never_used_is_answered_from_both():
    logs = [seen(p, 1.5) for p in range(10)] + [seen(p, 0.8, group="shellac") for p in range(10)]
    found = learn(Kind.FINISH, logs, today=TODAY)
    of = {group: found.factor({(group, "first coat"): 500.0}).range for group in ("hard_oil", "shellac", "wax")}
    assert of["shellac"].p90 < of["wax"].p50 < of["hard_oil"].p10
    assert of["wax"].p90 - of["wax"].p10 > of["shellac"].p90 - of["shellac"].p10
    assert [(one.group, one.item, one.seen) for one in found.items] == [
        ("hard_oil", "first coat", 10),
        ("shellac", "first coat", 10),
    ]


def test_an_item_of_one_name_in_two_groups_is_two_items():
    logs = [seen(0, 1.5, item="a"), seen(1, 0.8, group="shellac", item="a")]
    assert len(learn(Kind.FINISH, logs, today=TODAY).items) == 2


@pytest.mark.parametrize(
    ("expected", "actual", "day", "says"),
    [
        (0.0, 5.0, TODAY, "expected"),
        (5.0, 0.0, TODAY, "actual"),
        (5.0, float("nan"), TODAY, "actual"),
        (5.0, 5.0, TODAY + timedelta(days=1), "up to today"),
        (5.0, 5000.0, TODAY, "nearer"),
    ],
)
def test_what_cannot_be_used_is_named_and_the_rest_is_learned(expected, actual, day, says):
    bad = Seen("A", day, "pva", "pva", expected, actual)
    found = learn(Kind.GLUE, [seen(0, 1.1), bad], today=TODAY)
    assert len(found.rows) == 1
    assert [problem.line for problem in found.problems] == [2]
    assert says in found.problems[0].message


@settings(max_examples=15)
@given(st.lists(st.floats(0.7, 1.4), min_size=1, max_size=6), st.floats(0.1, 10.0))
def test_the_unit_does_not_matter_where_no_amount_is_small(ratios, times):
    """Prices have no small amounts: cents or dollars, the ratio is the same."""
    cents = learn(Kind.PRICE, [seen(p, r) for p, r in enumerate(ratios)], today=TODAY).factor()
    other = learn(Kind.PRICE, [seen(p, r, expected=500 * times) for p, r in enumerate(ratios)], today=TODAY).factor()
    # A last digit decides now and then which draw goes to which setting.
    assert other.mean == pytest.approx(cents.mean, rel=0.01)
