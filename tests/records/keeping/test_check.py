"""What is wrong with a journal, and what to do about it."""

import pytest
from journal.records import photo_files
from journal.records.engine import FILE_NAME, PHOTOS, open_engine
from journal.records.keeping.check import check
from tests.records.keeping.conftest import DIGEST, LARGE, PHOTO, SMALL, SMALL_PHOTO


def test_a_sound_journal_has_no_findings(full_engine, full):
    assert check(full_engine, full) == ()


@pytest.mark.parametrize(
    ("statement", "where"),
    [
        ("UPDATE estimates SET payload = replace(payload, '1', '2')", "estimates, row 1"),
        ("UPDATE plans SET operations = '[]' WHERE id = 4", "plans, row 4"),
        ("UPDATE plans SET sha256 = '00' WHERE id = 2", "plans, row 2"),
    ],
)
def test_a_promise_that_says_something_else_now_is_named(full_engine, full, statement, where):
    with full_engine.begin() as connection:
        connection.exec_driver_sql(statement)
    (found,) = check(full_engine, full)
    assert found.where == where
    assert "journal restore" in str(found)


def test_rows_without_the_row_they_belong_to_are_counted(full, full_engine):
    full_engine.dispose()
    loose = open_engine(full / FILE_NAME)
    with loose.connect() as connection:
        raw = connection.connection.dbapi_connection
        raw.execute("PRAGMA foreign_keys=OFF")
        raw.execute("UPDATE coats SET project_id = 9999 WHERE id IN (1, 2)")
    found = check(loose, full)
    loose.dispose()
    assert str(found[0]).startswith("coats: 2 rows belong to rows of projects that are not there.")


def test_a_damaged_file_is_said_to_be_and_nothing_else_is_looked_at(full, full_engine):
    full_engine.dispose()
    path = full / FILE_NAME
    content = bytearray(path.read_bytes())
    middle = len(content) // 2 // 4096 * 4096
    content[middle : middle + 4096] = b"\xff" * 4096
    path.write_bytes(content)
    engine = open_engine(path)
    found = check(engine, full)
    engine.dispose()
    assert found
    assert {one.where for one in found} == {"the database file"}


@pytest.mark.parametrize(
    ("spoil", "where", "what"),
    [
        (lambda at: (at / PHOTO).unlink(), PHOTO, "the photo is not there"),
        (lambda at: (at / PHOTO).write_bytes(LARGE[:-1]), PHOTO, "the photo is not as it was written"),
        (lambda at: (at / PHOTO).write_bytes(b""), PHOTO, "the photo is not as it was written"),
        (lambda at: (at / SMALL_PHOTO).unlink(), SMALL_PHOTO, "the small picture is not there, or not whole"),
        (lambda at: (at / SMALL_PHOTO).write_bytes(SMALL[:-1]), SMALL_PHOTO, "the small picture is not there"),
        (lambda at: (at / PHOTOS / "mine.txt").write_text("mine"), "photos/mine.txt", "no photo of the journal"),
        (lambda at: (at / PHOTO).with_name("a.jpg.part").touch(), f"photos/{DIGEST[:2]}/a.jpg.part", "no photo"),
    ],
)
def test_a_photo_that_is_missing_damaged_or_unknown_is_named_and_left_alone(full_engine, full, spoil, where, what):
    spoil(full)
    before = sorted((path, path.stat().st_mtime_ns) for path in (full / PHOTOS).rglob("*"))
    (found,) = check(full_engine, full)
    assert found.where == where
    assert found.what.startswith(what)
    assert sorted((path, path.stat().st_mtime_ns) for path in (full / PHOTOS).rglob("*")) == before


def test_a_photo_that_cannot_be_read_does_not_end_the_check(full_engine, full):
    (full / PHOTO).unlink()
    (full / PHOTO).mkdir()
    (found,) = check(full_engine, full)
    assert found.what.startswith("the photo cannot be read")


def test_files_of_a_photo_that_no_row_knows_are_both_named(full_engine, full):
    digest = photo_files.keep(full, b"\xff\xd8 lost \xff\xd9", b"\xff\xd8\xff\xd9")
    names = {f"{PHOTOS}/{digest[:2]}/{digest}{end}" for end in (".jpg", ".small.jpg")}
    found = check(full_engine, full)
    assert {one.where for one in found} == names
    assert "left alone" in str(found[0])


def test_of_many_the_first_are_told_and_the_rest_counted(full_engine, full):
    for number in range(25):
        (full / PHOTOS / f"{number:02d}.txt").touch()
    found = check(full_engine, full)
    assert len(found) == 21
    assert found[-1].what == "5 more files that no photo of the journal is"


def test_tables_of_another_version_are_named_and_not_looked_through(full_engine, full):
    with full_engine.begin() as connection:
        connection.exec_driver_sql("DROP TABLE photo_places")
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '20261125a'")
    (found,) = check(full_engine, full)
    assert found.what == "they are those of another version (20261125a)"
    assert "then check again" in str(found)
