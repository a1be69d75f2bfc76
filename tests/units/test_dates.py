"""Days as a shop writes them."""

from __future__ import annotations

from datetime import date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.units import DayForm, dated, format_day, format_day_of_year, format_month_day, format_weekday

DAY = date(2026, 11, 5)  # a Thursday
PATTERNS = {DayForm.DAY_FIRST: "%d %b %Y", DayForm.MONTH_FIRST: "%b %d, %Y", DayForm.YEAR_FIRST: "%Y-%m-%d"}


@pytest.mark.parametrize(
    ("form", "whole", "short", "named"),
    [
        (DayForm.DAY_FIRST, "5 Nov 2026", "5 Nov", "Thursday 5 Nov"),
        (DayForm.MONTH_FIRST, "Nov 5, 2026", "Nov 5", "Thursday, Nov 5"),
        (DayForm.YEAR_FIRST, "2026-11-05", "Nov 5", "Thursday, Nov 5"),
    ],
)
def test_a_day_is_written_in_the_order_that_is_wanted(form, whole, short, named):
    assert format_day(DAY, form) == whole
    assert format_day_of_year(DAY, form) == short
    assert format_weekday(DAY, form) == named


def test_a_weekday_may_be_short():
    assert format_weekday(DAY, short=True) == "Thu 5 Nov"


@given(st.dates(min_value=date(1900, 1, 1)), st.sampled_from(DayForm))
def test_no_written_day_can_be_read_as_another(on, form):
    assert datetime.strptime(format_day(on, form), PATTERNS[form]).date() == on  # noqa: DTZ007 - a day has no zone


@pytest.mark.parametrize(
    ("form", "expected"),
    [
        (DayForm.DAY_FIRST, "price of 5 Nov 2026, seen (5 Nov 2026)"),
        (DayForm.MONTH_FIRST, "price of Nov 5, 2026, seen (Nov 5, 2026)"),
        (DayForm.YEAR_FIRST, "price of 2026-11-05, seen (2026-11-05)"),
    ],
)
def test_days_in_a_text_of_the_rooms_are_written_as_the_shop_does(form, expected):
    assert dated("price of 2026-11-05, seen (2026-11-05)", form) == expected


@pytest.mark.parametrize("text", ["26-004", "2026-13-45", "1-2026-11-05", "Q2026-11-05", "2026-11-05T10:00", ""])
def test_what_is_no_day_stays(text):
    assert dated(text, DayForm.DAY_FIRST) == text


@given(st.dates(min_value=date(1900, 1, 1)), st.sampled_from(DayForm))
def test_a_day_in_a_text_is_the_day_alone(on, form):
    assert dated(on.isoformat(), form) == format_day(on, form)


def test_a_day_is_spoken_of_by_its_month():
    spoken = [format_month_day(date(2026, 12, day), DayForm.DAY_FIRST) for day in (1, 2, 3, 4, 11, 12, 13, 21, 22, 31)]
    endings = ["1st", "2nd", "3rd", "4th", "11th", "12th", "13th", "21st", "22nd", "31st"]
    assert spoken == [f"the {day} of December" for day in endings]
    assert format_month_day(date(2026, 12, 4), DayForm.MONTH_FIRST) == "December 4"
