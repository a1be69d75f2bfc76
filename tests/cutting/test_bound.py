import dataclasses
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from journal.cutting.bound import independent_parts, lower_bound, next_total, weight
from journal.cutting.problem import StockWeights, WeightRule
from journal.cutting.verify import certified_cents
from tests.cutting.problems import blank, problem, problems, saw, stock

RULES = st.one_of(
    st.just(WeightRule("plain", Fraction(0))),
    st.integers(1, 12).map(lambda k: WeightRule("round", Fraction(k))),
    st.integers(2, 60).map(lambda n: WeightRule("cut", Fraction(1, n))),
)


@given(rule=RULES, data=st.data(), room=st.integers(1, 120))
def test_sizes_that_fit_a_room_weigh_one_at_most(rule, data, room):
    sizes, left = [], room
    while left and len(sizes) < 12:
        sizes.append(data.draw(st.integers(1, left)))
        left -= sizes[-1]
    assert sum(Fraction(*weight(rule, size, room)) for size in sizes) <= 1


@given(rule=RULES, room=st.integers(1, 120))
def test_a_longer_size_never_weighs_less(rule, room):
    weights = [Fraction(*weight(rule, size, room)) for size in range(1, room + 1)]
    assert weights == sorted(weights)


@pytest.mark.parametrize(
    ("kind", "parameter", "size", "expected"),
    [
        # By hand, of a room of 12: k = 1 makes 7 whole and 5 nothing, and leaves the half as it is.
        ("round", 1, 7, 1),
        ("round", 1, 5, 0),
        ("round", 1, 6, Fraction(1, 2)),
        # k = 2: 5/12 × 3 = 1¼ → ½; 4/12 × 3 = 1, whole → 1/3.
        ("round", 2, 5, Fraction(1, 2)),
        ("round", 2, 4, Fraction(1, 3)),
        # Cut at ¼ (3 of 12): above 9 whole, below 3 nothing.
        ("cut", Fraction(1, 4), 10, 1),
        ("cut", Fraction(1, 4), 9, Fraction(3, 4)),
        ("cut", Fraction(1, 4), 2, 0),
    ],
)
def test_weights_worked_by_hand(kind, parameter, size, expected):
    assert Fraction(*weight(WeightRule(kind, Fraction(parameter)), size, 12)) == expected


def test_blanks_over_half_a_board_cost_a_board_each():
    # By hand: 5 × 4 in wide in 7¼ in, each 50 in of 96 in: no two share a board, so 5 boards, though by area 2 would do.
    bound = lower_bound(problem([stock()], [blank(length="50", quantity=5, width="4")]))
    assert bound.cents == 5 * 828


def test_a_third_of_the_width_with_kerfs_costs_half_a_board():
    # By hand: 2½ in + ⅛ kerf three times is 7⅞ − ⅛ > 7¼ in: two a segment; 95 in long: one segment a board; 6 → 3 boards.
    bound = lower_bound(problem([stock()], [blank(length="95", quantity=6, width="2 1/2")], saw(kerf="1/8")))
    assert bound.cents == 3 * 828


def test_the_cheapest_section_sets_the_worth_of_what_both_can_hold():
    stocks = [stock(), stock("2x4-8", width="3 1/2", price=400)]
    assert lower_bound(problem(stocks, [blank(length="96", quantity=4)])).cents == 4 * 400


def test_free_boards_on_the_rack_lower_the_bound_by_what_they_can_hold():
    stocks = [stock("rack", price=0, available=2, on_hand=True), stock()]
    assert lower_bound(problem(stocks, [blank(length="96", quantity=10, width="7 1/4")])).cents == 8 * 828


def test_blanks_without_stock_in_common_are_bounded_apart():
    job = problem([stock(), stock("oak-8", family="oak")], [blank("a"), blank("b", families=frozenset({"oak"}))])
    assert [[one.id for one in stocks] for _, stocks in independent_parts(job)] == [["2x8-8"], ["oak-8"]]
    assert lower_bound(job).cents == 2 * 828  # a whole board each, though both would fit one


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


@settings(deadline=None, max_examples=60)
@given(job=problems(), data=st.data())
def test_the_order_of_stock_and_blanks_does_not_move_the_bound(job, data):
    stocks, blanks = data.draw(st.permutations(job.stock)), data.draw(st.permutations(job.blanks))
    other = dataclasses.replace(job, stock=tuple(stocks), blanks=tuple(blanks))
    assert lower_bound(other) == lower_bound(job)


@settings(deadline=None, max_examples=60)
@given(job=problems())
def test_the_certificate_bears_the_bound_when_worked_out_apart(job):
    bound = lower_bound(job)
    assert certified_cents(job, bound.certificate) == bound.cents


def test_a_certificate_with_worth_made_up_bears_nothing():
    job = problem([stock()], [blank(length="50", quantity=5)])
    honest = lower_bound(job).certificate
    made_up = dataclasses.replace(honest, worth=tuple((name, one + 1) for name, one in honest.worth))
    assert certified_cents(job, made_up) is None


@pytest.mark.parametrize(
    "rule", [WeightRule("cut", Fraction(2, 3)), WeightRule("round", Fraction(3, 2)), WeightRule("round", Fraction(0))]
)
def test_a_rule_that_is_not_dual_feasible_bears_nothing(rule):
    job = problem([stock()], [blank(length="50", quantity=5)])
    certificate = lower_bound(job).certificate
    plain = WeightRule("plain", Fraction(0))
    forged = dataclasses.replace(certificate, weights=(StockWeights("2x8-8", rule, plain),))
    assert certified_cents(job, forged) is None


def test_worth_without_rules_for_a_board_that_can_hold_it_bears_nothing():
    job = problem([stock(), stock("2x8-10", "120", 1068)], [blank(length="50", quantity=5)])
    honest = lower_bound(job).certificate
    assert certified_cents(job, dataclasses.replace(honest, weights=honest.weights[:1])) is None
