"""Density and weight, by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal import reference
from journal.build.milling import mill
from journal.build.stock import StockBook
from journal.build.wood import density_kg_m3, part_density_kg_m3, weight_kg
from journal.errors import BadInput, MissingReference
from tests.build.benches import BOOK, MILLING, part, rough, sheet


def test_density_is_water_times_gravity_times_moisture():
    assert density_kg_m3(0.5, 0) == 500.0
    assert density_kg_m3(0.5, 10) == pytest.approx(550.0)


@given(st.floats(0.1, 1.3), st.floats(0, 30))
def test_density_is_the_dry_wood_and_its_water(gravity, moisture):
    dry = density_kg_m3(gravity, 0)
    assert density_kg_m3(gravity, moisture) - dry == pytest.approx(dry * moisture / 100, abs=1e-6)


@pytest.mark.parametrize(("gravity", "moisture"), [(0.09, 12), (1.31, 12), (0.5, -1), (0.5, 31), (float("nan"), 12)])
def test_refuses_what_is_not_wood(gravity, moisture):
    with pytest.raises(BadInput):
        density_kg_m3(gravity, moisture)


def test_weight_is_of_all_pieces_of_all_benches():
    one = mill(part("rail", "1", "2", 40, stock="8/4 sugar maple"), BOOK, MILLING)
    all_of_them = mill(part("rail", "1", "2", 40, quantity=4, stock="8/4 sugar maple"), BOOK, MILLING, benches=3)
    by_hand = 1 * 2 * 40 * 0.0254**3 * 1000 * reference.species("sugar maple").sg_12 * 1.12
    assert weight_kg(one) == pytest.approx(by_hand)
    assert weight_kg(all_of_them) == pytest.approx(12 * by_hand)


def test_wetter_wood_is_heavier_and_a_panel_is_as_it_is():
    rail = mill(part("rail", "1", "2", 40), BOOK, MILLING)
    shelf = mill(part("shelf", "3/4", "20", 40, stock="3/4 plywood"), BOOK, MILLING)
    assert weight_kg(rail, 19) / weight_kg(rail, 12) == pytest.approx(1.19 / 1.12)
    assert part_density_kg_m3(shelf) == sheet().density_kg_m3
    assert weight_kg(shelf, 19) == weight_kg(shelf, 6) == pytest.approx(0.75 * 20 * 40 * 0.0254**3 * 550)


def test_a_wood_without_a_gravity_is_named():
    odd = mill(part(stock="8/4 moonwood"), StockBook((rough(species="moonwood"),)), MILLING)
    with pytest.raises(MissingReference, match="moonwood"):
        weight_kg(odd)


def test_a_group_of_woods_weighs_its_mean():
    pine = mill(part(stock="2x8 southern pine"), BOOK, MILLING)
    members = [one.sg_12 for one in reference.all_species().values() if one.group == "southern pine"]
    mean = sum(members) / len(members)
    assert len(members) > 1
    assert part_density_kg_m3(pine) == pytest.approx(density_kg_m3(mean, 12))
