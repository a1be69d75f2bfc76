"""The first work on an accepted project puts it in build, and undo takes that back with the work."""

from datetime import timedelta

import pytest
from journal.desk import acts, begun, evening, glue_clock, logging, promises, taps
from journal.desk.evening import Told
from journal.desk.logging import Wanted
from journal.floor.taps import Task, What
from journal.records.engine import reading, writing
from journal.records.queries import moves as move_records
from journal.records.queries import projects as project_records
from journal.records.words import ProjectState
from tests.desk import floor_shop as shop
from tests.desk.floor_shop import DAY, NOW, ZONE, at, body, sent
from tests.web.project_pages import open_shop, project

LATER = NOW + timedelta(minutes=5)


@pytest.fixture
def floor(file_engine):
    """(engine, an accepted project, who is at the bench)."""
    with writing(file_engine) as session:
        one, _ = shop.people(session)
        made = shop.in_build(session, state=ProjectState.ACCEPTED, agreed_on=DAY - timedelta(days=3))
    return file_engine, made, one


def tap(floor, work="joint_face", what=What.START, now=NOW):
    engine, made, one = floor
    with writing(engine) as session:
        return taps.tap_now(session, [one], what, Task(made, work), sent=sent(now))


def standing(floor):
    """(state, the day it was begun, moves that stand)."""
    with reading(floor[0]) as session:
        row = project_records.get_project(session, floor[1])
        return row.state.value, row.started_on, len(move_records.standing(move_records.moves(session, row.id)))


def undo(floor, now=LATER):
    with writing(floor[0]) as session:
        return acts.undo(session, acts.newest(session, now).id, zone=ZONE, now=now)


def test_a_started_clock_puts_an_accepted_project_in_build_and_says_so(floor):
    said = tap(floor)
    assert standing(floor) == ("in_build", DAY, 1)
    assert said.endswith(", which put 26-001 in build")
    assert "in build" not in tap(floor, what=What.STOP, now=LATER)


def test_undo_takes_the_move_back_along_with_the_tap(floor):
    tap(floor)
    undo(floor)
    assert standing(floor) == ("accepted", None, 0)
    tap(floor, now=LATER)
    assert standing(floor) == ("in_build", DAY, 1)


@pytest.mark.parametrize("state", sorted(set(ProjectState) - {ProjectState.ACCEPTED}))
def test_a_project_in_any_other_state_stays_in_it(file_engine, state):
    with writing(file_engine) as session:
        made = shop.in_build(session, state=state)
        begun.begin(session, made, DAY, NOW)
        assert project_records.get_project(session, made).state is state
        assert move_records.moves(session, made) == ()


def test_a_stop_and_the_shop_s_own_time_begin_nothing(floor):
    tap(floor, what=What.STOP)
    with writing(floor[0]) as session:
        taps.tap_now(session, [floor[2]], What.START, Task(None, "shop", by_stage=True), sent=sent())
    assert standing(floor) == ("accepted", None, 0)


def test_a_tap_that_waited_for_signal_begins_it_on_its_own_day(floor):
    engine, made, one = floor
    yesterday = DAY - timedelta(days=1)
    with writing(engine) as session:
        device = taps.device_of(session, taps.pair(session, "a" * 32, "a phone", now=NOW))
        waiting = [
            body(1, "start", made, "joint_face", at(9, day=yesterday), person=one),
            body(2, "stop", made, "joint_face", at(10, day=yesterday), person=one),
        ]
        for _ in range(2):
            taps.take(session, device, waiting, zone=ZONE, now=NOW)
    assert standing(floor) == ("in_build", yesterday, 1)


def test_a_day_before_the_agreement_counts_as_the_agreement_s(floor):
    engine, made, one = floor
    with writing(engine) as session:
        row = project_records.get_project(session, made)
        project_records.change_project(
            session, made, row.draft(state=ProjectState.ENQUIRY), read_version=row.version, now=NOW
        )
    agreed = promises.Told(on=DAY, price_cents=100_000)
    with writing(engine) as session:
        version = project_records.get_project(session, made).version
        promises.move(session, made, ProjectState.ACCEPTED, agreed, read_version=version, today=DAY, now=NOW)
        device = taps.device_of(session, taps.pair(session, "a" * 32, "a phone", now=NOW))
        early = body(1, "start", made, "joint_face", at(9, day=DAY - timedelta(days=2)), person=one)
        taps.take(session, device, [early], zone=ZONE, now=NOW)
    assert standing(floor) == ("in_build", DAY, 2)


def test_an_evening_begins_what_it_tells_of_on_its_first_day(floor):
    engine, made, one = floor
    days = [DAY - timedelta(days=2), DAY - timedelta(days=1)]
    milling = Task(made, "milling", by_stage=True)
    with writing(engine) as session:
        said = evening.tell(
            session, [Told(day, milling, 3_600, 0) for day in reversed(days)], [], {}, worker_id=one, sent=sent()
        )
    assert "which put" in said
    assert standing(floor) == ("in_build", days[0], 1)
    undo(floor)
    assert standing(floor) == ("accepted", None, 0)


def test_an_evening_that_only_takes_time_away_begins_nothing(floor):
    engine, made, one = floor
    with writing(engine) as session:
        evening.tell(
            session, [Told(DAY, Task(made, "milling", by_stage=True), 0, 900)], [], {}, worker_id=one, sent=sent()
        )
    assert standing(floor)[0] == "accepted"


def test_time_logged_by_hand_begins_it_too(floor):
    engine, made, one = floor
    with writing(engine) as session:
        said = logging.add(session, Wanted(Task(made, "joint_face"), DAY, 1_800, worker_id=one), sent=sent())
    assert "which put" in said
    assert standing(floor)[0] == "in_build"


def test_a_glue_up_begins_it_and_one_undo_takes_all_of_it_back(file_engine, tmp_path):
    open_shop(file_engine, tmp_path)
    made = project(file_engine)
    with writing(file_engine) as session:
        (one,) = shop.people(session, "bench 1")
        row = project_records.get_project(session, made)
        draft = row.draft(state=ProjectState.ACCEPTED)
        project_records.change_project(session, made, draft, read_version=row.version, now=NOW)
        glue_clock.begin(session, made, "Leg", 20.0, [one], sent=sent())
    floor = (file_engine, made, one)
    assert standing(floor)[0] == "in_build"
    assert undo(floor).endswith("in build")
    assert standing(floor)[0] == "accepted"


def test_work_of_another_that_stands_keeps_it_in_build(floor):
    engine, made, _ = floor
    tap(floor)
    with writing(engine) as session:
        first = acts.newest(session, NOW).id
        taps.tap_now(session, [2], What.START, Task(made, "plane_thickness"), sent=sent(LATER))
        acts.undo(session, first, zone=ZONE, now=LATER)
    assert standing(floor) == ("in_build", DAY, 1)


def test_a_project_that_went_on_since_stays_where_it_is(floor):
    engine, made, _ = floor
    tap(floor)
    with writing(engine) as session:
        version = project_records.get_project(session, made).version
        done = promises.Told(on=DAY)
        promises.move(session, made, ProjectState.DELIVERED, done, read_version=version, today=DAY, now=LATER)
    undo(floor)
    assert standing(floor)[0] == "delivered"
