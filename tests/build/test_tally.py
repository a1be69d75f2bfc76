"""Board feet as a yard counts them: what holds for any board, and what a typed tally may look like."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal import units
from journal.build import tally
from journal.build.tally import Sawn
from journal.errors import BadInput, BadRows

sixteenths = st.integers(1, 24 * 16).map(lambda n: n * units.NM_PER_INCH // 16)
lengths = st.integers(units.NM_PER_FOOT, 20 * units.NM_PER_FOOT)
sawn = st.builds(Sawn, sixteenths, lengths, st.integers(1, 20))


@given(sixteenths, lengths)
def test_surface_measure_is_within_half_of_the_exact_one_for_whole_feet(width_nm, length_nm):
    exact = units.to_inches(width_nm) * (length_nm // units.NM_PER_FOOT) / 12
    assert abs(tally.surface_measure(width_nm, length_nm) - exact) <= Fraction(1, 2)


@given(sixteenths, lengths, st.integers(0, units.NM_PER_FOOT - 1))
def test_inches_beyond_the_whole_foot_count_for_nothing(width_nm, length_nm, more_nm):
    whole = length_nm // units.NM_PER_FOOT * units.NM_PER_FOOT
    assert tally.surface_measure(width_nm, whole + more_nm) == tally.surface_measure(width_nm, whole)


@given(st.lists(sawn, min_size=1, max_size=8))
def test_a_bundle_is_the_sum_of_its_boards_multiplied_once(boards):
    found = tally.hardwood(units.inches(2), boards)
    assert found.boards == sum(one.count for one in boards)
    assert found.surface_measure == sum(
        one.count * tally.surface_measure(one.width_nm, one.length_nm) for one in boards
    )
    assert found.board_feet == 2 * found.surface_measure
    volume = units.inches(2) * sum(one.count * one.width_nm * one.length_nm for one in boards)
    assert found.exact_board_feet == pytest.approx(units.board_feet(volume))


def test_an_exact_half_goes_up():
    assert tally.surface_measure(units.inches(9), units.feet(6)) == 5  # 4 1/2


def test_thinner_than_an_inch_counts_as_an_inch():
    boards = [Sawn(units.inches(6), units.feet(8))]
    assert tally.hardwood(units.inches("3/4"), boards).board_feet == tally.hardwood(units.inches(1), boards).board_feet


def test_a_bundle_of_five_quarter_is_rounded_once():
    # Two boards of 3: 6 × 1¼ = 7½, up to 8; each by itself would be 4 + 4.
    assert tally.hardwood(units.inches("1 1/4"), [Sawn(units.inches(6), units.feet(6), 2)]).board_feet == 8
    assert tally.hardwood(units.inches("1 1/4"), [Sawn(units.inches(6), units.feet(6), 3)]).board_feet == 11


@pytest.mark.parametrize(
    ("text", "boards"),
    [
        ("6 1/2 x 8", [(units.inches("6 1/2"), units.feet(8), 1)]),
        ("3 x 6.25 x 8 1/2", [(units.inches("6 1/4"), units.feet("8.5"), 3)]),
        ("6½×8", [(units.inches("6 1/2"), units.feet(8), 1)]),
        ("6,5 X 8", [(units.inches("6 1/2"), units.feet(8), 1)]),
        ("160 mm x 2.4 m\n\n7 x 96 in; 7 x 9'", [(160_000_000, 2_400_000_000, 1), (units.inches(7), units.feet(8), 1)]),
    ],
)
def test_a_tally_is_read_as_it_is_called_out(text, boards):
    read = [(one.width_nm, one.length_nm, one.count) for one in tally.parse_tally(text)]
    assert read[: len(boards)] == boards


def test_a_metric_shop_calls_out_millimetres():
    (one,) = tally.parse_tally("160 x 2400", system=units.System.METRIC)
    assert (one.width_nm, one.length_nm) == (160_000_000, 2_400_000_000)


def test_every_bad_line_is_named():
    with pytest.raises(BadRows) as refused:
        tally.parse_tally("6 x 8\nseven x 8\n6 x 8 x 9 x 10\n0 x 6 x 8\n6 x 900\n6 x")
    assert [problem.line for problem in refused.value.problems] == [2, 3, 4, 5, 6]


@pytest.mark.parametrize("text", ["", " \n ; ", "500 x 6 x 8; 6 x 8"])
def test_nothing_or_far_too_much_is_refused(text):
    with pytest.raises(BadInput):
        tally.parse_tally(text)


def test_no_boards_have_no_tally():
    with pytest.raises(BadInput):
        tally.hardwood(units.inches(1), [])


@pytest.mark.parametrize("given", [{"width_nm": 0}, {"length_nm": -1}, {"count": 0}, {"width_nm": units.feet(5)}])
def test_a_board_that_is_none_is_refused(given):
    with pytest.raises(BadInput):
        Sawn(**{"width_nm": units.inches(6), "length_nm": units.feet(8)} | given)
