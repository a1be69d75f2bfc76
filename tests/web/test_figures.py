"""A figure as a page sets it."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal import units
from journal.web import create_app, figures, filters
from journal.web.state import Display, show_as
from journal.working import Basis, Line, Spread
from markupsafe import escape

INCHES = Display(shop_name="", system=units.System.INCH, currency=units.currency("USD"))
METRIC = Display(shop_name="", system=units.System.METRIC, currency=units.currency("EUR"))


def line(value, unit, spread=None):
    return Line("x", value, unit, "", Basis.WORKED, spread=spread)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("26 in", [("number", "26", False), ("unit", "in", True)]),
        ("1½ in", [("number", "1½", False), ("unit", "in", True)]),
        ("1 7/16 in", [("number", "1", False), ("fraction", "7/16", True), ("unit", "in", True)]),
        ("13/32 in", [("fraction", "13/32", False), ("unit", "in", True)]),
        ("$1,234.50", [("number", "$1,234.50", False)]),
        ("12.3 bd ft", [("number", "12.3", False), ("unit", "bd ft", True)]),
        ("12 fl oz", [("number", "12", False), ("unit", "fl oz", True)]),
        ("3.1 min/ft²", [("number", "3.1", False), ("unit", "min/ft²", True)]),
        ("8.25 %", [("number", "8.25", False), ("unit", "%", True)]),
        ("1 h 30 min", [("number", "1", False), ("unit", "h", True), ("number", "30", True), ("unit", "min", True)]),
        ("", []),
    ],
)
def test_runs_tell_number_fraction_and_unit_apart(text, expected):
    assert [(run.kind, run.text, run.spaced) for run in figures.runs(text)] == expected


@given(st.integers(1, 10**12), st.sampled_from(list(units.System)))
def test_runs_lose_no_letter_of_a_length(length_nm, system):
    text = units.format_length(length_nm, system)
    assert "".join(" " * run.spaced + run.text for run in figures.runs(text)) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [(1234.0, "1,234"), (1234.4, "1,234"), (12.34, "12.3"), (0.366, "0.37"), (3.1, "3.1"), (-2.5, "−2.5"), (-3, "−3")],
)
def test_number_keeps_three_figures(value, text):
    assert figures.number(value) == text


@pytest.mark.parametrize(
    ("value", "unit", "display", "text"),
    [
        (123_450, "cents", INCHES, "$1,234.50"),
        (90, "min", INCHES, "1 h 30 min"),
        (units.inches("1 1/2"), "nm", INCHES, "1½ in"),
        (units.mm(38), "nm", METRIC, "38 mm"),
        (12.5, "bd ft", INCHES, "12.5 bd ft"),
        (0.0825, "share", INCHES, "8.25 %"),
        (25.3, "ft2", INCHES, "25.3 ft²"),
        (4, "glue-ups", INCHES, "4 glue-ups"),
        (4, "", INCHES, "4"),
        (1, "blanks", INCHES, "1 blank"),
        (24, "blanks", INCHES, "24 blanks"),
    ],
)
def test_a_line_is_shown_in_the_units_of_the_shop(value, unit, display, text):
    assert figures.line_text(line(value, unit), display) == text


def test_a_range_is_said_in_plain_words():
    uncertain = line(90, "min", Spread(60, 90, 150))
    assert figures.spread_text(uncertain, INCHES) == "eight times in ten 1 h to 2 h 30 min"
    assert figures.spread_text(line(3, "min/ft²", Spread(2, 3, 4.5)), INCHES) == "eight times in ten 2 to 4.5 min/ft²"
    assert figures.spread_text(line(90, "min"), INCHES) == ""


def test_filters_follow_the_display_set_for_the_request():
    with create_app(testing=True).test_request_context("/patterns"):
        assert filters.dimension(units.inches(2)) == "2 in"
        assert filters.money(1050) == "$10.50"
        show_as(METRIC)
        assert filters.dimension(units.inches(2)) == "50.8 mm"
        assert filters.money(1050) == units.format_money(1050, METRIC.currency)


def test_a_day_is_written_without_a_leading_nought():
    with create_app(testing=True).test_request_context("/patterns"):
        assert filters.day(date(2026, 3, 2)) == "2 Mar 2026"


def test_a_moment_is_shown_on_the_shops_day():
    with create_app(testing=True).test_request_context("/patterns"):
        show_as(replace(METRIC, time_zone="America/New_York"))
        # Half past one in the morning by Greenwich is half past eight of the evening before in New York, in winter.
        moment = datetime(2026, 11, 26, 1, 30, tzinfo=UTC)
        assert filters.day(moment) == "25 Nov 2026"
        assert "25 Nov 2026" in filters.day_cell(moment)
        assert (filters.weekday_name(moment), filters.day_of_year(moment)) == ("Wed", "25 Nov")
        assert filters.weekday(moment) == "Wednesday 25 Nov"
        assert filters.day(moment.date()) == "26 Nov 2026"


def test_every_filter_is_reachable_from_a_template():
    app = create_app(testing=True)
    samples = {
        "dimension": units.inches(2), "feet": units.inches(24), "area": units.NM2_PER_SQUARE_FOOT,
        "board_feet": units.NM3_PER_BOARD_FOOT, "mass": 10.0, "liquid": 500.0, "money": 1050, "minutes": 90,
        "hours": 90, "percent": 0.2, "number": 3, "line_text": line(3, "ft2"), "spread_text": line(3, "ft2"),
        "runs": "3 in", "basis_class": Basis.LOGS, "day": date(2026, 3, 2), "day_of_year": date(2026, 3, 2),
        "day_cell": date(2026, 3, 2), "told": "12.5 h", "weekday_name": date(2026, 3, 2),
        "sourced": "a setting, under Shop",
    }  # fmt: skip
    with_more_arguments = {"amount", "weekday", "time_of_day", "shown_temperature"}
    assert set(samples) == set(filters.FILTERS) - with_more_arguments
    with app.test_request_context("/patterns"):
        for name, value in samples.items():
            assert app.jinja_env.from_string(f"{{{{ value | {name} }}}}").render(value=value) == str(
                escape(filters.FILTERS[name](value))
            )


@pytest.mark.parametrize("form", list(units.DayForm))
def test_a_day_is_one_run_of_a_figure_in_every_form(form):
    said = units.format_day(date(2026, 5, 2), form)
    assert [(run.kind, run.text) for run in figures.runs(said)] == [("number", said)]


def test_days_in_a_column_stand_under_each_other():
    with create_app(testing=True).test_request_context("/patterns"):
        early, late = filters.day_cell(date(2026, 3, 2)), filters.day_cell(date(2026, 3, 12))
    plain = [re.sub("<[^>]*>", "", one) for one in (early, late)]
    assert plain == ["\N{FIGURE SPACE}2 Mar 2026", "12 Mar 2026"]


def test_a_percentage_stays_on_one_line():
    with create_app(testing=True).test_request_context("/patterns"):
        assert filters.percent(0.44) == "44\N{NO-BREAK SPACE}%"
        assert filters.told("kept 45 % of the time") == "kept 45\N{NO-BREAK SPACE}% of the time"
