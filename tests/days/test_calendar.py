"""Working time and time on the clock: exact, both ways, over closed hours, days off and changed clocks."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.days.calendar import Calendar, DaysOff, clock, midnight, to_moment, to_wall
from journal.days.hours import Span, Week
from journal.errors import BadInput, NoSolution
from tests.days.small import BEGIN, MONDAY, evenings, small_clock, small_clocks


def test_work_stops_at_closing_and_goes_on_at_the_next_opening():
    found = evenings()
    assert to_moment(found.start(0)) == datetime(2026, 3, 2, 18, tzinfo=UTC)
    assert to_moment(found.end(180)) == datetime(2026, 3, 2, 21, tzinfo=UTC)
    assert to_moment(found.start(180)) == datetime(2026, 3, 3, 18, tzinfo=UTC)
    assert to_moment(found.end(181)) == datetime(2026, 3, 3, 18, 1, tzinfo=UTC)
    assert found.stretches(170, 20) == (
        (BEGIN + 20 * 60 + 50, BEGIN + 21 * 60),
        (BEGIN + 42 * 60, BEGIN + 42 * 60 + 10),
    )


@given(small_clocks(), st.integers(0, 60))
def test_the_two_kinds_of_time_go_over_into_each_other(found, worked):
    assert found.reached(found.start(worked)) == worked
    assert found.reached(found.end(worked)) == worked
    assert found.start(worked) >= found.end(worked)
    assert sum(until - since for since, until in found.stretches(worked, 9)) == 9


@given(small_clocks(), st.integers(-3, 90))
def test_working_time_counts_every_open_minute_once(found, wall):
    inside = sum(
        1
        for minute in range(min(found.opens), wall)
        if any(opens <= minute < closes for opens, closes in zip(found.opens, found.closes, strict=True))
    )
    assert found.reached(wall) == inside


@given(small_clocks(), st.integers(0, 40), st.integers(1, 8))
def test_what_must_not_pause_is_put_where_it_fits_and_nowhere_sooner(found, worked, minutes):
    placed = found.fits(worked, minutes)
    assert found.left(placed) >= minutes
    assert all(found.left(sooner) < minutes for sooner in range(worked, placed))
    before = found.fits_before(worked, minutes)
    if before:
        assert before <= worked
        assert found.left(before - minutes) >= minutes


@pytest.mark.parametrize("zone", ["UTC", "Asia/Kolkata"])
def test_openings_are_those_a_walk_minute_by_minute_finds(zone):
    week = Week((Span(0, 0, 61), Span(0, 1400, 1440), Span(1, 0, 30), Span(4, 600, 700)))
    off = (DaysOff(MONDAY + timedelta(days=4), MONDAY + timedelta(days=4)),)
    found = clock(Calendar(week, off, zone), MONDAY)
    begin = midnight(MONDAY, zone)
    open_minutes = [
        wall
        for wall in range(begin, begin + 14 * 1440)
        if MONDAY + timedelta(days=4) != (local := to_moment(wall, zone)).date()
        and any(span.opens <= local.hour * 60 + local.minute < span.closes for span in week.on(local.weekday()))
    ]
    mine = [
        wall
        for opens, closes in zip(found.opens, found.closes, strict=True)
        for wall in range(opens, closes)
        if wall < begin + 14 * 1440
    ]
    assert mine == open_minutes
    # 24:00 and 0:00 are one moment: nothing pauses there.
    assert found.left(found.reached(begin + 1400)) == 70


@pytest.mark.parametrize(("day", "hours"), [(date(2026, 3, 8), 7), (date(2026, 11, 1), 9), (date(2026, 6, 7), 8)])
def test_hours_last_as_long_as_they_really_do_when_clocks_are_changed(day, hours):
    found = clock(Calendar(Week((Span(6, 0, 480),)), zone="America/New_York"), day)
    assert found.closes[0] - found.opens[0] == hours * 60
    assert to_moment(found.closes[0], "America/New_York").hour == 8


def test_hours_that_a_spring_night_skips_are_read_as_an_hour_later():
    found = clock(Calendar(Week((Span(6, 150, 165),)), zone="America/New_York"), date(2026, 3, 8))
    assert to_moment(found.opens[0], "America/New_York") == datetime(
        2026, 3, 8, 3, 30, tzinfo=ZoneInfo("America/New_York")
    )


def test_a_wall_time_is_a_moment_and_back():
    moment = datetime(2026, 10, 25, 1, 30, tzinfo=ZoneInfo("Europe/Berlin"))
    assert to_moment(to_wall(moment), "Europe/Berlin") == moment


def test_days_off_must_end_after_they_begin():
    with pytest.raises(BadInput, match="not before the first"):
        DaysOff(MONDAY, MONDAY - timedelta(days=1))


def test_a_shop_closed_for_ever_is_refused():
    closed = tuple(
        DaysOff(MONDAY + timedelta(days=3000 * n), MONDAY + timedelta(days=3000 * (n + 1))) for n in range(2)
    )
    with pytest.raises(BadInput, match="a day on which the shop is open"):
        clock(Calendar(Week((Span(0, 0, 60),)), closed), MONDAY)


def test_beyond_the_last_opening_says_that_it_takes_too_long():
    found = small_clock((0, 5), (9, 12))
    assert found.end(8) == 12
    for beyond in (lambda: found.start(8), lambda: found.end(9), lambda: found.fits(0, 6), lambda: found.left(8)):
        with pytest.raises(NoSolution, match="10 years"):
            beyond()
