"""Hours, days off, likelihood, hardware: kept as they were given, on both databases."""

from __future__ import annotations

from datetime import date

import pytest
from journal.errors import BadInput, MissingReference
from journal.records.engine import reading, writing
from journal.records.queries import calendar as records
from journal.records.queries import projects
from journal.records.queries.calendar import DaysOffRow, HoursRow
from journal.records.words import StockForm
from sqlalchemy.exc import IntegrityError
from tests import factories

EVENING = HoursRow(0, 1080, 1260)


def hardware(session, code="vise", **given):
    return factories.item(
        session,
        **{"code": code, "form": StockForm.HARDWARE, "class_key": "vise", "species": None, "nominal": None} | given,
    )


def test_hours_come_back_as_they_were_kept_monday_first(engine):
    with writing(engine) as session:
        records.put_hours(session, [HoursRow(5, 540, 1020), EVENING, HoursRow(0, 480, 600)])
    with reading(engine) as session:
        assert records.hours(session) == (HoursRow(0, 480, 600), EVENING, HoursRow(5, 540, 1020))


def test_new_hours_stand_in_stead_of_the_old(session):
    records.put_hours(session, [EVENING])
    records.put_hours(session, [HoursRow(2, 0, 60)])
    assert records.hours(session) == (HoursRow(2, 0, 60),)


@pytest.mark.parametrize("row", [HoursRow(7, 0, 60), HoursRow(0, 60, 60), HoursRow(0, 0, 1441), HoursRow(0, -1, 60)])
def test_the_database_refuses_hours_that_are_none(engine, row):
    with pytest.raises(IntegrityError), writing(engine) as session:
        records.put_hours(session, [row])


def test_days_off_are_told_until_they_are_over(session):
    week = DaysOffRow(date(2026, 7, 1), date(2026, 7, 7), "fair")
    records.add_days_off(session, week)
    (kept,) = records.days_off(session, since=date(2026, 7, 7))
    assert (kept.first_on, kept.last_on, kept.why) == (week.first_on, week.last_on, "fair")
    assert records.days_off(session, since=date(2026, 7, 8)) == ()
    assert records.days_off(session) == (kept,)


def test_days_off_can_be_taken_away_twice(session):
    records.add_days_off(session, DaysOffRow(date(2026, 7, 1), date(2026, 7, 7)))
    (kept,) = records.days_off(session)
    records.drop_days_off(session, kept.id)
    records.drop_days_off(session, kept.id)
    assert records.days_off(session) == ()


def test_places_are_kept_and_their_limit_taken_away(session):
    assert records.places(session) is None
    records.put_places(session, 3)
    assert records.places(session) == 3
    records.put_places(session, None)
    assert records.places(session) is None


def test_hardware_keeps_the_days_it_takes(session):
    vise = hardware(session)
    hardware(session, "old vise", archived=True)
    records.put_leads(session, {vise.id: 21})
    session.flush()
    (lead,) = records.leads(session)
    assert (lead.code, lead.feature, lead.lead_days) == ("vise", "vise", 21)


def test_a_likelihood_is_no_change_of_the_project_that_a_form_must_know_of(session):
    project = factories.project(session)
    records.put_likelihood(session, project.id, 30)
    assert records.likelihoods(session) == {project.id: 30}
    assert projects.get_project(session, project.id).version == project.version
    records.put_likelihood(session, project.id, None)
    assert records.likelihoods(session) == {}


@pytest.mark.parametrize("per_cent", [-1, 101])
def test_a_likelihood_outside_its_range_is_refused(session, per_cent):
    project = factories.project(session)
    with pytest.raises(BadInput, match="0 to 100"):
        records.put_likelihood(session, project.id, per_cent)


def test_no_project_has_no_likelihood_and_no_client(session):
    with pytest.raises(MissingReference):
        records.put_likelihood(session, 99, 50)
    with pytest.raises(MissingReference):
        records.put_brought(session, 99, ["vise"])


def test_what_a_client_brings_is_kept_once_and_in_stead_of_before(session):
    project = factories.project(session)
    records.put_brought(session, project.id, ["vise", "vise", "drawer"])
    assert records.brought(session, project.id) == {"vise", "drawer"}
    records.put_brought(session, project.id, [])
    assert records.brought(session, project.id) == frozenset()
