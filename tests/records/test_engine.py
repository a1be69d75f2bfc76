import sqlite3
import stat
import threading
from contextlib import closing
from dataclasses import replace

import pytest
from journal.errors import BadInput, Conflict, JournalError
from journal.records import engine as opening
from journal.records.engine import reading, writing
from journal.records.queries import projects, shop
from journal.records.tables import Setting
from sqlalchemy import insert, select
from sqlalchemy.exc import DBAPIError
from tests import factories


def _pragma(engine, name):
    with engine.connect() as connection:
        return connection.exec_driver_sql(f"PRAGMA {name}").scalar()


def _count_up(engine, times):
    for _ in range(times):
        with writing(engine) as session:
            row = session.get(Setting, "counter") or Setting(key="counter", value="0", unit="")
            row.value = str(int(row.value) + 1)
            session.add(row)


def test_foreign_keys_are_on_and_writes_are_ahead_logged_and_flushed_to_the_disk(file_engine):
    assert _pragma(file_engine, "foreign_keys") == 1
    assert _pragma(file_engine, "journal_mode") == "wal"
    assert _pragma(file_engine, "synchronous") == 2  # FULL
    assert _pragma(file_engine, "busy_timeout") == opening.BUSY_MS


def test_what_ends_well_is_kept_and_what_fails_is_not(engine):
    with writing(engine) as session:
        factories.project(session, title="kept")

    def fail_half_way():
        with writing(engine) as session:
            factories.project(session, title="lost")
            raise RuntimeError

    with pytest.raises(RuntimeError):
        fail_half_way()
    with reading(engine) as session:
        assert [row.project.title for row in projects.list_projects(session)] == ["kept"]


def test_two_writers_at_once_both_get_their_turn_and_lose_nothing(engine):
    threads = [threading.Thread(target=_count_up, args=(engine, 30)) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with reading(engine) as session:
        assert session.get(Setting, "counter").value == "60"


def test_a_writer_that_waited_too_long_is_told_to_try_again(file_engine):
    """By another program, that is: within this one writers stand in line (test_turns)."""
    impatient = opening.open_engine(file_engine.url, busy_ms=50)
    with closing(sqlite3.connect(file_engine.url.database, isolation_level=None)) as other_program:
        other_program.execute("BEGIN IMMEDIATE")
        with pytest.raises(JournalError, match="busy"), writing(impatient) as second:
            factories.project(second)
        other_program.execute("ROLLBACK")
    impatient.dispose()


def test_reading_is_not_held_up_by_a_writer_and_sees_one_moment(engine):
    with writing(engine) as session:
        factories.project(session, title="before")
    with reading(engine) as reader:
        first = projects.list_projects(reader)
        with writing(engine) as writer:
            factories.project(writer, title="meanwhile")
            with reading(engine) as other:
                assert len(projects.list_projects(other)) == 1
        assert projects.list_projects(reader) == first
    with reading(engine) as session:
        assert len(projects.list_projects(session)) == 2


def test_a_reading_session_cannot_write_and_spoils_nothing_for_the_next_writer(engine):
    with pytest.raises(DBAPIError), reading(engine) as session:
        factories.project(session)
    with writing(engine) as session:
        factories.project(session)


def test_a_record_changed_by_somebody_else_is_a_conflict(engine):
    with writing(engine) as session:
        shop.save_shop(session, shop.ShopRow())
    with reading(engine) as session:
        seen = shop.get_shop(session)
    with writing(engine) as session:
        shop.save_shop(session, replace(seen, people=2))
    with pytest.raises(Conflict, match="shop"), writing(engine) as session:
        shop.save_shop(session, replace(seen, people=3))
    with reading(engine) as session:
        assert shop.get_shop(session).people == 2


def test_two_rows_with_the_same_number_at_the_same_moment_are_a_conflict(engine):
    def keep_same_key():
        with writing(engine) as session:
            session.execute(insert(Setting).values(key="kerf_rip", value="1/8", unit="in"))

    keep_same_key()
    with pytest.raises(Conflict):
        keep_same_key()


def test_a_named_folder_is_made_and_closed_to_others(tmp_path):
    folder = opening.data_folder(tmp_path / "shop" / "data")
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700


def test_the_argument_wins_over_the_environment_and_that_over_the_usual_place(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "usual"))
    assert opening.data_folder() == tmp_path / "usual" / "shop-build-journal"
    monkeypatch.setenv(opening.FOLDER_VARIABLE, str(tmp_path / "environment"))
    assert opening.data_folder() == tmp_path / "environment"
    assert opening.data_folder(tmp_path / "argument") == tmp_path / "argument"


def test_a_folder_that_cannot_be_made_is_named(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(BadInput, match="data folder"):
        opening.data_folder(tmp_path / "file" / "below")


def test_the_database_is_a_file_in_the_folder_unless_the_environment_names_another(tmp_path, monkeypatch):
    assert opening.database_url(tmp_path).database == str(tmp_path / "journal.db")
    monkeypatch.setenv(opening.URL_VARIABLE, "postgresql://bench@/journal")
    assert opening.database_url(tmp_path).drivername == "postgresql+psycopg"


@pytest.mark.parametrize("typed", ["mysql://here/journal", "://", "sqlite//x://"])
def test_a_database_that_is_not_supported_is_refused_by_name(tmp_path, monkeypatch, typed):
    monkeypatch.setenv(opening.URL_VARIABLE, typed)
    with pytest.raises(BadInput, match=opening.URL_VARIABLE):
        opening.database_url(tmp_path)


def test_a_path_with_a_space_and_a_question_mark_is_only_a_path(tmp_path):
    engine = opening.open_engine(tmp_path / "my shop?.db")
    with engine.connect() as connection:
        connection.execute(select(1))
    engine.dispose()
    assert (tmp_path / "my shop?.db").exists()
