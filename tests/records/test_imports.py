"""Past jobs taken in and taken back, on both databases."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from alembic import command
from alembic.config import Config
from journal.errors import MissingReference
from journal.places import folder
from journal.records import migrate
from journal.records.base import Base
from journal.records.engine import _ACCESS, reading, writing
from journal.records.queries import hours, imports, log, plans, projects
from journal.records.queries.imports import EditedSince, ImportDraft, PastJob
from journal.records.words import EntrySource, ProjectState
from sqlalchemy import select, text
from tests import factories
from tests.factories import NOW, TODAY

LAST = date(2020, 5, 2)
HEAD = ImportDraft(source="old.xlsx", sha256="0" * 64, first_on=date(2020, 5, 1), last_on=LAST, rework_told=False)


def job(number="A", **given):
    fields = {
        "project": projects.ProjectDraft(code=number, title="Old bench", state=ProjectState.CLOSED, delivered_on=LAST),
        "built": (plans.BuiltRow("sand", 40.0),),
        "entries": (
            log.EntryDraft(on_date=LAST, seconds=3600, operation="sand", people=2, source=EntrySource.IMPORT),
            log.EntryDraft(on_date=LAST, seconds=600, stage="milling", rework=True, source=EntrySource.IMPORT),
        ),
    }
    return PastJob(**fields | given)


def contents(session):
    """Every row of every table."""
    return {table.name: session.execute(select(table)).all() for table in Base.metadata.sorted_tables}


def test_jobs_come_in_with_all_that_is_known_of_them(session):
    taken = imports.take(session, HEAD, [job("A"), job("B")], now=NOW)
    assert (taken.projects, taken.entries, taken.quantities, taken.seconds) == (2, 4, 2, 15_600)
    assert imports.imports(session) == (taken,)
    row = projects.find_project(session, "A")
    assert (row.state, row.version, row.delivered_on) == (ProjectState.CLOSED, 1, LAST)
    assert plans.built(session, row.id) == (plans.BuiltRow("sand", 40.0),)
    assert [entry.source for entry in log.entries(session, project_id=row.id)] == [EntrySource.IMPORT] * 2
    assert imports.known_codes(session) == {"a": taken.id, "b": taken.id}


def test_what_comes_in_teaches_by_the_quantities_built(session):
    imports.take(session, HEAD, [job()], now=NOW)
    (quantity,) = log.operation_quantities(session)
    assert (quantity.operation, quantity.quantity, quantity.as_built) == ("sand", 40.0, True)


def test_hours_of_a_sheet_say_nothing_of_hours_a_week(session):
    factories.entry(session, on_date=TODAY)
    imports.take(session, HEAD, [job()], now=NOW)
    assert [row.on_date for row in hours.minutes_by_day(session)] == [TODAY]


def test_a_sheet_that_never_spoke_of_rework_is_no_evidence_of_none(session):
    imports.take(session, HEAD, [job("A")], now=NOW)
    imports.take(session, replace(HEAD, rework_told=True), [job("B")], now=NOW)
    assert imports.silent_about_rework(session) == {projects.find_project(session, "A").id}


def test_an_import_is_taken_back_without_a_trace(session):
    factories.entry(session, project_id=factories.project(session).id)
    before = contents(session)
    taken = imports.take(session, HEAD, [job("A"), job("B")], now=NOW)
    assert imports.undo(session, taken.id) == taken
    assert contents(session) == before


def test_taking_one_back_leaves_the_other(session):
    first, second = (imports.take(session, HEAD, [job(number)], now=NOW) for number in "AB")
    imports.undo(session, first.id)
    assert imports.imports(session) == (second,)
    assert imports.known_codes(session) == {"b": second.id}


def test_what_is_not_there_cannot_be_taken_back(session):
    with pytest.raises(MissingReference):
        imports.undo(session, 7)


def change_project(session, row):
    projects.change_project(session, row.id, row.draft(title="Better known"), read_version=row.version, now=NOW)


def set_aside(session, row):
    entry = log.entries(session, project_id=row.id)[0]
    log.change_entry(session, entry.id, {"set_aside_reason": "flu"}, why="flu", now=NOW)


def put_back(session, row):
    set_aside(session, row)
    entry = log.entries(session, project_id=row.id)[0]
    log.change_entry(session, entry.id, {"set_aside_reason": None}, why="well again", now=NOW)


def remove_entry(session, row):
    log.remove_entry(session, log.entries(session, project_id=row.id)[0].id, why="twice", now=NOW)


def add_entry(session, row):
    factories.entry(session, project_id=row.id)


def change_quantity(session, row):
    plans.put_built(session, row.id, [plans.BuiltRow("sand", 41.0)])


def add_quantity(session, row):
    plans.put_built(session, row.id, [plans.BuiltRow("wax", 3.0)])


def make_plan(session, row):
    factories.plan(session, row.id)


def buy_for_it(session, row):
    factories.purchase(session, project_id=row.id)


@pytest.mark.parametrize(
    ("edit", "table"),
    [
        (change_project, "projects"),
        (set_aside, "time_entry_changes"),
        (put_back, "time_entry_changes"),
        (remove_entry, "time_entry_changes"),
        (add_entry, "time_entries"),
        (change_quantity, "built"),
        (add_quantity, "built"),
        (make_plan, "plans"),
        (buy_for_it, "purchases"),
    ],
)
def test_after_any_edit_it_stays_whole_and_says_what_was_edited(engine, edit, table):
    with writing(engine) as session:
        taken = imports.take(session, HEAD, [job("A"), job("B")], now=NOW)
        edit(session, projects.find_project(session, "B"))
    with reading(engine) as session:
        before = contents(session)
    with pytest.raises(EditedSince) as refused, writing(engine) as session:
        imports.undo(session, taken.id)
    assert ("B", table) in {(one.project_code, one.table) for one in refused.value.edited}
    assert {one.project_code for one in refused.value.edited} == {"B"}
    with reading(engine) as session:
        assert contents(session) == before


def test_keeping_a_quantity_as_it_was_is_no_edit(session):
    taken = imports.take(session, HEAD, [job()], now=NOW)
    plans.put_built(session, projects.find_project(session, "A").id, [plans.BuiltRow("sand", 40.0)])
    assert imports.edited_since(session, taken.id) == ()


def test_more_projects_take_no_more_statements(session, statements):
    def counted(numbers):
        with statements() as seen:
            imports.take(session, HEAD, [job(number) for number in numbers], now=NOW + timedelta(days=len(numbers)))
        return len(seen)

    assert counted(["A"]) == counted([f"P{n}" for n in range(50)])


def test_the_upgrade_keeps_the_rows_there_are(own_engine):
    config = Config()
    config.set_main_option("script_location", str(folder("migrations")))
    config.set_main_option("path_separator", "os")

    def move(how, revision):
        with own_engine.execution_options(**{_ACCESS: "write"}).connect() as connection:
            migrate._set_foreign_keys(connection, on=False)
            with connection.begin():
                config.attributes["connection"] = connection
                how(config, revision)
            migrate._set_foreign_keys(connection, on=True)

    with writing(own_engine) as session:
        row = factories.project(session, title="kept")
        plans.put_built(session, row.id, [plans.BuiltRow("sand", 3.0)])
        factories.entry(session, project_id=row.id)
    move(command.downgrade, "20261127b")
    with own_engine.connect() as connection:
        assert connection.execute(text("SELECT title FROM projects")).all() == [("kept",)]
    move(command.upgrade, "head")
    with reading(own_engine) as session:
        assert [one.project.title for one in projects.list_projects(session)] == ["kept"]
        assert plans.built(session, row.id) == (plans.BuiltRow("sand", 3.0),)
        assert len(log.entries(session)) == 1
        assert imports.known_codes(session) == {row.code.casefold(): None}
