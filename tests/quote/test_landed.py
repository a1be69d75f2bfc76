"""Freight and tax shared out by value, to the cent."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.errors import BadInput
from journal.quote.landed import landed

cents = st.integers(0, 10**9)


@given(st.lists(cents, min_size=1, max_size=12), cents, cents)
def test_the_shares_add_up_to_the_cent_and_follow_the_value(prices, freight, tax):
    lines = landed(prices, freight_cents=freight, tax_cents=tax)
    assert sum(line.cents for line in lines) == sum(prices) + freight + tax
    assert sum(line.freight_cents for line in lines) == freight
    assert [line.price_cents for line in lines] == prices
    total = sum(prices)
    for line in lines if total else ():
        assert abs(line.tax_cents - tax * line.price_cents / total) < 1


def test_a_line_that_cost_nothing_bears_nothing():
    free, paid = landed([0, 10_000], freight_cents=1_500, tax_cents=700)
    assert (free.cents, paid.cents) == (0, 12_200)


def test_where_nothing_cost_anything_all_bear_alike():
    assert [line.freight_cents for line in landed([0, 0, 0], freight_cents=100, tax_cents=0)] == [34, 33, 33]


@pytest.mark.parametrize(("prices", "freight", "tax"), [([], 0, 0), ([-1], 0, 0), ([1], -1, 0), ([1], 0, -1)])
def test_what_makes_no_sense_is_refused(prices, freight, tax):
    with pytest.raises(BadInput):
        landed(prices, freight_cents=freight, tax_cents=tax)
