"""Openings between strips, and the blocks that keep them open; by hand in inches."""

import pytest
from journal.build.milling import mill
from journal.build.parts import Feature
from journal.build.spacers import block_stock_nm, blocks, lines_open, open_area_nm2, openings
from journal.errors import BadInput
from tests.build.benches import BOOK, IN, MILLING, inches, laminated_leg, part


def made(joints=3, legs=4, rails=(("rail", 2, 4, "5"),)):
    leg = laminated_leg(quantity=legs, features=(Feature("laminated joint", joints),) if joints else ())
    others = [
        part(label, "1 1/4", width, 40, quantity=quantity, features=(Feature("tenon", tenons),))
        for label, tenons, quantity, width in rails
    ]
    return [mill(one, BOOK, MILLING) for one in (leg, *others)]


def test_openings_take_the_tenoned_parts_in_their_order():
    found = openings(made(rails=(("end rail", 2, 4, "4 1/2"), ("long rail", 2, 2, "5"))))
    assert [(o.part, o.mate, o.count, inches(o.length_nm)) for o in found] == [
        ("leg", "end rail", 8, 4.5),
        ("leg", "long rail", 4, 5),
    ]


def test_a_joint_without_a_mate_has_no_length():
    (found,) = openings(made(rails=()))
    assert (found.mate, found.count, found.length_nm) == ("", 12, 0)
    assert blocks(made(rails=()), MILLING) == ()


def test_no_joints_no_openings():
    assert openings(made(joints=0)) == ()


def test_a_block_is_a_strip_thick_and_as_long_as_its_mate_is_wide():
    leg, *_ = parts = made()
    block = blocks(parts, MILLING)[0]
    assert (block.thickness_nm, block.width_nm) == (leg.milled_thickness_nm, leg.blank_width_nm)
    assert (block.count, inches(block.length_nm)) == (8, 5)
    assert inches(block.stock_length_nm) == 8 * 5.125 + 3


def test_the_stock_of_few_blocks_is_long_enough_for_the_machines():
    assert inches(block_stock_nm(1, 2 * IN, MILLING)) == 12
    with pytest.raises(BadInput):
        block_stock_nm(0, 2 * IN, MILLING)


@pytest.mark.parametrize(("strips", "lines"), [(2, 1), (3, 2), (5, 2)])
def test_an_inner_strip_left_short_opens_both_its_sides(strips, lines):
    assert lines_open(strips) == lines


def test_one_strip_has_no_opening():
    with pytest.raises(BadInput):
        lines_open(1)


def test_open_area_by_hand():
    leg, *_ = parts = made()
    assert open_area_nm2(leg, openings(parts)) == 8 * 5 * IN * leg.blank_width_nm * 2
    assert open_area_nm2(parts[1], openings(parts)) == 0
