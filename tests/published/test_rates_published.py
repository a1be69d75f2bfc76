"""A machine-hour rate, and margin against markup, against what is published."""

from fractions import Fraction

import pytest
from journal import units
from journal.quote.machine_rate import MachineCost, machine_rate
from journal.quote.risk import markup_of, price_for

# Textbook exercise, read at education.svtuition.org (2010): a machine of 10,000 with a scrap value of 900 after ten years
# of 4,380 hours; repairs of 18,000 over its life; 15 units of power an hour at 0.05; a quarter of a rent of 300 a month,
# two tenths of a light bill of 80, a sixth of a foreman at 960, 9 of oil a month, insurance of 1% a year. The monthly
# standing charges of 268.33 are printed there; the rest follows by arithmetic. An answer of 2.27 that circulates adds
# 99,150 where the sum is 92,150.
STANDING_A_MONTH = Fraction(300, 4) + Fraction(80 * 2, 10) + Fraction(960, 6) + 9 + Fraction(10_000, 100 * 12)
EXERCISE = MachineCost(
    purchase_cents=1_000_000,
    salvage_cents=90_000,
    life_hours=Fraction(43_800),
    hours_a_year=Fraction(4_380),
    upkeep_cents_a_year=180_000,
    standing_cents_a_year=units.round_half_up(STANDING_A_MONTH * 12 * 100),
    power_kw=Fraction(15),
    kwh_cents=Fraction(5),
)


def test_the_standing_charges_of_the_exercise_are_those_printed():
    assert float(STANDING_A_MONTH) == pytest.approx(268.33, abs=0.005)


def test_the_rate_of_the_exercise():
    found = machine_rate(EXERCISE, units.currency("USD"))
    assert float(found.exact_cents) / 100 == pytest.approx(2.1039, abs=0.00005)
    assert found.cents_per_hour == 210


@pytest.mark.parametrize(
    ("changed", "an_hour"),
    [
        ({"upkeep_cents_a_year": 0, "standing_cents_a_year": 0, "power_kw": Fraction(0)}, 0.2078),
        ({"purchase_cents": 0, "salvage_cents": 0, "standing_cents_a_year": 0, "power_kw": Fraction(0)}, 0.4110),
        ({"purchase_cents": 0, "salvage_cents": 0, "upkeep_cents_a_year": 0, "standing_cents_a_year": 0}, 0.7500),
        ({"purchase_cents": 0, "salvage_cents": 0, "upkeep_cents_a_year": 0, "power_kw": Fraction(0)}, 0.7352),
    ],
)
def test_each_part_of_the_exercise(changed, an_hour):
    # The same exercise: depreciation 9,100 ÷ 43,800, repairs 18,000 ÷ 43,800, power 15 × 0.05, standing 268.33 ÷ 365.
    given = {name: getattr(EXERCISE, name) for name in EXERCISE.__slots__} | changed
    found = machine_rate(MachineCost(**given), units.currency("USD"))
    assert float(found.exact_cents) / 100 == pytest.approx(an_hour, abs=0.00006)


@pytest.mark.parametrize(
    ("markup", "margin"),
    [("1/5", "1/6"), ("1/4", "1/5"), ("1/3", "1/4"), ("1/2", "1/3"), ("2/3", "2/5"), ("1", "1/2")],
)
def test_the_usual_table_of_markup_and_margin(markup, margin):
    # Common practice, printed in every bookkeeping text and exact: margin = markup ÷ (1 + markup).
    assert markup_of(float(Fraction(margin))) == pytest.approx(float(Fraction(markup)))


def test_a_quarter_of_markup_is_not_a_quarter_of_margin():
    # The usual example (common practice): 800 of cost is 1,000 at 25% of markup and 1,066.67 at 25% of margin.
    assert price_for(80_000, float(Fraction(1, 5))) == 100_000
    assert price_for(80_000, 0.25) == 106_667
