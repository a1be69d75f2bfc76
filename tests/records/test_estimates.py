from datetime import timedelta

import pytest
from journal.errors import BadInput, MissingReference
from journal.records.engine import reading, writing
from journal.records.queries import estimates
from tests import factories

PAYLOAD = '{ "total": 4800.00,  "note": "½ × 7¼ in" }\n'


def test_an_estimate_comes_back_to_the_byte(engine):
    with writing(engine) as session:
        project = factories.project(session)
        factories.plan(session, project.id)
        kept = factories.estimate(session, project.id, payload=PAYLOAD)
    with reading(engine) as session:
        found = estimates.get_estimate(session, kept.id)
    assert found == kept
    assert (found.payload, found.damaged) == (PAYLOAD, False)


def test_estimates_are_listed_newest_first(session):
    project = factories.project(session)
    factories.plan(session, project.id)
    for day in (0, 2, 1):
        factories.estimate(session, project.id, reason=str(day), now=factories.NOW + timedelta(days=day))
    assert [head.reason for head in estimates.estimates(session, project.id)] == ["2", "1", "0"]
    assert [row.reason for row in estimates.given(session, project.id)] == ["2", "1", "0"]


def test_an_estimate_is_of_a_plan_version_that_is_there(session):
    project = factories.project(session)
    with pytest.raises(MissingReference, match="plan version"):
        factories.estimate(session, project.id)


def test_an_empty_estimate_is_refused(session):
    with pytest.raises(BadInput):
        factories.estimate(session, 1, payload="")


def test_an_estimate_that_is_not_there_is_named(session):
    with pytest.raises(MissingReference, match="99"):
        estimates.get_estimate(session, 99)
