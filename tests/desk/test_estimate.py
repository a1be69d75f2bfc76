"""Estimates kept and listed."""

import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from journal.desk import estimate, parts, projects
from journal.desk.projects import Asked
from journal.desk.starting_stock import set_up
from journal.errors import JournalError
from journal.records.engine import reading, writing
from journal.records.queries import shop as shop_records
from journal.records.tables import StockPrice
from sqlalchemy import update

NOW = datetime(2026, 3, 2, 18, 30, tzinfo=UTC)
LIST = "label,qty,thickness,width,length,stock\nLeg,4,1 1/4,5,31,2x6 fir\n"


@pytest.fixture
def project_id(file_engine):
    set_up(file_engine, date(2026, 3, 2))
    with writing(file_engine) as session:
        row = projects.begin(session, Asked("Bench for a print room"), now=NOW)
        parts.take_list(session, row.id, LIST, source="a paste", now=NOW)
        return row.id


def keep(engine, project_id, reason, now=NOW):
    with writing(engine) as session:
        found = estimate.estimate_project(session, project_id, NOW.date())
        return estimate.keep_estimate(session, found, reason=reason, now=now), found.made


def test_kept_estimates_are_listed_newest_first_with_their_price(file_engine, project_id):
    _, made = keep(file_engine, project_id, "first")
    keep(file_engine, project_id, "second", NOW + timedelta(days=1))
    with reading(file_engine) as session:
        found = estimate.kept_estimates(session, project_id)
        assert estimate.kept_estimates(session, project_id + 1) == ()
    assert [(kept.reason, kept.price_cents, kept.currency) for kept in found] == [
        ("second", made.price_cents, "USD"),
        ("first", made.price_cents, "USD"),
    ]


def test_a_kept_estimate_says_whose_it_is_and_holds_what_was_shown(file_engine, project_id):
    row, made = keep(file_engine, project_id, "told")
    with reading(file_engine) as session:
        kept = estimate.kept_estimate(session, row.id)
    assert (kept["project_id"], kept["plan_version"], kept["reason"]) == (project_id, 1, "told")
    assert kept["estimate"] == estimate.as_json(made)


def test_a_damaged_one_is_listed_without_a_price_and_never_opened(file_engine, project_id):
    row, _ = keep(file_engine, project_id, "told")
    with file_engine.begin() as connection:
        connection.exec_driver_sql("UPDATE estimates SET payload = payload || ' '")
    with reading(file_engine) as session:
        assert estimate.kept_estimates(session, project_id)[0].price_cents is None
        with pytest.raises(JournalError, match="restore a backup"):
            estimate.kept_estimate(session, row.id)


def price(engine, project_id):
    with reading(engine) as session:
        return estimate.estimate_project(session, project_id, NOW.date()).made


def test_the_same_inputs_are_estimated_once_and_any_other_anew(file_engine, project_id):
    first = price(file_engine, project_id)
    assert price(file_engine, project_id) is first
    with writing(file_engine) as session:
        session.execute(update(StockPrice).values(price_cents=StockPrice.price_cents + 100))
    dearer = price(file_engine, project_id)
    assert dearer.expected_cents > first.expected_cents
    with writing(file_engine) as session:
        projects.change(session, project_id, Asked("Bench", benches=2), read_version=1, now=NOW)
    assert price(file_engine, project_id).hours.mean > dearer.hours.mean


def test_what_is_remembered_is_what_would_be_worked_out(file_engine, project_id):
    with reading(file_engine) as session:
        found = estimate.estimate_project(session, project_id, NOW.date())
        again = estimate.estimate_parts(
            parts.current(session, project_id), found.shop, found.calibration, benches=1, work=found.work
        )
    assert estimate.as_json(again) == estimate.as_json(found.made)


def in_metric(engine):
    with writing(engine) as session:
        shop_records.save_shop(session, replace(shop_records.get_shop(session), system="metric"))


def test_a_metric_shop_reads_no_inch_foot_or_pound_and_pays_the_same(file_engine, project_id):
    with reading(file_engine) as session:
        imperial = estimate.estimate_project(session, project_id, NOW.date()).made
    in_metric(file_engine)
    with reading(file_engine) as session:
        metric = estimate.estimate_project(session, project_id, NOW.date()).made
    assert metric.price_cents == imperial.price_cents
    assert [line.value for line in metric.lines] == [line.value for line in imperial.lines]
    # The stock keeps the name it is bought by; board feet are how the yard sells.
    foreign = re.compile(r"\d (in(?! the)|ft|ft²|lb|fl oz|qt|gal|°F)\b")
    assert [line.working for line in metric.lines if foreign.search(line.working)] == []
    assert [line.source for line in metric.lines if foreign.search(line.source)] == []
    assert sum(bool(foreign.search(line.working)) for line in imperial.lines) > 10
