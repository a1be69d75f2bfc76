import pytest
from hypothesis import given
from journal import units
from journal.errors import BadInput
from tests.strategies import durations, typed_text, whole_minutes


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("90", 5400),
        ("90 min", 5400),
        ("90min.", 5400),
        ("90 m", 5400),
        ("7.5", 450),
        ("1:30", 5400),
        ("0:05", 300),
        ("1:30:15", 5415),
        ("1h30", 5400),
        ("1h 5", 3900),
        ("1 h 30 min", 5400),
        ("1h30m", 5400),
        ("1 hour 30 minutes", 5400),
        ("1 H 30 Min 15 s", 5415),
        ("1 h 30 s", 3630),
        ("2 min 30 s", 150),
        ("90 min 30 s", 5430),
        ("1.5 h", 5400),
        ("1,5 h", 5400),
        ("1½ h", 5400),
        ("½ h", 1800),
        ("2 1/4 hours", 8100),
        ("2-1/4 hrs", 8100),
        ("3/4 h", 2700),
        ("45s", 45),
        ("45 seconds", 45),
        ("0", 0),
        ("24 h", 86_400),
        ("1 day", 86_400),
        ("1\u00a0h\u00a030\u00a0min", 5400),
    ],
)
def test_reads_a_time_as_people_write_it(text, seconds):
    assert units.parse_duration(text) == seconds


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("", "nothing"),
        ("-5", "without a sign"),
        ("-1:30", "without a sign"),
        ("1:75", "less than 60 minutes"),
        ("1:30:75", "less than 60 seconds"),
        ("1 h 75 min", "less than 60 minutes"),
        ("1 h 90 s", "less than 60 seconds"),
        ("1h75", "less than 60 minutes"),
        ("1:5", "1:30"),
        ("1:", "1:30"),
        (":30", "1:30"),
        ("30 15 s", "1:30"),
        ("1.5 h 30 min", "1:30"),
        ("30 min 1 h", "1:30"),
        ("1/0 h", "divide by zero"),
        ("1,234", "1234 (thousands)"),
        ("5 weeks", "not “weeks”"),
        ("5 kg", "not “kg”"),
        ("nan", "1:30"),
        ("1e3", "1:30"),
        ("=1", "1:30"),
        ("٣", "1:30"),
        ("25 h", "at most 24 hours"),
        ("24:01", "at most 24 hours"),
        ("2 days", "at most 24 hours"),
        ("9" * 40, "less than ten years"),
        ("1" * 10_000_000, "at most 60 characters"),
    ],
)
def test_refuses_what_is_no_time_and_says_why(text, hint):
    with pytest.raises(BadInput) as refusal:
        units.parse_duration(text, "time on milling")
    assert hint in str(refusal.value)
    assert str(refusal.value).startswith("time on milling: read ")


def test_a_rest_may_last_longer_than_a_day():
    assert units.parse_duration("3 days", allow_long=True) == 3 * 86_400
    assert units.parse_duration("72 h", allow_long=True) == 3 * 86_400
    with pytest.raises(BadInput, match="ten years"):
        units.parse_duration("4000 days", allow_long=True)


@given(typed_text())
def test_any_text_gives_a_time_or_a_refusal(text):
    try:
        seconds = units.parse_duration(text)
    except BadInput:
        return
    assert 0 <= seconds <= 86_400


@given(whole_minutes())
def test_whole_minutes_read_back_as_they_were_written(minutes):
    assert units.parse_duration(units.format_minutes(minutes)) == minutes * 60


@given(durations())
def test_a_clock_reading_is_its_seconds(seconds):
    hours, rest = divmod(seconds, 3600)
    assert units.parse_duration(f"{hours}:{rest // 60:02d}:{rest % 60:02d}") == seconds


@given(durations())
def test_a_shown_time_is_within_half_a_minute(seconds):
    assert abs(units.parse_duration(units.format_minutes(seconds / 60)) - seconds) <= 30


@pytest.mark.parametrize(
    ("minutes", "shown"),
    [
        (0, "0 min"),
        (0.4, "24 s"),
        (0.995, "1 min"),
        (45, "45 min"),
        (59.6, "1 h"),
        (90, "1 h 30 min"),
        (120.0, "2 h"),
        (7530, "125 h 30 min"),
        (-90, "−1 h 30 min"),
        (-0.001, "0 min"),
    ],
)
def test_minutes_are_shown_in_hours_and_minutes(minutes, shown):
    assert units.format_minutes(minutes) == shown


@pytest.mark.parametrize(("minutes", "shown"), [(750, "12.5 h"), (720, "12.0 h"), (3, "0.1 h"), (60_000, "1,000.0 h")])
def test_hours_are_shown_to_a_tenth(minutes, shown):
    assert units.format_hours(minutes) == shown


@pytest.mark.parametrize("show", [units.format_minutes, units.format_hours])
def test_refuses_to_show_what_is_no_time(show):
    with pytest.raises(BadInput, match="minutes"):
        show(float("nan"))
