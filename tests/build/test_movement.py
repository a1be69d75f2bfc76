"""Which way a part moves, and where the coefficients end."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal import reference
from journal.build.movement import Direction, Sawn, change_nm, direction_of, movement
from journal.errors import BadInput
from tests.build.benches import IN, laminated_leg, part, top


@pytest.mark.parametrize(
    ("piece", "sawn", "direction"),
    [
        (top(), Sawn.FLAT, Direction.RADIAL),
        (top(), Sawn.QUARTER, Direction.TANGENTIAL),
        (part(), Sawn.FLAT, Direction.TANGENTIAL),
        (part(), Sawn.QUARTER, Direction.RADIAL),
        (laminated_leg(), Sawn.FLAT, Direction.TANGENTIAL),
    ],
)
def test_strips_on_edge_turn_the_boards_thickness_into_width(piece, sawn, direction):
    assert direction_of(piece, sawn) is direction


@given(st.floats(0, 30), st.floats(0, 30), st.floats(0, 30))
def test_movement_adds_up_and_comes_back(first, second, third):
    def change(a, b):
        return change_nm(24 * IN, 0.002, a, b)

    assert change(first, second) + change(second, third) == pytest.approx(change(first, third), abs=2)
    assert change(first, second) == -change(second, first)


def test_nothing_moves_above_fibre_saturation():
    assert change_nm(24 * IN, 0.002, 30, 80) == 0
    assert change_nm(24 * IN, 0.002, 28, 80) == change_nm(24 * IN, 0.002, 28, 30)


@pytest.mark.parametrize(("low", "high", "warned"), [(6, 14, False), (5, 9, True), (9, 16, True)])
def test_outside_the_tables_range_it_says_so(low, high, warned):
    assert bool(movement(top(), reference.species("sugar maple"), low, high).warning) is warned


@pytest.mark.parametrize(("coefficient", "moisture"), [(0, 8), (0.02, 8), (0.002, -1), (0.002, 101)])
def test_what_no_wood_does_is_refused(coefficient, moisture):
    with pytest.raises(BadInput):
        change_nm(24 * IN, coefficient, moisture, 10)
