"""Rests, clamps and coats by the clock."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal import reference
from journal.build.waits import Wait, clamp_hours, recoat_hours, rest_days, slower_when_cold, slower_when_humid
from journal.errors import BadInput, NoSolution
from tests.build.benches import dimensional, rough, sheet
from tests.build.test_order import WAITS

PVA = reference.adhesives()["pva_interior"]
OIL = reference.finishes()["hard_oil"]


def test_the_longest_rest_counts():
    assert rest_days([rough(), dimensional(), sheet()], WAITS)[0] == 21
    assert rest_days([rough()], WAITS)[0] == 7
    assert rest_days([sheet()], WAITS) == (0, "")
    assert rest_days([dimensional()], replace(WAITS, rest_wet_days=0)) == (0, "")


def test_clamps_stay_on_longer_in_the_cold():
    assert clamp_hours(PVA, 70) == clamp_hours(PVA, 85) == 1
    assert clamp_hours(PVA, 52) == 2
    with pytest.raises(NoSolution, match=r"too cold.*50 °F"):
        clamp_hours(PVA, 49)


def test_coats_dry_slower_when_it_is_cold_or_humid():
    # The rule of thumb by hand: 18 °F colder is twice as long, 70 % humidity half as long again.
    assert recoat_hours(OIL, 70, 45) == (12, 24)
    assert recoat_hours(OIL, 52, 50) == (24, 48)
    assert recoat_hours(OIL, 70, 70) == (18, 36)
    with pytest.raises(NoSolution, match="too cold"):
        recoat_hours(OIL, 45, 50)


@given(st.floats(30, 100), st.floats(0, 99))
def test_colder_and_damper_is_never_quicker(temp_f, humidity):
    assert slower_when_cold(temp_f) >= slower_when_cold(temp_f + 1) >= 1
    assert slower_when_humid(humidity + 1) >= slower_when_humid(humidity) >= 1


@pytest.mark.parametrize("humidity", [-1, 101])
def test_humidity_is_a_share(humidity):
    with pytest.raises(BadInput):
        slower_when_humid(humidity)


def test_no_wait_is_below_zero():
    with pytest.raises(BadInput):
        Wait(-1, "never")
