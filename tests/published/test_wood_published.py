"""Moisture and movement against the handbook's tables and printed examples."""

import csv
from pathlib import Path

import pytest
from journal import reference, units
from journal.build.moisture import emc_pct
from journal.build.movement import Direction, change_nm, direction_of, movement
from journal.build.parts import Along, Part
from journal.units import NM_PER_INCH as IN

DATA = Path(__file__).parent / "data"


def rows(name):
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        file.readline()
        return list(csv.DictReader(file))


EMC = rows("equilibrium_moisture.csv")


def test_the_moisture_table_is_whole():
    # Wood Handbook FPL-GTR-190, Table 4-2: 18 temperatures, 19 humidities.
    assert len(EMC) == 342
    assert len({row["temp_F"] for row in EMC}) == 18


def test_equilibrium_moisture_of_every_printed_cell():
    # Wood Handbook FPL-GTR-190 (2010), Table 4-2, p. 4-4, against Eq. 4-5 with its constants for °F.
    off = {
        (row["temp_F"], row["rh_pct"]): emc_pct(float(row["temp_F"]), float(row["rh_pct"])) - float(row["emc_pct"])
        for row in EMC
    }
    assert max(map(abs, off.values())) <= 0.07


def celsius_emc(temp_c, humidity_pct):
    """Eq. 4-5 with the handbook's constants for °C, written out apart from the journal's own."""
    w = 349 + 1.29 * temp_c + 0.0135 * temp_c**2
    k = 0.805 + 0.000736 * temp_c - 0.00000273 * temp_c**2
    k1 = 6.27 - 0.00938 * temp_c - 0.000303 * temp_c**2
    k2 = 1.91 + 0.0407 * temp_c - 0.000293 * temp_c**2
    kh = k * humidity_pct / 100
    return 1800 / w * (kh / (1 - kh) + (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2))


@pytest.mark.parametrize("humidity", range(5, 100, 5))
@pytest.mark.parametrize("temp_f", [65, 70, 75, 80])
def test_both_sets_of_constants_agree_near_room_temperature(temp_f, humidity):
    # Wood Handbook FPL-GTR-190, Eq. 4-5: constants for °C and for °F.
    assert emc_pct(temp_f, humidity) == pytest.approx(celsius_emc((temp_f - 32) / 1.8, humidity), abs=0.02)


def test_a_text_and_the_table_agree_at_140_f():
    # A text on drying prints 8.4% for 140 °F and 55%, as does the table of 2010; an older table had 8.0%.
    assert emc_pct(140, 55) == pytest.approx(8.4, abs=0.05)


def test_white_fir_of_the_handbook():
    # Wood Handbook FPL-GTR-190, p. 13-19: 9.15 in flat-sawn, 8 to 11%, becomes 9.217 in. C_T 0.00245 from memory, verify.
    assert reference.species("white fir").coef_tangential == 0.00245
    grown = change_nm(units.inches("9.15"), 0.00245, 8, 11)
    assert (units.inches("9.15") + grown) / IN == pytest.approx(9.217, abs=0.0005)


def test_red_alder_of_a_magazine():
    # A woodworking magazine, September 2021: 8 in × 0.0026 × 6% = 0.1248 in.
    assert change_nm(8 * IN, 0.0026, 6, 12) / IN == pytest.approx(0.1248, abs=0.00005)


def test_a_floor_board():
    # A flooring page: 5 in, coefficient 0.00129, 3% gives 0.019 in.
    assert change_nm(5 * IN, 0.00129, 6, 9) / IN == pytest.approx(0.019, abs=0.0005)


def test_twelve_inches_of_sugar_maple():
    # Wood Handbook FPL-GTR-190, Table 13-5: C_T 0.00353; 12 in flat-sawn, 6 to 12%: 0.2542 in by Eq. 13-2.
    board = Part("panel", 1, IN, 12 * IN, 40 * IN)
    found = movement(board, reference.species("sugar maple"), 6, 12)
    assert found.direction is Direction.TANGENTIAL
    assert found.change_nm / IN == pytest.approx(0.2542, abs=0.00005)
    assert found.warning == ""


def test_a_24_in_top_of_flat_sawn_strips_on_edge_moves_radially():
    # Common practice, and geometry: the thickness of a flat-sawn board lies across the growth rings.
    # C_R of sugar maple 0.00165 (Table 13-5): 24 in, 6 to 12%: 0.2376 in, less than half of 0.5083 in laid flat.
    top = Part("top", 1, 3 * IN, 24 * IN, 96 * IN, strips=20, along=Along.WIDTH)
    assert direction_of(top) is Direction.RADIAL
    found = movement(top, reference.species("sugar maple"), 6, 12)
    assert found.change_nm / IN == pytest.approx(0.2376, abs=0.00005)
    flat = Part("panel", 1, IN, 24 * IN, 96 * IN)
    assert movement(flat, reference.species("sugar maple"), 6, 12).change_nm / IN == pytest.approx(0.5083, abs=0.00005)
