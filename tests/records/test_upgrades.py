"""The demo shop's journal taken back to the first tables and up again, looked at after each step in both directions."""

import sqlite3
from contextlib import closing

from alembic import command
from alembic.config import Config
from alembic.script import ScriptDirectory
from journal.places import folder
from journal.records import migrate
from journal.records.engine import sqlite_file
from journal.records.keeping.check import check
from tests import journals


def scripts():
    config = Config()
    config.set_main_option("script_location", str(folder("migrations")))
    config.set_main_option("path_separator", "os")
    return config


def step(engine, revision, *, down=False):
    config = scripts()
    with engine.connect() as connection:
        connection.connection.dbapi_connection.execute("PRAGMA foreign_keys=OFF")
        with connection.begin():
            config.attributes["connection"] = connection
            (command.downgrade if down else command.upgrade)(config, revision)


def sums(engine):
    """Of each column of each table: how many are filled in, what they add up to, how long their texts are together."""
    found = {}
    with closing(sqlite3.connect(sqlite_file(engine))) as connection:
        for table in migrate.read_tables(connection):
            found[table, ""] = connection.execute(f'SELECT count(*) FROM "{table}"').fetchone()  # noqa: S608
            for _, column, *_ in connection.execute(f'PRAGMA table_info("{table}")').fetchall():
                cells = f'SELECT count("{column}"), total("{column}"), total(length("{column}")) FROM "{table}"'  # noqa: S608
                found[table, column] = connection.execute(cells).fetchone()
    return found


def lost(before, after):
    """What does not add up to the same in the columns that both have."""
    return {
        place: (before[place], after[place]) for place in before.keys() & after.keys() if before[place] != after[place]
    }


@journals.needs_file
def test_every_revision_comes_to_the_present_one_with_the_same_counts_and_sums(demo_journal, tmp_path):
    engine = journals.copied(demo_journal, tmp_path / "journal.db")
    newest, *earlier = [one.revision for one in ScriptDirectory.from_config(scripts()).walk_revisions()]
    assert newest == migrate.HEAD
    for revision in earlier:
        step(engine, revision, down=True)
    found = sums(engine)
    assert found["projects", ""] > (10,)
    assert found["time_entries", "seconds"][1] > 1_000_000
    for revision in [*reversed(earlier[:-1]), newest]:
        step(engine, revision)
        after = sums(engine)
        assert {table for table, _ in found} <= {table for table, _ in after}, revision
        assert lost(found, after) == {}, revision
        found = after
    assert check(engine, tmp_path) == ()
    engine.dispose()


@journals.needs_file
def test_the_first_tables_come_to_the_present_ones_in_one_go_and_are_copied_before(demo_journal, tmp_path):
    engine = journals.copied(demo_journal, tmp_path / "journal.db")
    first = ScriptDirectory.from_config(scripts()).get_base()
    step(engine, first, down=True)
    before = sums(engine)
    migrate.ensure_current(engine)
    assert lost(before, sums(engine)) == {}
    assert check(engine, tmp_path) == ()
    engine.dispose()
    copy = journals.open_engine(tmp_path / f"journal.db.before-{migrate.HEAD}")
    assert sums(copy) == before
    copy.dispose()


@journals.needs_file
def test_a_sum_that_changed_would_be_seen(demo_journal, tmp_path):
    engine = journals.copied(demo_journal, tmp_path / "journal.db")
    before = sums(engine)
    with engine.begin() as connection:
        connection.exec_driver_sql("UPDATE time_entries SET seconds = seconds + 60 WHERE id = 7")
    assert set(lost(before, sums(engine))) == {("time_entries", "seconds")}
    engine.dispose()
