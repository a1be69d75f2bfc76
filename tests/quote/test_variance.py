"""A difference divided into price and quantity."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.errors import BadInput
from journal.quote.variance import price_variance, quantity_variance, whole_cents

AMOUNTS = st.fractions(min_value=0, max_value=10**6, max_denominator=10**4)


@given(AMOUNTS, AMOUNTS, AMOUNTS, AMOUNTS)
def test_price_and_quantity_are_the_whole_difference(allowed, standard, used, price):
    both = price_variance(standard, price, used) + quantity_variance(allowed, used, standard)
    assert both == used * price - allowed * standard


def test_by_hand():
    """Ten boards allowed at 7.00, twelve used at 6.50: 2 × 7 = 14 dearer for quantity, 12 × 0.50 = 6 cheaper for price."""
    assert quantity_variance(10, 12, 700) == 1400
    assert price_variance(700, 650, 12) == -600


@given(st.lists(st.fractions(min_value=-(10**6), max_value=10**6, max_denominator=97), min_size=1, max_size=12))
def test_whole_cents_add_up_and_stay_within_a_cent(amounts):
    amounts.append(-sum(amounts) % 1)  # what makes the sum whole
    whole = whole_cents(amounts)
    assert sum(whole) == sum(amounts)
    assert all(abs(cents - exact) < 1 for cents, exact in zip(whole, amounts, strict=True))


def test_the_largest_remainder_goes_up_first():
    third = Fraction(1, 3)
    assert whole_cents([third, third, third]) == [1, 0, 0]
    assert whole_cents([Fraction(-1, 4), Fraction(1, 4)]) == [0, 0]
    assert whole_cents([Fraction(7, 10), Fraction(13, 10)]) == [1, 1]


def test_whole_amounts_stay_as_they_are():
    assert whole_cents([5, -3, 0]) == [5, -3, 0]
    assert whole_cents([]) == []


def test_a_sum_in_broken_cents_is_refused():
    with pytest.raises(BadInput, match="whole cents"):
        whole_cents([Fraction(1, 2)])
