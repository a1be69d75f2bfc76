"""What is wrong with a journal, and what to do about it."""

import pytest
from journal.records.engine import FILE_NAME, open_engine
from journal.records.keeping.check import check


def test_a_sound_journal_has_no_findings(full_engine):
    assert check(full_engine) == ()


@pytest.mark.parametrize(
    ("statement", "where"),
    [
        ("UPDATE estimates SET payload = replace(payload, '1', '2')", "estimates, row 1"),
        ("UPDATE plans SET operations = '[]' WHERE id = 4", "plans, row 4"),
        ("UPDATE plans SET sha256 = '00' WHERE id = 2", "plans, row 2"),
    ],
)
def test_a_promise_that_says_something_else_now_is_named(full_engine, statement, where):
    with full_engine.begin() as connection:
        connection.exec_driver_sql(statement)
    (found,) = check(full_engine)
    assert found.where == where
    assert "journal restore" in str(found)


def test_rows_without_the_row_they_belong_to_are_counted(full, full_engine):
    full_engine.dispose()
    loose = open_engine(full / FILE_NAME)
    with loose.connect() as connection:
        raw = connection.connection.dbapi_connection
        raw.execute("PRAGMA foreign_keys=OFF")
        raw.execute("UPDATE coats SET project_id = 9999 WHERE id IN (1, 2)")
    found = check(loose)
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
    found = check(engine)
    engine.dispose()
    assert found
    assert {one.where for one in found} == {"the database file"}
