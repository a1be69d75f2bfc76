import dataclasses
from math import ceil

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from journal.cutting import boards
from journal.cutting.bound import hold, independent_parts, material_worth, next_total
from journal.cutting.certify import certified_cents
from journal.cutting.model import make_model
from journal.cutting.pricing import Pricer
from journal.cutting.problem import Certificate
from journal.errors import NoSolution
from tests.cutting.problems import blank, problem, problems, saw, stock


def lower_bound(job):
    """The bound that the linear programme's worth bears."""
    return boards.plan(job).certified_cents


def test_blanks_over_half_a_board_cost_a_board_each():
    # By hand: 5 × 4 in wide in 7¼ in, each 50 in of 96 in: no two share a board, so 5 boards, though by area 2 would do.
    bound = lower_bound(problem([stock()], [blank(length="50", quantity=5, width="4")]))
    assert bound == 5 * 828


def test_a_third_of_the_width_with_kerfs_costs_half_a_board():
    # By hand: 2½ in + ⅛ kerf three times is 7⅞ − ⅛ > 7¼ in: two a segment; 95 in long: one segment a board; 6 → 3 boards.
    bound = lower_bound(problem([stock()], [blank(length="95", quantity=6, width="2 1/2")], saw(kerf="1/8")))
    assert bound == 3 * 828


def test_the_cheapest_section_sets_the_worth_of_what_both_can_hold():
    stocks = [stock(), stock("2x4-8", width="3 1/2", price=400)]
    assert lower_bound(problem(stocks, [blank(length="96", quantity=4)])) == 4 * 400


def test_free_boards_on_the_rack_lower_the_bound_by_what_they_can_hold():
    stocks = [stock("rack", price=0, available=2, on_hand=True), stock()]
    assert lower_bound(problem(stocks, [blank(length="96", quantity=10, width="7 1/4")])) == 8 * 828


def test_blanks_without_stock_in_common_are_bounded_apart():
    job = problem([stock(), stock("oak-8", family="oak")], [blank("a"), blank("b", families=frozenset({"oak"}))])
    assert [[one.id for one in stocks] for _, stocks in independent_parts(job)] == [["2x8-8"], ["oak-8"]]
    assert lower_bound(job) == 2 * 828  # a whole board each, though both would fit one


@pytest.mark.parametrize(
    ("cents", "prices", "expected"),
    [
        (0, [5], 0),
        (1, [5], 5),
        (7, [3, 5], 8),
        (7, [5, 3, 0], 8),
        (4, [3, 5], 5),
        (13, [6, 9, 20], 15),
        (43, [6, 9, 20], 44),
        (9, [0], 9),
        (10_000_001, [600_000, 900_000], 10_200_000),
        (10_000_001, [6, 9], 10_000_002),
    ],
)
def test_a_bound_is_raised_to_the_next_total_of_the_prices(cents, prices, expected):
    assert next_total(cents, prices) == expected


@given(cents=st.integers(0, 120), prices=st.lists(st.integers(1, 30), min_size=1, max_size=4))
def test_the_next_total_is_the_one_counting_finds(cents, prices):
    reached = {0}
    for total in range(1, 200):
        if any(total - price in reached for price in prices):
            reached.add(total)
    assert next_total(cents, prices) == min(total for total in reached if total >= cents)


@settings(deadline=None, max_examples=40)
@given(job=problems(), data=st.data())
def test_the_order_of_stock_and_blanks_does_not_move_the_bound(job, data):
    stocks, blanks = data.draw(st.permutations(job.stock)), data.draw(st.permutations(job.blanks))
    other = dataclasses.replace(job, stock=tuple(stocks), blanks=tuple(blanks))
    assert outcome(other) == outcome(job)


def outcome(job):
    try:
        result = boards.plan(job)
    except NoSolution as refused:
        return str(refused)
    return result.certified_cents, result.cost_cents


@settings(deadline=None, max_examples=80)
@given(job=problems(extras=True), data=st.data())
def test_any_worth_bears_a_bound_that_working_it_out_apart_confirms(job, data):
    for blanks, stocks in independent_parts(job):
        if not stocks:
            continue
        model = make_model(job, blanks, stocks)
        worth = data.draw(st.lists(st.floats(0, 50), min_size=len(model.demand), max_size=len(model.demand)))
        held = hold(Pricer(model, loose=True), worth, [store.least_cents for store in model.stores])
        named = [(name, one) for members, one in zip(model.blanks, held.worth, strict=True) for name, _ in members]
        part = dataclasses.replace(job, blanks=blanks, stock=stocks)
        due = certified_cents(part, Certificate(tuple(named), held.scale))
        prices = [each for store in model.stores for each in (store.cents, *(lower for _, lower in store.breaks))]
        assert due is not None
        assert due >= next_total(ceil(held.bound), prices)


def test_area_makes_the_first_worth():
    # By hand: without kerfs a 48 × 3⅝ in blank is a quarter of a 96 × 7¼ in board, so it is worth 207 of its 828 cents.
    job = problem([stock()], [blank(length="48", width="3 5/8", quantity=4)])
    ((blanks, stocks),) = independent_parts(job)
    model = make_model(job, blanks, stocks)
    assert material_worth(model) == [pytest.approx(model.price(0) / 4)]


def test_a_certificate_with_more_worth_than_its_boards_cost_bears_nothing():
    job = problem([stock()], [blank(length="50", quantity=5)])
    honest = boards.plan(job).certificate
    made_up = dataclasses.replace(honest, worth=tuple((name, 2 * one) for name, one in honest.worth))
    assert certified_cents(job, made_up) is None


@pytest.mark.parametrize(("worth", "scale"), [(-1, 1), (1, 0)])
def test_worth_below_nothing_or_no_scale_bears_nothing(worth, scale):
    job = problem([stock()], [blank(length="50", quantity=5)])
    assert certified_cents(job, Certificate((("strip", worth),), scale)) is None


def test_worth_of_limited_boards_may_pass_their_price_and_is_taken_off():
    # By hand: one board at 828 holds one 50-in blank worth 1,000: 1,000 − 1 × (1,000 − 828) = 828.
    job = problem([stock(available=1)], [blank(length="50", width="7")])
    assert certified_cents(job, Certificate((("strip", 1000),), 1)) == 828
