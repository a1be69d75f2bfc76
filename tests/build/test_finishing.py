"""Surface and finish, by hand."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal import units
from journal.build.finishing import Surface, finish_ml, surface, surface_of, theoretical_coverage_ft2_gal
from journal.build.milling import mill
from journal.build.parts import Faces
from journal.errors import BadInput
from tests.build.benches import BOOK, FINISHING, IN, MILLING, part

SQUARE_FOOT = Surface(units.NM2_PER_SQUARE_FOOT, 0)
END_GRAIN_FOOT = Surface(0, units.NM2_PER_SQUARE_FOOT)


@pytest.mark.parametrize(
    ("faces", "face_in2", "end_in2"),
    [
        (Faces(), 2 * 3 * 30 + 2 * 2 * 30, 2 * 2 * 3),
        (Faces(1, 0, 0), 3 * 30, 0),
        (Faces(0, 1, 0), 2 * 30, 0),
        (Faces(0, 0, 1), 0, 2 * 3),
        (Faces(0, 0, 0), 0, 0),
    ],
)
def test_surface_of_the_sides_that_are_named(faces, face_in2, end_in2):
    found = surface_of(part("rail", "2", "3", 30, faces=faces))
    assert (found.face_nm2, found.end_nm2) == (face_in2 * IN**2, end_in2 * IN**2)
    assert found.area_nm2 == (face_in2 + end_in2) * IN**2


def test_surface_of_a_commission_is_of_every_piece():
    rail = mill(part("rail", "1", "3", 30, quantity=2), BOOK, MILLING, benches=3)
    slat = mill(part("slat", "1/2", "2", 30), BOOK, MILLING)
    one, other = surface_of(rail.part), surface_of(slat.part)
    assert surface([rail, slat]) == Surface(6 * one.face_nm2 + other.face_nm2, 6 * one.end_nm2 + other.end_nm2)


def test_three_coats_by_hand():
    # 300 in2 of sides and 12 in2 of end grain that counts double: 2.25 ft2; 1/400 and twice 1/500 of a gallon each.
    area = surface_of(part("rail", "2", "3", 30))
    assert finish_ml(area, FINISHING) == pytest.approx(2.25 * (1 / 400 + 2 / 500) * 3785.411784)


def test_bare_wood_takes_nothing_and_one_coat_only_the_first():
    assert finish_ml(SQUARE_FOOT, replace(FINISHING, coats=0)) == 0
    assert finish_ml(SQUARE_FOOT, replace(FINISHING, coats=1)) == pytest.approx(units.ML_PER_GALLON / 400)


def test_end_grain_drinks_as_many_times_more_as_it_is_said_to():
    assert finish_ml(END_GRAIN_FOOT, FINISHING) == pytest.approx(2 * finish_ml(SQUARE_FOOT, FINISHING))


@given(st.integers(1, 19), st.floats(50, 900), st.floats(50, 900))
def test_each_coat_adds_the_same_after_the_first(coats, first, later):
    rules = replace(FINISHING, coverage_first_ft2_gal=first, coverage_later_ft2_gal=later, coats=coats)
    more = finish_ml(SQUARE_FOOT, replace(rules, coats=coats + 1)) - finish_ml(SQUARE_FOOT, rules)
    assert more == pytest.approx(units.ML_PER_GALLON / later)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"coverage_first_ft2_gal": 0}, "coverage"),
        ({"coverage_later_ft2_gal": -1}, "coverage"),
        ({"coats": -1}, "coats"),
        ({"coats": 21}, "coats"),
    ],
)
def test_refuses_finishes_that_are_none(changes, field):
    with pytest.raises(BadInput) as refused:
        replace(FINISHING, **changes)
    assert refused.value.field == field


@pytest.mark.parametrize(("solids", "mils"), [(0, 1), (-0.1, 1), (1.01, 1), (0.5, 0), (0.5, -1)])
def test_refuses_films_that_are_none(solids, mils):
    with pytest.raises(BadInput):
        theoretical_coverage_ft2_gal(solids, mils)
