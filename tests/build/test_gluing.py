"""Glue lines, glue-ups, clamps and glue, by hand in inches."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.build.gluing import NM2_PER_SQUARE_METRE, glue_needed, glue_ups, joints_of, square_feet_of
from journal.build.milling import mill
from journal.build.parts import Feature
from tests.build.benches import BOOK, GLUING, IN, MILLING, laminated_leg, part, top

TOP = mill(top(), BOOK, MILLING)
LEG = mill(laminated_leg(), BOOK, MILLING)


def square_inches(ups):
    return sum(up.times * up.area_nm2 for up in ups) / IN**2


def test_a_solid_part_is_not_glued():
    assert glue_ups([mill(part(), BOOK, MILLING)], GLUING) == ()


def test_a_leg_of_three_strips_has_two_lines_once_a_leg():
    (up,) = glue_ups([LEG], GLUING)
    assert (up.label, up.times, up.lines) == ("leg", 4, 2)
    assert up.area_nm2 == pytest.approx(2 * 3.1875 * 34 * IN**2)
    assert up.clamps == 6  # 34 in every 7 in: 5 gaps, 6 clamps


def test_a_slab_of_two_sections_is_two_glue_ups_and_one_that_joins_them():
    sections, joining = glue_ups([TOP], GLUING)
    assert (sections.times, sections.lines, sections.clamps) == (2, 9, 15)  # 98 in every 7 in: 14 gaps
    assert (joining.times, joining.lines) == (1, 1)
    assert "2 sections" in joining.label
    # 18 lines of the strips as ripped, one of the section as planed to 3 in.
    assert square_inches([sections, joining]) == pytest.approx(18 * 3.1875 * 98 + 3 * 98)


def test_uneven_sections_are_counted_apart():
    first, second, joining = glue_ups([replace(TOP, strips=11, sections=3)], GLUING)
    assert {(first.times, first.lines), (second.times, second.lines)} == {(2, 3), (1, 2)}
    assert (joining.times, joining.lines) == (1, 2)


@given(st.integers(2, 60), st.integers(1, 6), st.integers(1, 9))
def test_however_it_is_sectioned_a_piece_has_one_line_fewer_than_strips(strips, sections, pieces):
    milled = replace(TOP, strips=max(strips, sections), sections=sections, pieces=pieces)
    ups = glue_ups([milled], GLUING)
    assert sum(up.times * up.lines for up in ups) == pieces * (milled.strips - 1)
    assert all(up.lines >= 1 for up in ups)


def test_pieces_milled_together_are_glued_together():
    short = mill(laminated_leg(length=8, quantity=3), BOOK, MILLING)
    (up,) = glue_ups([short], GLUING)
    assert (up.times, up.length_nm) == (2, short.blank_length_nm)
    assert up.times * short.strips == short.blanks


def test_glue_is_area_times_spread_times_waste():
    ups = glue_ups([LEG], GLUING)
    glue = glue_needed(ups, 8, GLUING)
    square_metres = (8 * 3.1875 * 34 + 8 * 24) * 0.0254**2
    assert glue.joint_area_nm2 == 8 * 24 * IN**2
    assert glue.area_nm2 == glue.line_area_nm2 + glue.joint_area_nm2
    assert glue.area_nm2 / NM2_PER_SQUARE_METRE == pytest.approx(square_metres)
    assert glue.ml == pytest.approx(square_metres * 150 * 1.1)
    assert square_feet_of(ups) == pytest.approx(8 * 3.1875 * 34 / 144)


def test_no_glue_for_nothing():
    assert glue_needed((), 0, GLUING).ml == 0


def test_wider_spaced_clamps_are_fewer_and_never_under_two():
    (close,), (wide,) = glue_ups([LEG], GLUING), glue_ups([LEG], replace(GLUING, clamp_spacing_nm=10 * IN))
    assert (close.clamps, wide.clamps) == (6, 5)
    assert glue_ups([LEG], replace(GLUING, clamp_spacing_nm=100 * IN))[0].clamps == 2


def test_joints_are_the_features_that_make_one_over_all_pieces():
    words = {"mortise": 1.0, "hole": 0.0}
    leg = mill(laminated_leg(features=(Feature("mortise", 2), Feature("hole", 9))), BOOK, MILLING, benches=2)
    rail = mill(part("rail", features=(Feature("tenon", 2),)), BOOK, MILLING)
    assert joints_of([leg, rail], words) == 2 * 4 * 2
