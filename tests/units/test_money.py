from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal import units
from journal.errors import BadInput, MissingReference
from tests.strategies import currencies, money, typed_text, weights

USD, EUR, SEK, CHF, JPY, GBP = (units.currency(code) for code in ("USD", "EUR", "SEK", "CHF", "JPY", "GBP"))


@pytest.mark.parametrize(
    ("text", "currency", "minor"),
    [
        ("1234.5", USD, 123_450),
        ("1234.50", USD, 123_450),
        ("1234,5", USD, 123_450),
        ("$1,234.50", USD, 123_450),
        ("$ 1,234.50", USD, 123_450),
        ("USD 1,234.50", USD, 123_450),
        ("1,234.50 usd", USD, 123_450),
        ("$5 USD", USD, 500),
        ("1,234", USD, 123_400),
        ("1,234,567", USD, 123_456_700),
        ("1.234.567", EUR, 123_456_700),
        ("1.234.567,89", EUR, 123_456_789),
        ("1.234,50", EUR, 123_450),
        ("1 234,50 €", EUR, 123_450),
        ("1\u00a0234,50\u00a0€", EUR, 123_450),
        ("1\u202f234,50", EUR, 123_450),
        ("1 234", EUR, 123_400),
        ("€5", EUR, 500),
        ("1'234.50", CHF, 123_450),
        ("CHF 1’234.50", CHF, 123_450),
        ("kr 1,234.50", SEK, 123_450),
        ("1 234,50 kr", SEK, 123_450),
        (".50", USD, 50),
        ("0.05", USD, 5),
        ("0", USD, 0),
        ("\uff15", USD, 500),
        ("¥1,235", JPY, 1235),
        ("1235", JPY, 1235),
        ("10000000000", USD, 10**12),
    ],
)
def test_reads_amounts_as_people_write_them(text, currency, minor):
    assert units.parse_money(text, currency) == minor


@pytest.mark.parametrize(
    ("text", "currency", "hint"),
    [
        ("", USD, "nothing"),
        ("$", USD, "$1,234.50"),
        ("-5", USD, "not negative"),
        ("−$5", USD, "not negative"),
        ("$-5", USD, "not negative"),
        ("--5", USD, "not negative"),
        ("nan", USD, "$1,234.50"),
        ("=1+1", USD, "$1,234.50"),
        ("1e3", USD, "$1,234.50"),
        ("1.234", USD, "1234 (thousands)"),
        ("1.234", EUR, "1234 (thousands)"),
        ("0.125", USD, "at most 2 decimals"),
        ("0,125", USD, "at most 2 decimals"),
        ("1234.567", USD, "at most 2 decimals"),
        ("1.2345", USD, "at most 2 decimals"),
        ("1,234.567", USD, "at most 2 decimals"),
        ("1234.5", JPY, "no decimals"),
        ("1.234.56", EUR, "one mark for thousands"),
        ("1,234,5", USD, "one mark for thousands"),
        ("12,34,567", USD, "$1,234.50"),
        ("1,234 567", USD, "$1,234.50"),
        ("5.", USD, "$1,234.50"),
        ("1 2", USD, "$1,234.50"),
        ("1/2", USD, "$1,234.50"),
        ("5½", USD, "$1,234.50"),
        ("£5", USD, "$1,234.50"),
        ("€5", USD, "$1,234.50"),
        ("5 EUR", USD, "$1,234.50"),
        ("(5.00)", USD, "$1,234.50"),
        ("$$5", USD, "$1,234.50"),
        ("٣", USD, "$1,234.50"),
        ("10000000000.01", USD, "at most $10,000,000,000.00"),
        ("9" * 55, USD, "at most $10,000,000,000.00"),
        ("5" * 10_000_000, USD, "at most 60 characters"),
    ],
)
def test_refuses_an_amount_with_two_readings_or_none(text, currency, hint):
    with pytest.raises(BadInput) as refusal:
        units.parse_money(text, currency, "price of glue")
    assert hint in str(refusal.value)
    assert str(refusal.value).startswith("price of glue: read ")


@pytest.mark.parametrize("text", ["-5", "−$5.00", "$-5", "- $5", "$ −5"])
def test_a_minus_is_read_where_a_refund_may_stand(text):
    assert units.parse_money(text, USD, allow_negative=True) == -500


def test_two_minuses_are_no_amount():
    with pytest.raises(BadInput):
        units.parse_money("-$-5", USD, allow_negative=True)


@given(money(min_minor=-(10**12), max_minor=10**12), currencies())
def test_money_reads_back_as_it_was_written(minor, currency):
    shown = units.format_money(minor, currency)
    assert units.parse_money(shown, currency, allow_negative=True) == minor


@given(typed_text(), currencies())
def test_any_text_gives_an_amount_or_a_refusal(text, currency):
    try:
        minor = units.parse_money(text, currency)
    except BadInput:
        return
    assert 0 <= minor <= 10**12


@pytest.mark.parametrize(
    ("minor", "currency", "shown"),
    [
        (123_450, USD, "$1,234.50"),
        (5, USD, "$0.05"),
        (0, USD, "$0.00"),
        (-300, EUR, "−€3.00"),
        (123_450, SEK, "kr 1,234.50"),
        (123_450, CHF, "CHF 1,234.50"),
        (1235, JPY, "¥1,235"),
    ],
)
def test_shows_the_sign_the_thousands_and_every_decimal(minor, currency, shown):
    assert units.format_money(minor, currency) == shown


def test_a_currency_is_found_by_its_code_or_the_known_ones_are_listed():
    assert units.currency(" gbp ") is GBP
    with pytest.raises(MissingReference, match="USD"):
        units.currency("XXX")


@pytest.mark.parametrize(
    ("code", "symbol", "decimals"), [("usd", "$", 2), ("US", "$", 2), ("USD", " ", 2), ("USD", "$", 3)]
)
def test_refuses_a_currency_that_is_none(code, symbol, decimals):
    with pytest.raises(BadInput):
        units.Currency(code, symbol, decimals)


@pytest.mark.parametrize(
    ("value", "rounded"),
    [(2.5, 3), (-2.5, -3), (Fraction(1, 2), 1), (Decimal("0.4999"), 0), (7, 7), (np.float64(0.5), 1), (1e20, 10**20)],
)
def test_a_half_goes_away_from_zero(value, rounded):
    assert units.round_half_up(value) == rounded


@given(st.decimals(-(10**9), 10**9, places=4))
def test_rounds_as_the_standard_library_rounds_half_up(value):
    assert units.round_half_up(value) == int(value.quantize(Decimal(1), ROUND_HALF_UP))


@pytest.mark.parametrize("value", [float("nan"), float("-inf"), Decimal("NaN")])
def test_refuses_to_round_what_is_no_number(value):
    with pytest.raises(BadInput):
        units.round_half_up(value)


@given(money(), st.decimals(0, 1, places=6))
def test_tax_is_cut_at_the_third_decimal_and_then_rounded(minor, rate):
    tenths_of_a_cent = int(minor * Fraction(rate) * 10)
    cut_then_rounded = tenths_of_a_cent // 10 + (tenths_of_a_cent % 10 > 4)
    assert units.percent_of(minor, rate) == cut_then_rounded
    assert units.percent_of(-minor, rate) == -cut_then_rounded


@pytest.mark.parametrize("rate", [Decimal("6.25"), Fraction(-1, 10), Decimal("NaN")])
def test_a_rate_is_a_share_of_one_and_not_a_percentage(rate):
    with pytest.raises(BadInput, match="rate"):
        units.percent_of(1000, rate)


@given(money(min_minor=-(10**9)), weights())
def test_shares_add_up_and_stand_within_one_of_the_exact_share(total, shares):
    parts = units.share(total, shares)
    assert sum(parts) == total
    weight_sum = sum(Fraction(str(weight)) for weight in shares)
    for part, weight in zip(parts, shares, strict=True):
        exact = total * Fraction(str(weight)) / weight_sum if weight_sum else Fraction(total, len(shares))
        assert abs(part - exact) < 1


@given(money(), weights())
def test_a_negative_total_mirrors_its_opposite(total, shares):
    assert units.share(-total, shares) == [-part for part in units.share(total, shares)]


@pytest.mark.parametrize(
    ("total", "weights", "parts"),
    [
        (100, [1, 1, 1], [34, 33, 33]),
        (100, [0, 0, 0], [34, 33, 33]),
        (100, [0, 1], [0, 100]),
        (10, [Fraction(1, 3), Decimal("0.5"), 0.5], [2, 4, 4]),
        (0, [1, 2], [0, 0]),
        (-5, [1, 1], [-3, -2]),
        (7, [3.5], [7]),
    ],
)
def test_the_largest_remainder_gets_the_odd_cent_and_the_first_wins_a_tie(total, weights, parts):
    assert units.share(total, weights) == parts


@pytest.mark.parametrize("weights", [[], [-1, 2], [float("nan")], [float("inf"), 1]])
def test_refuses_to_share_by_what_is_no_weight(weights):
    with pytest.raises(BadInput, match="weight"):
        units.share(100, weights)


def test_an_amount_left_over_from_a_currency_with_cents_is_still_whole():
    assert units.parse_money("35.00", JPY) == 35
    with pytest.raises(BadInput, match="no decimals"):
        units.parse_money("35.50", JPY)
