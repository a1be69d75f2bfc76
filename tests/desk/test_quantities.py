"""Quantities asked for once, never guessed; and the shop's level over time."""

from datetime import timedelta

import pytest
from journal.desk import paces, quantities
from journal.desk.level import level
from journal.errors import BadInput, MissingReference
from journal.records.engine import writing
from journal.records.words import ProjectState
from tests.desk import shop_years as years


@pytest.fixture
def session(file_engine):
    with writing(file_engine) as opened:
        yield opened


def test_time_on_what_was_never_planned_asks_for_its_quantity_once(session):
    made = years.finished(session, 0)
    for days in (25, 26):
        years.log_minutes(session, made.id, "dry_fit", 20, on=years.FIRST + timedelta(days=days))
    (only,) = quantities.wanted(session)
    assert (only.project_code, only.operation, only.minutes) == (made.code, "dry_fit", 40.0)
    assert only.unit == paces.book()["dry_fit"].unit
    assert only.newest == years.FIRST + timedelta(days=26)


def test_once_it_is_said_it_teaches_and_is_not_asked_again(session):
    made = years.finished(session, 0)
    years.log_minutes(session, made.id, "dry_fit", 40, on=years.FIRST + timedelta(days=25))
    assert paces.learn(session, years.TODAY).calibration.pace("dry_fit").logs == 0
    quantities.say(session, made.id, "dry_fit", 8.0)
    assert quantities.wanted(session) == ()
    assert paces.learn(session, years.TODAY).calibration.pace("dry_fit").logs == 1


def test_it_is_asked_of_a_project_in_build_too_and_not_of_rework_or_time_set_aside(session):
    made = years.finished(session, 0, state=ProjectState.IN_BUILD)
    day = years.FIRST + timedelta(days=25)
    years.log_minutes(session, made.id, "dry_fit", 20, on=day)
    years.log_minutes(session, made.id, "drive_screw", 20, on=day, rework=True)
    years.log_minutes(session, made.id, "drive_bolt", 20, on=day, set_aside_reason="interrupted")
    years.log_minutes(session, made.id, "", 20, on=day, stage="milling")
    assert [one.operation for one in quantities.wanted(session)] == ["dry_fit"]


def test_nothing_done_and_an_unknown_operation_are_refused(session):
    made = years.finished(session, 0)
    with pytest.raises(BadInput, match="above zero"):
        quantities.say(session, made.id, "sand", 0.0, 0)
    with pytest.raises(MissingReference, match="juggling"):
        quantities.say(session, made.id, "juggling", 1.0)


def test_the_level_of_the_shop_half_year_by_half_year(session):
    for place in range(5):
        years.finished(session, place)
    found = level(session, years.TODAY)
    assert [one.since.isoformat() for one in found] == ["2024-01-01", "2024-07-01", "2025-01-01", "2026-01-01"]
    assert [one.logs for one in found] == [4, 4, 2, 0]
    assert level(session, years.TODAY) is found
