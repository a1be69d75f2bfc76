"""A disk, a file or a server that does not do as asked: a clear message, no damage, and it goes on once that is mended."""

import os
import shutil
import sqlite3
from contextlib import closing, contextmanager
from pathlib import Path
from tempfile import gettempdir

import pytest
from journal.errors import BadInput, Unavailable
from journal.records import migrate
from journal.records.engine import data_folder, open_engine, reading, sqlite_file, writing
from journal.records.keeping.check import check
from journal.records.queries import projects
from sqlalchemy import event
from tests import factories
from tests.web import project_pages as pages
from tests.web.shared_app import client_of

NOBODY = 65_534
PAGE = 4_096


def titles(engine):
    with reading(engine) as session:
        return {row.project.title for row in projects.list_projects(session)}


def add(engine, *named, **given):
    """Projects of these titles, all in one change."""
    with writing(engine) as session:
        for title in named:
            factories.project(session, code=title, title=title, **given)


@pytest.fixture
def kept(file_engine):
    add(file_engine, "kept")
    return file_engine


@contextmanager
def full_disk(engine):
    """SQLite's own answer to a disk without room: its file may not grow any more."""
    engine.dispose()

    def no_room(connection, _record):
        (pages_there,) = connection.execute("PRAGMA page_count").fetchone()
        connection.execute(f"PRAGMA max_page_count={pages_there}")

    event.listen(engine, "connect", no_room)
    yield
    event.remove(engine, "connect", no_room)
    engine.dispose()


@contextmanager
def may_only_read(folder):
    """The folder and its files may be read and not written to; a test run as root is nobody meanwhile."""
    there = [folder, *folder.rglob("*")]
    for path in there:
        path.chmod(0o555 if path.is_dir() else 0o444)
    root = os.geteuid() == 0
    if root:
        os.seteuid(NOBODY)
    try:
        yield
    finally:
        if root:
            os.seteuid(0)
        for path in there:
            path.chmod(0o700 if path.is_dir() else 0o600)


@pytest.fixture
def open_folder(tmp_path_factory):
    """A folder that also another user of this computer finds the way to."""
    made = tmp_path_factory.mktemp("open")
    for path in (made, *made.parents):
        if path.is_relative_to(gettempdir()) and path != Path(gettempdir()):
            path.chmod(path.stat().st_mode | 0o011)
    return made


def test_a_full_disk_is_told_keeps_nothing_half_and_is_over_when_there_is_room(kept, tmp_path):
    with full_disk(kept):
        with pytest.raises(Unavailable, match=r"disk is full; nothing was changed\. Make room"):
            add(kept, "lost", "long", note="x" * 10 * PAGE)
        assert titles(kept) == {"kept"}
    assert check(kept, tmp_path) == ()
    add(kept, "after")
    assert titles(kept) == {"after", "kept"}


def test_a_page_says_that_the_disk_is_full_and_that_nothing_was_changed(kept, tmp_path):
    client = client_of(kept, today=pages.TODAY, data=tmp_path)
    sent = pages.form_at(client, "/projects/new", "/new") | {"note": "y" * 1_500}
    with full_disk(kept):
        for number in range(12):  # what is left of the last page takes a few
            answer = client.post("/projects/new", data=sent | {"title": f"Bench {number}"})
            if answer.status_code != 302:
                break
            assert f"Bench {number}" in titles(kept)
        assert answer.status_code == 503
        assert "The disk is full; nothing was changed. Make room on it, then send it again." in answer.text
        assert f"Bench {number}" not in titles(kept)
    assert client.post("/projects/new", data=sent | {"title": "Bench with room"}).status_code == 302


def test_a_folder_that_may_only_be_read_is_refused_at_the_start(open_folder):
    with may_only_read(open_folder), pytest.raises(BadInput, match="a folder that may be read and written to"):
        data_folder(open_folder)


def test_a_file_that_may_only_be_read_is_told_at_the_first_change(open_folder, empty_file):
    path = open_folder / "journal.db"
    with closing(sqlite3.connect(shutil.copyfile(empty_file, path))) as connection:
        connection.execute("PRAGMA journal_mode=DELETE")  # in WAL such a folder cannot even be read
    before = path.read_bytes()
    engine = open_engine(path)
    with may_only_read(open_folder), pytest.raises(Unavailable, match="may only be read; nothing was changed"):
        add(engine, "lost")
    engine.dispose()
    assert path.read_bytes() == before


def test_a_file_in_a_folder_that_is_closed_is_told_at_the_start(open_folder, empty_file):
    path = open_folder / "journal.db"
    shutil.copyfile(empty_file, path)
    engine = open_engine(path)
    with may_only_read(open_folder), pytest.raises(Unavailable, match="see that you may read and write it"):
        migrate.ensure_current(engine)
    engine.dispose()


def test_a_file_that_another_program_holds_is_told_at_the_start(kept, monkeypatch):
    path = sqlite_file(kept)
    kept.dispose()
    monkeypatch.setattr(migrate, "_LOCKED_SECONDS", 0.05)
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("PRAGMA locking_mode=EXCLUSIVE")
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(Unavailable, match="locked by another program; end that, then start again"):
            migrate.ensure_current(kept)
    migrate.ensure_current(kept)
    assert titles(kept) == {"kept"}


def test_damage_met_while_running_names_the_way_out_and_is_not_written_over(kept, tmp_path):
    path = sqlite_file(kept)
    kept.dispose()
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        (page,) = connection.execute("SELECT rootpage FROM sqlite_master WHERE name = 'projects'").fetchone()
    content = bytearray(path.read_bytes())
    content[(page - 1) * PAGE : page * PAGE] = b"\xff" * PAGE
    path.write_bytes(content)
    with pytest.raises(Unavailable, match=r"damaged; nothing was changed.*journal check.*restore"):
        titles(kept)
    answer = client_of(kept, today=pages.TODAY, data=tmp_path).get("/projects/")
    assert answer.status_code == 503
    assert "restore the newest backup" in answer.text
    with pytest.raises(Unavailable, match="damaged"):
        add(kept, "lost")
    assert path.read_bytes() == content


def test_a_file_that_is_gone_is_told_and_none_is_made_in_its_place(kept, tmp_path):
    path = sqlite_file(kept)
    aside = path.rename(tmp_path / "aside.db")
    for act in (titles, lambda engine: add(engine, "lost")):
        with pytest.raises(Unavailable, match="is gone; nothing was changed"):
            act(kept)
    assert not path.exists()
    aside.rename(path)
    add(kept, "after")
    assert titles(kept) == {"after", "kept"}


def test_what_is_put_in_the_place_of_the_file_is_what_is_written_to(kept, tmp_path):
    path = sqlite_file(kept)
    with closing(sqlite3.connect(path)) as source, closing(sqlite3.connect(tmp_path / "copy.db")) as copy:
        source.backup(copy)
    add(kept, "only in the first")
    path.rename(tmp_path / "first.db")
    for part in ("-wal", "-shm"):
        path.with_name(f"{path.name}{part}").rename(tmp_path / f"first.db{part}")
    (tmp_path / "copy.db").rename(path)
    add(kept, "second")
    assert titles(kept) == {"second", "kept"}
    first = open_engine(tmp_path / "first.db")
    assert titles(first) == {"only in the first", "kept"}
    first.dispose()


def test_a_server_that_is_not_there_is_told_at_the_start():
    engine = open_engine("postgresql://bench@/journal?host=/nowhere")
    for act in (migrate.ensure_current, titles):
        with pytest.raises(Unavailable, match="cannot be reached; nothing was changed"):
            act(engine)
    engine.dispose()
