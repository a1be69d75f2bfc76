"""Boards, strips, glue, finish, weight and price against printed figures; each test names its source.

'Common practice' marks a fact of the trade without a published source; shop settings are then the starting ones.
"""

import csv
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from journal import reference, units
from journal.build.finishing import theoretical_coverage_ft2_gal
from journal.build.gluing import GlueRules, GlueUp, glue_needed, glue_ups, square_feet_of
from journal.build.milling import mill, strips_per_segment
from journal.build.parts import Along, Part
from journal.build.stock import Dimensional, Offer, Sheet, StockBook
from journal.build.wood import density_kg_m3, weight_kg
from journal.desk.shop import Work, start_shop
from journal.errors import NoSolution
from journal.quote.risk import markup_of, price_for
from journal.quote.takeoff import take_off

DATA = Path(__file__).parent / "data"
IN = units.NM_PER_INCH
KG_M3_PER_LB_FT3 = 16.01846337  # a units database
RULES = start_shop().rules(Work())
MILLING = RULES.milling


def rows(name):
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        assert file.readline().startswith("# ")
        return list(csv.DictReader(file))


def dressed(nominal, species="loblolly pine", length_ft=8):
    thickness, width = nominal.split("x")
    dry = reference.dressed(thickness, width)
    return Dimensional(
        code=nominal,
        species=species,
        nominal=nominal,
        thickness_nm=dry[0],
        width_nm=dry[1],
        nominal_thickness_nm=units.inches(thickness),
        nominal_width_nm=units.inches(width),
        offers=(Offer(1000, None, units.feet(length_ft)),),
    )


def part(thickness, width, length, **fields):
    sizes = (units.inches(size) for size in (thickness, width, length))
    return Part("part", fields.pop("quantity", 1), *sizes, **fields)


# Boards and strips


@pytest.mark.parametrize("length_ft", [1, 2, 3, 4, 5, 6, 7, 8])
def test_a_dressed_2_by_milled_flat_leaves_1_1_4_to_1_3_8_in(length_ft):
    # Common practice, for boards to 8 ft, at the starting settings.
    thickness_nm, _ = reference.dressed("2", "8")
    left_nm = thickness_nm - MILLING.thickness_allowance_nm(units.feet(length_ft))
    assert units.inches("1 1/4") <= left_nm <= units.inches("1 3/8")


def test_2_to_3_in_of_extra_length_covers_snipe():
    # Common practice; the starting setting is within it, and a cut segment is that much longer than its longest strip.
    assert 2 * IN <= MILLING.segment_extra_nm <= 3 * IN
    taken = take_off(
        (part("1 1/4", "3", "60"),), StockBook((dressed("2x4"),), "loblolly pine"), replace(RULES, reject_dimensional=0)
    )
    (segment,) = taken.bills[0].cutting.plan.boards[0].segments
    assert 62 * IN <= segment.length <= 63 * IN


def test_a_2x8_ripped_in_two_gives_strips_of_about_3_1_2_in_and_3_1_4_finished():
    # Common practice: two strips of about 3 1/2 in as ripped, two of 3 1/4 in once edges and slab are cleaned up.
    _, width_nm = reference.dressed("2", "8")
    assert strips_per_segment(width_nm, units.inches("3 1/4"), MILLING) == 2
    assert strips_per_segment(width_nm, units.inches("3 3/8"), MILLING) == 1
    ripped_nm = MILLING.strip_width_nm(units.inches("3 1/4"), glued=True)
    assert abs(ripped_nm - units.inches("3 1/2")) <= units.inches("1/8")


@pytest.mark.parametrize(("size", "strips"), [("4", 1), ("6", 1), ("8", 2), ("10", 3), ("12", 3)])
def test_strips_2_1_2_in_finished_from_a_segment_of_five_sizes(size, strips):
    # By hand with settings of common practice: (W - 1/4 + 1/8) / (2 1/2 + 1/16 + 1/8 + 1/8), W dressed by PS 20:
    # 3.375, 5.375, 7.125, 9.125 and 11.125 over 2.8125 give 1.20, 1.91, 2.53, 3.24 and 3.96.
    _, width_nm = reference.dressed("2", size)
    assert strips_per_segment(width_nm, units.inches("2 1/2"), MILLING) == strips


def test_three_dressed_2_bys_make_a_leg_of_about_3_3_4_in():
    # Common practice: flattened and laminated, three make about 3 3/4 in and never 4.
    book = StockBook((dressed("2x4"),), "loblolly pine")
    leg = part("3 3/4", "2 3/4", "34", strips=3, along=Along.THICKNESS)
    assert mill(leg, book, MILLING).strips == 3
    assert mill(replace(leg, strips=0), book, MILLING).strips == 3
    with pytest.raises(NoSolution, match="4 strips"):
        mill(replace(leg, thickness_nm=units.inches("4")), book, MILLING)


@pytest.mark.parametrize("row", rows("board_feet.csv"), ids=lambda row: f"{row['width_in']}x{row['length_ft']}")
def test_board_feet_of_a_one_inch_board(row):
    # A sawyers' lumber dimension chart, 42 cells to two decimals.
    volume = IN * units.inches(row["width_in"]) * units.feet(row["length_ft"])
    assert round(units.board_feet(volume) + 1e-9, 2) == float(row["board_feet"])


@pytest.mark.parametrize(
    ("nominal", "length_ft", "board_feet"),
    [
        ("2x4", 8, Fraction(16, 3)),
        ("2x12", 16, 32),
        ("4x4", 8, Fraction(32, 3)),
        ("1x6", 8, 4),
    ],
)
def test_softwood_is_tallied_on_its_nominal_size(nominal, length_ft, board_feet):
    # A board foot is 144 in3 (two units databases); a 1x6 of 96 in is printed as 4 by a hardwood dealer; that softwood
    # is tallied on its nominal size is common practice.
    book = StockBook((dressed(nominal, length_ft=length_ft),), "loblolly pine")
    taken = take_off((part("1/4", "2", "60"),), book, replace(RULES, reject_dimensional=0))
    assert taken.bills[0].board_feet == pytest.approx(float(board_feet))


# Weight


def test_density_of_the_worked_answer():
    # A forestry extension page on the handbook's chapter 4: G 0.4 at 12% is 448 kg/m3 or 27.968 lb/ft3.
    assert density_kg_m3(0.40, 12) == pytest.approx(448.0)
    assert density_kg_m3(0.40, 12) / KG_M3_PER_LB_FT3 == pytest.approx(27.968, abs=0.001)


def test_density_of_longleaf_pine():
    # A lumber dealer prints 41 lb/ft3; Wood Handbook FPL-GTR-190 for the formula, G 0.59 from memory, verify.
    assert density_kg_m3(0.59, 12) / KG_M3_PER_LB_FT3 == pytest.approx(41, abs=0.5)


@pytest.mark.parametrize(
    ("gravity", "kg_m3", "lb_ft3"),
    [
        (0.40, 448.0, 27.97),
        (0.47, 526.4, 32.86),
        (0.51, 571.2, 35.66),
        (0.59, 660.8, 41.25),
        (0.63, 705.6, 44.05),
        (0.68, 761.6, 47.55),
    ],
)
def test_densities_at_12_pct(gravity, kg_m3, lb_ft3):
    # Wood Handbook FPL-GTR-190, chapter 4, rho = 1000 G (1 + M/100), worked by hand for six gravities.
    assert density_kg_m3(gravity, 12) == pytest.approx(kg_m3, abs=0.05)
    assert density_kg_m3(gravity, 12) / KG_M3_PER_LB_FT3 == pytest.approx(lb_ft3, abs=0.01)


def test_weight_of_a_top_of_loblolly_pine():
    # 3 x 24 x 96 in is 4 ft3; G 0.51 (Wood Handbook FPL-GTR-190, Table 5-3a) is 35.66 lb/ft3 at 12%: 142.6 lb.
    top = part("3", "24", "96", strips=0, along=Along.WIDTH)
    milled = mill(top, StockBook((dressed("2x8", length_ft=12),), "loblolly pine"), MILLING)
    assert weight_kg(milled, 12) / units.KG_PER_POUND == pytest.approx(142.6, abs=0.05)


@pytest.mark.parametrize(
    ("nominal", "pounds"),
    [("1x4", 0.64), ("2x4", 1.28), ("2x6", 2.00), ("2x8", 2.64), ("2x12", 4.10), ("4x4", 2.98), ("4x16", 12.98)],
)
def test_weight_of_a_foot_of_lumber_at_35_lb_ft3(nominal, pounds):
    # An engineering handbook's chart of softwood weights at 35 lb/ft3, to its two decimals.
    thickness_nm, width_nm = reference.dressed(*nominal.split("x"))
    stock = Sheet("planks", "planks", thickness_nm, width_nm, units.feet(8), Offer(1), 35 * KG_M3_PER_LB_FT3)
    foot = Part("foot", 1, thickness_nm, width_nm, units.feet(1), stock="planks")
    milled = mill(foot, StockBook((stock,)), MILLING)
    assert weight_kg(milled) / units.KG_PER_POUND == pytest.approx(pounds, abs=0.01)


# Glue and finish

# 1 US gal = 231 in3 exactly; 6 thousandths of an inch wet are 152.4 ml on a square metre.
SIX_MILS = GlueRules(spread_ml_m2=6 * 25.4, waste=1.0, clamp_spacing_nm=7 * IN, joint_area_nm2=0)


@pytest.mark.parametrize(("mils", "gallons_per_1000_ft2"), [(4, 2.494), (5, 3.117), (6, 3.740), (7, 4.364), (8, 4.987)])
def test_glue_by_its_wet_film(mils, gallons_per_1000_ft2):
    # 1 gal at 1 mil wet covers 1604.17 ft2 (a coating association's note; two units databases): area / 1604.17 x mils.
    line = GlueUp("line", 1, 1, units.feet(10), units.feet(100), clamps=0)
    glue = glue_needed([line], 0, replace(SIX_MILS, spread_ml_m2=mils * 25.4))
    assert glue.ml / units.ML_PER_GALLON == pytest.approx(gallons_per_1000_ft2, abs=0.0006)


def test_glue_of_6_mils_over_100_square_feet():
    # The same arithmetic: 100 / 1604.17 x 6 = 0.374 gal.
    line = GlueUp("line", 1, 1, units.feet(10), units.feet(10), clamps=0)
    assert glue_needed([line], 0, SIX_MILS).ml / units.ML_PER_GALLON == pytest.approx(0.374, abs=0.0005)


def test_a_lamination_of_20_boards_has_19_glue_lines():
    # Glue area of n boards is (n - 1) x L x W: 19 x 96 x 4 in = 50.67 ft2, 0.1895 gal at 6 mils.
    top = part("3", "24", "96", strips=0, along=Along.WIDTH)
    milled = mill(top, StockBook((dressed("2x8", length_ft=12),), "loblolly pine"), MILLING)
    twenty = replace(milled, strips=20, sections=1, blank_width_nm=4 * IN, blank_length_nm=96 * IN)
    (up,) = glue_ups([twenty], SIX_MILS)
    assert up.lines == 19
    assert square_feet_of([up]) == pytest.approx(50.67, abs=0.005)
    assert glue_needed([up], 0, SIX_MILS).ml / units.ML_PER_GALLON == pytest.approx(0.1895, abs=0.00005)


def test_the_coverage_table_is_whole():
    assert len(rows("coating_coverage.csv")) == 96


@pytest.mark.parametrize(
    "row", rows("coating_coverage.csv"), ids=lambda row: f"{row['volume_solids_pct']}% {row['dry_mils']} mil"
)
def test_theoretical_coverage_of_a_bulletin(row):
    # A coatings technical bulletin's table of 1604 x solids / mils, to the whole square foot (half a foot of rounding).
    found = theoretical_coverage_ft2_gal(float(row["volume_solids_pct"]) / 100, float(row["dry_mils"]))
    assert found == pytest.approx(float(row["ft2_per_gal"]), abs=0.51)


@pytest.mark.parametrize(("solids", "mils", "printed"), [(0.65, 5, 208.52), (0.35, 2, 281), (1.0, 1, 1604)])
def test_theoretical_coverage_of_worked_examples(solids, mils, printed):
    # Worked examples of several coating bulletins.
    assert theoretical_coverage_ft2_gal(solids, mils) == pytest.approx(printed, abs=0.5 if printed == 281 else 0.005)


def test_1604_is_a_gallon_spread_one_thousandth_of_an_inch_thick():
    # 231 in3 / 0.001 in / 144 = 1604.17 ft2; the bulletins cut it to 1604.
    exact = 231 / 0.001 / 144
    assert theoretical_coverage_ft2_gal(1, 1) == pytest.approx(exact, rel=0.00011)


# Price


@pytest.mark.parametrize(
    ("markup", "margin"),
    [(0.20, 0.16667), (0.25, 0.20), (0.33333, 0.25), (0.50, 0.33333), (0.66667, 0.40), (1.00, 0.50)],
)
def test_margin_and_markup_side_by_side(markup, margin):
    # The usual table of accounting textbooks; margin = markup / (1 + markup), exactly.
    assert markup_of(margin) == pytest.approx(markup, abs=0.00003)


def test_a_quarter_of_the_price_is_not_a_quarter_of_the_cost():
    # Worked by hand from the definitions: cost 800 at 25% markup (a 20% margin) is 1000, at 25% margin 1066.67.
    assert price_for(80_000, 0.20) == 100_000
    assert price_for(80_000, 0.25) == 106_667
