"""The log by hand: each change once, kept with what was before, and taken back whole."""

from datetime import time, timedelta

import pytest
from journal.desk import acts, log_view, logging
from journal.desk.log_view import stamp
from journal.errors import BadInput, Conflict, MissingReference
from journal.floor.taps import Task
from journal.records.engine import reading, writing
from journal.records.queries import logbook, plans
from journal.records.queries.logbook import Sought
from tests import factories
from tests.desk import floor_shop as shop
from tests.desk.floor_shop import DAY, NOW, ZONE, sent


@pytest.fixture
def floor(file_engine):
    """(engine, project, first and second person)."""
    with writing(file_engine) as session:
        return file_engine, shop.in_build(session), *shop.people(session)


def wanted(project, **given):
    fields = {"task": Task(project, "joint_face"), "on_date": DAY, "seconds": 3600}
    return logging.Wanted(**fields | given)


def add(engine, wish, form=None):
    with writing(engine) as session:
        return logging.add(session, wish, sent=form or sent())


def rows(engine):
    with reading(engine) as session:
        return logbook.entries_between(session, DAY - timedelta(days=9), DAY)


def seconds(engine):
    return [(row.operation or row.stage, row.seconds) for row in rows(engine)]


def undo(engine):
    with writing(engine) as session:
        return acts.undo(session, acts.newest(session, NOW).id, zone=ZONE, now=NOW)


def test_time_is_added_once_and_taken_back(floor):
    engine, project, one, _ = floor
    again = sent()
    for _ in range(2):
        assert add(engine, wanted(project, worker_id=one, start=time(9)), again) == "Logged 1 h of Joint one face"
    (row,) = rows(engine)
    assert (row.seconds, row.worker_id, row.started_at) == (3600, one, shop.at(9))
    undo(engine)
    assert rows(engine) == ()


def test_yesterday_two_hours_of_planing(floor):
    engine, project, *_ = floor
    add(engine, wanted(project, task=shop.planing(project), on_date=DAY - shop.A_DAY, seconds=7200))
    assert [(row.on_date, row.seconds) for row in rows(engine)] == [(DAY - shop.A_DAY, 7200)]


@pytest.mark.parametrize(
    ("given", "error", "told"),
    [
        ({"on_date": DAY + shop.A_DAY}, BadInput, "today or a day before"),
        ({"worker_id": 99}, BadInput, "one of those at the bench"),
        ({"task": Task(99, "joint_face")}, MissingReference, "project"),
        ({"task": Task(1, "juggling")}, MissingReference, "operation"),
        ({"task": Task(1, "rework")}, MissingReference, "operation"),
        ({"on_date": DAY - timedelta(days=1), "seconds": 86_401, "worker_id": 1}, BadInput, "at most the 24.0 h"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_kept(floor, given, error, told):
    engine, project, *_ = floor
    with pytest.raises(error, match=told):
        add(engine, wanted(project, **given))
    assert rows(engine) == ()


@pytest.mark.parametrize("given", [{"seconds": 0}, {"people": 0}, {"people": 51}, {"note": "x" * 2001}])
def test_an_entry_without_sense_is_refused_at_once(given):
    with pytest.raises(BadInput):
        wanted(1, **given)


def test_a_twenty_five_hour_day_of_one_person_is_refused_but_not_of_two(floor):
    engine, project, one, two = floor
    yesterday = DAY - shop.A_DAY
    add(engine, wanted(project, on_date=yesterday, seconds=13 * 3600, worker_id=one))
    add(engine, wanted(project, on_date=yesterday, seconds=13 * 3600, worker_id=two))
    with pytest.raises(BadInput, match=r"25\.0 h on 2026-03-01.*at most the 24\.0 h"):
        add(engine, wanted(project, on_date=yesterday, seconds=12 * 3600, worker_id=one))


def test_one_person_is_not_at_two_things_at_once_two_may_be(floor):
    engine, project, one, two = floor
    add(engine, wanted(project, start=time(9), worker_id=one))
    with pytest.raises(BadInput, match="a time beside Joint one face, 09:00 to 10:00") as refusal:
        add(engine, wanted(project, start=time(9, 59), worker_id=one, seconds=600))
    assert refusal.value.field == "started at"
    add(engine, wanted(project, start=time(10), worker_id=one))
    add(engine, wanted(project, start=time(9, 30), worker_id=two))
    assert len(rows(engine)) == 3


def correct(engine, entry_id, wish, seen=None, why="slip", form=None):
    with writing(engine) as session:
        seen = seen or stamp(logbook.get_any(session, entry_id))
        return logging.correct(session, entry_id, wish, seen=seen, why=why, sent=form or sent())


def test_a_correction_keeps_what_was_and_why_and_is_taken_back(floor):
    engine, project, one, _ = floor
    add(engine, wanted(project, worker_id=one, start=time(9)))
    (row,) = rows(engine)
    correct(engine, row.id, wanted(project, worker_id=one, start=time(9), seconds=5400, rework=True, aside="a class"))
    (now,) = rows(engine)
    assert (now.seconds, now.rework, now.set_aside_reason) == (5400, True, "a class")
    with reading(engine) as session:
        changes = log_view.one(session, row.id).changes
    assert {(change.field, change.old, change.new, change.why) for change in changes} == {
        ("seconds", "3600", "5400", "slip"),
        ("rework", "False", "True", "slip"),
        ("set_aside_reason", None, "a class", "slip"),
    }
    undo(engine)
    assert rows(engine) == (row,)


def test_a_correction_that_changes_nothing_keeps_nothing(floor):
    engine, project, one, _ = floor
    add(engine, wanted(project, worker_id=one))
    (row,) = rows(engine)
    assert correct(engine, row.id, wanted(project, worker_id=one)) == "Nothing was changed"
    with reading(engine) as session:
        assert log_view.one(session, row.id).changes == ()


def test_a_correction_of_what_somebody_else_changed_meanwhile_is_refused(floor):
    engine, project, *_ = floor
    add(engine, wanted(project))
    (row,) = rows(engine)
    seen = stamp(row)
    correct(engine, row.id, wanted(project, seconds=1800))
    with pytest.raises(Conflict):
        correct(engine, row.id, wanted(project, seconds=900), seen=seen)
    assert seconds(engine) == [("joint_face", 1800)]


def test_taking_back_a_correction_that_was_corrected_again_is_refused(floor):
    engine, project, *_ = floor
    add(engine, wanted(project))
    (row,) = rows(engine)
    correct(engine, row.id, wanted(project, seconds=1800))
    with reading(engine) as session:
        act = acts.newest(session, NOW)
    correct(engine, row.id, wanted(project, seconds=900))
    with writing(engine) as session, pytest.raises(Conflict):
        acts.undo(session, act.id, zone=ZONE, now=NOW)
    assert seconds(engine) == [("joint_face", 900)]


def test_the_seconds_of_the_clock_survive_a_form_that_shows_minutes(floor):
    engine, project, one, _ = floor
    began = shop.at(9) + timedelta(seconds=42)
    with writing(engine) as session:
        row = factories.entry(session, project_id=project, on_date=DAY, started_at=began, seconds=601, worker_id=one)
    correct(engine, row.id, wanted(project, worker_id=one, start=time(9), seconds=601, note="new"))
    (now,) = rows(engine)
    assert (now.started_at, now.seconds, now.note) == (began, 601, "new")


def split(engine, entry_id, *parts):
    with writing(engine) as session:
        seen = stamp(logbook.get_any(session, entry_id))
        return logging.split(session, entry_id, parts, seen=seen, sent=sent())


def test_a_split_gives_parts_to_other_work_loses_nothing_and_is_taken_back(floor):
    engine, project, *_ = floor
    add(engine, wanted(project, seconds=7200))
    (row,) = rows(engine)
    split(engine, row.id, (shop.planing(project), 1800), (Task(project, "milling", by_stage=True), 600))
    assert seconds(engine) == [("joint_face", 4800), ("plane_thickness", 1800), ("milling", 600)]
    undo(engine)
    assert seconds(engine) == [("joint_face", 7200)]
    split(engine, row.id, (shop.planing(project), 7200))
    assert seconds(engine) == [("plane_thickness", 7200)]
    undo(engine)
    assert seconds(engine) == [("joint_face", 7200)]


def test_a_split_into_more_than_there_is_or_nothing_is_refused(floor):
    engine, project, *_ = floor
    add(engine, wanted(project))
    (row,) = rows(engine)
    for parts in ((), [(shop.planing(project), 3601)], [(shop.planing(project), 0)]):
        with pytest.raises(BadInput):
            split(engine, row.id, *parts)
    assert seconds(engine) == [("joint_face", 3600)]


def test_an_entry_is_removed_with_a_reason_and_counted_again(floor):
    engine, project, *_ = floor
    add(engine, wanted(project))
    (row,) = rows(engine)
    with writing(engine) as session, pytest.raises(BadInput):
        logging.remove(session, row.id, "  ", sent=sent())
    with writing(engine) as session:
        logging.remove(session, row.id, "twice in the book", sent=sent())
    assert rows(engine) == ()
    with reading(engine) as session:
        page = log_view.log_page(session, project, Sought(removed=True))
    assert [entry.id for entry in page.entries] == [row.id]
    with writing(engine) as session:
        logging.count_again(session, row.id, sent=sent())
    assert seconds(engine) == [("joint_face", 3600)]
    with writing(engine) as session, pytest.raises(Conflict):
        logging.count_again(session, row.id, sent=sent())
    undo(engine)
    assert rows(engine) == ()
    with writing(engine) as session, pytest.raises(Conflict, match="removed"):
        logging.mark_rework(session, row.id, again=True, sent=sent())


def test_rework_is_a_mark_that_is_taken_back(floor):
    engine, project, *_ = floor
    add(engine, wanted(project))
    (row,) = rows(engine)
    with writing(engine) as session:
        logging.mark_rework(session, row.id, again=True, sent=sent())
    assert [found.rework for found in rows(engine)] == [True]
    undo(engine)
    assert [found.rework for found in rows(engine)] == [False]


def test_a_quantity_is_noted_as_built_with_its_setups_and_taken_back(floor):
    engine, project, *_ = floor
    with writing(engine) as session:
        logging.build(session, project, "close_clamps", 24.0, sent=sent())
        assert [(row.quantity, row.setups) for row in plans.built(session, project)] == [(24.0, 2)]
    undo(engine)
    with reading(engine) as session:
        assert plans.built(session, project) == ()


def test_the_log_is_paged_newest_first_and_found_by_stage_and_note(floor):
    engine, project, *_ = floor
    for back in range(log_view.PAGE + 5):
        add(engine, wanted(project, on_date=DAY - timedelta(days=back), note="snipe" if back == 3 else ""))
    with reading(engine) as session:
        first = log_view.log_page(session, project, Sought())
        last = log_view.log_page(session, project, Sought(), 99)
        noted = log_view.log_page(session, project, Sought(words="SNIPE"))
        none = log_view.log_page(session, project, Sought(frozenset({"finishing"})))
    assert (first.total, first.pages, len(first.entries), len(last.entries), last.page) == (65, 2, 60, 5, 2)
    assert [row.on_date for row in first.entries[:2]] == [DAY, DAY - shop.A_DAY]
    assert [row.note for row in noted.entries] == ["snipe"]
    assert (none.total, none.entries) == (0, ())
