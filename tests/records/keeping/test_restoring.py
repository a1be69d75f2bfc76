"""A backup put in the place of the journal."""

import os
import sqlite3
from contextlib import closing

import pytest
from journal.errors import JournalError
from journal.records.engine import FILE_NAME, PHOTOS, open_engine, reading, writing
from journal.records.keeping import backup, restoring
from journal.records.keeping.check import check
from journal.records.keeping.tally import tally
from journal.records.queries import projects
from tests import factories
from tests.records.keeping.conftest import NOW, PHOTO, SMALL_PHOTO


def tallied(data):
    engine = open_engine(data / FILE_NAME)
    try:
        with engine.connect() as connection:
            return tally(connection)
    finally:
        engine.dispose()


@pytest.fixture
def saved(full, full_engine):
    made = backup.make(full_engine, full, now=NOW)
    full_engine.dispose()
    return made.path


def test_into_a_folder_without_a_journal(saved, full, tmp_path):
    new = tmp_path / "new"
    found = restoring.restore(saved, new, now=NOW)
    assert found.before is None
    assert tallied(new) == tallied(full)
    for name in (PHOTO, SMALL_PHOTO):
        assert (new / name).read_bytes() == (full / name).read_bytes()
        assert (new / name).stat().st_mode & 0o777 == 0o600
    restored = open_engine(new / FILE_NAME)
    assert check(restored, new) == ()
    restored.dispose()
    assert sorted(path.name for path in new.iterdir()) == [FILE_NAME, PHOTOS]


def test_in_the_place_of_a_journal_which_stays_beside_it(saved, full):
    was = tallied(full)
    engine = open_engine(full / FILE_NAME)
    with writing(engine) as session:
        factories.project(session, code="after the backup")
    engine.dispose()
    (full / "secret.key").write_text("stays")
    found = restoring.restore(saved, full, now=NOW)
    assert tallied(full) == was
    assert (full / "secret.key").read_text() == "stays"
    aside = open_engine(found.before / FILE_NAME)
    with reading(aside) as session:
        assert projects.find_project(session, "after the backup")
    aside.dispose()
    assert not list(full.glob("restoring-*"))


def test_a_damaged_backup_changes_nothing(saved, full):
    was = tallied(full)
    saved.write_bytes(saved.read_bytes()[:-100])
    with pytest.raises(backup.DamagedBackup):
        restoring.restore(saved, full, now=NOW)
    assert tallied(full) == was
    assert not [path for path in full.iterdir() if path.name.startswith(("restoring", "before"))]


def test_a_journal_in_use_is_not_taken_from_under_its_server(saved, full):
    with closing(sqlite3.connect(full / FILE_NAME, isolation_level=None)) as busy:
        busy.execute("BEGIN IMMEDIATE")
        with pytest.raises(JournalError, match="in use: stop the journal"):
            restoring.restore(saved, full, now=NOW)
        busy.execute("ROLLBACK")


def test_a_file_that_cannot_be_moved_puts_all_back(saved, full, monkeypatch):
    was = tallied(full)
    real, count = type(full).rename, []

    def stubborn(self, target):
        count.append(self)
        if len(count) == 2:
            raise OSError(13, "Permission denied")
        return real(self, target)

    monkeypatch.setattr(type(full), "rename", stubborn)
    with pytest.raises(JournalError, match="all is as it was"):
        restoring.restore(saved, full, now=NOW)
    monkeypatch.undo()
    assert tallied(full) == was


def test_a_journal_that_is_damaged_is_what_a_restore_is_for(saved, full):
    was = tallied(full)
    (full / FILE_NAME).write_bytes(b"SQLite format 3\x00" + os.urandom(5000))
    restoring.restore(saved, full, now=NOW)
    assert tallied(full) == was
