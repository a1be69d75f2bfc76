"""The commands that keep the journal safe, as a user types them."""

from pathlib import Path

import pytest
from click.testing import CliRunner
from journal.cli import main
from journal.records import photo_files
from journal.records.engine import FILE_NAME, PHOTOS, URL_VARIABLE, open_engine, reading, writing
from journal.records.migrate import ensure_current
from journal.records.queries import projects
from tests import factories, postgres_server


@pytest.fixture
def data(tmp_path, monkeypatch):
    """A data folder with one project in its journal."""
    folder = tmp_path / "data"
    monkeypatch.setenv("JOURNAL_DATA", str(folder))
    folder.mkdir()
    engine = open_engine(folder / FILE_NAME)
    ensure_current(engine)
    with writing(engine) as session:
        factories.project(session, title="Kept bench")
    engine.dispose()
    return folder


def run(*words):
    return CliRunner().invoke(main, list(words))


def titles(folder):
    engine = open_engine(folder / FILE_NAME)
    try:
        with reading(engine) as session:
            return [counted.project.title for counted in projects.list_projects(session)]
    finally:
        engine.dispose()


def test_the_last_line_of_a_backup_is_its_path_and_it_restores_elsewhere(data, tmp_path):
    made = run("backup")
    assert made.exit_code == 0, made.output
    path = Path(made.output.strip().splitlines()[-1])
    assert path.parent == data / "backups"
    restored = run("restore", str(path), "--data", str(tmp_path / "new"))
    assert restored.exit_code == 0, restored.output
    assert titles(tmp_path / "new") == ["Kept bench"]


def test_a_restore_says_where_the_old_journal_is(data):
    path = run("backup").output.strip().splitlines()[-1]
    engine = open_engine(data / FILE_NAME)
    with writing(engine) as session:
        factories.project(session, title="Newer")
    engine.dispose()
    said = run("restore", path).output
    aside = Path(said.strip().splitlines()[-1].removeprefix("What was there is in ").rstrip("."))
    assert titles(data) == ["Kept bench"]
    assert titles(aside) == ["Newer", "Kept bench"]


def test_a_damaged_backup_is_refused_by_name_and_nothing_changes(data, tmp_path):
    bad = tmp_path / "journal-20260101-000000-asked.zip"
    bad.write_bytes(b"PK nonsense")
    refused = run("restore", str(bad))
    assert refused.exit_code == 2
    assert "journal-20260101-000000-asked.zip is not a whole backup" in refused.output
    assert titles(data) == ["Kept bench"]


def test_out_into_a_folder_and_back_into_an_empty_journal(data, tmp_path):
    assert "1 rows" not in run("export", str(tmp_path / "out"), "--data", str(data)).output.split(" tables")[1]
    taken = run("import", str(tmp_path / "out"), "--data", str(tmp_path / "fresh"))
    assert taken.exit_code == 0, taken.output
    assert titles(tmp_path / "fresh") == ["Kept bench"]
    again = run("import", str(tmp_path / "out"), "--data", str(tmp_path / "fresh"))
    assert again.exit_code == 2
    assert "an empty one" in again.output


def test_a_sound_journal_is_said_to_be_and_a_damaged_one_ends_with_1(data):
    assert run("check").exit_code == 0
    engine = open_engine(data / FILE_NAME)
    with writing(engine) as session:
        made = factories.project(session)
        factories.plan(session, made.id)
    with engine.begin() as connection:
        connection.exec_driver_sql("UPDATE plans SET sha256 = '00'")
    engine.dispose()
    found = run("check")
    assert found.exit_code == 1
    assert "plans, row 1" in found.output


@pytest.mark.postgres
def test_a_journal_moves_to_a_server_and_is_left_where_it_was(data):
    url = postgres_server.new_database()
    photo_files.keep(data, b"large", b"small")
    try:
        moved = run("move", "--to", url.render_as_string(hide_password=False))
        assert moved.exit_code == 0, moved.output
        assert "copied and the same" in moved.output
        assert f"The photos stay in {data / PHOTOS}" in moved.output
        assert titles(data) == ["Kept bench"]
        again = run("move", "--to", url.render_as_string(hide_password=False))
        assert again.exit_code == 2
    finally:
        postgres_server.drop_database(url)


@pytest.mark.parametrize("words", [("backup",), ("check",), ("export", "out"), ("move", "--to", "sqlite:///other.db")])
def test_keeping_a_journal_safe_does_not_make_one(tmp_path, monkeypatch, words):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("JOURNAL_DATA", str(tmp_path / "empty"))
    refused = run(*words)
    assert refused.exit_code == 2
    assert "a folder with a journal in it" in refused.output
    assert not (tmp_path / "empty" / FILE_NAME).exists()


@pytest.mark.usefixtures("data")
@pytest.mark.parametrize("words", [("backup",), ("check",), ("export", "out"), ("move", "--to", "sqlite:///other.db")])
def test_a_server_that_does_not_answer_is_told_in_words(tmp_path, monkeypatch, words):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv(URL_VARIABLE, "postgresql://bench@/journal?host=/nowhere")
    refused = run(*words)
    assert refused.exit_code == 2
    assert "cannot be reached; nothing was changed" in refused.output


@pytest.mark.usefixtures("data")
def test_a_backup_is_not_put_back_beside_a_journal_that_is_on_a_server(monkeypatch):
    path = run("backup").output.strip().splitlines()[-1]
    monkeypatch.setenv(URL_VARIABLE, "postgresql://bench@/journal?host=/nowhere")
    refused = run("restore", path)
    assert refused.exit_code == 2
    assert "restore into a folder without it, then `journal move --to` there" in refused.output


@pytest.mark.usefixtures("data")
def test_a_folder_that_another_program_copies_is_told_by_check(tmp_path):
    (tmp_path / ".sync-state").write_text("")
    looked = run("check")
    assert looked.exit_code == 0
    assert "(.sync-state)" in looked.output
