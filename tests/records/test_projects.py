from dataclasses import replace
from datetime import timedelta

import pytest
from journal.errors import BadInput, Conflict, MissingReference
from journal.records.engine import reading, writing
from journal.records.queries import projects
from journal.records.words import ProjectState
from tests import factories

LATER = factories.NOW + timedelta(hours=1)


def test_a_project_comes_back_as_it_was_kept(engine):
    with writing(engine) as session:
        kept = factories.project(session, benches=2, agreed_price_cents=480_000, agreed_minutes=5_400.5, coats=3)
    with reading(engine) as session:
        assert projects.get_project(session, kept.id) == kept
        assert projects.find_project(session, kept.code) == kept


def test_numbers_run_on_within_a_year(session):
    assert projects.next_code(session, 2026) == "26-001"
    for code in ("26-009", "2026-x", "25-040"):
        factories.project(session, code=code)
    assert projects.next_code(session, 2026) == "26-010"


def test_a_number_is_used_once(session):
    factories.project(session, code="26-001")
    other = factories.project(session, code="26-002")
    with pytest.raises(BadInput, match="no other project"):
        factories.project(session, code="26-001")
    with pytest.raises(BadInput, match="no other project"):
        projects.change_project(session, other.id, other.draft(code="26-001"), read_version=1, now=LATER)


def test_a_change_is_kept_and_counted(session):
    kept = factories.project(session)
    changed = projects.change_project(
        session, kept.id, kept.draft(state=ProjectState.QUOTED), read_version=kept.version, now=LATER
    )
    assert changed == replace(kept, state=ProjectState.QUOTED, updated_at=LATER, version=2)


def test_a_change_to_an_older_state_is_a_conflict(session):
    kept = factories.project(session)
    projects.change_project(session, kept.id, kept.draft(title="one"), read_version=1, now=LATER)
    with pytest.raises(Conflict, match=kept.code):
        projects.change_project(session, kept.id, kept.draft(title="two"), read_version=1, now=LATER)


def test_a_project_that_is_not_there_is_named_beside_those_that_are(session):
    kept = factories.project(session)
    for ask in (lambda: projects.get_project(session, 99), lambda: projects.find_project(session, "1999-01")):
        with pytest.raises(MissingReference, match=kept.code):
            ask()


@pytest.mark.parametrize(
    "given",
    [{"code": ""}, {"title": " "}, {"benches": 0}, {"coats": -1}, {"agreed_price_cents": -1}, {"state": "lost"}],
)
def test_a_project_that_makes_no_sense_is_refused(given):
    with pytest.raises(BadInput):
        projects.ProjectDraft(**{"code": "26-001", "title": "bench"} | given)


def test_the_list_counts_what_hangs_on_each_project(session):
    busy = factories.project(session)
    factories.project(session)
    factories.plan(session, busy.id, [factories.part(), factories.part(label="rail")])
    factories.plan(session, busy.id, [factories.part()])
    factories.entry(session, project_id=busy.id, seconds=1_800, people=2)
    factories.entry(session, project_id=busy.id, seconds=900)
    quiet, counted = projects.list_projects(session)
    assert (counted.project.id, counted.parts, counted.plan_version, counted.entries) == (busy.id, 1, 2, 2)
    assert counted.minutes == 75
    assert (quiet.parts, quiet.plan_version, quiet.entries, quiet.minutes) == (0, 0, 0, 0)


def test_the_list_can_be_of_some_states(session):
    factories.project(session, state=ProjectState.QUOTED)
    factories.project(session, state=ProjectState.CLOSED)
    assert [row.project.state for row in projects.list_projects(session, [ProjectState.CLOSED])] == ["closed"]


def test_a_list_of_many_projects_takes_one_statement(engine, statements):
    with writing(engine) as session:
        for _ in range(8):
            factories.plan(session, factories.project(session).id)
    with reading(engine) as session, statements() as seen:
        assert len(projects.list_projects(session)) == 8
    assert len(seen) == 1


def test_a_page_of_projects_is_a_piece_of_the_whole_list(sqlite_engine):
    with writing(sqlite_engine) as session:
        for _ in range(5):
            factories.project(session)
    with reading(sqlite_engine) as session:
        every = projects.list_projects(session)
        assert projects.list_projects(session, most=2, after=1) == every[1:3]
        assert projects.all_projects(session) == tuple(found.project for found in every)
        assert projects.all_projects(session, [ProjectState.CLOSED]) == ()
