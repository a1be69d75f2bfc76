"""A moment stays as long as the journal does, and never outlives a change, whoever makes it."""

import pytest
from journal.records import migrate
from journal.records.engine import open_engine, reading, writing
from journal.records.moment import moment
from journal.records.queries import projects
from tests import factories


def seen(engine):
    with reading(engine) as session:
        return moment(session)


def add(engine):
    with writing(engine) as session:
        return factories.project(session)


def test_it_stays_while_nothing_is_written(file_engine):
    assert seen(file_engine) == seen(file_engine)
    with reading(file_engine) as session:
        projects.list_projects(session)
    assert seen(file_engine) == seen(file_engine)


def test_it_changes_with_a_write_of_this_program(engine):
    before = seen(engine)
    add(engine)
    assert seen(engine) != before


def test_it_changes_with_a_write_of_another_program(engine):
    before = seen(engine)
    other = open_engine(engine.url)
    add(other)
    other.dispose()
    assert seen(engine) != before


def test_it_changes_when_a_row_only_takes_another_value(engine):
    row = add(engine)
    before = seen(engine)
    with writing(engine) as session:
        projects.change_project(
            session, row.id, row.draft(title="Another"), read_version=row.version, now=factories.NOW
        )
    assert seen(engine) != before


def test_a_reading_session_keeps_its_own_while_others_write(engine):
    with reading(engine) as session:
        before = moment(session)
        other = open_engine(engine.url)
        add(other)
        other.dispose()
        assert moment(session) == before
        assert projects.list_projects(session) == ()
    assert seen(engine) != before


def test_a_writing_session_has_none(engine):
    with writing(engine) as session:
        assert moment(session) is None


def test_two_journals_never_share_one(file_engine, tmp_path):
    other = open_engine(tmp_path / "other.db")
    migrate.ensure_current(other)
    assert seen(other) != seen(file_engine)
    other.dispose()


@pytest.mark.parametrize("times", [2])
def test_connections_do_not_share_one(file_engine, times):
    """Each counts for itself, so what one has seen says nothing about another."""
    with reading(file_engine) as one, reading(file_engine) as other:
        assert len({moment(one), moment(other)}) == times
