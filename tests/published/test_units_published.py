"""Units and rounding against sources outside this project; each table's first line names its source."""

import csv
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pint
import pytest
from journal import units
from journal.errors import BadInput

DATA = Path(__file__).parent / "data"
# An independent table of units with its own definitions.
PINT = pint.UnitRegistry(non_int_type=Fraction)


def rows(name):
    lines = [line for line in (DATA / name).read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


@pytest.mark.parametrize("row", rows("length_notation.csv"), ids=lambda row: row["text"])
def test_length_notation(row):
    length_nm = units.parse_length(row["text"])
    assert units.to_inches(length_nm) == Fraction(row["inches_exact_fraction"])
    assert length_nm == Decimal(row["mm_exact_decimal"]) * units.NM_PER_MM
    assert float(units.to_inches(length_nm)) == pytest.approx(float(row["inches_decimal"]), abs=5e-7)


@pytest.mark.parametrize("row", rows("cent_rounding.csv"), ids=lambda row: row["value"])
def test_cent_rounding(row):
    cents = units.round_half_up(Decimal(row["value"]) * 100)
    assert cents == Decimal(row["half_up"]) * 100


def test_the_rounding_table_tells_half_up_from_its_rivals():
    # The other two columns are what a wrong rule would give; a table that never differs would prove nothing.
    table = rows("cent_rounding.csv")
    assert any(row["half_up"] != row["half_even"] for row in table)
    assert any(Decimal(row["half_up"]) != Decimal(row["binary_float_round_2"]) for row in table)
    assert all(Decimal(repr(round(float(row["value"]), 2))) == Decimal(row["binary_float_round_2"]) for row in table)


def test_sales_tax_half_cent_rule():
    # Streamlined Sales and Use Tax Agreement sec. 324: third decimal greater than four goes up.
    # Printed illustration (legalclarity.org): 10.99 at 6.25% is 0.686875, charged as 0.69.
    assert units.percent_of(1099, Decimal("0.0625")) == 69


def test_tax_by_line_and_by_invoice_differ_by_a_cent():
    # The same agreement lets the seller choose: ten lines of 1.29 at 6.25%, worked by hand from the rule.
    rate = Decimal("0.0625")
    assert sum(units.percent_of(129, rate) for _ in range(10)) == 80
    assert units.percent_of(10 * 129, rate) == 81


@pytest.mark.parametrize(
    ("text", "mm"),
    [("1/8", "3.175"), ("7 ft 3/8 in", "2143.125"), ("5-1/2 in", "139.7"), ("96 in", "2438.4"), ("1/64", "0.396875")],
)
def test_examples_agree_with_a_public_unit_program(text, mm):
    # 1/8 in and 7 ft 3/8 in as GNU units 2.22 prints them; the others exact from 25.4 mm an inch.
    assert units.parse_length(text) == units.mm(mm)


def test_a_metric_bench_length_to_the_nearest_sixteenth():
    # 2.4 m = 94.488189 in, to a sixteenth 94 1/2: exact arithmetic from 25.4 mm an inch.
    assert units.format_length(units.parse_length("2.4 m")) == "94½ in"


def test_every_64th_to_20_feet_reads_back():
    for parts in range(1, 240 * 64 + 1):
        length_nm = parts * units.NM_PER_INCH // 64
        assert units.parse_length(units.format_length(length_nm, denominator=64)) == length_nm


@pytest.mark.parametrize("text", ["-1/2", "1/0", "7 6", "3//4"])
def test_notation_that_must_be_refused(text):
    with pytest.raises(BadInput):
        units.parse_length(text)


@pytest.mark.parametrize(
    ("ours", "unit", "in_unit"),
    [
        (units.NM_PER_INCH, "inch", "nanometer"),
        (units.NM_PER_FOOT, "foot", "nanometer"),
        (units.NM_PER_METRE, "meter", "nanometer"),
        (units.NM2_PER_SQUARE_FOOT, "square_foot", "nanometer ** 2"),
        (units.NM3_PER_BOARD_FOOT, "board_foot", "nanometer ** 3"),
        (units.NM3_PER_CUBIC_METRE, "meter ** 3", "nanometer ** 3"),
        (units.ML_PER_GALLON, "gallon", "milliliter"),
        (units.ML_PER_QUART, "quart", "milliliter"),
        (units.ML_PER_FLUID_OUNCE, "fluid_ounce", "milliliter"),
        (units.KG_PER_POUND, "pound", "kilogram"),
    ],
)
def test_constants_agree_with_an_independent_unit_table(ours, unit, in_unit):
    theirs = PINT.Quantity(Fraction(1), unit).to(in_unit).magnitude
    if isinstance(ours, int):
        assert ours == theirs
    else:
        assert ours == pytest.approx(float(theirs), rel=1e-15)


@pytest.mark.parametrize(("thickness", "width", "length_ft"), [("1", "6", 8), ("8/4", "12", 10), ("5/4", "7 1/2", 12)])
def test_board_feet_agree_with_an_independent_unit_table(thickness, width, length_ft):
    thickness_nm = units.parse_quarter(thickness) if "/4" in thickness else units.parse_length(thickness)
    volume_nm3 = thickness_nm * units.parse_length(width) * units.feet(length_ft)
    theirs = (
        PINT.Quantity(units.to_inches(thickness_nm), "inch")
        * PINT.Quantity(units.to_inches(units.parse_length(width)), "inch")
        * PINT.Quantity(length_ft, "foot")
    )
    assert units.board_feet(volume_nm3) == pytest.approx(float(theirs.to("board_foot").magnitude))
