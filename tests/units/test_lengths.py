from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal import units
from journal.errors import BadInput
from tests.strategies import lengths_in_64ths, lengths_in_hundredths_mm, typed_text

INCH, METRIC = units.System.INCH, units.System.METRIC

ACCEPTED = [
    ("76", 76),
    ("76 1/2", 76.5),
    ("76.5 in", 76.5),
    (".5", 0.5),
    ("0,5", 0.5),
    ("1,25 in", 1.25),
    ("1-1/4", 1.25),
    ('1-1/4"', 1.25),
    ("1¼", 1.25),
    ("1 ¼", 1.25),
    ("1-¼", 1.25),
    ("½", 0.5),
    ("⅞ in", 0.875),
    ("3 / 4", 0.75),
    ("11⁄4", 2.75),
    ("1 1⁄4", 1.25),
    ("5/4", 1.25),
    ("1.5 IN", 1.5),
    ("12 inches", 12),
    ("1 inch", 1),
    ("1 in.", 1),
    ("96''", 96),
    ("96″", 96),
    ("96”", 96),
    ("96′′", 96),
    ("8 ft", 96),
    ("8ft.", 96),
    ("8 Feet", 96),
    ("1 foot", 12),
    ("6.5 ft", 78),
    ("8 1/2 ft", 102),
    ("8′", 96),
    ("8’", 96),
    ("6' 4 1/2\"", 76.5),
    ("6' 4 1/2", 76.5),
    ("6'4½", 76.5),
    ("6' 4.5''", 76.5),
    ("6'-4½\"", 76.5),
    ("6′ 4½″", 76.5),
    ("6’ 4½”", 76.5),
    ("6 ft 4 1/2 in", 76.5),
    ("6ft4½in", 76.5),
    ("6 feet 4 inches", 76),
    ("6' 0\"", 72),
    ("6' 11 63/64\"", Fraction(84) - Fraction(1, 64)),
    ("7' 6-1/2\"", 90.5),
    ("76\u00a01/2", 76.5),
    ("76\u202f1/2", 76.5),
    ("1\u20111/2", 1.5),
    ("1–1/2", 1.5),
    ("  76  1/2  ", 76.5),
    ("1⅓ ft", 16),
    ("\uff17\uff16", 76),
    ("1,234.5 in", 1234.5),
    ("1.234,5 in", 1234.5),
    ("1234,567 in", "1234.567"),
    ("0,125 in", 0.125),
    ("1.234 in", "1.234"),
]

ACCEPTED_MM = [
    ("1943 mm", 1943),
    ("1943mm", 1943),
    ("38,1 mm", "38.1"),
    ("0,500 mm", "0.5"),
    ("194.3 cm", 1943),
    ("1.943 m", 1943),
    ("1,943 m", 1943),
    ("1.943 M", 1943),
    ("2 metres", 2000),
    ("2 meters", 2000),
    ("1 millimetre", 1),
    ("20 millimeters", 20),
    ("20 Centimetres", 200),
    ("1/2 m", 500),
    ("1000 m", 1_000_000),
    ("0.0000005 mm", "0.000001"),
]

# What was typed, and a piece of the answer: the message must tell what is wrong, not only that it is.
REFUSED = [
    ("", "nothing"),
    ("   ", "nothing"),
    ("\u200b", "nothing"),
    ("-1/2", "without a sign"),
    ("−1/2", "without a sign"),
    ("-½", "without a sign"),
    ("+5", "without a sign"),
    ("1/0", "divide by zero"),
    ("1 1/0", "divide by zero"),
    ("7 6", "between two"),
    ("3//4", "76 1/2"),
    ("1/2/3", "76 1/2"),
    ("1,234 mm", "1234 (thousands) or 1.234 (decimal)"),
    ("1,234", "1234 (thousands) or 1.234 (decimal)"),
    ("12,345 ft", "12345 (thousands) or 12.345 (decimal)"),
    ("1.5.5", "76 1/2"),
    ("1.", "76 1/2"),
    (".", "76 1/2"),
    ("1e3", "76 1/2"),
    ("nan", "76 1/2"),
    ("inf", "76 1/2"),
    ("=1+1", "76 1/2"),
    ("=A1", "76 1/2"),
    ("12 kg", "not “kg”"),
    ("12 inc", "not “inc”"),
    ("5' 14\"", "less than 12 inches"),
    ("5' 12", "less than 12 inches"),
    ("1 5/4", "smaller than one"),
    ("1 4/4", "smaller than one"),
    ("1.5 1/2", "76 1/2"),
    ("1 - 1/2", "76 1/2"),
    ("6.5' 3\"", "feet and inches"),
    ("1 m 3 in", "feet and inches"),
    ("6 ft 40 mm", "feet and inches"),
    ("6 in 3 ft", "feet and inches"),
    ("1 m 20 cm", "feet and inches"),
    ("7\" 6'", "feet and inches"),
    ("7''6", "feet and inches"),
    ("in", "76 1/2"),
    ("½½", "76 1/2"),
    ("1½2", "76 1/2"),
    ("2²", "76 1/2"),
    ("٣", "76 1/2"),
    ("１２ ½ ３", "76 1/2"),
    ("1001 m", "1000 m"),
    ("9" * 50, "1000 m"),
    ("0", "more than zero"),
    ("0/4", "more than zero"),
    ("0.0000001 mm", "more than zero"),
    ("<b>5</b>", "76 1/2"),
    ("5\x00", "76 1/2"),
    ("\ud800", "76 1/2"),
]


@pytest.mark.parametrize(("text", "inches"), ACCEPTED)
def test_reads_inches_and_feet_as_a_shop_writes_them(text, inches):
    assert units.parse_length(text) == Fraction(inches) * units.NM_PER_INCH


@pytest.mark.parametrize(("text", "mm"), ACCEPTED_MM)
def test_reads_metric_lengths_in_either_system(text, mm):
    for system in units.System:
        assert units.parse_length(text, system=system) == Fraction(mm) * units.NM_PER_MM


@pytest.mark.parametrize(("text", "hint"), REFUSED)
def test_refuses_what_has_no_one_meaning_and_says_why(text, hint):
    with pytest.raises(BadInput) as refusal:
        units.parse_length(text, field="length of leg")
    assert hint in str(refusal.value)
    assert str(refusal.value).startswith("length of leg: read ")


def test_a_bare_number_has_the_unit_of_the_shop():
    assert units.parse_length("1943", system=METRIC) == 1943 * units.NM_PER_MM
    assert units.parse_length("76.5", system=INCH) == units.inches(76.5)


@pytest.mark.parametrize("text", ["1 1/2", "½", "3/4"])
def test_a_metric_shop_must_say_what_a_bare_fraction_is_of(text):
    with pytest.raises(BadInput, match="a unit after a fraction"):
        units.parse_length(text, system=METRIC)


def test_zero_is_taken_only_where_it_is_allowed():
    assert units.parse_length("0", allow_zero=True) == 0
    assert units.parse_length("0 mm", allow_zero=True) == 0


@pytest.mark.parametrize("value", [None, 5, 1.5, b"5", ["5"]])
def test_refuses_what_is_not_text(value):
    with pytest.raises(BadInput):
        units.parse_length(value)


@pytest.mark.parametrize("piece", ["1", " ", "1 ", "'", "½", "1/", "1,", ".", "-", "a"])
def test_a_megabyte_is_refused_at_once_and_not_repeated_back(piece):
    with pytest.raises(BadInput, match="at most 60 characters") as refusal:
        units.parse_length(piece * 10_000_000)
    assert len(str(refusal.value)) < 400


@given(typed_text())
def test_any_text_gives_a_length_or_a_refusal(text):
    for system in units.System:
        try:
            length_nm = units.parse_length(text, system=system)
        except BadInput:
            continue
        assert 0 < length_nm <= units.MAX_LENGTH_NM


@given(lengths_in_64ths(), st.booleans(), st.booleans())
def test_inches_read_back_as_they_were_written(length_nm, feet, unit):
    text = units.format_length(length_nm, denominator=64, feet=feet, unit=unit)
    assert units.parse_length(text) == length_nm


@given(lengths_in_hundredths_mm(), st.booleans())
def test_millimetres_read_back_as_they_were_written(length_nm, unit):
    text = units.format_length(length_nm, METRIC, unit=unit)
    assert units.parse_length(text, system=METRIC) == length_nm


@given(lengths_in_hundredths_mm(), st.sampled_from([1, 2, 4, 8, 16, 32, 64]))
def test_what_is_shown_is_the_nearest_fraction_of_the_asked_fineness(length_nm, denominator):
    shown_nm = units.parse_length(units.format_length(length_nm, denominator=denominator), allow_zero=True)
    assert abs(shown_nm - length_nm) * 2 * denominator <= units.NM_PER_INCH


@pytest.mark.parametrize(
    ("inches", "shown"),
    [
        ("0", "0 in"),
        ("1/2", "½ in"),
        ("1 1/2", "1½ in"),
        ("1 7/16", "1 7/16 in"),
        ("7/16", "7/16 in"),
        ("1 3/8", "1⅜ in"),
        ("1 1/32", "1 1/16 in"),
        ("1.03", "1 in"),
        ("15.99", "16 in"),
        ("96", "96 in"),
        ("1234.5", "1234½ in"),
    ],
)
def test_inches_are_shown_in_reduced_fractions_to_a_sixteenth(inches, shown):
    assert units.format_length(units.inches(inches)) == shown


@pytest.mark.parametrize(
    ("inches", "shown"),
    [("76 1/2", "6 ft 4½ in"), ("96", "8 ft"), ("11 1/2", "11½ in"), ("0", "0 in"), ("95.99", "8 ft")],
)
def test_feet_are_shown_apart_when_asked(inches, shown):
    assert units.format_length(units.inches(inches), feet=True) == shown


@pytest.mark.parametrize(
    ("mm", "shown"),
    [(1943, "1943 mm"), ("38.1", "38.1 mm"), ("0.396875", "0.4 mm"), ("19.055", "19.06 mm"), (0, "0 mm")],
)
def test_millimetres_are_shown_to_a_hundredth_without_idle_zeros(mm, shown):
    assert units.format_length(units.mm(mm), METRIC) == shown


def test_a_difference_has_a_minus_and_mirrors_its_opposite():
    assert units.format_length(-units.inches("1 1/2")) == "−1½ in"
    assert units.format_length(-units.inches("1 1/32")) == "−1 1/16 in"
    assert units.format_length(-units.mm(12), METRIC) == "−12 mm"


@pytest.mark.parametrize("denominator", [0, -16, 2000])
def test_refuses_an_absurd_fineness(denominator):
    with pytest.raises(BadInput, match="denominator"):
        units.format_length(units.inches(1), denominator=denominator)


def test_the_unit_can_be_left_to_a_heading():
    assert units.format_length(units.inches("1 1/2"), unit=False) == "1½"
    assert units.format_length(units.mm("38.1"), METRIC, unit=False) == "38.1"


@pytest.mark.parametrize(("text", "inches"), [("4/4", 1), ("5/4", "1.25"), ("8/4", 2), (" 12 / 4 ", 3), ("8⁄4", 2)])
def test_quarters_are_a_rough_thickness(text, inches):
    assert units.parse_quarter(text) == units.inches(inches)


@pytest.mark.parametrize("text", ["", "8", "2/4", "33/4", "8/3", "8/4 in", "-8/4", "2 in", "8/4/4", "1 1/4"])
def test_refuses_other_thicknesses_than_quarters(text):
    with pytest.raises(BadInput, match="quarters of an inch"):
        units.parse_quarter(text)


@pytest.mark.parametrize("value", [1.5, "1.5", "1 1/2", "1½", Fraction(3, 2), np.float64(1.5)])
def test_inches_are_exact_from_any_kind_of_number(value):
    assert units.inches(value) == 38_100_000


def test_a_float_is_the_decimal_it_prints_as():
    assert units.mm(0.1) == 100_000
    assert units.mm(38.1) == units.inches(1.5)
    assert units.feet(np.int64(8)) == units.inches(96)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), None, "five", np.nan])
def test_refuses_what_is_no_number(value):
    with pytest.raises(BadInput):
        units.inches(value)


@given(lengths_in_64ths())
def test_the_three_ways_out_agree(length_nm):
    assert units.inches(units.to_inches(length_nm)) == length_nm
    assert units.to_feet(length_nm) * 12 == pytest.approx(float(units.to_inches(length_nm)))
    assert units.to_mm(length_nm) == pytest.approx(float(units.to_inches(length_nm)) * 25.4)
