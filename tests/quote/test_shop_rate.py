"""What an hour must bring: the worked example, workings that add up, years that make no sense."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal import units
from journal.errors import BadInput
from journal.quote.shop_rate import Kind, Overhead, Year, billable_share, looks_like_machine, shop_rate

USD = units.currency("USD")
RENT = Overhead("Rent", Kind.FIXED, 100_000, 12)
INSURANCE = Overhead("Insurance", Kind.ADMINISTRATIVE, 235_200)
YEAR = Year(1, 5_200_000, Fraction(46), Fraction(40), Fraction(65, 100), (RENT, INSURANCE))

overheads = st.builds(
    Overhead,
    st.sampled_from(["Rent", "Heat", "Van"]),
    st.sampled_from(list(Kind)),
    st.integers(0, 10_000_000),
    st.sampled_from([1, 4, 12]),
)
years = st.builds(
    Year,
    st.integers(1, 20),
    st.integers(0, 20_000_000),
    st.fractions(Fraction(1, 2), 52),
    st.fractions(Fraction(1, 2), 168),
    st.fractions(Fraction(1, 100), 1),
    st.lists(overheads, max_size=6).map(tuple),
)


def test_the_example_worked_by_hand():
    found = shop_rate(YEAR, USD)
    # 46 × 40 × 65% = 1,196 h; 52,000 ÷ 1,196 = 43.48; (12,000 + 2,352) ÷ 1,196 = 12.00
    assert YEAR.hours_billable == 1_196
    assert (found.wage_cents_per_hour, found.overhead_cents_per_hour, found.line.value) == (4_348, 1_200, 5_548)


def test_every_number_of_the_year_stands_in_a_working():
    said = " ".join(line.working for line in shop_rate(YEAR, USD).line.walk())
    for number in ("$52,000.00", "46 weeks", "40 h", "65%", "1,840 h", "1,196 h", "$1,000.00 a month", "$14,352.00"):
        assert number in said


@given(years)
def test_the_lines_add_up_to_the_rate_whatever_the_year(year):
    line = shop_rate(year, USD).line
    wage, overhead = line.parts
    assert line.value == wage.value + overhead.value
    assert sum(part.value for part in overhead.parts) == (overhead.value if overhead.parts else 0)


@given(years)
def test_the_rate_brings_the_year_to_within_the_rounding(year):
    found = shop_rate(year, USD)
    wanted = year.people * year.income_cents + sum(one.cents_a_year for one in year.overheads)
    assert abs(found.line.value * year.hours_billable - wanted) <= year.hours_billable  # a cent an hour, both halves


@given(years, st.fractions(Fraction(1, 100), 1))
def test_fewer_billable_hours_never_make_an_hour_cheaper(year, share):
    fewer = replace(year, billable=year.billable * share)
    assert shop_rate(fewer, USD).line.value >= shop_rate(year, USD).line.value


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"billable": Fraction(0)}, "billable share"),
        ({"billable": Fraction(13, 10)}, "billable share"),
        ({"billable": Fraction(-1, 10)}, "billable share"),
        ({"weeks": Fraction(0)}, "weeks"),
        ({"weeks": Fraction(53)}, "weeks"),
        ({"hours_a_week": Fraction(0)}, "hours a week"),
        ({"hours_a_week": Fraction(169)}, "hours a week"),
        ({"income_cents": -1}, "income"),
        ({"people": 0}, "people"),
        ({"overheads": (RENT,) * 61}, "overheads"),
    ],
)
def test_a_year_that_makes_no_sense_is_refused_by_its_field(changed, field):
    with pytest.raises(BadInput) as refused:
        replace(YEAR, **changed)
    assert refused.value.field == field


@pytest.mark.parametrize("changed", [{"name": " "}, {"cents": -1}, {"times_a_year": 2}])
def test_an_overhead_that_makes_no_sense_is_refused(changed):
    with pytest.raises(BadInput):
        replace(RENT, **changed)


def test_a_year_for_nothing_costs_nothing():
    free = replace(YEAR, income_cents=0, overheads=(Overhead("Rent", Kind.FIXED, 0),))
    assert shop_rate(free, USD).line.value == 0


def test_the_logs_say_how_much_of_the_year_was_billable():
    # 46 × 40 = 1,840 h a year; half a year of it is 920 h, of which 460 were logged on projects.
    assert billable_share(460, YEAR, 0.5) == pytest.approx(0.5)
    with pytest.raises(BadInput):
        billable_share(460, YEAR, 0)


@pytest.mark.parametrize(
    "name", ["Depreciation of machines", "Electricity", "New blades", "Power", "Knives and sharpening", "EQUIPMENT"]
)
def test_an_overhead_that_machines_pay_by_the_hour_is_noticed(name):
    assert looks_like_machine([RENT, Overhead(name, Kind.FIXED, 100)]) == (name,)


def test_other_overheads_and_those_of_nothing_are_not_suspected():
    innocent = ["Rent", "Insurance", "Accounts", "Powder room", "Van", "Small tools"]
    named = [Overhead(name, Kind.FIXED, 100) for name in innocent]
    assert looks_like_machine([*named, Overhead("Electricity", Kind.FIXED, 0)]) == ()
