"""Taps, devices and the last changes, as both databases keep them."""

from datetime import timedelta

import pytest
from journal.errors import BadInput, Conflict, MissingReference
from journal.floor.taps import Key, Outcome, Tap, Task, What
from journal.records.engine import reading, writing
from journal.records.queries import acts, devices, logbook, taps
from journal.records.queries.log import remove_entry, restore_entry
from journal.records.queries.logbook import Sought
from tests import factories
from tests.factories import NOW

PLANING = "plane_thickness"


@pytest.fixture
def floor(engine):
    """(engine, device, person, project)."""
    with writing(engine) as session:
        device = devices.put_device(session, "a" * 32, "a phone", "d" * 64, now=NOW)
        return engine, device, devices.add_worker(session, "bench 1"), factories.project(session)


def put(session, device, worker, sequence, what, minutes, *about):
    project_id, outcome = (*about, None, None)[:2]
    task = Task(project_id, PLANING if project_id else "shop", by_stage=project_id is None)
    at = NOW + timedelta(minutes=minutes)
    row = taps.add_tap(session, Tap(Key(device.id, sequence), worker.id, What(what), task, at), now=NOW)
    if outcome:
        taps.mark(session, row.id, outcome=outcome, why="", entry_id=None)
    return row


def test_a_tap_comes_back_as_the_event_it_was(floor):
    engine, device, worker, project = floor
    with writing(engine) as session:
        row = put(session, device, worker, 7, "start", 0, project.id)
    with reading(engine) as session:
        found = taps.find_tap(session, Key(device.id, 7))
        assert found == taps.get_tap(session, row.id)
        assert taps.find_tap(session, Key(device.id, 8)) is None
        with pytest.raises(MissingReference):
            taps.get_tap(session, row.id + 1)
    task = Task(project.id, PLANING)
    assert found.event == Tap(Key(device.id, 7), worker.id, What.START, task, NOW)


def test_one_count_of_a_device_is_stored_once(floor):
    engine, device, worker, _ = floor
    with writing(engine) as session:
        put(session, device, worker, 1, "start", 0)
    with pytest.raises(Conflict), writing(engine) as session:
        put(session, device, worker, 1, "stop", 5)


def test_a_window_begins_at_the_last_start_that_opened_something_and_counts(floor):
    engine, device, worker, project = floor
    with writing(engine) as session:
        put(session, device, worker, 1, "start", 0, project.id, Outcome.OPENED)
        put(session, device, worker, 2, "start", 10, None, Outcome.OPENED)
        put(session, device, worker, 3, "start", 20, None, Outcome.NOTHING)
        put(session, device, worker, 4, "resume", 30, None, Outcome.OPENED)
        void = put(session, device, worker, 5, "start", 40, project.id, Outcome.OPENED)
        taps.set_void(session, void.id, NOW)
        other = devices.add_worker(session, "bench 2")
        put(session, device, other, 6, "start", 50, None, Outcome.ASKS)
    with reading(engine) as session:
        for since, first in ((60, 2), (11, 2), (10, 1), (0, 1)):
            rows = taps.window(session, worker.id, NOW + timedelta(minutes=since))
            assert (rows[0].sequence, rows[-1].sequence) == (first, 5)
        assert [row.sequence for row in taps.newest_windows(session)] == [2, 3, 4, 6]
        assert [row.sequence for row in taps.asking(session)] == [6]


def test_a_refused_tap_is_kept_once_and_shown_until_it_is_seen(floor):
    engine, device, *_ = floor
    with writing(engine) as session:
        for _ in range(2):
            taps.keep_refused(session, device.id, '{"what": "dance"}', "no such thing", now=NOW)
        taps.keep_refused(session, device.id, '{"what": "sing"}', "no such thing", now=NOW)
        newest, oldest = taps.refused(session)
        taps.see_refused(session, newest.id, now=NOW)
        with pytest.raises(MissingReference):
            taps.see_refused(session, 99, now=NOW)
    with reading(engine) as session:
        assert taps.refused(session) == (oldest,)


def test_a_device_answers_to_its_newest_token_until_it_is_revoked(floor):
    engine, device, *_ = floor
    with writing(engine) as session:
        assert devices.put_device(session, "a" * 32, "a phone", "e" * 64, now=NOW).id == device.id
        assert devices.device_by_token(session, "d" * 64) is None
        assert devices.device_by_token(session, "e" * 64).uid == "a" * 32
        server = devices.server_device(session, now=NOW)
        assert devices.server_device(session, now=NOW) == server
        assert [one.id for one in devices.devices(session)] == [device.id]
        devices.revoke_device(session, device.id, now=NOW)
        assert devices.device_by_token(session, "e" * 64) is None
        with pytest.raises(BadInput):
            devices.put_device(session, "a" * 32, "a phone", "f" * 64, now=NOW)
        with pytest.raises(MissingReference):
            devices.revoke_device(session, server.id, now=NOW)


def test_a_place_at_the_bench_has_a_label_of_its_own(floor):
    engine, *_ = floor
    with writing(engine) as session:
        for label in ("bench 1", " "):
            with pytest.raises(BadInput):
                devices.add_worker(session, label)


def test_what_was_done_is_found_by_its_forms_key_and_taken_back_once(floor):
    engine, *_ = floor
    with writing(engine) as session:
        assert acts.newest_act(session) is None
        act = acts.add_act(session, "k" * 16, "Logged 2 h", [{"do": "remove", "entry": 7}], now=NOW)
        assert acts.find_act(session, "k" * 16) == acts.newest_act(session) == act
        acts.mark_undone(session, act.id, now=NOW)
        assert acts.get_act(session, act.id).undone_at == NOW
        with pytest.raises(Conflict):
            acts.mark_undone(session, act.id, now=NOW)
        with pytest.raises(MissingReference):
            acts.get_act(session, 99)


def test_an_entry_counted_again_has_its_removal_and_return_in_its_history(floor):
    engine, _, _, project = floor
    with writing(engine) as session:
        row = factories.entry(session, project_id=project.id, note="50% off_cut")
        remove_entry(session, row.id, why="twice", now=NOW)
        assert logbook.count_of(session, project.id, Sought())[0] == 0
        assert logbook.count_of(session, project.id, Sought(removed=True))[0] == 1
        restore_entry(session, row.id, why="not twice", now=NOW)
        restore_entry(session, row.id, why="again", now=NOW)
        assert logbook.count_of(session, project.id, Sought(words="50% OFF_"))[0] == 1
        assert logbook.count_of(session, project.id, Sought(words="50x"))[0] == 0
        changes = logbook.changes_of_all(session, [row.id])[row.id]
    assert [(change.field, change.why) for change in changes] == [("removed_at", "twice"), ("removed_at", "not twice")]
