"""Projects from before quotes were kept, and quotes through what comes after: nothing of a promise is touched."""

from datetime import date

import pytest
from alembic import command
from journal.records import migrate
from journal.records.base import checksum
from journal.records.engine import open_engine, reading, writing
from journal.records.queries import projects, quotes
from journal.records.words import ProjectState
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError
from tests import factories
from tests.records.test_promises import PAYLOAD, PDF, quote

BEFORE, PROMISES = "20261129a", "20261129b"
PROJECT = """INSERT INTO projects (id, code, title, client_kind, benches, state, coats, note, created_at, updated_at,
    version, agreed_on, agreed_price_cents) VALUES (1, '23-001', 'old job', '', 1, '{state}', 2, '', '2023-01-01',
    '2023-01-01', 1, '2023-01-05', 462500)"""


def _to(engine, revision):
    with engine.connect() as connection, connection.begin():
        config = migrate._config(None)
        config.attributes["connection"] = connection
        command.upgrade(config, revision)


@pytest.fixture
def old(tmp_path):
    """A journal as it was before quotes were kept, with a delivered job."""
    engine = open_engine(tmp_path / "old.db")
    _to(engine, BEFORE)
    with engine.begin() as connection:
        connection.execute(text(PROJECT.format(state="delivered")))
    yield engine
    engine.dispose()


def test_an_old_job_is_what_it_was_and_may_go_on(old):
    migrate.ensure_current(old)
    with reading(old) as session:
        found = projects.get_project(session, 1)
    assert (found.code, found.state, found.agreed_on) == ("23-001", ProjectState.DELIVERED, date(2023, 1, 5))
    assert (found.agreed_price_cents, found.promised_on) == (462_500, None)
    with writing(old) as session:
        projects.change_project(
            session, 1, found.draft(state=ProjectState.STOCK), read_version=found.version, now=factories.NOW
        )


def test_the_states_are_those_the_program_knows_before_and_after(old):
    with pytest.raises(IntegrityError), old.begin() as connection:
        connection.execute(text("UPDATE projects SET state = 'lapsed'"))
    _to(old, PROMISES)
    for state in ProjectState:
        with old.begin() as connection:
            connection.execute(text("UPDATE projects SET state = :state"), {"state": state.value})
    with pytest.raises(IntegrityError), old.begin() as connection:
        connection.execute(text("UPDATE projects SET state = 'sold'"))


def test_later_migrations_leave_a_quote_to_the_byte(old):
    _to(old, PROMISES)
    row = {"payload": PAYLOAD, "sha256": checksum(PAYLOAD), "pdf": PDF}
    with old.begin() as connection:
        connection.execute(text("INSERT INTO plans VALUES (1, 1, 1, '2023-01-01', 'first', '[]', '[]', 'x')"))
        connection.execute(
            text(
                "INSERT INTO quotes VALUES (1, 1, 1, 'Q26-001', '2026-03-02', '2026-03-02', '2026-04-01', 'USD',"
                " 462500, 28906, 373265, 3660, 63, :payload, :sha256, :pdf, 'x', '0.1.0')"
            ),
            row,
        )
        before = connection.execute(text("SELECT * FROM quotes")).all()
    migrate.ensure_current(old)
    with old.begin() as connection:
        assert connection.execute(text("SELECT * FROM quotes")).all() == before
    with reading(old) as session:
        found = quotes.get_quote(session, 1)
        assert (found.payload, found.damaged) == (PAYLOAD, False)
        assert quotes.get_paper(session, 1).pdf == PDF


def test_going_back_keeps_the_projects_in_states_the_old_version_knows(tmp_path):
    engine = open_engine(tmp_path / "new.db")
    migrate.ensure_current(engine)
    with writing(engine) as session:
        for state in (ProjectState.LAPSED, ProjectState.STOCK, ProjectState.QUOTED):
            made = factories.project(session, state=state)
            factories.plan(session, made.id)
        quote(session, made.id)
    with engine.connect() as connection:
        migrate._set_foreign_keys(connection, on=False)
        with connection.begin():
            config = migrate._config(None)
            config.attributes["connection"] = connection
            command.downgrade(config, BEFORE)
    with engine.begin() as connection:
        states = connection.execute(text("SELECT state FROM projects ORDER BY id")).scalars().all()
    assert states == ["declined", "delivered", "quoted"]
    engine.dispose()
