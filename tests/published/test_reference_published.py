"""The reference tables against the standards and handbooks they come from, read from copies of their own."""

import csv
from pathlib import Path

import pytest
from journal import reference
from journal.reference import Mark

DATA = Path(__file__).parent / "data"
NM_PER_INCH = 25_400_000  # 1 in = 25.4 mm exactly
GRAMS_PER_M2_OF_MSGL = 4.8824276  # 1 lb per 1000 ft2 of single glue line; a units database


def rows(name):
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        assert file.readline().startswith("# ")
        return list(csv.DictReader(file))


def nm(inches):
    return float(inches) * NM_PER_INCH


def test_every_dressed_size_of_ps_20_is_in_the_table_and_no_other():
    # American Softwood Lumber Standard PS 20, minimum dressed sizes of boards and dimension, dry and green.
    published = {
        (r["category"], r["dimension"], nm(r["nominal_in"])): (nm(r["dry_in"]), nm(r["green_in"]))
        for r in rows("softwood_dressed.csv")
    }
    ours = {
        (size.category, size.dimension, size.nominal_nm): (size.dry_nm, size.green_nm)
        for size in reference.softwood_sizes()
        if size.category != "timber"
    }
    assert len(published) == 39
    assert ours == published


def test_timbers_follow_the_rule_of_ps_20():
    # PS 20, timbers: nominal 5-6 in lose 1/2 dry and green; 7-15 in 3/4 dry, 1/2 green; 16 in and over 1 dry, 1/2 green.
    timbers = [size for size in reference.softwood_sizes() if size.category == "timber"]
    assert {size.nominal_nm / NM_PER_INCH for size in timbers} == {5, 6, 8, 10, 12, 14, 16}
    for size in timbers:
        nominal_in = size.nominal_nm / NM_PER_INCH
        off_dry_in = 0.5 if nominal_in <= 6 else 0.75 if nominal_in <= 15 else 1
        assert size.nominal_nm - size.dry_nm == nm(off_dry_in)
        assert size.nominal_nm - size.green_nm == nm(0.5)


@pytest.mark.parametrize(
    ("thickness", "width", "dry", "expected_in"),
    [
        ("2", "4", True, (1.5, 3.5)),
        ("2", "6", True, (1.5, 5.5)),
        ("2", "8", False, (1.5625, 7.5)),
        ("1", "12", True, (0.75, 11.25)),
        ("4", "4", True, (3.5, 3.5)),
    ],
)
def test_common_sizes_are_dressed_as_ps_20_says(thickness, width, dry, expected_in):
    # PS 20 minimum dressed sizes.
    assert reference.dressed(thickness, width, dry=dry) == tuple(nm(value) for value in expected_in)


def test_every_quarter_of_hardwood_agrees_with_the_published_dimensions():
    # A published hardwood lumber dimensions page after the grading rules.
    published = {
        r["quarter"]: (nm(r["rough_in"]), nm(r["s1s_in"]), nm(r["s2s_in"])) for r in rows("hardwood_quarters.csv")
    }
    ours = {q: (row.rough_nm, row.s1s_nm, row.s2s_nm) for q, row in reference.hardwood_quarters().items()}
    assert len(published) == 8
    assert ours == published


@pytest.mark.parametrize("row", rows("wood_specific_gravity.csv"), ids=lambda row: row["species"])
def test_specific_gravity_agrees_with_the_handbook(row):
    # Wood Handbook FPL-GTR-190, Table 5-3; western softwoods also Oregon State University, Relative Working and
    # Physical Properties.
    wood = reference.all_species()[row["species"]]
    assert (wood.sg_12, wood.sg_mark) == (float(row["sg_12"]), Mark.PUBLISHED)


@pytest.mark.parametrize("row", rows("wood_shrinkage.csv"), ids=lambda row: row["species"])
def test_shrinkage_agrees_with_the_handbook(row):
    # Wood Handbook FPL-GTR-190, Table 4-3, p. 4-6.
    wood = reference.all_species()[row["species"]]
    ours = (wood.shrink_radial_pct, wood.shrink_tangential_pct, wood.shrink_volumetric_pct)
    assert ours == (float(row["radial_pct"]), float(row["tangential_pct"]), float(row["volumetric_pct"]))
    assert wood.shrink_mark is Mark.PUBLISHED


@pytest.mark.parametrize("row", rows("wood_coefficients.csv"), ids=lambda row: row["species"])
def test_coefficients_agree_with_the_handbook(row):
    # Wood Handbook FPL-GTR-190, Table 13-5, p. 13-18.
    wood = reference.all_species()[row["species"]]
    assert (wood.coef_radial, wood.coef_tangential) == (float(row["radial"]), float(row["tangential"]))
    assert wood.coef_mark is Mark.PUBLISHED


def test_coefficients_and_shrinkage_are_one_property_where_a_species_has_its_own():
    # C = S / (3000 - 20 S), S in % from green at 30% moisture, base size at 10%: follows from the definitions in the
    # Wood Handbook, ch. 4 and 13. Species that print a group's coefficient are left out.
    own = [wood for wood in reference.all_species().values() if not wood.coef_of_group]
    assert len(own) >= 30
    for wood in own:
        for coef, shrink in (
            (wood.coef_radial, wood.shrink_radial_pct),
            (wood.coef_tangential, wood.shrink_tangential_pct),
        ):
            assert coef == pytest.approx(shrink / (3000 - 20 * shrink), abs=1e-5), wood.name


def test_the_mean_of_southern_pine_moves_as_the_flooring_trade_prints_it():
    # Flooring-industry tables after the handbook's 1987 edition: southern pine C_T 0.00265, Douglas-fir C_T 0.00267.
    assert reference.species("southern pine").coef_tangential == pytest.approx(0.00265, abs=5e-6)
    assert reference.species("Douglas-fir, coast").coef_tangential == 0.00267


def test_white_fir_moves_as_in_the_worked_example():
    # Wood Handbook FPL-GTR-190, p. 13-19: flat-sawn, 9.15 in wide, from 8% to 11%, becomes 9.217 in.
    coef = reference.species("white fir").coef_tangential
    assert 9.15 * (1 + coef * 3) == pytest.approx(9.217, abs=5e-4)


@pytest.mark.parametrize(("temp_f", "open_min", "closed_min"), [(70, 10, 60), (80, 5, 45), (90, 1, 30), (100, 0, 15)])
def test_resin_glue_keeps_the_published_assembly_times(temp_f, open_min, closed_min):
    # Wood-aircraft construction manual, adhesive appendix, Table 3.
    glue = reference.adhesives()["plastic_resin"]
    open_share, total_share = reference.assembly_shares(glue.warmth_curve, temp_f)
    assert glue.open_minutes_70f * open_share == pytest.approx(open_min)
    assert glue.total_minutes_70f * total_share == pytest.approx(closed_min)


def test_resin_glue_keeps_the_published_spread():
    # The same manual, Table 2: 50-70 lb per 1000 ft2 of single glue line.
    glue = reference.adhesives()["plastic_resin"]
    assert glue.spread_low_g_m2 == pytest.approx(50 * GRAMS_PER_M2_OF_MSGL, abs=0.5)
    assert glue.spread_high_g_m2 == pytest.approx(70 * GRAMS_PER_M2_OF_MSGL, abs=0.5)


@pytest.mark.parametrize(
    ("key", "first", "later"),
    [
        # Building Construction vol. 4, sec. 59: varnish and hard-oil finish 350-450, later coats 450-550 ft2/gal.
        ("oil_varnish", (350, 450), (450, 550)),
        ("hard_oil", (350, 450), (450, 550)),
        # US Army TM 43-0139, Table 3-2: oil paint on new wood, any coat, 500-600 ft2/gal.
        ("oil_paint", (500, 600), (500, 600)),
    ],
)
def test_coverage_lies_in_the_published_range(key, first, later):
    finish = reference.finishes()[key]
    assert first[0] <= finish.coverage_first_ft2_gal <= first[1]
    assert later[0] <= finish.coverage_later_ft2_gal <= later[1]


def test_shellac_waits_as_published():
    # US Army TM 43-0139, par. 2-23: recoat after 2-3 h.
    shellac = reference.finishes()["shellac"]
    assert (shellac.recoat_low_hours, shellac.recoat_high_hours) == (2, 3)


def test_no_finish_is_used_colder_than_published():
    # US Army TM 43-0139, par. 5-31; TB 43-0209: do not coat below 50 F.
    assert min(finish.min_temp_f for finish in reference.finishes().values()) >= 50


def test_small_stock_limits_are_as_cautious_as_the_safety_sheets():
    # School safety sheet and makerspace rules: jointer stock at least 12 in long, 1/16 in a pass at most, push stick
    # under 3 in. Portable planer manual: 12 in.
    jointer = reference.machines()["jointer"]
    planer = reference.machines()["thickness planer"]
    assert jointer.min_length_nm >= nm(12)
    assert jointer.max_depth_nm <= nm(1 / 16)
    assert jointer.min_width_nm >= nm(3)
    assert planer.min_length_nm >= nm(12)


def test_one_person_is_never_given_more_than_the_load_constant():
    # Revised NIOSH lifting equation, Pub. 94-110: load constant 23 kg.
    setting = reference.allowance("lift_alone_max")
    assert setting.value <= 23
    assert setting.unit == "kg"


def test_the_starting_book_is_complete():
    # The starting book has no published source (common practice and judgement): 60 operations, by stage.
    by_stage = {}
    for operation in reference.operations().values():
        by_stage[operation.stage] = by_stage.get(operation.stage, 0) + 1
        assert operation.mark is Mark.ASSUMPTION
    assert by_stage == {
        "stock": 3,
        "milling": 11,
        "glue_up": 5,
        "flattening": 3,
        "joinery": 6,
        "boring": 8,
        "fittings": 6,
        "assembly": 4,
        "finishing": 5,
        "shop": 5,
        "delivery": 4,
    }
