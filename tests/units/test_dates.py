"""Days as a shop writes them."""

from __future__ import annotations

from datetime import date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.units import DayForm, format_day, format_day_of_year, format_weekday

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
