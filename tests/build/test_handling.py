"""Ways to move something, what fits through a door, and lifts the equation does not know."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal import units
from journal.build.handling import (
    Box,
    Coupling,
    Lift,
    Stairs,
    Way,
    frequency_multiplier,
    goes_through,
    goes_up,
    lifting_index,
    longest_round_corner_nm,
    move,
    recommended_kg,
    tips_over,
    twist_multiplier,
)
from journal.errors import BadInput
from tests.build.benches import IN

LB = units.KG_PER_POUND


@pytest.mark.parametrize(
    ("pounds", "way"), [(15, Way.ALONE), (40, Way.PIVOT), (90, Way.TWO), (180, Way.CART), (400, Way.HOIST)]
)
def test_the_way_grows_with_the_weight(pounds, way):
    found = move("slab", pounds * LB, 23)
    assert found.way is way
    assert found.end_kg == pytest.approx(found.weight_kg / 2)
    assert f"{pounds} lb" in found.why
    assert "no handles" in found.why


@given(st.floats(0.5, 500), st.floats(0.1, 200), st.floats(5, 40))
def test_heavier_is_never_an_easier_way(weight, more, alone):
    order = list(Way)
    assert order.index(move("x", weight, alone).way) <= order.index(move("x", weight + more, alone).way)


def test_metric_shops_read_kilograms():
    assert "41 kg" in move("slab", 41, 23, system=units.System.METRIC).why


def test_nothing_weighs_nothing():
    with pytest.raises(BadInput):
        move("slab", 0, 23)


@pytest.mark.parametrize("lift", [Lift(70, 75, 100), Lift(25, 180, 180), Lift(25, 0, 176), Lift(25, 75, 100, 140)])
def test_beyond_a_limit_nothing_is_recommended(lift):
    assert recommended_kg(lift) == 0
    assert lifting_index(1, lift) == math.inf


@given(st.floats(0, 63), st.floats(0, 175), st.floats(0, 135), st.floats(0, 15), st.floats(0.1, 8))
def test_no_lift_is_recommended_above_the_load_constant(reach, height, twist, rate, hours):
    lift = Lift(reach, height, 100, twist, rate, hours, Coupling.GOOD)
    assert 0 <= recommended_kg(lift, controlled=True) <= recommended_kg(lift) <= 23 + 1e-9


def test_rare_and_endless_lifting():
    assert frequency_multiplier(0, 1, 80) == 1
    assert frequency_multiplier(20, 1, 80) == 0
    assert twist_multiplier(90) == pytest.approx(0.712)


@pytest.mark.parametrize(
    "changes",
    [
        {"reach_cm": -1},
        {"start_cm": -1},
        {"end_cm": -1},
        {"twist_deg": 200},
        {"per_minute": -1},
        {"hours": 0},
        {"hours": 9},
    ],
)
def test_lifts_out_of_range_are_refused(changes):
    with pytest.raises(BadInput):
        Lift(**{"reach_cm": 30, "start_cm": 50, "end_cm": 90, **changes})


def test_a_negative_load_is_refused():
    with pytest.raises(BadInput):
        lifting_index(-1, Lift(30, 50, 90))


BENCH = Box(84 * IN, 26 * IN, 34 * IN)


@pytest.mark.parametrize(
    ("width", "height", "goes"), [(30, 80, True), (25, 80, False), (33, 33, False), (36, 27, True)]
)
def test_a_bench_goes_through_on_its_two_smaller_sides(width, height, goes):
    assert goes_through(BENCH, width * IN, height * IN) is goes


@given(st.integers(1, 120), st.integers(1, 60), st.integers(1, 60), st.integers(1, 60), st.integers(1, 100))
def test_a_wider_door_never_stops_what_went_through(length, width, height, door, high):
    box = Box(length * IN, width * IN, height * IN)
    if goes_through(box, door * IN, high * IN):
        assert goes_through(box, (door + 1) * IN, high * IN)
        assert goes_through(box, high * IN, door * IN)


def test_a_straight_flight_takes_what_a_landing_does_not():
    assert goes_up(BENCH, Stairs(36 * IN, 78 * IN))
    assert not goes_up(BENCH, Stairs(36 * IN, 78 * IN, 36 * IN))
    assert not goes_up(BENCH, Stairs(24 * IN, 78 * IN))
    assert goes_up(Box(60 * IN, 3 * IN, 24 * IN), Stairs(36 * IN, 78 * IN, 36 * IN))


def test_what_stands_on_end_under_the_ceiling_turns_on_the_landing():
    assert goes_up(Box(76 * IN, 20 * IN, 20 * IN), Stairs(30 * IN, 78 * IN, 30 * IN))


def test_wider_than_the_passage_does_not_turn():
    assert longest_round_corner_nm(36 * IN, 30 * IN, 30 * IN) == 0


@given(st.integers(10, 60), st.integers(10, 60), st.integers(0, 9))
def test_a_corner_is_the_same_from_both_sides_and_tighter_for_wide_things(first, second, width):
    there = longest_round_corner_nm(first * IN, second * IN, width * IN)
    back = longest_round_corner_nm(second * IN, first * IN, width * IN)
    assert there == pytest.approx(back, rel=1e-9)
    assert longest_round_corner_nm(first * IN, second * IN, (width + 1) * IN if width < 9 else width * IN) <= there


@pytest.mark.parametrize(("depth", "height", "tips"), [(26, 34, False), (3, 24, True), (8, 24, False)])
def test_narrow_and_tall_tips(depth, height, tips):
    assert tips_over(depth * IN, height * IN) is tips


def test_sizes_of_nothing_are_refused():
    with pytest.raises(BadInput):
        Box(0, IN, IN)
    with pytest.raises(BadInput):
        Stairs(0, IN)
    with pytest.raises(BadInput):
        Stairs(IN, IN, -1)
