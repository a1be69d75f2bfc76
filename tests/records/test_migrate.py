import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing

import pytest
from journal.places import folder
from journal.records import migrate
from journal.records.engine import open_engine, reading, writing
from journal.records.queries import plans, projects
from sqlalchemy import inspect, text
from tests import factories

NEXT = '''"""A change of a table that others point to."""

import sqlalchemy as sa
from alembic import op

revision = "next"
down_revision = "{head}"


def upgrade():
    with op.batch_alter_table("projects") as batch:
        batch.add_column(sa.Column("shelf", sa.Text(), nullable=False, server_default="A"))
        batch.alter_column("title", existing_type=sa.Text(), type_=sa.String(500))
    {then}
'''


@pytest.fixture
def later(tmp_path):
    """The migrations of a later version: ours and one more, which ends with the statement given."""

    def make(then="pass"):
        scripts = tmp_path / "later"
        shutil.copytree(folder("migrations"), scripts, ignore=shutil.ignore_patterns("__pycache__"))
        (scripts / "versions" / "next.py").write_text(NEXT.format(head=migrate.HEAD, then=then))
        return {"scripts": scripts, "head": "next"}

    return make


@pytest.fixture
def with_rows(own_engine):
    """A journal with a project, a plan and an entry."""
    with writing(own_engine) as session:
        project = factories.project(session, title="kept")
        factories.plan(session, project.id)
        factories.entry(session, project_id=project.id)
    return own_engine


def _rows(engine):
    with reading(engine) as session:
        listed = projects.list_projects(session)
        return listed, plans.parts(session, listed[0].project.id)


def test_a_new_file_gets_the_tables(tmp_path):
    engine = open_engine(tmp_path / "journal.db")
    assert migrate.current(engine) is None
    migrate.ensure_current(engine)
    assert migrate.current(engine) == migrate.HEAD
    engine.dispose()


def test_a_database_at_head_is_left_alone_without_importing_the_migration_library(with_rows):
    before = _rows(with_rows)
    migrate.ensure_current(with_rows)
    migrate.upgrade(with_rows)
    assert _rows(with_rows) == before


def test_starting_at_head_does_not_import_the_migration_library(file_engine):
    code = (
        "import sys; from journal.records import migrate; from journal.records.engine import open_engine; "
        f"migrate.ensure_current(open_engine({str(file_engine.url)!r})); sys.exit('alembic' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_an_upgrade_of_a_table_that_others_point_to_keeps_every_row(with_rows, later):
    before = _rows(with_rows)
    migrate.ensure_current(with_rows, **later())
    assert _rows(with_rows) == before
    assert migrate.current(with_rows) == "next"
    with with_rows.connect() as connection:
        assert connection.execute(text("SELECT shelf FROM projects")).scalars().all() == ["A"]
        if connection.dialect.name == "sqlite":
            assert connection.exec_driver_sql("PRAGMA foreign_key_check").all() == []
            assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1


@pytest.mark.parametrize("then", ["raise RuntimeError('power')", "op.execute('DELETE FROM projects')"])
def test_an_upgrade_that_fails_half_way_leaves_everything_as_it_was(with_rows, later, then):
    before = _rows(with_rows)
    with pytest.raises(Exception, match=r"power|belong|violates foreign key"):
        migrate.ensure_current(with_rows, **later(then))
    assert _rows(with_rows) == before
    assert migrate.current(with_rows) == migrate.HEAD
    assert "shelf" not in {column["name"] for column in inspect(with_rows).get_columns("projects")}


def test_the_file_is_copied_before_an_upgrade_and_no_copy_is_overwritten(file_engine, later, tmp_path):
    with writing(file_engine) as session:
        factories.project(session, title="kept")
    earlier = tmp_path / "journal.db.before-next"
    earlier.write_text("an earlier copy")
    migrate.ensure_current(file_engine, **later())
    copy = open_engine(tmp_path / "journal.db.before-next-2")
    assert migrate.current(copy) == migrate.HEAD
    assert _titles(copy) == ["kept"]
    assert earlier.read_text() == "an earlier copy"
    copy.dispose()


def test_a_journal_of_a_newer_version_is_refused_and_untouched(file_engine, tmp_path):
    with file_engine.begin() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '20991231a'")
    file_engine.dispose()
    _refused_untouched(tmp_path / "journal.db", "newer version")


def test_a_file_that_is_no_database_is_refused_and_untouched(tmp_path):
    path = tmp_path / "journal.db"
    path.write_text("length,width\n96,24\n" * 100)
    _refused_untouched(path, "not a journal file")


def test_another_programs_database_is_refused_and_untouched(tmp_path):
    path = tmp_path / "journal.db"
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE songs (title TEXT)")
    _refused_untouched(path, "belongs to another program: it holds songs")


def test_a_folder_in_the_place_of_the_file_is_refused(tmp_path):
    (tmp_path / "journal.db").mkdir()
    (tmp_path / "journal.db" / "inside").write_text("")
    with pytest.raises(migrate.UnknownDatabase, match="cannot be opened"):
        migrate.ensure_current(open_engine(tmp_path / "journal.db"))


@pytest.mark.parametrize("share", [0.0003, 0.03, 0.5, 0.98, 0.9999])
def test_a_truncated_file_is_refused_and_untouched(empty_file, tmp_path, share):
    path = tmp_path / "journal.db"
    whole = empty_file.read_bytes()
    path.write_bytes(whole[: int(len(whole) * share)])
    _refused_untouched(path, "cut short|not a journal file")


def test_a_database_that_lost_its_mark_is_taken_for_another_programs(own_engine):
    with own_engine.begin() as connection:
        connection.execute(text("DROP TABLE alembic_version"))
    with pytest.raises(migrate.UnknownDatabase, match="another program"):
        migrate.ensure_current(own_engine)


def test_a_page_overwritten_within_the_file_is_found_when_it_is_copied(file_engine, later, tmp_path):
    file_engine.dispose()
    path = tmp_path / "journal.db"
    with closing(sqlite3.connect(path)) as connection:
        # A table's page, not one of the schema's, which is read before anything is copied.
        (page,) = connection.execute("SELECT rootpage FROM sqlite_master WHERE name = 'coats'").fetchone()
    content = bytearray(path.read_bytes())
    content[(page - 1) * 4_096 : page * 4_096] = b"\xff" * 4_096
    path.write_bytes(content)
    engine = open_engine(path)
    with pytest.raises(migrate.UnknownDatabase, match="damaged"):
        migrate.ensure_current(engine, **later())
    engine.dispose()
    assert path.read_bytes() == content
    assert [other.name for other in tmp_path.iterdir() if "before" in other.name] == []


def test_two_starts_at_once_on_a_new_file_both_succeed(tmp_path):
    path = tmp_path / "journal.db"
    code = (
        "from journal.records import migrate; from journal.records.engine import open_engine; from pathlib import Path; "
        f"migrate.ensure_current(open_engine(Path({str(path)!r})))"
    )
    starts = [subprocess.Popen([sys.executable, "-c", code], stderr=subprocess.PIPE) for _ in range(2)]
    for start in starts:
        _, complaint = start.communicate()
        assert start.returncode == 0, complaint.decode()
    engine = open_engine(path)
    assert migrate.current(engine) == migrate.HEAD
    engine.dispose()


def _titles(engine):
    with reading(engine) as session:
        return [row.project.title for row in projects.list_projects(session)]


def _refused_untouched(path, message):
    before = path.read_bytes()
    engine = open_engine(path)
    with pytest.raises(migrate.UnknownDatabase, match=message):
        migrate.ensure_current(engine)
    engine.dispose()
    assert path.read_bytes() == before
    assert [other.name for other in path.parent.iterdir() if "before" in other.name] == []
