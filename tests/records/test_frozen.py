import pytest
from journal.records.engine import reading, writing
from journal.records.frozen import Frozen, FrozenRow
from journal.records.queries import estimates, log, plans
from journal.records.tables import Estimate, Plan, TimeEntryChange
from sqlalchemy import delete, update
from tests import factories


@pytest.fixture
def promised(engine):
    """Ids of an estimate, its plan's row and a correction, all stored."""
    with writing(engine) as session:
        project = factories.project(session)
        factories.plan(session, project.id)
        estimate = factories.estimate(session, project.id)
        entry = factories.entry(session, project_id=project.id)
        log.change_entry(session, entry.id, {"seconds": 60}, why="wrong line", now=factories.NOW)
    return {Estimate: estimate.id, Plan: 1, TimeEntryChange: 1}


@pytest.mark.parametrize(("table", "column"), [(Estimate, "payload"), (Plan, "reason"), (TimeEntryChange, "why")])
def test_what_was_given_out_is_neither_changed_nor_removed(engine, promised, table, column):
    def change_row():
        with writing(engine) as session:
            setattr(session.get(table, promised[table]), column, "nicer")

    def remove_row():
        with writing(engine) as session:
            session.delete(session.get(table, promised[table]))

    def change_by_statement():
        with writing(engine) as session:
            session.execute(update(table).values({column: "nicer"}))

    def remove_by_statement():
        with writing(engine) as session:
            session.execute(delete(table))

    for attempt in (change_row, remove_row, change_by_statement, remove_by_statement):
        with pytest.raises(FrozenRow, match=table.__tablename__):
            attempt()
    with reading(engine) as session:
        assert getattr(session.get(table, promised[table]), column) != "nicer"


def test_the_frozen_tables_are_those_a_promise_rests_on():
    kept = {"Estimate", "Plan", "TimeEntryChange", "Quote", "ProjectMove", "Extra", "ExtraPaper", "Payment"}
    assert {kind.__name__ for kind in Frozen.__subclasses__()} == kept


def test_damage_behind_the_programs_back_shows(engine, promised):
    with engine.begin() as connection:
        connection.exec_driver_sql("UPDATE estimates SET payload = '{\"total\": 2}'")
        connection.exec_driver_sql("UPDATE plans SET operations = '[]'")
    with reading(engine) as session:
        assert estimates.get_estimate(session, promised[Estimate]).damaged
        assert plans.get_plan(session, 1, 1).damaged
