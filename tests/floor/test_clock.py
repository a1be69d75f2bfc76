"""Times of day and forgotten clocks, against zoneinfo where the clocks change."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.errors import BadInput
from journal.floor import clock

EAST = ZoneInfo("America/New_York")
SPRING, AUTUMN = date(2026, 3, 8), date(2026, 11, 1)  # when its clocks change, by the time-zone database
ZONES = [EAST, ZoneInfo("Europe/Berlin"), ZoneInfo("Australia/Lord_Howe"), ZoneInfo("Asia/Kathmandu"), UTC]


def local(day, hour, minute=0, zone=EAST):
    return datetime.combine(day, time(hour, minute), tzinfo=zone).astimezone(UTC)


MONDAY = date(2026, 3, 2)


@pytest.mark.parametrize(
    ("typed", "started", "ended"),
    [
        ("5", (13, 10), (17, 0)),
        ("5", (3, 30), (5, 0)),
        ("5 pm", (3, 30), (17, 0)),
        ("17:30", (13, 10), (17, 30)),
        ("5:30pm", (13, 10), (17, 30)),
        ("12", (9, 0), (12, 0)),
        ("2 h", (13, 10), (15, 10)),
        ("90 min", (13, 10), (14, 40)),
        ("1h30", (13, 10), (14, 40)),
    ],
)
def test_when_it_ended_is_read_as_people_say_it(typed, started, ended):
    start = local(MONDAY, *started)
    assert clock.read_end(typed, start, EAST, latest=start + timedelta(days=1)) == local(MONDAY, *ended)


@pytest.mark.parametrize("typed", ["", "later", "25:00", "5:75", "13 pm", "-2 h", "3", "1.5", "½", "30 h"])
def test_an_end_that_makes_no_sense_is_refused_at_its_box(typed):
    start = local(MONDAY, 13)
    with pytest.raises(BadInput) as refusal:
        clock.read_end(typed, start, EAST, latest=local(MONDAY, 14))
    assert refusal.value.field == "stopped at"


def test_an_end_in_the_future_is_refused():
    with pytest.raises(BadInput, match="at the latest 14:00"):
        clock.read_end("3 pm", local(MONDAY, 13), EAST, latest=local(MONDAY, 14))


@pytest.mark.parametrize(
    ("start", "until", "asks"),
    [
        (local(MONDAY, 8), local(MONDAY, 17), False),
        (local(MONDAY, 8), local(MONDAY, 18, 1), True),
        (local(MONDAY, 22), local(date(2026, 3, 3), 2, 59), False),
        (local(MONDAY, 22), local(date(2026, 3, 3), 3), True),
        (local(date(2026, 3, 3), 3), local(date(2026, 3, 3), 12), False),
    ],
)
def test_a_clock_asks_after_ten_hours_or_when_it_ran_through_the_night(start, until, asks):
    assert clock.forgotten(start, until, EAST) is asks


def test_a_day_on_which_the_clocks_change_is_an_hour_shorter_or_longer():
    hours = [clock.seconds_in(day, EAST) / 3600 for day in (MONDAY, SPRING, AUTUMN)]
    assert hours == [24, 23, 25]
    assert clock.seconds_in(date(2026, 4, 5), ZoneInfo("Australia/Lord_Howe")) == 24.5 * 3600


def test_a_time_the_clock_skipped_is_refused_and_one_it_showed_twice_is_the_first():
    with pytest.raises(BadInput, match="went forward"):
        clock.at_time(SPRING, time(2, 30), EAST)
    assert clock.at_time(AUTUMN, time(1, 30), EAST) == datetime(2026, 11, 1, 5, 30, tzinfo=UTC)


def test_ten_past_two_said_on_a_night_that_showed_it_twice_is_the_one_after_the_start():
    start = datetime(2026, 11, 1, 5, 45, tzinfo=UTC)  # 1:45 for the first time
    ended = clock.read_end("1:50", start, EAST, latest=start + timedelta(hours=5))
    assert ended == datetime(2026, 11, 1, 5, 50, tzinfo=UTC)
    ended = clock.read_end("1:40", start, EAST, latest=start + timedelta(hours=5))
    assert ended == datetime(2026, 11, 1, 6, 40, tzinfo=UTC)


@given(
    st.datetimes(datetime(2024, 1, 1), datetime(2027, 12, 31)),  # noqa: DTZ001 - Hypothesis wants bare ends
    st.integers(1, 23 * 60),
    st.sampled_from(ZONES),
)
def test_an_end_told_by_the_clock_reads_back_as_the_moment_it_shows(started, minutes, zone):
    start = started.replace(second=0, microsecond=0, tzinfo=UTC)
    end = start + timedelta(minutes=minutes)
    shown = end.astimezone(zone)
    read = clock.read_end(f"{shown:%H:%M}", start, zone, latest=start + timedelta(hours=24))
    assert f"{read.astimezone(zone):%I:%M}" == f"{shown:%I:%M}"  # an hour up to 12 may be either half of the day
    assert start < read <= end  # the first time after the start that the clock showed it


@given(st.dates(date(2024, 1, 1), date(2027, 12, 31)), st.sampled_from(ZONES))
def test_the_seconds_of_a_year_of_days_add_up(first, zone):
    days = [first + timedelta(days=ahead) for ahead in range(30)]
    ends = [datetime.combine(day, time(0), tzinfo=zone).astimezone(UTC) for day in (first, first + timedelta(days=30))]
    assert sum(clock.seconds_in(day, zone) for day in days) == (ends[1] - ends[0]).total_seconds()
