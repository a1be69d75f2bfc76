"""A price is only remarked on when it is odd."""

from journal.quote.sense import warnings
from tests.quote.commissions import make

MADE = make()


def test_the_price_to_ask_raises_no_brow():
    assert warnings(MADE, MADE.price_cents) == ()


def test_a_price_under_the_outlay_is_told_with_both_amounts():
    outlay = MADE.outlay.at(0.5)
    (said,) = warnings(MADE, int(outlay) - 100)
    assert MADE.rates.money(outlay) in said
    assert warnings(MADE, int(outlay) + 100) == ()


def test_a_margin_of_six_tenths_is_questioned_and_just_under_it_is_not():
    edge = MADE.expected_cents / 0.4
    assert warnings(MADE, int(edge) - 100) == ()
    (said,) = warnings(MADE, int(edge) + 100)
    assert said.startswith("60% of")
