"""The lumber at rest: its readings, its day, whether it may be milled."""

from dataclasses import replace
from datetime import timedelta

import pytest
from journal.build.moisture import Readiness
from journal.desk import moisture, parts
from journal.desk.plan import build_plan
from journal.errors import BadInput
from journal.records.engine import writing
from journal.records.queries.building import ReadingDraft
from tests import factories, journals
from tests.build.benches import bench, part
from tests.factories import NOW, TODAY


@pytest.fixture
def session(tmp_path, empty_journal):
    path = tmp_path / "journal.db"
    engine = journals.copied(empty_journal, path)
    with writing(engine) as opened:
        yield opened
    journals.removed(engine)


@pytest.fixture
def project_id(session):
    project = factories.project(session)
    listed = [replace(one, stock="2x8 Douglas-fir" if "2x8" in one.stock else one.stock) for one in bench()]
    parts.keep(session, project.id, listed, reason="first list", now=NOW)
    return project.id


def read(session, project_id, pct, days_ago=0, place=""):
    draft = ReadingDraft(on_date=TODAY - timedelta(days=days_ago), moisture_pct=pct, place=place)
    return moisture.note_reading(session, project_id, draft, today=TODAY, now=NOW)


def stack(session, project_id):
    return build_plan(session, project_id, TODAY).stack


def test_unmeasured_lumber_rests_from_today_as_it_usually_does(session, project_id):
    found = stack(session, project_id)
    assert (found.stacked_on, found.said, found.readings) == (TODAY, False, ())
    assert found.now_pct == pytest.approx(found.drying.moisture_pct(0))


def test_the_day_it_was_stacked_moves_the_day_it_is_ready(session, project_id):
    later = stack(session, project_id).ready_on
    moisture.say_stacked(session, project_id, TODAY - timedelta(days=8), today=TODAY)
    found = stack(session, project_id)
    assert found.said
    assert found.ready_on == later - timedelta(days=8)


def test_a_reading_before_the_day_it_was_stacked_is_the_first_day(session, project_id):
    moisture.say_stacked(session, project_id, TODAY, today=TODAY)
    read(session, project_id, 15.0, days_ago=4)
    assert stack(session, project_id).stacked_on == TODAY - timedelta(days=4)


def test_boards_read_on_one_day_count_as_their_mean(session, project_id):
    for pct in (13.0, 15.0):
        read(session, project_id, pct)
    (daily,) = stack(session, project_id).daily
    assert daily.moisture_pct == pytest.approx(14.0)


@pytest.mark.parametrize(("pct", "readiness"), [(24.0, Readiness.WET), (14.0, Readiness.REST), (9.0, Readiness.READY)])
def test_what_is_measured_decides_whether_it_is_milled(session, project_id, pct, readiness):
    for _ in range(3):
        read(session, project_id, pct)
    assert stack(session, project_id).advice.readiness is readiness


def test_dry_lumber_need_not_wait(session, project_id):
    read(session, project_id, 9.0, days_ago=1)
    read(session, project_id, 8.9)
    wait = build_plan(session, project_id, TODAY).steps.find("crosscut_rough").wait
    assert wait is None


def test_logged_stickering_says_since_when_it_lies_until_somebody_says_otherwise(session, project_id):
    for days_ago in (20, 30, 10):
        factories.entry(session, project_id=project_id, operation="sticker", on_date=TODAY - timedelta(days=days_ago))
    factories.entry(session, project_id=project_id, operation="sand", on_date=TODAY - timedelta(days=90))
    assert stack(session, project_id).stacked_on == TODAY - timedelta(days=30)
    assert not stack(session, project_id).said
    moisture.say_stacked(session, project_id, TODAY - timedelta(days=5), today=TODAY)
    assert stack(session, project_id).stacked_on == TODAY - timedelta(days=5)


def test_green_wood_has_no_advice(session, project_id):
    for days_ago in (2, 1, 0):
        read(session, project_id, 60.0, days_ago=days_ago)
    assert stack(session, project_id).advice is None


def test_a_reading_taken_back_counts_no_more(session, project_id):
    before = stack(session, project_id)
    row = read(session, project_id, 24.0)
    moisture.take_back(session, project_id, row.id, now=NOW)
    assert stack(session, project_id) == before
    moisture.put_again(session, project_id, row.id)
    assert stack(session, project_id).readings == (row,)


def test_a_day_that_has_not_come_is_refused(session, project_id):
    with pytest.raises(BadInput, match=r"read on.*or a day before"):
        read(session, project_id, 12.0, days_ago=-1)
    with pytest.raises(BadInput, match="in stickers since"):
        moisture.say_stacked(session, project_id, TODAY + timedelta(days=1), today=TODAY)


def test_sheets_alone_do_not_rest(session):
    project = factories.project(session)
    panel = part("shelf", "3/4", "20", 58, stock="3/4 plywood")
    parts.keep(session, project.id, [panel], reason="first list", now=NOW)
    assert stack(session, project.id) is None
