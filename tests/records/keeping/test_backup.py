"""A backup: made while the journal is in use, checked, refused when anything in it is not as it was."""

import contextlib
import json
import sqlite3
import threading
import zipfile
from contextlib import closing
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from journal.errors import JournalError
from journal.records.engine import FILE_NAME, open_engine, reading, writing
from journal.records.keeping import backup
from journal.records.keeping.copying import copy_all
from journal.records.migrate import HEAD, UnknownDatabase
from journal.records.queries import projects
from tests import factories
from tests.records.keeping.conftest import NOW, PHOTO, SMALL_PHOTO


@pytest.fixture
def made(full_engine, full):
    return backup.make(full_engine, full, now=NOW)


def test_a_backup_is_one_closed_file_that_says_what_is_in_it(made, full):
    assert made.path == full / "backups" / "journal-20261125-184501-asked.zip"
    assert made.path.stat().st_mode & 0o777 == 0o600
    assert made.contents.revision == HEAD
    assert made.contents.rows["projects"] > 20
    assert set(made.contents.files) == {FILE_NAME, PHOTO, SMALL_PHOTO}
    assert [path.name for path in made.path.parent.iterdir()] == [made.path.name]
    assert backup.check(made.path) == made.contents


def test_one_more_at_the_same_second_does_not_take_the_first_ones_name(made, full_engine, full):
    second = backup.make(full_engine, full, now=NOW)
    assert second.path.name == "journal-20261125-184501-asked-2.zip"
    assert made.path.exists()


def test_it_can_go_to_another_disk(full_engine, full, tmp_path):
    made = backup.make(full_engine, full, now=NOW, to=tmp_path / "stick")
    assert made.path.parent == tmp_path / "stick"


def test_backups_are_listed_newest_first_and_other_files_are_not(made, full_engine, full):
    later = backup.make(full_engine, full, now=NOW + timedelta(days=1), reason="daily")
    (made.path.parent / "notes.zip").write_bytes(b"mine")
    assert backup.listed(made.path.parent) == (later.path, made.path)
    assert backup.made_at(later.path) == NOW + timedelta(days=1)
    assert [backup.reason_of(path) for path in backup.listed(made.path.parent)] == ["daily", "asked"]
    assert backup.listed(full / "nowhere") == ()


def test_it_holds_one_moment_while_others_go_on_writing(full_engine, full):
    """Each writer adds a project and its entry in one transaction: a backup never has one without the other."""
    stop = threading.Event()
    written = []

    def write():
        while not stop.is_set():
            with writing(full_engine) as session:
                made = factories.project(session, code=f"t-{len(written):04d}")
                factories.entry(session, project_id=made.id)
            written.append(made.id)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        made = [backup.make(full_engine, full, now=NOW) for _ in range(3)]
    finally:
        stop.set()
        writer.join()
    assert written
    for one in made:
        with zipfile.ZipFile(one.path) as archive:
            archive.extract(FILE_NAME, one.path.parent / one.path.stem)
        with closing(sqlite3.connect(one.path.parent / one.path.stem / FILE_NAME)) as copy:
            fresh = copy.execute("SELECT id FROM projects WHERE code LIKE 't-%'").fetchall()
            logged = copy.execute("SELECT DISTINCT project_id FROM time_entries").fetchall()
        assert set(fresh) <= set(logged)


def test_a_damaged_journal_is_not_backed_up_as_if_it_were_well(full, full_engine):
    full_engine.dispose()
    path = full / FILE_NAME
    content = bytearray(path.read_bytes())
    content[4096:8192] = b"\x00" * 4096
    path.write_bytes(content)
    engine = open_engine(path)
    with pytest.raises((UnknownDatabase, backup.DamagedBackup)):
        backup.make(engine, full, now=NOW)
    engine.dispose()
    assert backup.listed(full / "backups") == ()


def test_a_full_disk_leaves_nothing_half_made(full_engine, full, monkeypatch):
    def full_disk(*_, **__):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(zipfile.ZipFile, "write", full_disk)
    with pytest.raises(JournalError, match="No space left on device"):
        backup.make(full_engine, full, now=NOW)
    assert list((full / "backups").iterdir()) == []


@pytest.fixture(scope="module")
def good(full_folder, tmp_path_factory):
    engine = open_engine(full_folder / FILE_NAME)
    made = backup.make(engine, full_folder, now=NOW, to=tmp_path_factory.mktemp("good"))
    engine.dispose()
    return made.path


@given(st.data())
@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_changed_or_missing_byte_is_noticed(good, tmp_path, data):
    content = bytearray(good.read_bytes())
    if data.draw(st.booleans(), label="cut short"):
        content = content[: data.draw(st.integers(0, len(content) - 1))]
    else:
        place = data.draw(st.integers(0, len(content) - 1))
        content[place] ^= data.draw(st.integers(1, 255))
    broken = tmp_path / "journal-20260101-000000-asked.zip"
    broken.write_bytes(content)
    with contextlib.suppress(backup.DamagedBackup):
        # Taken only when the byte is one that nothing reads, such as a time stamp: then all is as it was made.
        assert backup.check(broken) == backup.check(good)


def repack(path, to, *, change=None, leave_out=(), more=None):
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(to, "w") as new:
        for name in old.namelist():
            if name not in leave_out:
                new.writestr(name, (change or {}).get(name, old.read(name)))
        for name, content in (more or {}).items():
            new.writestr(name, content)
    return to


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"leave_out": ("contents.json",)}, "no list of contents"),
        ({"leave_out": ("journal.db",)}, "journal.db is missing"),
        ({"leave_out": (PHOTO,)}, f"{PHOTO} is missing"),
        ({"more": {"../out.txt": b"x"}}, "does not belong in it"),
        ({"change": {PHOTO: b"another"}}, f"{PHOTO} is not as it was made"),
        ({"change": {"contents.json": b"[]"}}, "cannot be read"),
        ({"change": {"contents.json": b"{"}}, "cannot be read"),
    ],
)
def test_a_backup_that_is_not_whole_is_refused_by_name(good, tmp_path, changes, why):
    with pytest.raises(backup.DamagedBackup, match=why):
        backup.check(repack(good, tmp_path / "bad.zip", **changes))


def test_one_of_a_newer_program_says_so(good, tmp_path):
    with zipfile.ZipFile(good) as archive:
        contents = json.loads(archive.read("contents.json"))
    newer = json.dumps(contents | {"format": 2, "version": "9.0"}).encode()
    with pytest.raises(backup.DamagedBackup, match=r"a newer version of the program, 9\.0"):
        backup.check(repack(good, tmp_path / "new.zip", change={"contents.json": newer}))


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04", b"something else entirely"])
def test_something_else_is_refused(tmp_path, content):
    path = tmp_path / "holiday.zip"
    path.write_bytes(content)
    with pytest.raises(backup.DamagedBackup, match=r"holiday\.zip is not a whole backup"):
        backup.check(path)
    with pytest.raises(backup.DamagedBackup, match="no such file"):
        backup.check(tmp_path / "nowhere.zip")


@pytest.mark.postgres
def test_a_journal_on_a_server_is_backed_up_the_same_way(full_engine, full, own_server):
    copy_all(full_engine, own_server)
    made = backup.make(own_server, full, now=NOW)
    assert made.contents.rows == backup.make(full_engine, full, now=NOW).contents.rows
    with reading(own_server) as session:
        assert len(projects.list_projects(session)) == made.contents.rows["projects"]
