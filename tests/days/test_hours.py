"""The hours of a week, as typed and as written back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.days.hours import LONGEST_DAY, USUAL_DAY, Span, Week, format_spans, format_week, parse_spans, starting_week
from journal.errors import BadInput


def spans(*pairs, weekday=0):
    return tuple(Span(weekday, opens, closes) for opens, closes in pairs)


@pytest.mark.parametrize(
    ("text", "pairs"),
    [
        ("18:00–21:00", [(1080, 1260)]),
        ("8-12, 13:00 to 17:30", [(480, 720), (780, 1050)]),
        ("0:00-24:00", [(0, 1440)]),
        (" 9 – 10 ; 14-15 ", [(540, 600), (840, 900)]),
        ("13-17 and 8-12", [(480, 720), (780, 1020)]),
        ("", []),
        ("Closed", []),
    ],
)
def test_hours_are_read_as_people_write_them(text, pairs):
    assert parse_spans(text, 0) == spans(*pairs)


@pytest.mark.parametrize(
    "text",
    ["nine to five", "9", "25-26", "9:75-10", "17-9", "9-9", "8-12, 11-13", "1-2,3-4,5-6,7-8,9-10", "9–10–11", "23-25"],
)
def test_what_is_no_hours_is_refused_with_its_day_and_an_example(text):
    with pytest.raises(BadInput) as refused:
        parse_spans(text, 2)
    assert refused.value.field == "Wednesday"
    assert refused.value.expected


@given(
    st.lists(st.integers(0, 1440), min_size=2, max_size=8, unique=True)
    .map(sorted)
    .filter(lambda ends: len(ends) % 2 == 0)
)
def test_hours_written_and_read_again_are_the_same(ends):
    day = spans(*zip(ends[::2], ends[1::2], strict=True), weekday=4)
    assert parse_spans(format_spans(day), 4) == day


def test_a_week_without_open_hours_is_refused_and_says_where_to_type_them():
    with pytest.raises(BadInput, match="under Shop, Hours"):
        Week(())


def test_days_alike_are_said_together():
    week = [*(Span(weekday, 1080, 1260) for weekday in range(5)), Span(5, 540, 1020), Span(6, 540, 1020)]
    assert format_week(week) == "Monday to Friday 18:00–21:00; Saturday and Sunday 9:00–17:00"
    assert format_week([Span(0, 0, 60), Span(2, 0, 60)]) == "Monday 0:00–1:00; Wednesday 0:00–1:00"


@given(st.integers(1, 10_080), st.integers(1, 6), st.floats(0.1, 1))
def test_starting_hours_come_to_the_bench_time_as_near_as_whole_five_minutes_allow(minutes, people, share):
    week = starting_week(minutes, people, share)
    whole = minutes / people / share
    days = len(week.spans)
    if whole < 7 * 1440 - days * 5:
        assert abs(week.minutes - whole) <= days * 2.5 + max(0.0, days * 5 - whole)
    assert days == 5 or whole / (days - 1) > {6: USUAL_DAY, 7: LONGEST_DAY}[days]


@pytest.mark.parametrize(
    ("hours", "people", "said"),
    [
        # 52.5 h at the bench are 75 open; by hand: 75 ÷ 2 ÷ 5 = 7 h 30 min a day for two, 75 ÷ 6 = 12 h 30 min for one.
        (52.5, 2, "Monday to Friday 9:00–16:30"),
        (52.5, 1, "Monday to Saturday 9:00–21:30"),
        (70, 1, "Monday to Sunday 9:00–23:15"),
    ],
)
def test_more_than_a_usual_day_takes_saturday_and_sunday_only_what_fits_no_other_way(hours, people, said):
    assert format_week(starting_week(hours * 60, people, 0.7).spans) == said


@pytest.mark.parametrize(("minutes", "people", "share"), [(0, 1, 0.5), (60, 0, 0.5), (60, 1, 0), (60, 1, 1.3)])
def test_starting_hours_refuse_what_makes_no_sense(minutes, people, share):
    with pytest.raises(BadInput):
        starting_week(minutes, people, share)
