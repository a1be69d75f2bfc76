"""What wood comes to, and when a stack is ready."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.build.moisture import Assumed, Readiness, Reading, dry_out, emc_pct, may_mill
from journal.errors import BadInput

SHOP = 8.5
USUAL = Assumed(moisture_pct=16, rest_days=21, within_pct=2)


def curve(start, time, days, emc=SHOP):
    return [Reading(day, emc + (start - emc) * math.exp(-day / time)) for day in days]


@given(st.floats(20, 230), st.floats(0, 99))
def test_damper_air_means_wetter_wood(temp_f, humidity):
    assert emc_pct(temp_f, humidity) < emc_pct(temp_f, humidity + 1)
    assert 0 <= emc_pct(temp_f, humidity) < 30


@given(st.floats(70, 190), st.floats(5, 95))
def test_warmer_air_means_drier_wood(temp_f, humidity):
    assert emc_pct(temp_f + 10, humidity) < emc_pct(temp_f, humidity)


@pytest.mark.parametrize("humidity", [-1, 101])
def test_humidity_is_a_share(humidity):
    with pytest.raises(BadInput, match="humidity"):
        emc_pct(70, humidity)


@pytest.mark.parametrize("temp_f", [-40, 400])
def test_temperatures_no_table_knows_are_refused(temp_f):
    with pytest.raises(BadInput, match="temperature"):
        emc_pct(temp_f, 50)


def test_without_a_reading_it_is_ready_after_the_usual_rest():
    found = dry_out((), SHOP, USUAL)
    assert found.ready_days == pytest.approx(21)
    assert found.early_days < 21 < found.late_days
    assert found.moisture_pct(0) == pytest.approx(16)
    assert found.moisture_pct(21) == pytest.approx(SHOP + 2)


@pytest.mark.parametrize("time", [6, 12, 25])
def test_readings_on_a_curve_are_found_again(time):
    found = dry_out(curve(18, time, range(0, 40, 3)), SHOP, USUAL)
    assert found.time_days == pytest.approx(time, rel=0.05)
    assert found.ready_days == pytest.approx(time * math.log(9.5 / 2), rel=0.05)


def test_readings_narrow_the_range():
    none, two, many = (dry_out(curve(16, 15.9, days), SHOP, USUAL) for days in ((), (3, 6), range(0, 20, 2)))
    widths = [math.log(found.late_days / found.early_days) for found in (none, two, many)]
    assert widths[0] > widths[1] > widths[2]


def test_a_wetter_reading_puts_the_day_off():
    wet = dry_out([Reading(7, 15.5)], SHOP, USUAL)
    dry = dry_out([Reading(7, 11.0)], SHOP, USUAL)
    assert dry.ready_days < 21 < wet.ready_days


def test_dry_wood_is_ready_and_wood_drier_than_the_air_takes_water_up():
    assert dry_out(curve(9, 15, (0, 5)), SHOP, Assumed(9, 7, 2)).ready_days == 0
    found = dry_out(curve(5, 10, (0, 5, 10, 15), emc=12), 12, Assumed(5, 7, 2))
    assert found.excess_pct < 0
    assert found.moisture_pct(60) == pytest.approx(12, abs=0.1)


@given(st.lists(st.tuples(st.floats(0, 90), st.floats(4, 40)), max_size=12), st.floats(4, 20), st.floats(6, 30))
def test_any_readings_give_days_in_order(drawn, emc, start):
    found = dry_out([Reading(*pair) for pair in drawn], emc, Assumed(start, 21, 2))
    assert 0 <= found.early_days <= found.ready_days <= found.late_days
    assert found.readings == len(drawn)


@pytest.mark.parametrize(("days", "moisture"), [(-1, 10), (1, -1), (1, 101)])
def test_readings_out_of_range_are_refused(days, moisture):
    with pytest.raises(BadInput):
        Reading(days, moisture)


@pytest.mark.parametrize(("rest", "within"), [(0, 2), (7, 0)])
def test_assumptions_out_of_range_are_refused(rest, within):
    with pytest.raises(BadInput):
        Assumed(16, rest, within)


@pytest.mark.parametrize(
    ("moisture", "readiness"),
    [(9, Readiness.READY), (10.5, Readiness.READY), (12, Readiness.REST), (20, Readiness.WET)],
)
def test_wet_stock_is_not_to_be_milled(moisture, readiness):
    found = may_mill(moisture, SHOP, 2)
    assert found.readiness is readiness
    assert f"{moisture:.1f}%" in found.text


@pytest.mark.parametrize("moisture", [30, 60, -1])
def test_green_wood_is_refused(moisture):
    with pytest.raises(BadInput, match="green"):
        may_mill(moisture, SHOP, 2)
