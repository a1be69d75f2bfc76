"""Decimal marks and weeks: what is written is read back, and what could mean two things is asked."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal import units
from journal.errors import BadInput
from journal.units import Mark, System, WeekStart
from tests import strategies

MARKS = st.sampled_from(Mark)


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("$1,234.50", "$1 234,50"),
        ("12.5 h to 1,200 h", "12,5 h to 1 200 h"),
        ("38.1 mm × 12.25 mm", "38,1 mm × 12,25 mm"),
        ("0.545 kg a litre", "0,545 kg a litre"),
        ("1½ in, 6 ft 4 in", "1½ in, 6 ft 4 in"),
        ("version 1.2.3 of 192.168.1.20", "version 1.2.3 of 192.168.1.20"),
        ("Q26-001, Part A1.5", "Q26-001, Part A1.5"),
        ("1, 2 and 3", "1, 2 and 3"),
    ],
)
def test_a_text_of_the_rooms_in_a_shop_that_writes_a_comma(written, expected):
    assert units.marked(written, Mark.COMMA) == expected.replace("$1 ", "$1\u00a0").replace("1 200", "1\u00a0200")
    assert units.marked(written, Mark.POINT) == written


@given(strategies.lengths_in_hundredths_mm(), MARKS)
def test_a_length_in_millimetres_is_read_back(length_nm, mark):
    text = units.marked(units.format_length(length_nm, System.METRIC), mark)
    assert units.parse_length(text, system=System.METRIC, mark=mark) == length_nm


@given(strategies.lengths_in_64ths(), MARKS)
def test_a_length_in_inches_is_read_back(length_nm, mark):
    text = units.marked(units.format_length(length_nm, denominator=64, feet=True), mark)
    assert units.parse_length(text, mark=mark) == length_nm


@given(strategies.money(), strategies.currencies(), MARKS)
def test_an_amount_is_read_back(minor, currency, mark):
    text = units.marked(units.format_money(minor, currency), mark)
    assert units.parse_money(text, currency, mark=mark) == minor


@given(st.integers(0, 99_999), MARKS)
def test_a_volume_is_read_back(hundredths, mark):
    liquid_ml = hundredths * 10.0  # hundredths of a litre are written in full
    text = units.marked(units.format_liquid(liquid_ml, System.METRIC), mark)
    assert units.parse_liquid(text, mark=mark) == pytest.approx(liquid_ml, abs=0.5)


@given(st.integers(0, 24 * 10), MARKS)
def test_hours_are_read_back(tenths, mark):
    text = units.marked(units.format_hours(tenths * 6), mark)
    assert units.parse_duration(text, mark=mark) == tenths * 360


@given(st.decimals(0, 999_999, places=4, allow_nan=False), MARKS)
def test_numbers_in_a_longer_text_are_read_back(number, mark):
    written = f"3 x {number:,f} of it"
    assert units.pointed(units.marked(written, mark), mark) == f"3 x {written[4:].replace(',', '')}" or (
        mark is Mark.POINT and units.pointed(written, mark) == written
    )


@given(st.text(max_size=40), MARKS)
def test_turning_any_text_ends_and_keeps_its_digits(text, mark):
    turned = units.marked(text, mark)
    assert [one for one in turned if one.isdigit()] == [one for one in text if one.isdigit()]


@given(st.decimals(0, 10**7, places=2, allow_nan=False))
def test_what_was_turned_twice_by_mistake_still_reads_the_same(number):
    once = units.marked(f"{number:,f}", Mark.COMMA)
    assert units.marked(once, Mark.COMMA) == once


@pytest.mark.parametrize(
    ("typed", "mark", "mm"),
    [
        ("38.1", Mark.COMMA, "38.1"),  # the other mark is read too
        ("38,1", Mark.POINT, "38.1"),
        ("1,234", Mark.COMMA, "1.234"),  # by the setting
        ("1.234", Mark.POINT, "1.234"),
        ("1 234,5", Mark.COMMA, "1234.5"),
        ("1.234,5", Mark.COMMA, "1234.5"),
        ("1,234.5", Mark.COMMA, "1234.5"),
        ("0.375", Mark.COMMA, "0.375"),
    ],
)
def test_either_mark_is_read(typed, mark, mm):
    assert units.parse_length(typed, system=System.METRIC, mark=mark) == units.mm(Decimal(mm))


@pytest.mark.parametrize(("typed", "mark"), [("1,234", Mark.POINT), ("1.234", Mark.COMMA)])
def test_a_length_with_two_readings_is_asked_about(typed, mark):
    with pytest.raises(BadInput, match=r"either 1234 \(thousands\) or 1.234 \(decimal\)"):
        units.parse_length(typed, system=System.METRIC, mark=mark)


@pytest.mark.parametrize(
    ("typed", "mark", "minor"),
    [
        ("1,234", Mark.POINT, 123_400),  # money has no third decimal
        ("1.234", Mark.COMMA, 123_400),
        ("1.234,50", Mark.POINT, 123_450),
        ("1,234.50", Mark.COMMA, 123_450),
        ("12,5", Mark.POINT, 1_250),
        ("12.5", Mark.COMMA, 1_250),
    ],
)
def test_either_mark_is_read_in_an_amount(typed, mark, minor):
    assert units.parse_money(typed, units.currency("EUR"), mark=mark) == minor


@pytest.mark.parametrize(("typed", "mark"), [("1.234", Mark.POINT), ("1,234", Mark.COMMA)])
def test_an_amount_with_three_digits_after_the_shops_own_mark_is_asked_about(typed, mark):
    with pytest.raises(BadInput, match="either 1234"):
        units.parse_money(typed, units.currency("EUR"), mark=mark)


def test_a_tally_with_a_doubtful_number_is_asked_about():
    assert units.pointed("3 x 6,5 x 2,4 m", Mark.COMMA) == "3 x 6.5 x 2.4 m"
    with pytest.raises(BadInput, match=r"tally: .*either 2400 \(thousands\) or 2.400"):
        units.pointed("3 x 2.400", Mark.COMMA, "tally")


@given(st.dates(date(1900, 1, 8), date(2200, 1, 1)), st.sampled_from(WeekStart))
def test_a_week_begins_on_its_day_and_holds_the_day_asked_about(day, start):
    first = units.week_begin(day, start)
    assert first.strftime("%A") == start.value
    assert timedelta(0) <= day - first < timedelta(days=7)
