from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.errors import BadInput
from journal.floor import hours
from journal.floor.quiet import quiet_days


@pytest.mark.parametrize(
    ("typed", "minutes"),
    [
        ("", 0),
        ("2", 120),
        ("1.5", 90),
        ("1,5 h", 90),
        ("1 1/4", 75),
        ("¾", 45),
        ("2:15", 135),
        ("45 min", 45),
        ("0", 0),
    ],
)
def test_a_bare_number_is_hours(typed, minutes):
    assert hours.read_hours(typed) == minutes * 60


@pytest.mark.parametrize("typed", ["45", "25 h", "-1", "two", "1:75", "🙂", "٣"])
def test_what_is_no_evening_is_refused(typed):
    with pytest.raises(BadInput):
        hours.read_hours(typed, "Milling")


@given(st.integers(1, 86_399))
def test_shown_hours_read_back_as_the_same_seconds(seconds):
    assert hours.read_hours(hours.show_hours(seconds)) == seconds


@given(st.integers(1, 40_000), st.lists(st.integers(1, 10_000), max_size=6))
def test_a_split_loses_no_second(seconds, parts):
    if sum(parts) > seconds:
        with pytest.raises(BadInput):
            hours.split(seconds, parts)
    else:
        assert hours.split(seconds, parts) + sum(parts) == seconds


def test_a_part_of_nothing_is_refused():
    with pytest.raises(BadInput, match="above 0"):
        hours.split(3600, [600, 0])


TODAY = date(2026, 11, 25)  # a Wednesday


def test_only_days_on_which_there_usually_is_a_log_are_asked_for():
    days = {TODAY - timedelta(days=back) for back in range(1, 56)}
    evenings = {day for day in days if day.weekday() in (0, 1, 3)}  # Mondays, Tuesdays, Thursdays
    missed = {date(2026, 11, 24), date(2026, 11, 12)}
    assert quiet_days(evenings - missed, TODAY) == (date(2026, 11, 24), date(2026, 11, 12))
    assert quiet_days(evenings, TODAY) == ()


def test_days_before_the_first_log_are_not_asked_for():
    assert quiet_days([], TODAY) == ()
    assert quiet_days([TODAY - timedelta(days=1)], TODAY) == ()
    assert quiet_days([TODAY - timedelta(days=400)], TODAY) == ()
