"""Many writers at once: nothing is lost, and nobody is told that the database is locked."""

import os
import threading

import pytest
from journal.records.engine import open_engine, reading, sqlite_file, writing
from journal.records.queries import projects
from tests import factories

WRITERS = 20
EACH = int(os.environ.get("JOURNAL_FAULT_ROUNDS", "6"))


@pytest.mark.slow
def test_twenty_writers_from_two_programs_all_get_their_turn(file_engine):
    """Two engines on one file stand for two servers on one data folder."""
    other = open_engine(sqlite_file(file_engine))
    failed = []

    def write(number):
        engine = (file_engine, other)[number % 2]
        try:
            for turn in range(EACH):
                with writing(engine) as session:
                    made = factories.project(session, code=f"w{number}-{turn}")
                    factories.entry(session, project_id=made.id)
        except Exception as error:  # noqa: BLE001 - whatever it is, the test must name it
            failed.append((number, error))

    threads = [threading.Thread(target=write, args=(number,)) for number in range(WRITERS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    other.dispose()
    assert failed == []
    with reading(file_engine) as session:
        there = projects.list_projects(session)
    assert len(there) == WRITERS * EACH
    assert {counted.entries for counted in there} == {1}


def test_no_update_is_lost_between_two_that_read_the_same(file_engine):
    """Each adds its mark to a note, reading and writing in one session: all marks are there at the end."""
    with writing(file_engine) as session:
        made = factories.project(session, note="")

    def add(mark):
        with writing(file_engine) as session:
            row = projects.get_project(session, made.id)
            draft = row.draft(note=row.note + mark)
            projects.change_project(session, made.id, draft, read_version=row.version, now=factories.NOW)

    marks = "abcdefghij"
    threads = [threading.Thread(target=add, args=(mark,)) for mark in marks]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with reading(file_engine) as session:
        assert sorted(projects.get_project(session, made.id).note) == list(marks)
