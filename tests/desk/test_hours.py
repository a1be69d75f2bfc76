"""The shop's hours at the desk: typed or assumed, with the share of them spent at the bench."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from journal.desk import hours as desk
from journal.desk.ratios import NOTHING, read_ratios
from journal.desk.shop import read_shop
from journal.errors import BadInput, BadRows, Conflict
from journal.records.engine import writing
from journal.records.queries import shop as shop_records
from tests import factories

TODAY = date(2026, 3, 2)
EVENINGS = ("18:00–21:00",) * 5 + ("9–17", "")


@pytest.fixture
def session(file_engine):
    with writing(file_engine) as opened:
        yield opened


def save(session, days=EVENINGS, places=None, leads=None, stamp=None):
    sheet = desk.sheet(session, read_shop(session, TODAY), TODAY)
    desk.save_hours(session, days, places, leads or {}, stamp=sheet.stamp if stamp is None else stamp)


def bench(session, **shop):
    if shop:
        shop_records.save_shop(session, replace(shop_records.get_shop(session), **shop))
    found = read_shop(session, TODAY)
    return desk.bench_time(session, found, read_ratios(session, found, TODAY))


def test_hours_that_nobody_typed_come_to_the_bench_time_of_the_shop_and_say_so(session):
    found = bench(session, minutes_per_week=1500, people=1)
    # 25 h at the bench of 70 % of the open hours: 35 h 43 min, five days of 7 h 10.
    assert found.calendar.week.minutes == 5 * 430
    assert found.share * found.calendar.week.minutes == pytest.approx(1500)
    assert not found.typed
    assert "no hours are typed yet" in found.said[0]
    assert "starting assumption" in found.said[1]


def test_typed_hours_are_taken_with_the_share_that_is_set(session):
    save(session)
    found = bench(session, people=2, time_zone="Europe/Berlin")
    assert (found.calendar.week.minutes, found.share, found.typed) == (5 * 180 + 480, 0.7, True)
    assert found.calendar.zone == "Europe/Berlin"
    assert found.said[0] == "Open Monday to Friday 18:00–21:00; Saturday 9:00–17:00."


def test_logged_weeks_say_what_share_is_spent_at_the_bench(session):
    save(session)
    project = factories.project(session)
    for weeks in range(1, 31):
        factories.entry(session, project_id=project.id, on_date=TODAY - timedelta(weeks=weeks), seconds=600 * 60)
    found = bench(session)
    assert found.share == pytest.approx(600 / (5 * 180 + 480), rel=0.1)
    assert found.weekly
    assert "30 weeks logged" in found.said[1]


def test_more_logged_than_the_shop_was_open_is_taken_as_all_of_it(session):
    save(session, ("18–19", "", "", "", "", "", ""))
    project = factories.project(session)
    factories.entry(session, project_id=project.id, on_date=TODAY - timedelta(weeks=2), seconds=3600 * 20)
    assert bench(session).share == 1


def test_hours_are_shown_again_as_they_were_read(session):
    save(session, places=4)
    sheet = desk.sheet(session, read_shop(session, TODAY), TODAY)
    assert sheet.days == ("18:00–21:00",) * 5 + ("9:00–17:00", "")
    assert (sheet.typed, sheet.places) == (True, 4)


def test_every_day_that_cannot_be_read_is_named_and_nothing_kept(session):
    with pytest.raises(BadRows) as refused:
        save(session, ("nine", "9–17", "", "17–9", "", "", ""))
    assert [problem.column for problem in refused.value.problems] == ["Monday", "Thursday"]
    assert not desk.sheet(session, read_shop(session, TODAY), TODAY).typed


def test_a_week_without_hours_is_refused_with_the_fix(session):
    with pytest.raises(BadInput, match="open hours on one day at least"):
        save(session, ("",) * 7)


def test_hours_changed_meanwhile_are_a_conflict(session):
    stamp = desk.sheet(session, read_shop(session, TODAY), TODAY).stamp
    save(session)
    with pytest.raises(Conflict):
        save(session, stamp=stamp)


@pytest.mark.parametrize("places", [0, 201])
def test_places_out_of_range_are_refused(session, places):
    with pytest.raises(BadInput, match="1 to 200"):
        save(session, places=places)


def test_a_lead_of_years_is_refused(session):
    with pytest.raises(BadInput, match="0 to 730"):
        save(session, leads={1: 731})


@pytest.mark.parametrize(
    ("first", "last", "why"),
    [
        (TODAY, TODAY - timedelta(days=1), ""),
        (TODAY - timedelta(days=9), TODAY - timedelta(days=2), ""),
        (TODAY, TODAY + timedelta(days=4000), ""),
        (TODAY, TODAY, "x" * 201),
    ],
)
def test_days_off_that_make_no_sense_are_refused(session, first, last, why):
    with pytest.raises(BadInput):
        desk.close(session, first, last, why, today=TODAY)


def test_days_off_close_the_shop_until_it_is_opened_again(session):
    desk.close(session, TODAY, TODAY + timedelta(days=6), " fair ", today=TODAY)
    (row,) = desk.sheet(session, read_shop(session, TODAY), TODAY).off
    assert row.why == "fair"
    assert bench(session).calendar.is_off(TODAY + timedelta(days=6))
    desk.reopen(session, row.id)
    assert not bench(session).calendar.is_off(TODAY)


def test_hardware_that_says_nothing_takes_the_usual_days():
    leads = (
        desk.LeadRow(1, "vise", "vise", None),
        desk.LeadRow(2, "long vise", "vise", 30),
        desk.LeadRow(3, "bolt", "bolt", 0),
    )
    assert desk.lead_days(leads, 14) == {"vise": 30, "bolt": 0}


def test_nothing_learnt_is_no_share_of_its_own(session):
    found = read_shop(session, TODAY)
    assert desk.bench_time(session, found, NOTHING).weekly is False
