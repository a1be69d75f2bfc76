"""From finished sizes back to blanks, each worked by hand in inches; then what must hold whatever the sizes."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from journal import units
from journal.build.milling import (
    THINNEST_STRIP_NM,
    mill,
    mill_all,
    strips_needed,
    strips_per_segment,
)
from journal.build.parts import Along
from journal.build.stock import StockBook
from journal.errors import BadInput, MissingReference, NoSolution
from tests.build.benches import BOOK, FT, IN, MILLING, dimensional, inches, laminated_leg, part, rough, sheet, top
from tests.strategies import lengths_in_64ths


def nm(text):
    return units.inches(text)


@pytest.mark.parametrize(
    ("length_ft", "allowance"),
    [("0.5", "3/16"), ("4", "3/16"), ("4.01", "1/4"), ("8", "1/4"), ("8.01", "5/16"), ("40", "5/16"), ("1001", "5/16")],
)
def test_flatness_takes_more_off_a_longer_piece(length_ft, allowance):
    assert MILLING.thickness_allowance_nm(units.feet(length_ft)) == nm(allowance)


@pytest.mark.parametrize("steps", [(), ((8 * FT, 1), (4 * FT, 2)), ((4 * FT, 1), (4 * FT, 2))])
def test_thickness_steps_rise_or_are_refused(steps):
    with pytest.raises(BadInput, match="thickness allowances"):
        replace(MILLING, thickness_steps=steps)


def test_a_strip_is_ripped_wider_by_jointing_and_a_glued_one_by_flattening_too():
    assert MILLING.strip_width_nm(nm("3"), glued=False) == nm("3 1/16")
    assert MILLING.strip_width_nm(nm("3"), glued=True) == nm("3 3/16")


# By hand, (W - 2/8 + 1/8) / (w + 1/16 + 1/8 + 1/8), and without the 1/8 for flattening when not glued.
@pytest.mark.parametrize(
    ("board", "finished", "glued", "strips"),
    [
        ("3 1/2", "3", True, 1),  # 3.375 / 3.3125 = 1.02
        ("3 1/2", "3 1/8", True, 0),  # 3.375 / 3.4375 = 0.98
        ("5 1/2", "2 3/8", True, 2),  # 5.375 / 2.6875 = 2 exactly
        ("5 1/2", "2 7/16", True, 1),  # 5.375 / 2.75 = 1.95
        ("7 1/4", "3 1/4", True, 2),  # 7.125 / 3.5625 = 2 exactly
        ("7 1/4", "3 3/8", True, 1),  # 7.125 / 3.6875 = 1.93
        ("7 1/4", "3 3/8", False, 2),  # 7.125 / 3.5625 = 2 exactly
        ("9 1/4", "2.7", True, 3),  # 9.125 / 3.0125 = 3.03
        ("11 1/4", "3 1/4", True, 3),  # 11.125 / 3.5625 = 3.12
        ("11 1/4", "3 1/2", True, 2),  # 11.125 / 3.8125 = 2.92
    ],
)
def test_strips_of_a_segment_by_hand(board, finished, glued, strips):
    assert strips_per_segment(nm(board), nm(finished), MILLING, glued=glued) == strips


def test_a_board_narrower_than_its_eased_edges_gives_nothing():
    assert strips_per_segment(nm("1/16"), nm("1"), MILLING) == 0


@given(
    board=lengths_in_64ths(min_inches=1, max_inches=14),
    finished=lengths_in_64ths(min_inches=0.5, max_inches=6),
    rule=st.sampled_from(["edge_jointing_nm", "flatten_glued_nm", "eased_edge_nm"]),
    more=st.integers(1, IN),
)
def test_more_allowance_never_gives_more_strips(board, finished, rule, more):
    bigger = replace(MILLING, **{rule: getattr(MILLING, rule) + more})
    assert strips_per_segment(board, finished, bigger) <= strips_per_segment(board, finished, MILLING)


@given(board=lengths_in_64ths(min_inches=1, max_inches=14), finished=lengths_in_64ths(min_inches=0.5, max_inches=6))
def test_so_many_strips_and_their_kerfs_fit_the_board_and_one_more_would_not(board, finished):
    count = strips_per_segment(board, finished, MILLING)
    width, kerf = MILLING.strip_width_nm(finished, glued=True), MILLING.kerf_rip_nm
    room = board - 2 * MILLING.eased_edge_nm
    assert not count or count * width + (count - 1) * kerf <= room
    assert (count + 1) * width + count * kerf > room


# A planer of 12 1/2 in. 24 in: 20 strips of 24 1/4 / 20 = 1.2125 in, ten of them 12 1/8 in. 23 1/2 in: 19 strips of
# 1.25 in, of which ten are 12 1/2 in. 25 in: 21 strips of 1.202 in, of which eleven are 13.2 in, so three sections.
@pytest.mark.parametrize(
    ("across", "strips", "sections"),
    [("6", 5, 1), ("12", 10, 1), ("12 3/8", 10, 1), ("12 1/2", 11, 2), ("23 1/2", 19, 2), ("24", 20, 2), ("25", 21, 3)],
)
def test_sections_are_counted_in_whole_strips_and_pass_the_planer(across, strips, sections):
    planer = replace(MILLING, planer_width_nm=nm("12 1/2"))
    assert strips_needed(nm(across), nm("1 1/4"), planer) == (strips, sections)


@given(across=lengths_in_64ths(min_inches=2, max_inches=60), typed=st.integers(0, 80))
def test_no_section_is_wider_than_the_planer_and_one_fewer_would_be(across, typed):
    def widest(sections):
        total = across + MILLING.glued_edge_nm + (sections - 1) * MILLING.section_joint_nm
        strips = max(typed, -(-total // nm("1 1/4")))
        return -(-strips // sections) * -(-total // strips)

    _, sections = strips_needed(across, nm("1 1/4"), MILLING, typed)
    assert widest(sections) <= MILLING.planer_width_nm
    assert sections == 1 or widest(sections - 1) > MILLING.planer_width_nm


def test_without_a_planer_a_slab_is_one_section():
    no_planer = replace(MILLING, planer_width_nm=0)
    assert strips_needed(nm("48"), nm("1 1/4"), no_planer) == (39, 1)


def test_a_bench_top_by_hand():
    # A dressed 2-by over 96 in: 1 1/2 - 1/4 = 1 1/4 milled. 24 1/4 in of strips are 20, each thinned to 1.2125 in.
    found = mill(top(), BOOK, MILLING)
    assert (found.strips, found.sections, found.blanks, found.pieces, found.slab) == (20, 2, 20, 1, True)
    assert inches(found.milled_thickness_nm) == Fraction("1.2125")
    assert inches(found.rough_thickness_nm) == Fraction("1.4625")
    assert inches(found.strip_width_nm) == 3
    assert inches(found.blank_width_nm) == Fraction("3.1875")
    assert inches(found.blank_length_nm) == 98


def test_a_laminated_leg_by_hand():
    # 34 in long: 1 1/2 - 3/16 = 1 5/16 milled; 3 7/8 in are 3 strips; no slab, so nothing is left on its length.
    found = mill(laminated_leg(), BOOK, MILLING)
    assert (found.strips, found.sections, found.blanks, found.pieces, found.slab) == (3, 1, 12, 4, False)
    assert 3 * found.milled_thickness_nm - nm("3 7/8") in range(3)
    assert inches(found.blank_width_nm) == Fraction("3.1875")
    assert inches(found.blank_length_nm) == 34


def test_a_solid_part_by_hand():
    found = mill(part("rail", "1 1/4", "5", 60, quantity=2), BOOK, MILLING, benches=3)
    assert (found.strips, found.blanks, found.pieces) == (1, 6, 6)
    assert inches(found.milled_thickness_nm) == Fraction("1.25")
    assert inches(found.rough_thickness_nm) == Fraction("1.5")
    assert inches(found.blank_width_nm) == Fraction("5.0625")
    assert inches(found.blank_length_nm) == 60


def test_more_strips_than_needed_are_thinner():
    usual, more = mill(laminated_leg(), BOOK, MILLING), mill(laminated_leg(strips=4), BOOK, MILLING)
    assert more.strips == 4
    assert more.milled_thickness_nm < usual.milled_thickness_nm
    assert more.blanks == 16


def test_pieces_too_short_to_mill_alone_are_milled_together_and_it_is_said():
    # Three of 5 in with two cuts of 1/8 are 15 1/4 in, the first that reaches 12; seven pieces are three such blanks.
    found = mill(part("block", "1", "3", 5, quantity=7), BOOK, MILLING)
    assert (found.pieces_per_blank, found.blanks) == (3, 3)
    assert inches(found.blank_length_nm) == Fraction("15.25")
    assert any("too short" in note and "3 are milled" in note for note in found.notes)
    assert mill(part("block", "1", "3", 12), BOOK, MILLING).pieces_per_blank == 1
    # Two of 5 7/8 and a cut are 11 7/8 in, still too short; two of 6 are 12 1/8.
    assert mill(part("block", "1", "3", "5 7/8"), BOOK, MILLING).pieces_per_blank == 3
    assert mill(part("block", "1", "3", 6), BOOK, MILLING).pieces_per_blank == 2


def test_short_laminated_pieces_take_whole_laminations():
    # Three pieces two to a blank are two laminations, each of all its strips.
    found = mill(laminated_leg(length=8, quantity=3), BOOK, MILLING)
    assert (found.pieces_per_blank, found.strips) == (2, 3)
    assert found.blanks == 6


def test_a_board_wider_than_the_jointer_is_said():
    assert any("jointer" in note for note in mill(part(), BOOK, MILLING).notes)
    assert not mill(part(), BOOK, replace(MILLING, jointer_width_nm=8 * IN)).notes
    assert not mill(part(), BOOK, replace(MILLING, jointer_width_nm=0)).notes


def test_a_slab_has_its_ends_left_on_and_a_narrow_part_does_not():
    wide, narrow = mill(top(), BOOK, MILLING), mill(top(width="12"), BOOK, MILLING)
    assert wide.blank_length_nm - narrow.blank_length_nm == MILLING.slab_trim_nm
    assert not narrow.slab


def test_of_the_stocks_that_will_do_the_cheapest_is_taken():
    # 3 1/16 in comes from a 2x4; 3 5/16 does not, and then two from a 2x8 cost less than one from a 2x6.
    assert mill(part(width="3", stock=""), BOOK, MILLING).stock.code == "2x4 Douglas-fir"
    assert mill(part(width="3 1/4", stock=""), BOOK, MILLING).stock.code == "2x8 Douglas-fir"
    dear = StockBook((dimensional("2x8", cents_per_foot=500), dimensional("2x6")), "Douglas-fir")
    assert mill(part(width="3 1/4", stock=""), dear, MILLING).stock.code == "2x6 Douglas-fir"
    assert mill(part(stock="maple"), BOOK, MILLING).stock.code == "8/4 sugar maple"
    assert mill(part(thickness="3/4", stock="maple"), BOOK, MILLING).stock.code == "4/4 sugar maple"


def refusal(wanted, book=BOOK, rules=MILLING):
    with pytest.raises(NoSolution) as refused:
        mill(wanted, book, rules)
    return refused.value


def test_too_thick_says_what_is_left_and_what_would_do_and_both_do():
    said = refusal(part("block", "2", "3", 30))
    assert "1½ in as sold" in said.why
    assert "leaves 1 5/16 in" in said.why
    assert "make it 1 5/16 in or less" in said.would_do
    assert "2 strips along the thickness" in said.would_do
    assert "4x4 Douglas-fir" in said.would_do
    assert mill(part("block", "1 5/16", "3", 30), BOOK, MILLING)
    assert mill(part("block", "2", "3", 30, strips=2, along=Along.THICKNESS), BOOK, MILLING)
    assert mill(part("block", "2", "3", 30, stock="4x4 Douglas-fir"), BOOK, MILLING)


def test_strips_advised_for_a_thick_part_leave_something_to_clean():
    # 2 9/16 is less than twice 1 5/16, but not with the 1/8 in that cleaning takes: two strips would not do.
    thick = part("block", "2 9/16", "3", 30)
    assert "3 strips along the thickness" in refusal(thick).would_do
    assert mill(replace(thick, strips=3, along=Along.THICKNESS), BOOK, MILLING)
    refusal(replace(thick, strips=2, along=Along.THICKNESS))


def test_too_few_strips_says_how_many_it_takes_and_they_do():
    said = refusal(top(strips=19))
    assert "20 strips" in said.would_do
    assert mill(top(strips=20), BOOK, MILLING)


def test_too_many_strips_would_be_too_thin_to_plane():
    said = refusal(top(strips=100))
    assert "under the ¼ in a planer takes" in said.why
    assert mill(top(strips=97), BOOK, MILLING).milled_thickness_nm >= THINNEST_STRIP_NM
    refusal(top(strips=98))


def test_a_board_that_flatness_uses_up_is_refused():
    assert "leaves nothing" in refusal(part("slat", "1/16", "2", 100, stock=""), StockBook((thin(),), "ash")).why


def thin():
    return rough("3/4", "ash", thickness_nm=nm("1/2"), usual_length_nm=12 * FT)


def test_strips_beyond_what_is_glued_into_one_part_are_refused():
    # Strips of 5/16 in make 125 in of 400; a slab wider than that is no bench.
    with pytest.raises(NoSolution, match="at most 400"):
        mill(top(width="200", stock="thin"), StockBook((replace(thin(), code="thin"),)), MILLING)


@pytest.mark.parametrize(
    ("wanted", "advice"),
    [
        (part("board", "1", "8", 30), "6 15/16 in or less can be had from it, or glue it up of strips along the width"),
        (top(thickness="7"), "6 13/16 in or less can be had from it"),
    ],
)
def test_too_wide_says_the_widest(wanted, advice):
    assert advice in refusal(wanted).would_do


def test_the_widest_that_was_advised_can_be_had():
    assert mill(part("board", "1", "6 15/16", 30), BOOK, MILLING)
    refusal(part("board", "1", "7", 30))
    assert mill(top(thickness="6 13/16"), BOOK, MILLING)
    refusal(top(thickness="6 7/8"))


def test_too_long_says_the_longest_and_it_can_be_had():
    # 16 ft less two trims of 1/2 in and 3 in a segment is 15 ft 8 in.
    said = refusal(part("beam", "1", "3", 189))
    assert "15 ft 8 in once trimmed" in said.why
    assert "longer length" in said.would_do
    assert mill(part("beam", "1", "3", 188), BOOK, MILLING)


def test_a_stock_without_a_priced_length_says_so():
    assert "no length" in refusal(part(), StockBook((dimensional("2x8", offers=()),))).why


def test_a_panel_is_not_glued_up_nor_cut_from_another_thickness():
    assert "1 strip" in refusal(top(stock="3/4 plywood")).would_do
    assert "23/32 in thick" in refusal(part("shelf", "1", "20", 40, stock="3/4 plywood")).would_do


@pytest.mark.parametrize("thickness", ["3/4", "23/32", "25/32"])
def test_a_panel_is_meant_by_its_nominal_or_its_real_thickness(thickness):
    found = mill(part("shelf", thickness, "20", 40, stock="3/4 plywood", quantity=2), BOOK, MILLING, benches=2)
    assert (found.blanks, found.pieces, found.strips) == (4, 4, 1)
    assert found.milled_thickness_nm == nm("23/32")


def test_a_panel_is_turned_only_when_it_must_and_has_no_grain():
    straight = mill(part("shelf", "3/4", "48", 90, stock="3/4 plywood"), BOOK, MILLING)
    turned = mill(part("shelf", "3/4", "90", 48, stock="3/4 plywood"), BOOK, MILLING)
    assert not straight.notes
    assert turned.notes == ("turned on the sheet",)
    assert (turned.blank_width_nm, turned.blank_length_nm) == (straight.blank_width_nm, straight.blank_length_nm)
    grained = StockBook((sheet(grain=True),))
    assert "larger than a sheet" in refusal(part("shelf", "3/4", "90", 48, stock="3/4 plywood"), grained).why
    refusal(part("shelf", "3/4", "50", 97, stock="3/4 plywood"))


def test_every_part_that_cannot_be_made_is_named():
    parts = (part("a", "9", "3", 30), part("b"), part("c", "1", "30", 30), part("d", stock="teak"))
    with pytest.raises(NoSolution) as refused:
        mill_all(parts, BOOK, MILLING)
    assert str(refused.value).startswith("3 parts cannot be made")
    assert all(name in str(refused.value) for name in ("a:", "c:", "teak"))
    with pytest.raises(MissingReference, match="teak"):
        mill_all(parts[1:2] + parts[3:], BOOK, MILLING)
    assert [m.part.label for m in mill_all((parts[1], top()), BOOK, MILLING)] == ["b", "top"]


@st.composite
def laminations(draw):
    along = draw(st.sampled_from([Along.WIDTH, Along.THICKNESS]))
    across, other = (
        draw(lengths_in_64ths(min_inches=1, max_inches=60)),
        draw(lengths_in_64ths(min_inches=1, max_inches=6)),
    )
    width, thickness = (across, other) if along is Along.WIDTH else (other, across)
    length = draw(lengths_in_64ths(min_inches=3, max_inches=180))
    return replace(
        top(),
        width_nm=width,
        thickness_nm=thickness,
        length_nm=length,
        along=along,
        quantity=draw(st.integers(1, 9)),
        strips=draw(st.one_of(st.just(0), st.integers(2, 60))),
    )


@given(laminations(), st.integers(1, 4))
def test_strips_add_up_to_the_part_and_what_is_cleaned_off(wanted, benches):
    try:
        found = mill(wanted, BOOK, MILLING, benches=benches)
    except NoSolution:
        assume(False)
    across = wanted.width_nm if wanted.along is Along.WIDTH else wanted.thickness_nm
    total = across + MILLING.glued_edge_nm + (found.sections - 1) * MILLING.section_joint_nm
    assert 0 <= found.strips * found.strip_across_nm - total < found.strips
    assert found.milled_thickness_nm >= THINNEST_STRIP_NM
    assert found.rough_thickness_nm <= found.stock.thickness_nm
    assert found.blank_width_nm > found.strip_width_nm
    assert found.blank_length_nm >= wanted.length_nm
    assert found.blanks * found.pieces_per_blank >= found.pieces * found.strips
    assert found.blanks % found.strips == 0
    assert found.pieces == wanted.quantity * benches
    if not wanted.strips and not found.flat:
        thickest = found.stock.thickness_nm - MILLING.thickness_allowance_nm(wanted.length_nm)
        assert (found.strips - 1) * thickest < total


@given(
    lengths_in_64ths(min_inches=0.25, max_inches=2),
    lengths_in_64ths(min_inches=1, max_inches=7),
    lengths_in_64ths(min_inches=1, max_inches=190),
)
def test_a_blank_is_never_smaller_than_its_part(thickness, width, length):
    wanted = replace(part(), thickness_nm=thickness, width_nm=width, length_nm=length)
    try:
        found = mill(wanted, BOOK, MILLING)
    except NoSolution:
        assume(False)
    assert found.rough_thickness_nm > thickness
    assert found.blank_width_nm > width
    assert found.blank_length_nm >= found.pieces_per_blank * length
    assert found.pieces_per_blank == 1 or found.blank_length_nm >= MILLING.shortest_nm


@given(st.integers(1, 50), st.integers(1, 12))
def test_twice_the_benches_are_twice_the_pieces_and_never_more_than_twice_the_blanks(benches, quantity):
    for wanted in (laminated_leg(quantity=quantity), part("block", "1", "3", 5, quantity=quantity)):
        once, twice = (mill(wanted, BOOK, MILLING, benches=n) for n in (benches, 2 * benches))
        assert twice.pieces == 2 * once.pieces
        assert once.blanks <= twice.blanks <= 2 * once.blanks
        assert replace(twice, pieces=once.pieces, blanks=once.blanks) == once


def test_boards_thick_enough_for_the_part_are_glued_edge_to_edge():
    # 4/4 is 1 in rough; over 54 in milling takes 1/4, which leaves 3/4. Usual board 7 in: 7 - 2/8 - 1/16 = 6 11/16 wide.
    panel = part(thickness="3/4", width="16", length=54, stock="4/4 sugar maple", strips=0, along=Along.WIDTH)
    book = StockBook((rough("4/4"),))
    found = mill(panel, book, MILLING)
    assert (found.flat, found.strips, found.sections) == (True, 3, 1)
    assert found.milled_thickness_nm == nm("3/4")
    assert found.strip_width_nm * 3 >= nm("16 1/8")
    assert found.line_width_nm == nm("3/4")
    assert mill(replace(panel, strips=5), book, MILLING).strips == 5
    with pytest.raises(NoSolution, match="it takes 3"):
        mill(replace(panel, strips=2), book, MILLING)


def test_a_part_thicker_than_a_board_still_stands_its_strips_on_edge():
    assert not mill(top(), BOOK, MILLING).flat


@pytest.mark.parametrize(("jointer", "way"), [("6", "rip it first"), ("3", "plane one face by hand")])
def test_a_board_wider_than_the_jointer_says_what_helps(jointer, way):
    notes = mill(top(), BOOK, replace(MILLING, jointer_width_nm=nm(jointer))).notes
    assert any(way in note for note in notes)
