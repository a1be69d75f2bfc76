"""Taps taken in, whatever the order, and the entries that follow from them."""

import itertools
from datetime import UTC, date, datetime, timedelta

import pytest
from journal.desk import acts, forgotten, logging, taps
from journal.desk.log_view import stamp
from journal.errors import BadInput, Conflict
from journal.floor.taps import Outcome, Task, What
from journal.records.engine import reading, writing
from journal.records.queries import devices, logbook
from journal.records.queries import taps as records
from tests import journals
from tests.desk import floor_shop as shop
from tests.desk.floor_shop import NOW, ZONE, at, body, sent


@pytest.fixture
def floor(file_engine):
    """(engine, project, first and second person, device)."""
    with writing(file_engine) as session:
        one, two = shop.people(session)
        project = shop.in_build(session)
        token = taps.pair(session, "a" * 32, "a phone", now=NOW)
        device = taps.device_of(session, token)
    return file_engine, project, one, two, device


def take(engine, device, *sent_bodies, now=NOW):
    with writing(engine) as session:
        return taps.take(session, device, sent_bodies, zone=ZONE, now=now)


def entries(engine):
    """(work, person, start, minutes) of everything logged, by start."""
    with reading(engine) as session:
        rows = logbook.entries_between(session, shop.DAY - shop.A_DAY, shop.DAY + shop.A_DAY)
    rows = sorted(rows, key=lambda row: row.started_at)
    return [(row.operation or row.stage, row.worker_id, row.started_at, row.seconds / 60) for row in rows]


def test_a_start_and_a_stop_are_logged_once_however_often_they_are_sent(floor):
    engine, project, one, _, device = floor
    morning = [
        body(1, "start", project, "joint_face", at(9), person=one),
        body(2, "stop", project, "joint_face", at(10, 30), person=one),
    ]
    assert [answer.state for answer in take(engine, device, *morning)] == ["kept", "kept"]
    assert [answer.state for answer in take(engine, device, *morning)] == ["known", "known"]
    assert entries(engine) == [("joint_face", one, at(9), 90)]


def test_the_order_of_arrival_makes_no_difference_to_the_log(tmp_path, empty_journal):
    days = []
    for place, order in enumerate(itertools.permutations(range(4))):
        engine = journals.copied(empty_journal, tmp_path / f"{place}.db")
        with writing(engine) as session:
            one, _ = shop.people(session)
            project = shop.in_build(session)
            device = taps.device_of(session, taps.pair(session, "a" * 32, "", now=NOW))
        bodies = [
            body(1, "start", project, "joint_face", at(9), person=one),
            body(2, "start", project, "plane_thickness", at(10), person=one),
            body(3, "pause", project, "plane_thickness", at(11), person=one),
            body(4, "resume", project, "plane_thickness", at(12), person=one),
        ]
        for number in order:
            take(engine, device, bodies[number])
        days.append(entries(engine))
        journals.removed(engine)
    assert days[0] == [("joint_face", 1, at(9), 60), ("plane_thickness", 1, at(10), 60)]
    assert all(day == days[0] for day in days)


def test_a_late_stop_from_another_device_shortens_what_was_logged_and_says_so(floor):
    engine, project, one, _, device = floor
    with writing(engine) as session:
        other = taps.device_of(session, taps.pair(session, "b" * 32, "a tablet", now=NOW))
    take(
        engine,
        device,
        body(1, "start", project, "joint_face", at(9), person=one),
        body(2, "stop", project, "joint_face", at(11), person=one),
    )
    take(engine, other, body(1, "stop", project, "joint_face", at(10), person=one))
    assert entries(engine) == [("joint_face", one, at(9), 60)]
    with reading(engine) as session:
        (ignored,) = records.without_effect(session, NOW - timedelta(hours=1))
        (row,) = logbook.entries_between(session, shop.DAY, shop.DAY)
        changes = logbook.changes_of_all(session, [row.id])[row.id]
    assert (ignored.at, ignored.why) == (at(11), "it was stopped")
    assert [(change.field, change.old, change.new) for change in changes] == [("seconds", "7200", "3600")]


def test_what_was_corrected_by_hand_stays_so_when_a_late_tap_comes(floor):
    engine, project, one, _, device = floor
    take(
        engine,
        device,
        body(1, "start", project, "joint_face", at(9), person=one),
        body(2, "stop", project, "joint_face", at(11), person=one),
    )
    with writing(engine) as session:
        (row,) = logbook.entries_between(session, shop.DAY, shop.DAY)
        wanted = logging.Wanted(Task(project, "joint_face"), shop.DAY, 4500, worker_id=one)
        logging.correct(session, row.id, wanted, seen=stamp(row), why="a call", sent=sent())
    take(engine, device, body(3, "stop", project, "joint_face", at(10), person=one))
    with reading(engine) as session:
        assert [row.seconds for row in logbook.entries_between(session, shop.DAY, shop.DAY)] == [4500]


@pytest.mark.parametrize(
    ("changed", "why"),
    [
        ({"person": 99}, "place at the bench"),
        ({"project": 99}, "project"),
        ({"work": "juggling"}, "operation"),
        ({"work": "rework"}, "operation"),
        ({"work": "milling_around", "by_stage": True}, "stage"),
        ({"what": "begin"}, "start, stop, pause, resume"),
        ({"at": "yesterday"}, "a moment with its zone"),
        ({"at": "2026-03-02T09:00:00"}, "a moment with its zone"),
        ({"at": (NOW + timedelta(minutes=5)).isoformat()}, "set the clock of this device"),
        ({"at": (NOW - timedelta(days=400)).isoformat()}, "last twelve months"),
        ({"at": "9999-12-31T23:59:59-12:00"}, "a moment"),
        ({"sequence": -1}, "a count from 0"),
        ({"sequence": 2**31}, "a whole number"),
        ({"sequence": True}, "a whole number"),
        ({"person": "1; DROP TABLE taps"}, "a whole number"),
    ],
)
def test_a_tap_that_cannot_be_taken_is_kept_aside_and_says_why_once(floor, changed, why):
    engine, project, one, _, device = floor
    bad = body(1, "start", project, "joint_face", at(9), person=one) | changed
    good = body(7, "start", project, "joint_face", at(9), person=one)
    for _ in range(2):
        refused, _good = take(engine, device, bad, good)
        assert refused.state == "refused"
        assert why in refused.why
    with reading(engine) as session:
        (kept,) = records.refused(session)
        assert why in kept.why
        assert len(records.newest_windows(session)) == 1


@pytest.mark.parametrize("bad", [None, 7, [], "start", {}])
def test_what_is_no_tap_at_all_is_kept_aside_too(floor, bad):
    engine, *_, device = floor
    (answer,) = take(engine, device, bad)
    assert answer.state == "refused"


def test_a_count_used_for_another_tap_is_refused(floor):
    engine, project, one, _, device = floor
    take(engine, device, body(1, "start", project, "joint_face", at(9), person=one))
    (answer,) = take(engine, device, body(1, "stop", project, "joint_face", at(10), person=one))
    assert (answer.state, "has not used" in answer.why) == ("refused", True)


def test_a_token_opens_its_own_device_until_it_is_revoked(floor):
    engine, *_ = floor
    with writing(engine) as session:
        token = taps.pair(session, "c" * 32, "another", now=NOW)
        assert taps.device_of(session, token).uid == "c" * 32
        assert taps.device_of(session, token + "x") is None
        assert taps.device_of(session, "") is None
        devices.revoke_device(session, taps.device_of(session, token).id, now=NOW)
    with writing(engine) as session:
        assert taps.device_of(session, token) is None
        with pytest.raises(BadInput, match="revoked"):
            taps.pair(session, "c" * 32, "another", now=NOW)
        with pytest.raises(BadInput):
            taps.pair(session, "server", "this", now=NOW)


def test_a_tap_on_the_page_for_two_at_once_counts_once_when_sent_twice_and_can_be_taken_back(floor):
    engine, project, one, two, _ = floor
    task = shop.planing(project)
    again = sent(at(9))
    for _ in range(2):
        with writing(engine) as session:
            assert taps.tap_now(session, [one, two], What.START, task, sent=again) == "Started Plane to thickness"
    with writing(engine) as session:
        taps.tap_now(session, [one, two], What.STOP, task, sent=sent(at(10)))
    assert entries(engine) == [("plane_thickness", one, at(9), 60), ("plane_thickness", two, at(9), 60)]
    with writing(engine) as session:
        act = acts.newest(session, at(10))
        acts.undo(session, act.id, zone=ZONE, now=at(10, 5))
    assert entries(engine) == []
    with writing(engine) as session:
        with pytest.raises(Conflict):
            acts.undo(session, act.id, zone=ZONE, now=at(10, 6))
        taps.tap_now(session, [one, two], What.STOP, task, sent=sent(at(11)))
    assert [minutes for *_, minutes in entries(engine)] == [120, 120]


def test_nobody_at_all_cannot_start_a_clock(floor):
    engine, project, *_ = floor
    with writing(engine) as session, pytest.raises(BadInput, match="at least one"):
        taps.tap_now(session, [], What.START, shop.planing(project), sent=sent())


class TestForgotten:
    """A clock started at four on Sunday and found on Monday."""

    @pytest.fixture
    def left(self, floor):
        engine, project, one, _, device = floor
        sunday = shop.DAY - shop.A_DAY
        take(engine, device, body(1, "start", project, "joint_face", at(16, day=sunday), person=one))
        return floor

    def found(self, engine, now=NOW):
        with reading(engine) as session:
            return forgotten.all_forgotten(session, zone=ZONE, now=now)

    def test_it_asks_while_it_runs_and_after_it_was_stopped_and_logs_nothing(self, left):
        engine, project, one, _, device = left
        (asks,) = self.found(engine)
        assert (asks.stretch.end, asks.tap.sequence) == (None, 1)
        take(engine, device, body(2, "stop", project, "joint_face", at(8), person=one))
        (asks,) = self.found(engine)
        assert (asks.tap.outcome, asks.stretch.end) == (Outcome.ASKS, at(8))
        assert entries(engine) == []

    def test_it_takes_the_time_it_ended_and_that_can_be_taken_back(self, left):
        engine, project, one, _, device = left
        take(engine, device, body(2, "start", project, "plane_thickness", at(8), person=one))
        (asks,) = self.found(engine)
        with writing(engine) as session:
            said = forgotten.ended_at(session, asks.tap.id, "5:30", sent=sent())
        assert said == "Joint one face ended at 17:30"
        assert [(work, minutes) for work, _, _, minutes in entries(engine)] == [("joint_face", 90)]
        assert self.found(engine) == ()
        with writing(engine) as session:
            acts.undo(session, acts.newest(session, NOW).id, zone=ZONE, now=NOW)
        assert entries(engine) == []
        assert len(self.found(engine)) == 1

    def test_it_may_be_right(self, left):
        engine, project, one, _, device = left
        take(engine, device, body(2, "stop", project, "joint_face", at(8), person=one))
        (asks,) = self.found(engine)
        with writing(engine) as session:
            forgotten.believe(session, asks.tap.id, sent=sent())
        assert [minutes for *_, minutes in entries(engine)] == [16 * 60]
        take(engine, device, body(3, "start", project, "joint_face", at(9), person=one))
        assert [minutes for *_, minutes in entries(engine)] == [16 * 60]

    def test_nothing_of_it_may_be_work(self, left):
        engine, *_ = left
        (asks,) = self.found(engine)
        with writing(engine) as session:
            forgotten.drop(session, asks.tap.id, sent=sent())
        assert self.found(engine) == ()
        assert entries(engine) == []
        with writing(engine) as session:
            acts.undo(session, acts.newest(session, NOW).id, zone=ZONE, now=NOW)
        assert len(self.found(engine)) == 1

    def test_an_answer_that_makes_no_sense_or_comes_twice_is_refused(self, left):
        engine, *_ = left
        (asks,) = self.found(engine)
        for typed in ("", "soon", "40 h"):
            with writing(engine) as session, pytest.raises(BadInput):
                forgotten.ended_at(session, asks.tap.id, typed, sent=sent())
        with writing(engine) as session, pytest.raises(BadInput, match="stopped"):
            forgotten.believe(session, asks.tap.id, sent=sent())
        with writing(engine) as session:
            forgotten.ended_at(session, asks.tap.id, "5", sent=sent())
        with writing(engine) as session, pytest.raises(Conflict):
            forgotten.ended_at(session, asks.tap.id, "5", sent=sent())


def test_a_stretch_over_the_change_of_the_clocks_is_logged_as_what_passed(floor):
    engine, project, one, _, device = floor
    spring = date(2026, 3, 8)
    start, stop = at(1, 30, spring), at(3, 30, spring)
    assert stop - start == timedelta(hours=1)  # by zoneinfo
    now = datetime(2026, 3, 9, 12, tzinfo=UTC)
    take(
        engine,
        device,
        body(1, "start", project, "joint_face", start, person=one),
        body(2, "stop", project, "joint_face", stop, person=one),
        now=now,
    )
    with writing(engine) as session:
        (asks,) = forgotten.all_forgotten(session, zone=ZONE, now=now)  # it ran through three at night
        forgotten.believe(session, asks.tap.id, sent=sent(now))
        (row,) = logbook.entries_between(session, spring, spring)
    assert row.seconds == 3600


def test_a_late_tap_far_back_leaves_everything_before_it_alone(floor):
    engine, project, one, _, device = floor
    old = shop.DAY - timedelta(days=30)
    for back in range(20):
        day = old + timedelta(days=back)
        take(
            engine,
            device,
            body(2 * back, "start", project, "joint_face", at(9, day=day), person=one),
            body(2 * back + 1, "stop", project, "joint_face", at(10, day=day), person=one),
        )
    take(engine, device, body(99, "stop", project, "joint_face", at(9, 30, old + timedelta(days=10)), person=one))
    with reading(engine) as session:
        rows = logbook.entries_between(session, old, shop.DAY)
        touched = logbook.changes_of_all(session, [row.id for row in rows])
    assert [row.seconds for row in rows] == [3600] * 10 + [1800] + [3600] * 9
    assert list(touched) == [rows[10].id]
