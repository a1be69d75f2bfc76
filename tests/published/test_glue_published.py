"""Glue, clamps and knives against what is published."""

import pytest
from journal import reference, units
from journal.build.clamping_rules import closed_minutes_left
from journal.build.milling import mill
from journal.build.parts import Along, Part
from journal.build.pressure import clamps_for, pressure_psi, published
from journal.build.routes import knife_marks_per_inch
from journal.units import NM_PER_INCH as IN
from tests.build.benches import BOOK, MILLING


@pytest.mark.parametrize(("pounds", "clamps", "printed"), [(370, 935, 934), (1050, 330, 329), (1350, 256, 256)])
def test_clamps_for_a_maple_beam(pounds, clamps, printed):
    # Worked in print from a university's figures: 3 × 96 in at 1,200 psi is 345,600 lb; the printed counts are rounded down.
    assert clamps_for(1200, 3 * IN, 96 * IN, pounds) == clamps
    assert 0 <= clamps - printed <= 1


def test_pressure_is_the_inverse_of_the_count():
    # The same arithmetic: 345,600 lb over 288 in2 is 1,200 psi; one clamp of 1,000 lb on 7 × 3 in gives 47.6 psi.
    assert clamps_for(1200, 3 * IN, 96 * IN, 345_600) == 1
    assert pressure_psi(1000, 7 * IN, 3 * IN) == pytest.approx(47.62, abs=0.005)


@pytest.mark.parametrize(
    ("wood", "low", "high"), [("white fir", 100, 150), ("red maple", 150, 200), ("sugar maple", 200, 300)]
)
def test_pressures_asked_for(wood, low, high):
    # A glue maker's general guide: softwoods 100-150 psi, medium woods 150-200, hardwoods 200-300.
    found = published(reference.species(wood).sg_12)
    assert (found.low_psi, found.high_psi) == (low, high)


def test_a_third_of_the_open_time_leaves_two_thirds_of_the_closed():
    # Wood-aircraft construction manual, adhesive appendix, Table 3: 10 min open and 60 closed at 70 °F.
    assert closed_minutes_left(10, 60, 10 / 3) == pytest.approx(40)
    assert closed_minutes_left(10, 60, 0) == 60
    assert closed_minutes_left(10, 60, 10) == 0


@pytest.mark.parametrize(
    ("temp_f", "open_minutes", "closed_minutes"), [(70, 10, 60), (80, 5, 45), (90, 1, 30), (100, 0, 15)]
)
def test_assembly_times_of_resin_by_temperature(temp_f, open_minutes, closed_minutes):
    # The same table.
    glue = reference.adhesives()["plastic_resin"]
    open_share, total_share = reference.assembly_shares(glue.warmth_curve, temp_f)
    assert glue.open_minutes_70f * open_share == pytest.approx(open_minutes)
    assert glue.total_minutes_70f * total_share == pytest.approx(closed_minutes)


@pytest.mark.parametrize(
    ("rpm", "knives", "fpm", "marks"),
    [(5000, 3, 16, 78.1), (5000, 3, 20, 62.5), (5000, 3, 30, 41.7), (8000, 2, 26, 51.3)],
)
def test_knife_marks_an_inch(rpm, knives, fpm, marks):
    # A woodworking trade magazine, “Knife marks per inch”: rpm × knives / (feet a minute × 12), worked by hand.
    assert knife_marks_per_inch(rpm, knives, fpm) == pytest.approx(marks, abs=0.05)


def test_three_dressed_two_bys_make_a_leg_of_three_and_three_quarters():
    # Common practice: 1 1/2 in, flattened to 1 1/4 to 1 3/8, three of them.
    leg = Part("leg", 4, units.inches("3 3/4"), 3 * IN, 34 * IN, "2x8 Douglas-fir", strips=0, along=Along.THICKNESS)
    milled = mill(leg, BOOK, MILLING)
    assert milled.strips == 3
    assert units.inches("1 1/4") <= milled.milled_thickness_nm <= units.inches("1 3/8")
