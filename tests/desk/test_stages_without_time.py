"""A stage that was planned and has no time at all: forgotten in the log, or never done."""

from datetime import UTC, date, datetime

import pytest
from journal.desk import closing as desk
from journal.desk.closing import Loose
from journal.records.engine import reading, writing
from journal.records.queries.plans import OperationRow
from journal.records.words import ProjectState
from tests import factories

TODAY = date(2026, 3, 2)
NOW = datetime(2026, 3, 2, 12, tzinfo=UTC)
PLAN = (
    OperationRow("joint_face", 40.0, 1),
    OperationRow("flatten_panel", 30.0, 1),
    OperationRow("apply_coat", 30.0, 2),
)


@pytest.fixture
def project_id(file_engine):
    with writing(file_engine) as session:
        row = factories.project(session, title="Bench", state=ProjectState.DELIVERED)
        factories.plan(session, row.id, operations=list(PLAN))
        return row.id


def said(engine, project_id):
    with reading(engine) as session:
        return {end.what: end.said for end in desk.closing(session, project_id, TODAY).ends}


def log(engine, project_id, **what):
    with writing(engine) as session:
        factories.entry(session, project_id=project_id, on_date=TODAY, **{"operation": None} | what)


def test_without_any_hours_the_stages_are_not_told_one_by_one(file_engine, project_id):
    found = said(file_engine, project_id)
    assert Loose.NO_HOURS in found
    assert Loose.STAGES not in found


def test_each_stage_without_time_is_named_in_the_order_of_the_work(file_engine, project_id):
    log(file_engine, project_id, operation="joint_face")
    assert said(file_engine, project_id)[Loose.STAGES].endswith(": Flattening, Finishing")


def test_time_by_stage_and_time_by_operation_both_count(file_engine, project_id):
    log(file_engine, project_id, stage="milling")
    log(file_engine, project_id, operation="flatten_panel")
    log(file_engine, project_id, operation="apply_coat")
    assert Loose.STAGES not in said(file_engine, project_id)
