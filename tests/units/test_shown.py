"""Quantities in the words of one shop."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal import units
from journal.units import IN_INCHES, Shown, System

METRIC = Shown(System.METRIC)
SQUARE_FOOT = units.NM2_PER_SQUARE_FOOT


@pytest.mark.parametrize(
    ("say", "inches", "metric"),
    [
        (lambda shown: shown.length(units.inches("38 1/2")), "38½ in", "977.9 mm"),
        (lambda shown: shown.length(units.inches("38 1/2"), feet=True), "3 ft 2½ in", "977.9 mm"),
        (lambda shown: shown.thickness(units.inches("1 7/32")), "1 7/32 in", "30.96 mm"),
        (lambda shown: shown.run(units.feet(212)), "212 ft", "64.6 m"),
        (lambda shown: shown.area(56 * SQUARE_FOOT), "56 ft²", "5.2 m²"),
        (lambda shown: shown.liquid(887.2), "30 fl oz", "887 ml"),
        (lambda shown: shown.mass(100.0), "220 lb", "100 kg"),
        (lambda shown: shown.spread(10 * units.ML_PER_FLUID_OUNCE, 20 * SQUARE_FOOT), "0.5 fl oz a ft²", "159 ml a m²"),
        (lambda shown: shown.spread(0.0, 0.0), "0 fl oz a ft²", "0 ml a m²"),
        (lambda shown: shown.volume(units.feet(1) ** 3), "1 ft³", "28.3 L"),
        (lambda shown: shown.density(545.0), "34 lb a ft³", "0.545 kg a litre"),
        (lambda shown: shown.temperature(50), "50 °F", "10 °C"),
        (lambda shown: shown.amount(212.4, "ft"), "212 ft", "64.7 m"),
        (lambda shown: shown.amount(1, "hole"), "1 hole", "1 hole"),
        (lambda shown: shown.amount(12, "hole"), "12 holes", "12 holes"),
        (lambda shown: shown.amount(3, "bench"), "3 benches", "3 benches"),
        (lambda shown: shown.amount(212.44, "hole", places=1), "212.4 holes", "212.4 holes"),
        (lambda shown: shown.amount(21, "board", places=1), "21 boards", "21 boards"),
        (lambda shown: shown.amount(1.001, "hole"), "1 hole", "1 hole"),
        (lambda shown: shown.amount(2.5, "h"), "2.5 h", "2.5 h"),
        (lambda shown: shown.amount(241, "bd ft"), "241 bd ft", "241 bd ft"),
        (lambda shown: shown.amount(138, "ft2·coat"), "138 ft² of coats", "12.8 m² of coats"),
        (lambda shown: shown.counted_in("ft2·grit"), "ft² and grit", "m² and grit"),
    ],
)
def test_each_shop_reads_its_own_units(say, inches, metric):
    assert say(IN_INCHES) == inches
    assert say(METRIC) == metric


@given(st.floats(0.01, 1e6), st.sampled_from(["ft", "ft2", "ft2·coat", "hole", "h"]))
def test_minutes_a_unit_times_units_are_the_same_minutes_in_both(quantity, unit):
    minutes_a_unit = 0.4
    for shown in (IN_INCHES, METRIC):
        here = shown.units_of(unit)
        assert (quantity * here) * (minutes_a_unit / here) == pytest.approx(quantity * minutes_a_unit)
