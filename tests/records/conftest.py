"""An empty journal for each test, on both databases; migrated once and then copied."""

from contextlib import contextmanager

import pytest
from journal.records import migrate
from journal.records.engine import open_engine, writing
from sqlalchemy import event
from tests import journals, postgres_server


@pytest.fixture
def file_engine(sqlite_engine):
    """A file whatever the switch of tests/journals.py says: here every test names its databases itself."""
    return sqlite_engine


@pytest.fixture(scope="session")
def server_engine():
    """One migrated PostgreSQL database, emptied after each test: a new one each time would take longer."""
    url = postgres_server.new_database()
    engine = open_engine(url)
    migrate.ensure_current(engine)
    yield engine
    engine.dispose()


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)])
def engine(request):
    """Each test with this runs on both databases."""
    if request.param == "sqlite":
        yield request.getfixturevalue("file_engine")
        return
    shared = request.getfixturevalue("server_engine")
    yield shared
    journals.emptied(shared)


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)])
def own_engine(request):
    """A database of its own on either, for a test that changes its tables."""
    if request.param == "sqlite":
        yield request.getfixturevalue("file_engine")
        return
    url = postgres_server.new_database()
    opened = open_engine(url)
    migrate.ensure_current(opened)
    yield opened
    opened.dispose()
    postgres_server.drop_database(url)


@pytest.fixture
def session(engine):
    """A writing session, kept at the end of the test."""
    with writing(engine) as opened:
        yield opened


@pytest.fixture
def statements(engine):
    """Counts statements: `with statements() as seen: …; len(seen)`."""

    @contextmanager
    def counting():
        seen = []

        def note(_connection, _cursor, statement, *_rest):
            if not statement.startswith(("BEGIN", "PRAGMA")):
                seen.append(statement)

        event.listen(engine, "before_cursor_execute", note)
        yield seen
        event.remove(engine, "before_cursor_execute", note)

    return counting
