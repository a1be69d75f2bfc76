"""Kept cutting plans: the newest of each stock is in force; a search ends in the row that was written for it."""

import pytest
from journal.errors import BadInput, MissingReference
from journal.records.queries import cutting
from journal.records.queries.cutting import CuttingDraft
from journal.records.tables import CuttingPlan
from journal.records.words import CuttingStatus
from sqlalchemy import update
from tests import factories


def keep(session, project_id, stock="2x8 fir", **given):
    fields = {"payload": '{"plan":1}', "status": CuttingStatus.FEASIBLE, "cost_cents": 1200, "bound_cents": 1100}
    draft = CuttingDraft(**fields | given)
    return cutting.keep(session, project_id, stock, draft, plan_version=1, problem_sha256="0" * 64, now=factories.NOW)


@pytest.fixture
def project(session):
    made = factories.project(session)
    factories.plan(session, made.id)
    return made.id


def test_the_newest_of_each_stock_is_in_force_and_earlier_ones_stay(session, project, statements):
    first = keep(session, project)
    keep(session, project, "2x6 fir")
    second = keep(session, project, cost_cents=1150)
    with statements() as seen:
        found = cutting.newest(session, project)
    assert {code: row.id for code, row in found.items()} == {"2x6 fir": second.id - 1, "2x8 fir": second.id}
    assert len(seen) == 1
    assert cutting.get(session, first.id) == first
    assert not first.damaged


def test_another_projects_plans_are_not_its_own(session, project):
    keep(session, project)
    other = factories.project(session)
    assert cutting.newest(session, other.id) == {}


def test_a_search_ends_in_its_own_row(session, project):
    row = keep(session, project, status=CuttingStatus.SEARCHING)
    better = CuttingDraft(
        payload='{"plan":2}', status=CuttingStatus.OPTIMAL, cost_cents=1100, bound_cents=1100, ended="searched"
    )
    ended = cutting.end_search(session, row.id, better)
    assert (ended.status, ended.cost_cents, ended.payload, ended.made_at) == (
        *(CuttingStatus.OPTIMAL, 1100, '{"plan":2}', row.made_at),
    )
    assert cutting.newest(session, project)["2x8 fir"] == ended
    assert not ended.damaged


def test_damage_shows(session, project):
    row = keep(session, project)
    session.execute(update(CuttingPlan).values(payload='{"plan":9}'))
    session.expire_all()
    assert cutting.get(session, row.id).damaged


def test_what_makes_no_plan_is_refused(session, project):
    with pytest.raises(BadInput, match="cutting plan"):
        keep(session, project, payload=" ")
    with pytest.raises(BadInput, match="cost"):
        keep(session, project, cost_cents=-1)
    with pytest.raises(MissingReference, match="plan version"):
        keep(session, factories.project(session).id)
    with pytest.raises(MissingReference, match="cutting plan"):
        cutting.get(session, 999)
