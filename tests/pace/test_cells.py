"""Cells as people write them."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.errors import BadInput
from journal.pace.cells import (
    DayOrder,
    DayReader,
    comma_is_decimal,
    find_order,
    read_number,
    read_seconds,
    read_unit,
    units_of,
)

TODAY = date(2026, 3, 2)
DAY, MONTH = (DayReader(order, TODAY) for order in (DayOrder.DAY_FIRST, DayOrder.MONTH_FIRST))
past_days = st.dates(date(1990, 1, 1), TODAY)


class TestDays:
    @given(past_days)
    def test_every_way_of_writing_a_day_is_read_as_that_day(self, day):
        for text in (
            day.isoformat(),
            f"{day:%Y/%m/%d}",
            f"{day:%Y-%m-%d} 17:30:00",
            f"{day:%d.%m.%Y}",
            f"{day.day} {day:%b} {day.year}",
            f"{day:%B} {day.day}, {day.year}",
            f"{day:%d-%b-%Y}".upper(),
        ):
            assert MONTH.read(text) == day, text
        assert DAY.read(f"{day:%d/%m/%Y}") == day
        assert MONTH.read(f"{day:%m/%d/%Y}") == day

    def test_two_digits_are_the_nearest_such_year_not_to_come(self):
        assert DAY.read("1/2/26") == date(2026, 2, 1)
        assert DAY.read("1/2/99") == date(1999, 2, 1)

    @pytest.mark.parametrize("text", ["2019-03", "3/2019", "Mar 2019", "march-2019"])
    def test_a_month_alone_is_its_first_day(self, text):
        assert MONTH.read(text) == date(2019, 3, 1)

    @pytest.mark.parametrize("text", ["2026-03-03", "3/3/2026"])
    def test_a_day_to_come_is_refused(self, text):
        with pytest.raises(BadInput, match="up to today, 2026-03-02"):
            MONTH.read(text)

    @pytest.mark.parametrize("text", ["", "soon", "2019-02-30", "31/31/2019", "1900-01-01", "12", "43922", "Marz", "-"])
    def test_what_is_no_day_is_refused(self, text):
        with pytest.raises(BadInput, match="a day"):
            MONTH.read(text)

    def test_a_day_past_the_twelfth_tells_the_order_of_the_column(self):
        assert find_order(["3/4/2020", "13/4/2020"], DayOrder.MONTH_FIRST).order is DayOrder.DAY_FIRST
        assert find_order(["3/4/2020", "3/14/2020"], DayOrder.DAY_FIRST).order is DayOrder.MONTH_FIRST
        assert not find_order(["3/14/2020"], DayOrder.DAY_FIRST).unsure

    def test_a_column_that_does_not_tell_is_read_as_usual_and_said_to_be_unsure(self):
        for cells in (["3/4/2020"], ["13/4/2020", "3/14/2020"]):
            found = find_order(cells, DayOrder.DAY_FIRST)
            assert (found.order, found.unsure) == (DayOrder.DAY_FIRST, True)

    def test_days_with_the_year_first_or_points_between_leave_nothing_open(self):
        assert not find_order(["2020-04-03", "3.4.2020", "3 Apr 2020"], DayOrder.DAY_FIRST).unsure


class TestNumbers:
    @given(st.decimals(-999_999, 999_999, places=2))
    def test_either_way_of_writing_a_number_is_read_alike(self, number):
        point, comma = f"{number:,.2f}", f"{number:,.2f}".translate(str.maketrans(",.", ".,"))
        assert read_number(point, decimal_comma=False) == float(number)
        assert read_number(comma, decimal_comma=True) == float(number)

    def test_one_certain_cell_tells_for_the_column(self):
        assert comma_is_decimal(["1,234", "12,5"])
        assert not comma_is_decimal(["1,234", "12.5", "7"])

    @pytest.mark.parametrize("text", ["", "twelve", "1,2,3", "12 ft", "#DIV/0!", "1.2.3", "nan", "inf"])
    def test_anything_else_is_no_number(self, text):
        assert read_number(text, decimal_comma=False) is None


class TestTimes:
    @pytest.mark.parametrize(
        ("text", "each", "seconds"),
        [("90", 1, 5400), ("1.5", 60, 5400), ("1:30", 60, 5400), ("1 h 30 min", 1, 5400), ("40", 60, 144_000)],
    )
    def test_a_bare_number_is_in_the_columns_unit(self, text, each, seconds):
        assert read_seconds(text, minutes_each=each, decimal_comma=False) == seconds

    def test_a_comma_may_be_decimal(self):
        assert read_seconds("1,5", minutes_each=60, decimal_comma=True) == 5400

    @pytest.mark.parametrize("text", ["all day", "1e9"])
    def test_no_time_is_refused(self, text):
        with pytest.raises(BadInput):
            read_seconds(text, minutes_each=1, decimal_comma=False)


class TestUnits:
    @pytest.mark.parametrize(
        ("text", "book", "factor"),
        [
            ("ft", "ft", 1),
            ("Feet", "ft", 1),
            # The foot is 0.3048 m exactly (international yard and pound agreement, 1959).
            ("m", "ft", 1 / 0.3048),
            ("mm", "ft", 1 / 304.8),
            ("in.", "ft", 1 / 12),
            ("sq ft", "ft2", 1),
            ("m²", "ft2", 1 / 0.3048**2),
            ("m2", "ft2·coat", 1 / 0.3048**2),
            ("ft2·coats", "ft2·coat", 1),
            ("min", "h", 1 / 60),
            ("holes", "hole", 1),
            ("pcs", "hole", 1),
            ("glueups", "glue-up", 1),
        ],
    )
    def test_known_units_are_brought_to_the_books(self, text, book, factor):
        assert read_unit(text, book).factor == pytest.approx(factor, rel=1e-12)

    @pytest.mark.parametrize(("text", "book"), [("boards", "ft"), ("m2", "ft"), ("box", "plug"), ("kg", "ft2")])
    def test_others_are_not(self, text, book):
        assert read_unit(text, book) is None

    def test_every_unit_that_is_offered_is_taken(self):
        for book in ("ft", "ft2", "ft2·grit", "h", "hole"):
            for word in units_of(book):
                assert read_unit(word, book) is not None
