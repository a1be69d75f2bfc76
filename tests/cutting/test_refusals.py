"""Problems without a plan: what is told, and what would do."""

import dataclasses

import pytest
from journal import cutting
from journal.cutting.panels import sheet_problem
from journal.cutting.problem import Search
from journal.errors import BadInput, NoSolution
from journal.units import inches
from tests.cutting.problems import blank, problem, saw, stock

SHEET = stock("ply", "96", 6000, width="48", thickness="3/4", family="plywood", available=1)


def refused(job):
    with pytest.raises(NoSolution) as told:
        cutting.plan(job)
    return str(told.value)


def panels(quantity):
    """Panels of 40 × 30 in without grain from one sheet of 96 × 48 in."""
    made = blank("panel", "40", quantity, width="30", thickness="3/4", families=None)
    return sheet_problem([SHEET], [dataclasses.replace(made, may_turn=True)], kerf=0, edge_trim=0)


@pytest.mark.parametrize(
    ("piece", "reason"),
    [
        (blank(length="97"), "too long (needs 97 in, the nearest stock 2x8-8 has 96 in)"),
        (blank(width="8"), "too wide (needs 8 in, the nearest stock 2x8-8 has 7¼ in)"),
        (blank(thickness="2"), "too thick (needs 2 in, the nearest stock 2x8-8 has 1½ in)"),
    ],
)
def test_a_blank_that_fits_nothing_is_told_why_and_what_would_do(piece, reason):
    told = refused(problem([stock()], [blank("other"), dataclasses.replace(piece, id="rail")]))
    assert told.startswith("blank rail")
    assert reason in told
    assert "would do" in told


def test_every_reason_is_told_at_once():
    told = refused(problem([stock()], [blank(length="97", width="8")]))
    assert "too wide" in told
    assert "too long" in told
    assert "a board of at least 1¼ in × 8 in × 97 in would do" in told


def test_a_blank_longer_than_every_stretch_between_knots_is_told_the_longest():
    knotty = stock("rack", cut_outs=((inches(40), inches(42)),), available=1, on_hand=True)
    told = refused(problem([knotty], [blank(length="60")], saw(extra="1")))
    assert "longer than every clear stretch (needs 61 in, the longest of the nearest stock rack is 54 in)" in told


def test_boards_that_cannot_be_carried_are_told_with_how_much_can():
    job = dataclasses.replace(problem([stock("2x8-16", "192")], [blank(length="100")]), longest=inches(144))
    assert "2x8-16 is 192 in long, more than can be carried, 144 in" in refused(job)


def test_spares_count_among_the_pieces_that_are_short():
    piece = dataclasses.replace(blank(length="95", quantity=4), spare=1)
    told = refused(problem([stock(available=2)], [piece]))
    assert "5 are wanted, 1 of them spare, and the boards available yield 4 at most: 1 short" in told


def test_turned_blanks_are_not_counted_as_if_they_all_lay_straight():
    # By hand: two of 40 × 30 in lie straight in 96 × 48 in, three lie turned; four would by area be too many.
    assert cutting.plan(panels(3)).shopping == (("ply", 1),)
    assert "1 short" in refused(panels(4))


def test_stretches_between_knots_are_counted_one_by_one():
    # By hand: 40 in and 54 in beside a knot hold one 30-in blank each, the whole board would hold three.
    knotty = stock("rack", cut_outs=((inches(40), inches(42)),), available=1, on_hand=True, width="3 1/2")
    assert "yield 2 at most: 1 short" in refused(problem([knotty], [blank(length="30", quantity=3)]))


def test_stock_of_which_there_is_none_yields_none():
    assert "yield 0 at most: 1 short" in refused(problem([stock(available=0)], [blank()]))


def test_a_shortage_that_takes_a_plan_to_see_is_counted():
    # By hand: no two 5-in strips lie side by side in 7¼ in, nor two segments of 50 in one after the other in 96 in, so
    # that two boards hold two of four; by area, and each blank by itself, they would hold all.
    told = refused(problem([stock(available=2)], [blank("a", "50", 2, width="5"), blank("b", "51", 2, width="5")]))
    assert "2 short at least" in told
    assert "allow more of 2x8-8" in told


@pytest.mark.parametrize(
    ("rules", "field", "most"),
    [
        (
            dataclasses.replace(saw(), kerf_crosscut=inches(96)),
            "kerf of crosscuts",
            "less than the largest board, 96 in",
        ),
        (dataclasses.replace(saw(), kerf_rip=inches(8)), "kerf of rips", "less than the largest board, 7¼ in"),
    ],
)
def test_a_kerf_as_wide_as_the_largest_board_is_refused(rules, field, most):
    with pytest.raises(BadInput, match=most) as told:
        problem([stock()], [blank()], rules)
    assert told.value.field == field


def test_a_wide_kerf_that_leaves_room_for_one_piece_is_cut_with():
    rules = dataclasses.replace(saw(), kerf_crosscut=inches(60), kerf_rip=inches(5))
    assert cutting.plan(problem([stock()], [blank(length="40", quantity=2)], rules)).shopping == (("2x8-8", 2),)


def test_a_kerf_of_nothing_is_allowed():
    # By hand: two strips of 3⅝ in across 7¼ in and two segments of 48 in along 96 in.
    assert cutting.plan(problem([stock()], [blank(width="3 5/8", quantity=4)])).shopping == (("2x8-8", 1),)


def test_trims_that_take_the_whole_board_leave_nothing_to_cut():
    assert "too long" in refused(problem([stock()], [blank(length="1")], saw(trim="48")))


def test_ten_thousand_pieces_get_a_plan_and_a_bound():
    stocks = [stock(f"2x8-{feet}", 12 * feet, 90 * feet + feet % 3) for feet in (8, 10, 12, 16)]
    pieces = [blank(f"p{n}", 9 + 1.375 * n, 250, width=["1 3/4", "2 1/4", "3 1/2"][n % 3]) for n in range(40)]
    job = problem(stocks, pieces, saw(kerf="1/8", trim="1/2", extra="2", edge="1/8"))
    result = cutting.plan(job, Search(seconds=1))  # which replays every board
    assert 0.95 * result.cost_cents < result.bound_cents
    assert (result.status == "optimal") == (result.bound_cents == result.cost_cents)


def test_boards_for_nothing_are_cut_from_and_the_fewest_of_them():
    # By hand: 3 × 48 in fill one board of 12 ft, or a board and a half of 8 ft; all cost nothing, so the count decides.
    stocks = [stock(price=0), stock("2x8-12", "144", 0)]
    result = cutting.plan(problem(stocks, [blank(length="48", quantity=3, width="7")]), Search(seconds=5))
    assert (result.cost_cents, result.bound_cents, result.gap, result.status) == (0, 0, 0.0, "optimal")
    assert result.shopping == (("2x8-12", 1),)


@pytest.mark.parametrize("seconds", [None, 0.5])
def test_boards_for_nothing_beside_bought_ones_leave_only_the_rest_to_buy(seconds):
    # By hand: the two for nothing hold two blanks each, the fifth needs one of 828.
    stocks = [stock("found", price=0, available=2), stock()]
    job = problem(stocks, [blank(length="48", quantity=5, width="7")])
    result = cutting.plan(job, None if seconds is None else Search(seconds=seconds))
    assert (result.cost_cents, result.status, dict(result.shopping)) == (828, "optimal", {"found": 2, "2x8-8": 1})
