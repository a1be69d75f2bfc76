"""An hour of whoever stands there: the mean by hours, and what of it is paid out."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal import units
from journal.errors import BadInput
from journal.quote.wages import FROM_SETTING, Hand, Wage, mean_wage

USD = units.currency("USD")
OWN = Hand("", None, 600 * 60)
HIRED = Hand("bench two", 3_100, 400 * 60)
hands = st.lists(st.builds(Hand, st.just("x"), st.none() | st.integers(0, 10_000), st.floats(0, 1e6)), max_size=6)


def test_the_example_worked_by_hand():
    found = mean_wage([OWN, HIRED], 3_600, USD)
    # (600 × 36 + 400 × 31) ÷ 1,000 = 34.00, of which 400 × 31 ÷ 1,000 = 12.40 is paid out
    assert (found.cents_per_hour, found.hired_cents_per_hour) == (3_400, 1_240)
    assert "bench two 400 h × $31.00" in found.source
    assert "the shop’s wage 600 h × $36.00" in found.source


@pytest.mark.parametrize(
    "nobody_hired",
    [
        (),
        (OWN,),
        (Hand("bench one", None, 100.0), OWN),
        (Hand("new hand", 2_000, 0.0),),
        (OWN, Hand("new", 2_000, 0.0)),
    ],
)
def test_the_shops_wage_holds_where_nobody_hired_has_worked(nobody_hired):
    assert mean_wage(nobody_hired, 3_600, USD) == Wage(3_600, 0, FROM_SETTING)


@given(hands, st.integers(0, 10_000))
def test_the_mean_lies_between_the_wages_and_pays_out_no_more_than_itself(some, wage):
    found = mean_wage(some, wage, USD)
    wages = [hand.wage_cents_per_hour for hand in some if hand.wage_cents_per_hour is not None]
    assert min([wage, *wages]) <= found.cents_per_hour <= max([wage, *wages])
    assert 0 <= found.hired_cents_per_hour <= found.cents_per_hour


@pytest.mark.parametrize(
    "wrong", [{"wage_cents_per_hour": -1, "minutes": 1.0}, {"wage_cents_per_hour": 1, "minutes": -1}]
)
def test_a_hand_that_makes_no_sense_is_refused(wrong):
    with pytest.raises(BadInput):
        Hand("x", **wrong)
