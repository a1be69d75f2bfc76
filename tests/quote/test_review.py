"""From agreed to actual."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.errors import BadInput
from journal.quote.review import Cause, Side, Used, bridge, earning

CENTS = st.integers(0, 10**8)
SIDES = st.builds(
    lambda minutes, wage, **rest: Side(minutes=minutes, wage_cents=wage if minutes else 0, **rest),
    st.one_of(st.just(0.0), st.floats(0, 1e5)),
    CENTS,
    price_cents=CENTS,
    overhead_cents=CENTS,
    machines_cents=CENTS,
    rework_minutes=st.floats(0, 1e4),
    rework_cents=CENTS,
)
MATERIALS = st.lists(st.builds(Used, st.sampled_from(["boards", "glue", "vise"]), CENTS, CENTS, CENTS), max_size=5)


@given(
    SIDES,
    SIDES,
    MATERIALS,
    st.integers(-(10**7), 10**7),
    st.integers(-(10**7), 10**7),
    st.floats(-(10**5), 10**5),
)
def test_the_steps_are_the_whole_difference(quoted, went, materials, extras, beside, beyond):
    found = bridge(quoted, went, materials, extras_cents=extras, beside_cents=beside, beyond_minutes=beyond)
    assert found.expected_cents + sum(step.cents for step in found.steps) == found.made_cents
    assert sum(step.cents for step in found.by_cause) == found.made_cents - found.expected_cents
    assert all(isinstance(step.cents, int) for step in found.steps)


@given(SIDES, MATERIALS)
def test_a_job_that_goes_as_quoted_moves_nothing(side, materials):
    as_quoted = [Used(one.name, one.quoted_cents, one.quoted_cents, one.quoted_cents) for one in materials]
    found = bridge(side, side, as_quoted)
    assert found.steps == ()
    assert found.made_cents == found.expected_cents


@given(SIDES, SIDES, MATERIALS)
def test_steps_come_in_the_stated_order(quoted, went, materials):
    order = list(Cause)
    places = [order.index(step.cause) for step in bridge(quoted, went, materials).steps]
    assert places == sorted(places)


def test_by_hand():
    """Agreed at 1,000.00; quoted 200.00 of boards, 600 minutes at 30.00 an hour (300.00), 100.00 overhead, 50.00 machines.

    It took 720 minutes, of which the wage came to 372.00 (31.00 an hour), overhead 120.00, machines 60.00; boards worth
    230.00 at the quoted prices, paid with 220.00; 45.00 of work done again; 80.00 of extras.
    Hours: 2 h × 30.00 = −60.00. Rate: 12 h × 1.00 = −12.00. Quantity −30.00, price +10.00, overhead −20.00, machines
    −10.00, rework −45.00, extras +80.00. Expected 1,000 − 650 = 350.00; made 1,080 − 817 = 263.00; together −87.00.
    """
    quoted = Side(100_000, 600.0, 30_000, 10_000, 5_000)
    went = Side(100_000, 720.0, 37_200, 12_000, 6_000, 90.0, 4_500)
    found = bridge(quoted, went, [Used("boards", 20_000, 23_000, 22_000)], extras_cents=8_000)
    assert {step.cause: step.cents for step in found.steps} == {
        Cause.EXTRAS: 8_000,
        Cause.QUANTITY: -3_000,
        Cause.PRICE: 1_000,
        Cause.HOURS: -6_000,
        Cause.RATE: -1_200,
        Cause.OVERHEAD: -2_000,
        Cause.MACHINES: -1_000,
        Cause.REWORK: -4_500,
    }
    assert (found.expected_cents, found.made_cents) == (35_000, 26_300)


@pytest.mark.parametrize(
    ("beyond", "agreed", "hours", "overhead"),
    [(-120.0, -8_000, 0, 0), (60.0, 4_000, -9_000, -3_000), (0.0, 0, -6_000, -2_000)],
)
def test_hours_agreed_beside_the_plan_are_a_step_of_their_own(beyond, agreed, hours, overhead):
    """Agreed 10 h at 30.00 wage and 10.00 overhead, took 12 h. Short of a plan of 12 h by two: 2 × 40.00, the work itself
    moved nothing. Beyond a plan of 9 h by one: +40.00, and the work took three hours more than planned.
    """
    quoted, went = Side(90_000, 600.0, 30_000, 10_000, 0), Side(90_000, 720.0, 36_000, 12_000, 0)
    found = bridge(quoted, went, (), beyond_minutes=beyond)
    assert (found.of(Cause.AGREED), found.of(Cause.HOURS), found.of(Cause.OVERHEAD)) == (agreed, hours, overhead)


def test_hours_nobody_quoted_count_at_what_they_were_paid():
    found = bridge(Side(0, 0.0, 0, 0, 0), Side(0, 60.0, 3_000, 0, 0), ())
    assert [(step.cause, step.cents) for step in found.steps] == [(Cause.HOURS, -3_000)]


def test_nothing_logged_leaves_all_that_was_quoted():
    found = bridge(Side(50_000, 600.0, 30_000, 5_000, 0), Side(50_000, 0.0, 0, 0, 0), ())
    assert (found.of(Cause.HOURS), found.of(Cause.RATE), found.of(Cause.OVERHEAD)) == (30_000, 0, 5_000)


def test_cost_quoted_beside_the_lines_is_taken_back_first():
    found = bridge(Side(10_000, 0.0, 0, 0, 0), Side(10_000, 0.0, 0, 0, 0), (), beside_cents=700)
    assert (found.expected_cents, found.steps[0].cause, found.steps[0].cents) == (9_300, Cause.BESIDE, 700)


def test_earned_an_hour_leaves_the_wage_in():
    """1,000.00 less 200.00 of boards, 100.00 overhead, 50.00 machines: 650.00 for 10 hours."""
    found = earning(100_000, 20_000, Side(100_000, 600.0, 30_000, 10_000, 5_000), 0)
    assert (found.profit_cents, found.cents_per_hour) == (35_000, 6_500)


def test_earned_an_hour_is_unknown_without_hours():
    assert earning(100_000, 0, Side(100_000, 0.0, 0, 0, 0), 0).cents_per_hour is None


@pytest.mark.parametrize("minutes", [-1.0, math.nan, math.inf])
def test_minutes_that_are_none_are_refused(minutes):
    with pytest.raises(BadInput, match="minutes"):
        Side(0, minutes, 0, 0, 0)


def test_material_below_nothing_is_refused():
    with pytest.raises(BadInput, match="glue"):
        Used("glue", 0, 0, -1)


def test_a_wage_for_no_time_is_refused():
    with pytest.raises(BadInput, match="wage"):
        Side(0, 0.0, 1, 0, 0)
