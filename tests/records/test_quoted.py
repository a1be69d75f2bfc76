"""The plan a project was quoted on."""

from datetime import timedelta

import pytest
from journal.records.queries import plans
from journal.records.queries import shop as shop_records
from journal.records.queries.hours import minutes_by_day
from journal.records.queries.quoted import quoted_plans
from journal.records.words import ProjectState
from tests import factories


@pytest.fixture
def project(session):
    return factories.project(session, state=ProjectState.CLOSED, agreed_on=factories.TODAY)


def plan_on(session, project, quantity, days):
    lines = [plans.OperationRow("sand", quantity, 1)]
    factories.plan(session, project.id, operations=lines, now=factories.NOW + timedelta(days=days))


def quoted(session):
    return [(one.version, one.operations[0].quantity) for one in quoted_plans(session)]


def test_the_newest_plan_kept_by_the_day_it_was_agreed(session, project):
    for quantity, days in ((1.0, -20), (2.0, -10), (3.0, 0), (4.0, 1), (5.0, 30)):
        plan_on(session, project, quantity, days)
    assert quoted(session) == [(3, 3.0)]


def test_the_first_plan_when_none_was_kept_by_then(session, project):
    for quantity, days in ((1.0, 3), (2.0, 10)):
        plan_on(session, project, quantity, days)
    assert quoted(session) == [(1, 1.0)]


def test_the_first_plan_of_a_project_never_agreed(session):
    project = factories.project(session, state=ProjectState.DELIVERED)
    for quantity, days in ((1.0, -3), (2.0, 10)):
        plan_on(session, project, quantity, days)
    assert quoted(session) == [(1, 1.0)]


def test_only_projects_in_the_states_asked_for_and_with_a_plan(session, project):
    assert quoted_plans(session) == ()
    plan_on(session, project, 1.0, 0)
    assert quoted_plans(session, states=[ProjectState.IN_BUILD]) == ()
    assert quoted_plans(session)[0].parts == ()
    assert [part.label for part in quoted_plans(session, with_parts=True)[0].parts] == ["leg"]


def test_it_takes_a_third_statement_only_for_plans_never_read_before(session, project, statements):
    for days in range(3):
        plan_on(session, project, 1.0 + days, days)
    with statements() as first:
        found = quoted_plans(session, with_parts=True)
    with statements() as again:
        assert quoted_plans(session, with_parts=True) == found
    assert len(first) == 3
    assert len(again) == 2


def test_minutes_of_the_whole_shop_by_day(session, project):
    factories.entry(session, project_id=project.id, seconds=600, people=2)
    factories.entry(session, seconds=600)
    factories.entry(session, seconds=60, on_date=factories.TODAY - timedelta(days=1))
    found = minutes_by_day(session)
    assert [row.minutes for row in found] == [1.0, 30.0]
    assert found[1].on_date == factories.TODAY


def test_a_plan_kept_in_the_evening_of_that_day_counts_though_it_is_the_next_day_in_greenwich(session, project):
    shop_records.save_shop(session, shop_records.ShopRow(time_zone="America/Los_Angeles"))
    for quantity, hours in (
        (1.0, 0),
        (2.0, 12),
        (3.0, 14),
    ):  # half past ten in the morning there, at night, after midnight
        plan_on(session, project, quantity, hours / 24)
    assert quoted(session) == [(2, 2.0)]
