"""All rows from one database into another."""

import pytest
from journal.errors import BadInput, JournalError
from journal.records.engine import open_engine, reading, writing
from journal.records.keeping import copying
from journal.records.keeping.check import check
from journal.records.keeping.rows import all_tables
from journal.records.keeping.tally import TableTally, differences, tally
from journal.records.queries import projects
from tests import factories


def tallied(engine):
    with engine.connect() as connection:
        return tally(connection)


@pytest.fixture
def other(engine):
    """An empty database of either kind."""
    return engine


def test_a_copy_holds_the_same_and_can_be_gone_on_with(full_engine, full, other):
    before = tallied(full_engine)
    assert copying.copy_all(full_engine, other) == before
    assert tallied(other) == before
    assert check(other, full) == ()  # the photos stay where they are, beside the old journal's file
    assert sum(table.rows for table in before.values()) > 2_000
    with writing(other) as session:
        made = factories.project(session, code="after the move")
        factories.plan(session, made.id)
        factories.entry(session, project_id=made.id)
    with reading(other) as session:
        assert projects.find_project(session, "after the move").id == made.id


def test_there_and_back_again_is_the_same(full_engine, other, tmp_path):
    copying.copy_all(full_engine, other)
    back = open_engine(tmp_path / "back.db")
    copying.copy_all(other, back)
    assert tallied(back) == tallied(full_engine)
    back.dispose()


def test_a_database_with_something_in_it_is_left_alone(full_engine, other):
    with writing(other) as session:
        factories.project(session)
    before = tallied(other)
    with pytest.raises(BadInput, match="without a journal in it"):
        copying.copy_all(full_engine, other)
    assert tallied(other) == before


def test_a_copy_that_differs_is_not_kept(full_engine, other, monkeypatch):
    real = copying.put_rows

    def forgetful(connection, table, rows):
        listed = list(rows)
        return real(connection, table, listed[:-1] if table.name == "coats" else listed)

    monkeypatch.setattr(copying, "put_rows", forgetful)
    with pytest.raises(JournalError, match="coats has"):
        copying.copy_all(full_engine, other)
    assert all(found.rows == 0 for found in tallied(other).values())


def test_the_tally_tells_a_changed_cell(full_engine):
    before = tallied(full_engine)
    with full_engine.begin() as connection:
        connection.exec_driver_sql("UPDATE coats SET amount_ml = amount_ml + 0.001 WHERE id = 3")
    rows = before["coats"].rows
    assert differences(before, tallied(full_engine)) == (f"coats differs in what its {rows} rows say",)
    assert differences(before, before) == ()
    assert differences(before, {}) == tuple(f"{name} is on one side only" for name in sorted(before))
    assert differences({"a": TableTally(1, "x")}, {"a": TableTally(2, "y")}) == (
        "a has 1 rows on one side and 2 on the other",
    )


def test_tables_come_after_those_they_point_to():
    seen = set()
    for table in all_tables():
        for key in table.foreign_keys:
            assert key.column.table is table or key.column.table.name in seen, table.name
        seen.add(table.name)
