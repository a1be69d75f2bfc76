"""What is behind a pace, and keeping an entry out of it."""

from datetime import date, timedelta

import pytest
from journal.desk import behind as desk
from journal.desk import paces
from journal.errors import BadInput, Conflict, MissingReference
from journal.records.engine import reading, writing
from journal.records.queries import log
from journal.records.queries.plans import OperationRow
from journal.records.words import ProjectState
from tests import factories
from tests.factories import NOW

TODAY = date(2026, 3, 2)


def delivered(engine, *spent, quantity=100.0, state=ProjectState.DELIVERED, operations=("sand",), **given):
    """A project with so many minutes of sanding, a day each; its entries."""
    with writing(engine) as session:
        row = factories.project(session, state=state)
        factories.plan(session, row.id, operations=[OperationRow(code, quantity, 1) for code in operations])
        return row, [
            factories.entry(
                session,
                project_id=row.id,
                seconds=60 * minutes,
                on_date=TODAY - timedelta(days=10 - day),
                **{"operation": "sand"} | given,
            )
            for day, minutes in enumerate(spent)
        ]


def look(engine, code="sand"):
    with reading(engine) as session:
        return desk.behind(session, code, TODAY)


def aside(engine, entry, reason="flu"):
    with writing(engine) as session:
        return desk.set_aside(session, entry.id, reason, now=NOW)


def test_a_project_with_its_entries_and_the_pace_they_make(file_engine):
    row, entries = delivered(file_engine, 60, 120)
    (job,) = look(file_engine).jobs
    assert (job.project_id, job.code, job.minutes, job.quantity, job.by_stage) == (row.id, row.code, 180, 100.0, False)
    assert [entry.id for entry in job.entries] == [entries[1].id, entries[0].id]
    assert job.ratio == pytest.approx(180 / paces.book()["sand"].baseline_minutes(1, 100))
    assert job.learned


def test_a_stage_speaks_of_what_was_done_in_it_and_of_nothing_else(file_engine):
    delivered(file_engine, 300, operations=("sand", "wax"), operation=None, stage="finishing")
    (job,) = look(file_engine).jobs
    book = paces.book()
    total = sum(book[code].baseline_minutes(1, 100) for code in ("sand", "wax"))
    assert (job.by_stage, job.quantity) == (True, None)
    assert job.share == pytest.approx(book["sand"].baseline_minutes(1, 100) / total)
    assert look(file_engine, "scuff").jobs == ()


def test_a_project_in_build_is_not_there(file_engine):
    delivered(file_engine, 60, state=ProjectState.IN_BUILD)
    assert look(file_engine).jobs == ()


def test_time_without_a_quantity_is_there_and_not_learned_from(file_engine):
    delivered(file_engine, 60, operations=("wax",))
    (job,) = look(file_engine).jobs
    assert (job.learned, job.ratio, job.quantity) == (False, None, None)


def test_an_unknown_operation_is_missing(file_engine):
    with pytest.raises(MissingReference):
        look(file_engine, "yodel")


def test_set_aside_it_teaches_nothing_and_its_change_is_kept(file_engine):
    _, (kept, left) = delivered(file_engine, 60, 600)
    assert aside(file_engine, left, " flu ").set_aside_reason == "flu"
    found = look(file_engine)
    (job,) = found.jobs
    assert (job.minutes, job.learned) == (60, True)
    (change,) = found.changes[left.id]
    assert (change.field, change.old, change.new, change.why) == ("set_aside_reason", None, "flu", "flu")
    assert kept.id not in found.changes


def test_set_aside_whole_it_still_shows_where_it_would_lie(file_engine):
    _, (entry,) = delivered(file_engine, 600)
    aside(file_engine, entry)
    (job,) = look(file_engine).jobs
    assert not job.learned
    assert job.ratio == pytest.approx(600 / paces.book()["sand"].baseline_minutes(1, 100))
    assert look(file_engine).belief.logs == 0


def test_restored_it_teaches_as_before_and_both_changes_are_kept(file_engine):
    _, (entry,) = delivered(file_engine, 600)
    before = look(file_engine)
    aside(file_engine, entry)
    assert look(file_engine).belief.minutes_per_unit.p50 < before.belief.minutes_per_unit.p50
    with writing(file_engine) as session:
        desk.restore(session, entry.id, now=NOW)
    after = look(file_engine)
    assert after.belief == before.belief
    assert after.jobs == before.jobs
    assert [change.new for change in after.changes[entry.id]] == ["flu", None]


def test_a_reason_is_needed(file_engine):
    _, (entry,) = delivered(file_engine, 60)
    for reason in ("", "  ", "x" * (desk.LONGEST_REASON + 1)):
        with pytest.raises(BadInput, match="reason"):
            aside(file_engine, entry, reason)


def test_what_another_did_first_is_a_conflict(file_engine):
    _, (entry,) = delivered(file_engine, 60)
    with pytest.raises(Conflict), writing(file_engine) as session:
        desk.restore(session, entry.id, now=NOW)
    aside(file_engine, entry)
    with pytest.raises(Conflict):
        aside(file_engine, entry, "another reason")
    with reading(file_engine) as session:
        assert [one.set_aside_reason for one in log.entries(session)] == ["flu"]


def test_an_entry_that_is_not_there_or_was_removed_is_missing(file_engine):
    _, (entry,) = delivered(file_engine, 60)
    with writing(file_engine) as session:
        log.remove_entry(session, entry.id, why="twice", now=NOW)
    for entry_id in (entry.id, 999):
        with pytest.raises(MissingReference), writing(file_engine) as session:
            desk.set_aside(session, entry_id, "flu", now=NOW)
