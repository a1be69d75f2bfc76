"""Tax on a quote against what is published about rounding it.

Streamlined Sales and Use Tax Agreement, sec. 324 (as enacted in Rhode Island 44-18.1-25, Kansas 79-3676 and others):
worked out to the third decimal, which is cut there; the cent goes up when that decimal is greater than four; by item or
by invoice as the seller chooses.
"""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.quote.terms import Item, TaxRounding, Terms, add_up

RATE = Fraction("0.0625")


def tax(prices, rounding, rate=RATE):
    items = tuple(Item(f"line {n}", price) for n, price in enumerate(prices))
    return add_up(Terms(items, tax_rate=rate, rounding=rounding)).tax_cents


@pytest.mark.parametrize("rounding", TaxRounding)
def test_the_printed_illustration(rounding):
    # Printed illustration of the rule (legalclarity.org): 10.99 at 6.25% is 0.686875, charged as 0.69.
    assert tax([1099], rounding) == 69


def test_by_line_and_by_invoice_differ_as_the_rule_allows():
    # Ten lines of 1.29 at 6.25%, worked by hand from the rule: ten times 0.08, or 0.80625 once.
    assert tax([129] * 10, TaxRounding.LINE) == 80
    assert tax([129] * 10, TaxRounding.INVOICE) == 81


@given(st.integers(0, 10**7), st.integers(0, 250_000))
def test_it_is_the_rule_as_it_is_worded(price, ppm):
    # "To the third decimal place" cut there, "up to the next cent when the third decimal is greater than four".
    exact = Decimal(price) / 100 * ppm / 1_000_000
    mills = int(exact * 1000)
    expected = mills // 10 + (1 if mills % 10 > 4 else 0)
    assert tax([price], TaxRounding.INVOICE, Fraction(ppm, 1_000_000)) == expected


def test_a_half_cent_goes_up_where_half_to_even_would_go_down():
    # 1.00 at 12.5% is 0.125: half-up 0.13 by the rule, half-even 0.12 (decimal arithmetic, worked by hand).
    assert tax([100], TaxRounding.LINE, Fraction("0.125")) == 13
    assert round(Decimal("0.125"), 2) == Decimal("0.12")
