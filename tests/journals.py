"""Where a test's journal lies: in a SQLite file, or on a PostgreSQL server of the test's own.

A test names its journal by the path its file has. With JOURNAL_TEST_DATABASE=postgresql no file is made: the path then
stands for a database of a throwaway server, and a copy is made from that database as its template.
"""

import os
import shutil

import pytest
from journal.records import migrate
from journal.records.engine import open_engine
from journal.records.keeping.tally import tally
from tests import postgres_server

SWITCH = "JOURNAL_TEST_DATABASE"
ON_SERVER = os.environ.get(SWITCH, "sqlite") == "postgresql"
needs_file = pytest.mark.skipif(ON_SERVER, reason="about a journal that is a SQLite file")

_urls = {}
_compiled = {}  # by dialect and statement, in SQLAlchemy's own keys
_dialects = {}
_empty = set()  # the journals that are copies of an empty one
_spare = []  # databases of such, emptied again: a new one is a thousand files


def opened(where):
    """A journal by its URL or path, with the statements that another test of this process has had compiled."""
    engine = open_engine(where)
    kind = engine.dialect.name
    if kind not in _dialects:
        engine.connect().close()  # it learns what its server can
        _dialects[kind] = engine.dialect
    engine.dialect = _dialects[kind]
    engine.update_execution_options(compiled_cache=_compiled)
    return engine


def new(path):
    """A new journal, migrated and opened."""
    if ON_SERVER:
        _urls[path] = postgres_server.new_database()
    engine = opened(_urls.get(path, path))
    migrate.ensure_current(engine)
    return engine


def new_empty(path):
    """A new journal that stays empty and is closed, to be copied."""
    new(path).dispose()
    _empty.add(path)


def copied(kept, path):
    """A copy of a journal that nobody has open, opened."""
    if not ON_SERVER:
        return opened(shutil.copyfile(kept, path))
    if kept in _empty and _spare:
        _urls[path] = _spare.pop()
    else:
        _urls[path] = postgres_server.copy_database(_urls[kept])
    return opened(_urls[path])


def removed(engine):
    """Close a journal for good; a server would otherwise keep thousands of them."""
    if ON_SERVER:
        emptied(engine)
        _spare.append(engine.url)
    engine.dispose()


def emptied(engine):
    """Take every row out of a journal on a server, and have it number new ones from 1."""
    with engine.begin() as connection:
        connection.exec_driver_sql(_EMPTY)


def held(engine):
    """What a journal holds: of each table how many rows, and a digest of them."""
    with engine.connect() as connection:
        return tally(connection)


# Not TRUNCATE: that makes every file of every table and index anew, 0.1 s and more a time.
_EMPTY = """
DO $$
DECLARE found record;
BEGIN
    SET LOCAL session_replication_role = replica;
    FOR found IN SELECT tablename FROM pg_tables WHERE schemaname = 'public' AND tablename <> 'alembic_version' LOOP
        EXECUTE format('DELETE FROM %%I', found.tablename);
    END LOOP;
    PERFORM setval(format('%%I.%%I', schemaname, sequencename), 1, false)
        FROM pg_sequences WHERE last_value IS NOT NULL;
END $$
"""
