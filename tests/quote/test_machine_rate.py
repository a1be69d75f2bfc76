"""What a running hour costs: the worked example, parts that add up, machines that make no sense."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal import units
from journal.errors import BadInput
from journal.quote.machine_rate import MachineCost, machine_rate

USD = units.currency("USD")
PLANER = MachineCost(
    purchase_cents=240_000,
    salvage_cents=40_000,
    life_hours=Fraction(8_000),
    hours_a_year=Fraction(400),
    upkeep_cents_a_year=12_000,
    power_kw=Fraction(3),
    load=Fraction(1, 2),
    kwh_cents=Fraction(16),
    blade_cents=9_000,
    blade_hours=Fraction(150),
)

amounts = st.integers(0, 50_000_000)
hours = st.fractions(Fraction(1, 2), 8_000)
costs = st.builds(
    MachineCost,
    purchase_cents=amounts,
    life_hours=hours,
    hours_a_year=hours,
    upkeep_cents_a_year=amounts,
    standing_cents_a_year=amounts,
    power_kw=st.fractions(0, 100),
    load=st.fractions(0, 1),
    kwh_cents=st.fractions(0, 100),
    blade_cents=amounts,
    blade_hours=hours,
)


def test_the_example_worked_by_hand():
    found = machine_rate(PLANER, USD)
    # 2,000 ÷ 8,000 = 0.25; 120 ÷ 400 = 0.30; 3 × ½ × 0.16 = 0.24; 90 ÷ 150 = 0.60
    assert [(part.name, part.value) for part in found.line.parts] == [
        ("Wear", 25),
        ("Upkeep", 30),
        ("Power", 24),
        ("Blades", 60),
    ]
    assert found.exact_cents == found.cents_per_hour == found.line.value == 139


@given(costs)
def test_the_parts_add_up_to_the_rate_and_the_rate_is_rounded_once(cost):
    found = machine_rate(cost, USD)
    assert sum(part.value for part in found.line.parts) == found.cents_per_hour
    assert found.cents_per_hour == units.round_half_up(found.exact_cents)


@given(costs, st.fractions(1, 10))
def test_a_machine_that_lasts_longer_is_never_dearer(cost, times):
    assert machine_rate(replace(cost, life_hours=cost.life_hours * times), USD).exact_cents <= (
        machine_rate(cost, USD).exact_cents
    )


def test_more_hours_a_year_change_only_what_is_paid_by_the_year():
    busy = {part.name: part.value for part in machine_rate(replace(PLANER, hours_a_year=Fraction(800)), USD).line.parts}
    assert busy == {"Wear": 25, "Upkeep": 15, "Power": 24, "Blades": 60}


def test_a_part_of_a_cent_of_electricity_is_not_lost():
    fine = machine_rate(replace(PLANER, kwh_cents=Fraction("16.42")), USD)
    assert fine.exact_cents == 139 - 24 + Fraction("24.63")
    assert "$0.1642 a kWh" in fine.line.parts[2].working


def test_a_machine_that_costs_nothing_has_no_parts():
    free = machine_rate(MachineCost(0, Fraction(1), Fraction(1)), USD)
    assert (free.cents_per_hour, free.line.parts) == (0, ())


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"life_hours": Fraction(0)}, "life"),
        ({"hours_a_year": Fraction(0)}, "hours a year"),
        ({"hours_a_year": Fraction(8_785)}, "hours a year"),
        ({"salvage_cents": 240_001}, "salvage"),
        ({"purchase_cents": -1}, "purchase"),
        ({"load": Fraction(11, 10)}, "load"),
        ({"power_kw": Fraction(-1)}, "power"),
        ({"blade_hours": Fraction(0)}, "hours a set lasts"),
    ],
)
def test_a_machine_that_makes_no_sense_is_refused_by_its_field(changed, field):
    with pytest.raises(BadInput) as refused:
        replace(PLANER, **changed)
    assert refused.value.field == field
