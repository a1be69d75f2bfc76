"""What logging time leaves as it is: work that hangs on no hours is not done again for every tap of a clock."""

from datetime import UTC, datetime

import pytest
from journal.desk import across, estimate, paces, quantities, review_promise
from journal.desk import doubt as doubts
from journal.desk.demo import load_demo
from journal.records.engine import reading, writing
from journal.records.queries import log, projects
from journal.records.words import FINISHED, ProjectState
from sqlalchemy import event

NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)
TODAY = NOW.date()
LOOKS = {
    "jobs": lambda session: across.jobs(session, TODAY),
    "paces": lambda session: paces.learn(session, TODAY),
    "quantities asked for": quantities.wanted,
    "doubts": lambda session: doubts.newest_doubts(session, TODAY),
}
NO_HOURS = ("purchase_lines", "coats", "rack_moves", "plans", "built")


@pytest.fixture
def shop(sqlite_engine):
    """A file whatever the switch of tests/journals.py says: a server does not tell which tables were written."""
    with writing(sqlite_engine) as session:
        load_demo(session, now=NOW)
    return sqlite_engine


def statements(engine, look):
    """What a look sends."""
    found = []

    def note(_connection, _cursor, statement, *_rest):
        found.append(statement)

    event.listen(engine, "before_cursor_execute", note)
    with reading(engine) as session:
        look(session)
    event.remove(engine, "before_cursor_execute", note)
    return found


def about(table, sent):
    return [one for one in sent if f"FROM {table}" in one or f"JOIN {table}" in one]


def test_what_does_not_hang_on_hours_is_not_read_again_for_them(shop):
    for look in LOOKS.values():
        statements(shop, look)
    with writing(shop) as session:
        busy = projects.all_projects(session, [ProjectState.IN_BUILD])[0]
        draft = log.EntryDraft(on_date=TODAY, seconds=600, project_id=busy.id, operation="sand")
        log.add_entry(session, draft, now=NOW)
    sent = {name: statements(shop, look) for name, look in LOOKS.items()}
    for name, some in sent.items():
        assert {table: about(table, some) for table in NO_HOURS} == {table: [] for table in NO_HOURS}, name
    assert about("time_entries", sent["jobs"])
    assert about("time_entries", sent["paces"])


def test_what_was_drawn_and_read_before_an_entry_is_not_held_beside_what_comes_after_it(shop):
    """Ten years' logs are tens of megabytes, and an entry in a finished project comes every few minutes."""

    def look():
        with reading(shop) as session:
            offered = projects.all_projects(session, [ProjectState.ENQUIRY])[0]
            found = estimate.estimate_project(session, offered.id, TODAY)
            return found.calibration, paces.learn(session, TODAY).evidence.rows

    _, before = look()
    with writing(shop) as session:
        done = projects.all_projects(session, [ProjectState.DELIVERED])[0]
        draft = log.EntryDraft(on_date=TODAY, seconds=600, project_id=done.id, operation="sand")
        log.add_entry(session, draft, now=NOW)
    calibration, after = look()
    assert [drawn.throws.calibration for drawn in estimate._newest] == [calibration]
    old = {id(row) for row in before}
    new = [row for row in after if row not in before]
    assert 0 < len(new) < len(after) / 10
    assert [row for row in after if id(row) not in old] == new
    with reading(shop) as session:
        told = (review_promise.promised(session, one, None, TODAY) for one in projects.all_projects(session, FINISHED))
        assert any(one and not one.kept for one in told)  # as it would have been estimated long ago
    assert [drawn.throws.calibration for drawn in estimate._newest] == [calibration]
