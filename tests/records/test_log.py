from dataclasses import replace
from datetime import date, timedelta

import pytest
from journal.errors import BadInput, MissingReference
from journal.records.engine import reading, writing
from journal.records.queries import log, logbook, plans, workers
from journal.records.words import EntrySource, ProjectState
from sqlalchemy import event
from tests import factories

LATER = factories.NOW + timedelta(days=1)


@pytest.fixture
def project(session):
    return factories.project(session)


def test_an_entry_comes_back_as_it_was_kept(engine):
    with writing(engine) as session:
        project = factories.project(session)
        kept = factories.entry(session, project_id=project.id, started_at=factories.NOW, source=EntrySource.CLOCK)
    with reading(engine) as session:
        assert log.entries(session) == (kept,)


def test_entries_can_be_of_one_project_and_some_days(session, project):
    for day in (1, 2, 3, 4):
        factories.entry(session, project_id=project.id, on_date=date(2026, 3, day))
    factories.entry(session, on_date=date(2026, 3, 2))
    within = log.entries(session, project_id=project.id, since=date(2026, 3, 2), until=date(2026, 3, 3))
    assert [entry.on_date.day for entry in within] == [2, 3]


def test_many_entries_are_kept_at_once(session, project):
    drafts = [
        log.EntryDraft(on_date=factories.TODAY, seconds=60 * n, stage="milling", project_id=project.id)
        for n in range(1, 501)
    ]
    assert log.add_entries(session, drafts, now=factories.NOW) == 500
    assert log.add_entries(session, [], now=factories.NOW) == 0
    (line,) = log.log_lines(session)
    assert (line.minutes, line.entries) == (500 * 501 / 2, 500)


@pytest.mark.parametrize(
    "given",
    [
        {"operation": "joint_face", "stage": "milling"},
        {"operation": None, "stage": None},
        {"operation": "joint_face", "seconds": -1},
        {"operation": "joint_face", "people": 0},
        {"operation": "joint_face", "set_aside_reason": " "},
    ],
)
def test_an_entry_that_makes_no_sense_is_refused(given):
    with pytest.raises(BadInput):
        log.EntryDraft(**{"on_date": factories.TODAY, "seconds": 60} | given)


def test_a_correction_keeps_what_was_there_and_why(session, project):
    entry = factories.entry(session, project_id=project.id)
    changes = {"seconds": 2_400, "note": entry.note}
    changed = log.change_entry(session, entry.id, changes, why="stopped the clock late", now=LATER)
    assert changed == replace(entry, seconds=2_400)
    assert log.changes_of(session, entry.id) == (
        log.ChangeRow(entry.id, LATER, "seconds", "1800", "2400", "stopped the clock late"),
    )


def test_a_correction_obeys_the_rules_of_an_entry(session, project):
    entry = factories.entry(session, project_id=project.id)
    with pytest.raises(BadInput, match="operation or a stage"):
        log.change_entry(session, entry.id, {"stage": "milling"}, why="x", now=LATER)
    with pytest.raises(BadInput, match="created_at"):
        log.change_entry(session, entry.id, {"created_at": LATER}, why="x", now=LATER)
    with pytest.raises(BadInput, match="reason"):
        log.change_entry(session, entry.id, {"seconds": 1}, why="", now=LATER)
    moved = log.change_entry(session, entry.id, {"stage": "milling", "operation": None}, why="x", now=LATER)
    assert (moved.operation, moved.stage) == (None, "milling")


def test_a_removed_entry_leaves_every_sum_but_not_the_history(session, project):
    entry = factories.entry(session, project_id=project.id)
    log.remove_entry(session, entry.id, why="typed twice", now=LATER)
    log.remove_entry(session, entry.id, why="typed twice", now=LATER)
    assert log.entries(session) == log.log_lines(session) == ()
    assert [(change.field, change.why) for change in log.changes_of(session, entry.id)] == [
        ("removed_at", "typed twice")
    ]


def test_an_entry_that_is_not_there_is_named(session):
    with pytest.raises(MissingReference, match="99"):
        log.remove_entry(session, 99, why="x", now=LATER)


def test_lines_are_person_minutes_by_day_and_work(session, project):
    factories.entry(session, project_id=project.id, seconds=1_800, people=2)
    factories.entry(session, project_id=project.id, seconds=90)
    factories.entry(session, project_id=project.id, seconds=60, on_date=date(2026, 3, 3))
    factories.entry(session, project_id=project.id, seconds=600, stage="milling")
    factories.entry(session, seconds=600, operation="sharpen")  # the shop's own
    shown = [(line.on_date.day, line.what, line.by_stage, line.minutes) for line in log.log_lines(session)]
    assert sorted(shown) == [
        (2, "joint_face", False, 61.5),
        (2, "milling", True, 10.0),
        (3, "joint_face", False, 1.0),
    ]


def test_rework_and_what_was_set_aside_are_lines_of_their_own(session, project):
    factories.entry(session, project_id=project.id)
    factories.entry(session, project_id=project.id, rework=True)
    factories.entry(session, project_id=project.id, set_aside_reason="taught a visitor")
    marks = {(line.rework, line.set_aside): line.minutes for line in log.log_lines(session, project_id=project.id)}
    assert marks == {(False, False): 30, (True, False): 30, (False, True): 30}


def test_quantities_are_of_the_newest_plan_overridden_by_what_was_built(session):
    done = factories.project(session, state=ProjectState.DELIVERED)
    open_one = factories.project(session, state=ProjectState.IN_BUILD)
    for each in (done, open_one):
        factories.plan(session, each.id, operations=[plans.OperationRow("sand", 10.0)])
        factories.plan(session, each.id, operations=[plans.OperationRow("sand", 20.0), plans.OperationRow("wax", 5.0)])
    plans.put_built(session, done.id, [plans.BuiltRow("sand", 25.0, 2), plans.BuiltRow("plug", 8.0)])
    found = [(row.operation, row.quantity, row.setups, row.as_built) for row in log.operation_quantities(session)]
    assert found == [("plug", 8.0, 1, True), ("sand", 25.0, 2, True), ("wax", 5.0, 1, False)]
    asked = log.operation_quantities(session, project_id=open_one.id)
    assert [(row.project_code, row.operation, row.quantity) for row in asked] == [
        (open_one.code, "sand", 20.0),
        (open_one.code, "wax", 5.0),
    ]


def test_what_the_paces_are_learned_from_takes_three_statements_once_its_plans_are_known(engine, statements):
    with writing(engine) as session:
        for _ in range(6):
            project = factories.project(session, state=ProjectState.CLOSED)
            factories.plan(session, project.id)
            factories.entry(session, project_id=project.id)
    for most in (4, 3):
        with reading(engine) as session, statements() as seen:
            assert len(log.log_lines(session)) == len(log.operation_quantities(session)) == 6
        assert len(seen) <= most


def test_time_of_a_few_days_is_found_by_the_day_however_many_years_there_are(sqlite_engine):
    week = date(2026, 3, 1)
    asked = [
        ("ix_time_entries_on_date (", lambda session: logbook.days_logged(session, week, week + timedelta(days=6))),
        ("ix_time_entries_on_date (", lambda session: workers.logged_since(session, week)),
        ("ix_time_entries_on_date (", lambda session: workers.worked_since(session, week)),
        ("ix_time_entries_operation_on_date (", lambda session: logbook.clocked_since(session, week, ["sand"])),
    ]
    for index, ask in asked:
        sent = []

        def note(_connection, _cursor, statement, parameters, *_rest, sent=sent):
            sent.append((statement, parameters))

        event.listen(sqlite_engine, "before_cursor_execute", note)
        with reading(sqlite_engine) as session:
            ask(session)
        event.remove(sqlite_engine, "before_cursor_execute", note)
        statement, parameters = sent[-1]
        with sqlite_engine.connect() as connection:
            way = connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", parameters).fetchall()
        assert any(index in step.detail for step in way), way
