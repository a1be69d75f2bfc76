"""Board-foot tallies against worked examples and a table printed elsewhere."""

import csv
from decimal import Decimal
from pathlib import Path

import pytest
from journal import units
from journal.build import tally
from journal.build.tally import Sawn

DATA = Path(__file__).parent / "data"

# Surface measure of single boards: worked examples on the pages of a hardwood association and two dealers that give the
# hardwood grading rules (width with fractions × whole feet ÷ 12, to the nearest whole number). The rule book itself was
# not seen.
WORKED = [
    ("6 1/4", "8", 4),  # 4 1/6
    ("6 1/2", "8", 4),  # 4 1/3
    ("8", "12", 8),
    ("10", "13", 11),  # 10 10/12
]


@pytest.mark.parametrize(("width", "feet", "measure"), WORKED)
def test_worked_surface_measures(width, feet, measure):
    assert tally.surface_measure(units.inches(width), units.feet(feet)) == measure


def test_the_worked_eight_quarter_board_is_eight_by_tally_and_a_third_more_by_volume():
    # The same pages: 2 in × 6¼ in × 8 ft is 8 board feet tallied, 8 1/3 unrounded.
    found = tally.hardwood(units.inches(2), [Sawn(units.inches("6 1/4"), units.feet(8))])
    assert found.board_feet == 8
    assert found.exact_board_feet == pytest.approx(8 + 1 / 3, abs=1e-12)


def test_a_length_is_cut_down_to_the_whole_foot():
    # The same pages: a board of 8½ ft is tallied as 8 ft.
    assert tally.surface_measure(units.inches(5), units.feet("8.5")) == tally.surface_measure(
        units.inches(5), units.feet(8)
    )


def test_a_dealers_board():
    # A hardwood dealer's page: 1 in × 6 in × 96 in is 4 board feet.
    assert tally.hardwood(units.inches(1), [Sawn(units.inches(6), units.inches(96))]).board_feet == 4
    assert tally.softwood(units.inches(1), units.inches(6), units.inches(96)) == 4


def rows():
    lines = [
        line for line in (DATA / "board_feet.csv").read_text(encoding="utf-8").splitlines() if not line.startswith("#")
    ]
    return list(csv.DictReader(lines))


@pytest.mark.parametrize("row", rows(), ids=lambda row: f"{row['width_in']}x{row['length_ft']}")
def test_printed_table_of_nominal_widths(row):
    # Its first line names the table's source.
    feet = tally.softwood(units.inches(1), units.inches(row["width_in"]), units.feet(row["length_ft"]))
    assert Decimal(f"{feet:.2f}") == pytest.approx(Decimal(row["board_feet"]), abs=Decimal("0.005"))


def test_hardwood_and_softwood_are_counted_differently():
    # A table that both ways agreed on everywhere would prove nothing: 1 in × 10 in × 8 ft is 6.67 and 7.
    printed = next(row for row in rows() if (row["width_in"], row["length_ft"]) == ("10", "8"))
    by_tally = tally.hardwood(units.inches(1), [Sawn(units.inches(10), units.feet(8))]).board_feet
    assert Decimal(printed["board_feet"]) != by_tally
