"""Boards of the rack as stock to cut from: what using one up is worth, and which stretches stay clear."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal import units
from journal.build.stock import Dimensional, Offer, Rough, Sheet
from journal.errors import BadInput
from journal.quote import rack_stock
from journal.quote.rack_stock import RackLot

KERF = units.inches("1/8")
TEN = units.feet(10)
FIR = Dimensional(
    code="2x8 fir",
    species="fir",
    nominal="2x8",
    thickness_nm=units.inches("1 1/2"),
    width_nm=units.inches("7 1/4"),
    nominal_thickness_nm=units.inches(2),
    nominal_width_nm=units.inches(8),
    offers=(Offer(1_000, None, units.feet(8)), Offer(1_501, None, units.feet(12))),
)
MAPLE = Rough("8/4 maple", "maple", "8/4", units.inches(2), Offer(1_200), units.inches(7), units.feet(9))
PLY = Sheet(
    "18 mm ply", "ply", units.mm(18), units.feet(4), units.feet(8), Offer(10_001), density_kg_m3=600.0, grain=False
)


def lot(stock=FIR, width_nm=None, length_nm=TEN, **given):
    width = width_nm or (units.inches(7) if isinstance(stock, Rough) else stock.width_nm)
    return RackLot(given.pop("numbers", (1,)), stock.thickness_nm, width, length_nm, **given)


@pytest.mark.parametrize(
    ("board", "cents"),
    [
        (lot(), 500),  # half of the eight it could stand in for
        (lot(length_nm=units.feet(12)), 751),  # half-up
        (lot(length_nm=units.feet(7)), 0),  # shorter than any that is sold
        (lot(width_nm=units.inches(6)), 0),  # narrower
        (lot(own=True), 0),  # set aside for this project
        (lot(cut_outs=((units.feet(5), units.feet(5) + 1),)), 0),  # no clear length of eight is left
        (lot(length_nm=units.feet(12), cut_outs=((0, units.feet(3)),)), 500),
    ],
)
def test_using_up_a_board_is_worth_half_of_what_it_could_stand_in_for(board, cents):
    assert rack_stock.salvage_cents(FIR, board) == cents


def test_hardwood_is_worth_half_by_its_volume_unless_it_is_short_or_narrow():
    good = lot(MAPLE, length_nm=units.feet(9))
    assert rack_stock.salvage_cents(MAPLE, good) == round(1_200 * 10.5 / 2)
    assert rack_stock.salvage_cents(MAPLE, replace(good, length=units.feet(3))) == 0
    assert rack_stock.salvage_cents(MAPLE, replace(good, width=units.inches(3))) == 0


def test_a_piece_of_a_sheet_is_worth_half_of_its_share_down_to_half_a_sheet():
    whole = lot(PLY, length_nm=units.feet(8))
    assert rack_stock.salvage_cents(PLY, whole) == 5_001
    assert rack_stock.salvage_cents(PLY, replace(whole, length=units.feet(4))) == 2_500
    assert rack_stock.salvage_cents(PLY, replace(whole, length=units.feet(4) - 1)) == 0


def test_boards_are_named_apart_and_sheets_without_marks_may_turn():
    split = lot(numbers=(7,), cut_outs=((units.inches(40), units.inches(43)),))
    made = [board for board, _ in rack_stock.on_hand(FIR, [lot(numbers=(1, 2)), split], kerf=KERF)]
    assert [board.id for board in made] == ["2x8 fir 10 ft from the rack", "2x8 fir 10 ft from the rack, no. 7"]
    assert [board.available for board in made] == [2, 1]
    assert all(board.on_hand for board in made)
    (sheet,) = rack_stock.on_hand(PLY, [lot(PLY)], kerf=KERF)
    (marked,) = rack_stock.on_hand(PLY, [lot(PLY, cut_outs=((1, 2),))], kerf=KERF)
    assert (sheet[0].either_way, marked[0].either_way) == (True, False)


@given(
    st.lists(st.tuples(st.integers(0, 119), st.integers(1, 30)), max_size=6),
)
def test_marked_stretches_are_covered_in_order_and_no_shorter_than_the_kerf(marks):
    length = units.inches(120)
    cut_outs = tuple((units.inches(at), min(length, units.inches(at) + units.inches(long) // 16)) for at, long in marks)
    made = rack_stock.on_hand(FIR, [lot(cut_outs=cut_outs)], kerf=KERF)
    for board, _ in made:
        ends = [edge for pair in board.cut_outs for edge in pair]
        assert ends == sorted(ends)
        assert all(start >= 0 and end - start >= KERF and end <= length for start, end in board.cut_outs)
        for start, end in cut_outs:
            assert any(low <= start and end <= high for low, high in board.cut_outs)


def test_a_board_marked_from_end_to_end_is_no_stock():
    assert rack_stock.on_hand(FIR, [lot(cut_outs=((0, units.feet(10)),))], kerf=KERF) == ()


@pytest.mark.parametrize(("inches", "keep"), [((12, "1.5"), True), ((11, 5), False), ((40, 1), False)])
def test_an_offcut_worth_keeping_is_a_foot_long_and_an_inch_and_a_half_wide(inches, keep):
    assert rack_stock.worth_keeping(*(units.inches(one) for one in inches)) is keep


def test_a_lot_of_no_boards_is_refused():
    with pytest.raises(BadInput):
        lot(numbers=())
