"""Waste as planned and as it went."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.errors import BadInput
from journal.quote.wood_used import Against, WoodUsed, together

FEET = st.floats(0, 1e6)
MAYBE = st.one_of(st.none(), FEET)
WOODS = st.builds(WoodUsed, st.just("fir"), MAYBE, MAYBE, FEET, FEET, st.booleans())


def test_by_hand():
    """Sixty in the blanks, eighty to be bought; ninety bought, ten back on the rack: 1 − 60/80 = 25 %, 1 − 60/80 = 25 %.

    With nothing back ninety are gone: 1 − 60/90 = a third.
    """
    assert WoodUsed("fir", 60, 80, 90, 10).planned_waste == pytest.approx(0.25)
    assert WoodUsed("fir", 60, 80, 90, 10).waste == pytest.approx(0.25)
    assert WoodUsed("fir", 60, 80, 90, 0).waste == pytest.approx(1 / 3)


@given(WOODS)
def test_waste_is_a_share_or_unknown_and_never_more_than_all(wood):
    for share in (wood.planned_waste, wood.waste):
        assert share is None or (math.isfinite(share) and share <= 1)
    assert (wood.waste is None) == (not wood.said or wood.blanks_feet is None or wood.used_feet <= 1e-6)


@given(st.lists(WOODS, min_size=1, max_size=6))
def test_all_of_it_is_the_sum_and_unknown_where_one_is(woods):
    whole = together(woods, "all")
    assert whole.bought_feet == pytest.approx(math.fsum(wood.bought_feet for wood in woods))
    assert (whole.blanks_feet is None) == any(wood.blanks_feet is None for wood in woods)
    assert whole.said == all(wood.said for wood in woods)


def test_less_gone_than_the_blanks_hold_is_below_zero():
    assert WoodUsed("fir", 60, 80, 50, 0).waste == pytest.approx(-0.2)


@pytest.mark.parametrize("feet", [-1.0, math.nan, math.inf])
@pytest.mark.parametrize("field", ["blanks_feet", "planned_feet", "bought_feet", "left_feet"])
def test_no_board_feet_are_refused(field, feet):
    told = {"blanks_feet": 1.0, "planned_feet": 1.0, "bought_feet": 1.0, "left_feet": 0.0} | {field: feet}
    with pytest.raises(BadInput, match=field.split("_")[0]):
        WoodUsed("fir", **told)


def test_nothing_expected_compares_with_nothing():
    assert Against(0, 5).more is None
    assert Against(4, 5).more == pytest.approx(0.25)
