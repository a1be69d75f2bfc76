"""How a cost may turn out: draws of mean one, chances and values that undo each other, prices that leave a margin."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.errors import BadInput
from journal.quote.risk import (
    Distribution,
    Range,
    markup_of,
    multipliers,
    price_for,
    spread_share,
)
from tests.quote.commissions import CERTAIN, UNCERTAINTY

FACTORS = ("price", "yield_", "glue", "finish")


def test_every_factor_has_mean_one_and_the_spread_it_was_given():
    drawn = multipliers(UNCERTAINTY, draws=20_000, seed=3)
    for name in FACTORS:
        factors = getattr(drawn, name)
        assert factors.mean() == pytest.approx(1, abs=1e-12)
        assert np.log(factors).std() == pytest.approx(getattr(UNCERTAINTY, name), rel=0.03)
        assert factors.min() > 0


def test_unplanned_work_has_its_mean_and_spread_and_never_takes_time_away():
    unsure = replace(UNCERTAINTY, unplanned_mean=0.12, unplanned_sd=0.05)
    drawn = multipliers(unsure, draws=20_000, seed=3).unplanned
    assert drawn.mean() == pytest.approx(1.12, abs=1e-12)
    assert drawn.std() == pytest.approx(0.05, rel=0.05)
    assert drawn.min() >= 1


def test_factors_do_not_move_together():
    drawn = multipliers(UNCERTAINTY, draws=20_000, seed=3)
    together = np.corrcoef([getattr(drawn, name) for name in (*FACTORS, "unplanned")])
    assert np.abs(together - np.eye(5)).max() < 0.03


def test_the_same_seed_draws_the_same_and_another_does_not():
    one, same, other = (multipliers(UNCERTAINTY, draws=50, seed=seed) for seed in (3, 3, 4))
    assert all(np.array_equal(getattr(one, name), getattr(same, name)) for name in (*FACTORS, "unplanned"))
    assert not np.array_equal(one.price, other.price)


def test_certainty_draws_ones():
    drawn = multipliers(CERTAIN, draws=10, seed=1)
    assert all((getattr(drawn, name) == 1).all() for name in (*FACTORS, "unplanned"))
    assert (multipliers(replace(CERTAIN, unplanned_mean=0.1), draws=10, seed=1).unplanned == 1.1).all()


@pytest.mark.parametrize(("mean", "sd"), [(1e-5, 1.0), (1e-9, 2.0), (0.01, 2.0), (2.0, 1e-3)])
def test_unplanned_work_keeps_its_mean_at_the_ends_of_what_may_be_said(mean, sd):
    drawn = multipliers(replace(CERTAIN, unplanned_mean=mean, unplanned_sd=sd), draws=500, seed=1).unplanned
    assert drawn.mean() - 1 == pytest.approx(mean, rel=1e-6)
    assert np.isfinite(drawn).all()


@pytest.mark.parametrize("name", [*FACTORS, "unplanned_mean", "unplanned_sd"])
@pytest.mark.parametrize("value", [-0.01, 2.01, math.nan])
def test_uncertainties_out_of_range_are_refused(name, value):
    with pytest.raises(BadInput):
        replace(UNCERTAINTY, **{name: value})


def test_a_distribution_reads_its_quantiles():
    even = Distribution.of(np.arange(0, 1001, dtype=float))
    assert [even.at(chance) for chance in (0, 0.25, 0.5, 0.8, 1)] == pytest.approx([0, 250, 500, 800, 1000])
    assert even.mean == 500
    assert Range.of(even) == Range(*(pytest.approx(value) for value in (100, 500, 800, 900)))
    assert [even.chance_above(value) for value in (-1, 0, 250, 900, 1000, 1001)] == pytest.approx(
        [1, 1, 0.75, 0.1, 0, 0]
    )


@pytest.mark.parametrize("chance", [-0.01, 1.01, math.nan])
def test_no_chance_is_outside_zero_to_one(chance):
    with pytest.raises(BadInput, match="chance"):
        Distribution.of(np.array([1.0, 2.0])).at(chance)


LUCK = Distribution.of(np.exp(np.random.default_rng(1).standard_normal(5000)))


@given(st.floats(0, 1))
def test_value_and_chance_undo_each_other(chance):
    assert LUCK.chance_above(LUCK.at(chance)) == pytest.approx(1 - chance, abs=1e-9)


@given(st.floats(0.01, 20), st.floats(0, 5))
def test_a_higher_value_is_never_more_likely_passed(value, more):
    assert LUCK.chance_above(value + more) <= LUCK.chance_above(value)


@given(st.floats(0, 1), st.floats(0, 1))
def test_a_higher_chance_is_never_a_lower_value(one, other):
    low, high = sorted((one, other))
    assert LUCK.at(low) <= LUCK.at(high)


@pytest.mark.parametrize(("count", "tail"), [(40, 0.005), (7, 0.1), (1, 0.0)])
def test_bars_of_a_picture_hold_all_but_the_tails_and_touch(count, tail):
    bars = LUCK.bins(count, tail=tail)
    assert len(bars) == count
    assert sum(share for _, _, share in bars) == pytest.approx(1 - 2 * tail)
    assert all(share >= 0 for *_, share in bars)
    assert [low for low, _, _ in bars[1:]] == [high for _, high, _ in bars[:-1]]
    assert (bars[0][0], bars[-1][1]) == pytest.approx((LUCK.at(tail), LUCK.at(1 - tail)))


def test_what_cannot_vary_is_one_bar():
    assert Distribution.of(np.full(9, 5.0)).bins() == ((5.0, 5.0, 1.0),)


@pytest.mark.parametrize(
    ("cost", "margin", "rounding", "price"),
    [
        (80_000, 0.20, 1, 100_000),
        (80_000, 0.25, 1, 106_667),
        (80_000, 0.25, 100, 106_700),
        (80_000, 0.20, 100_000, 100_000),
        (80_001, 0.20, 100_000, 200_000),
        (0.3, 0.0, 1, 1),
        (0, 0.5, 500, 0),
        (85.0, 0.15, 1, 100),
    ],
)
def test_a_price_leaves_its_margin_and_is_rounded_up_to_the_step(cost, margin, rounding, price):
    assert price_for(cost, margin, rounding) == price


@given(st.floats(1, 1e8), st.floats(0, 0.95), st.integers(1, 10_000))
def test_a_price_never_leaves_less_than_its_margin_nor_a_whole_step_more(cost, margin, rounding):
    price = price_for(cost, margin, rounding)
    assert price % rounding == 0
    exact = cost / (1 - margin)
    assert exact - 1e-5 * rounding <= price < exact + rounding * (1 + 1e-5)


@given(st.floats(1, 1e7), st.floats(0, 1e6), st.floats(0, 0.9), st.floats(0, 0.09))
def test_more_cost_or_more_margin_is_never_a_lower_price(cost, more, margin, larger):
    assert price_for(cost + more, margin, 100) >= price_for(cost, margin, 100)
    assert price_for(cost, margin + larger, 100) >= price_for(cost, margin, 100)


@given(st.floats(0, 0.95))
def test_a_markup_is_the_same_profit_as_its_margin(margin):
    assert 1 + markup_of(margin) == pytest.approx(1 / (1 - margin))


@pytest.mark.parametrize("margin", [1.0, 1.5, -0.01, math.nan])
def test_no_price_leaves_all_of_itself(margin):
    with pytest.raises(BadInput, match="margin"):
        price_for(100, margin)
    with pytest.raises(BadInput, match="margin"):
        markup_of(margin)


def test_shares_of_a_spread_by_hand():
    # Independent parts of variance 1 and 3; a part and its double move together: (1 + 2) and (4 + 2) of 9.
    one = np.array([1.0, -1, 1, -1])
    other = math.sqrt(3) * np.array([1.0, 1, -1, -1])
    assert spread_share([one, other]) == pytest.approx((0.25, 0.75))
    assert spread_share([one, 2 * one]) == pytest.approx((1 / 3, 2 / 3))
    assert spread_share([np.ones(3), np.ones(3)]) == (0.0, 0.0)


@given(st.lists(st.lists(st.floats(-1e3, 1e3), min_size=5, max_size=5), min_size=1, max_size=5))
def test_shares_of_a_spread_add_up_to_all_of_it(parts):
    shares = spread_share([np.array(part) for part in parts])
    varies = float(np.var(np.sum(parts, axis=0))) > 1e-6
    assert not varies or sum(shares) == pytest.approx(1, abs=1e-6)
