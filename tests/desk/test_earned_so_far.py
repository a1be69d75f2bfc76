"""What the hours of a job in build have brought, worked out on paper."""

import json
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from journal.desk import progress as desk
from journal.desk.earned_so_far import earned_so_far
from journal.desk.starting_stock import set_up
from journal.records.engine import reading, writing
from journal.records.queries import plans, projects, shop
from journal.records.words import ProjectState
from tests import factories
from tests.desk import shop_years as years

AGREED, DAY = date(2026, 2, 2), date(2026, 2, 9)
PLAN = (("plane_thickness", 400.0, 1), ("spread_glue", 30.0, 1))


def line(name, value, unit):
    return {"name": name, "value": value, "unit": unit, "working": "", "basis": "setting", "source": ""}


# Nine hours of work and one of rework, at 30.00 and 10.00 of overhead: 400.00 for the hours.
KEPT = {
    "estimate": {
        "lines": [
            line("Hours", 600, "min"),
            line("Milling", 360, "min"),
            line("Plane to thickness", 360, "min"),
            line("Glue-up", 180, "min"),
            line("Spread glue", 180, "min"),
            line("Shop", 60, "min"),
            line("Rework", 60, "min"),
            line("Materials", 0, "cents"),
            line("Wage", 30_000, "cents"),
            line("Overhead", 10_000, "cents"),
            line("Machines", 0, "cents"),
            line("Contingency", 0, "cents"),
        ],
        "operations": [
            {"code": code, "minutes": {"p10": 1, "p50": 2, "p90": 3}}
            for code in ("plane_thickness", "spread_glue", "rework")
        ],
    },
    "cost_quantiles_cents": [40_000, 50_000, 60_000],
    "hours_quantiles": [8.0, 10.0, 12.0],
}


@pytest.fixture
def session(file_engine):
    set_up(file_engine, AGREED)
    with writing(file_engine) as opened:
        shop.save_shop(opened, replace(shop.get_shop(opened), wage_cents_per_hour=3_000))
        yield opened


def project(session, *, kept=True, **given):
    fields = {"state": ProjectState.IN_BUILD, "agreed_on": AGREED, "agreed_minutes": 600.0}
    made = factories.project(session, **fields | given)
    early = datetime(2026, 2, 1, 12, tzinfo=UTC)
    factories.plan(session, made.id, operations=[plans.OperationRow(*one) for one in PLAN], now=early)
    if kept:
        factories.estimate(session, made.id, payload=json.dumps(KEPT), now=early)
    return made


def earned(session, made, today=years.TODAY, **given):
    found = desk.progress(session, made.id, today, with_history=False, **given)
    return earned_so_far(session, found, today)


def planed(session, made, minutes=450):
    years.log_minutes(session, made.id, "plane_thickness", minutes, on=DAY)
    plans.put_built(session, made.id, [plans.BuiltRow("plane_thickness", 400.0, 1)])


def test_a_done_piece_of_two_on_paper(session):
    """Planing is 360 of 540 min of work: 266.67 of 400.00. It took 7.5 h at 40.00, 300.00: 0.889 for each 1.00.

    The other 133.33 at that pace is 133.33 × 300.00 ÷ 266.67 = 149.99: 449.99 in the end.
    """
    made = project(session)
    planed(session, made)
    found = earned(session, made)
    assert found.planned_cents == 40_000
    assert found.index == pytest.approx(26_667 / 30_000)
    assert found.end_cents == 44_999
    parts = {part.name: part.value for part in found.line.parts}
    assert (parts["Spent on hours so far"], parts["Done of it"]) == (30_000, 26_667)


def test_what_was_done_again_costs_and_brings_nothing(session):
    made = project(session)
    planed(session, made)
    before = earned(session, made)
    years.log_minutes(session, made.id, "plane_thickness", 60, on=DAY, rework=True)
    after = earned(session, made)
    assert after.index == pytest.approx(26_667 / 34_000)
    assert after.end_cents > before.end_cents


def test_an_open_piece_brings_its_share_and_all_once_it_is_said_to_be_done(session):
    made = project(session)
    years.log_minutes(session, made.id, "spread_glue", 60, on=DAY)
    (piece,) = next(part for part in earned(session, made).line.parts if part.name == "Done of it").parts
    assert piece.working.startswith("open: 1 h of likely")
    assert 0 < piece.value < 13_333
    (done,) = next(
        part for part in earned(session, made, done=["spread_glue"]).line.parts if part.name == "Done of it"
    ).parts
    assert (done.value, done.working) == (13_333, "done: all of its plan")


def test_time_after_today_is_left_out(session):
    made = project(session)
    planed(session, made)
    before = earned(session, made)
    years.log_minutes(session, made.id, "spread_glue", 300, on=years.TODAY + timedelta(days=1))
    assert earned(session, made) == before


def test_a_plan_that_can_no_longer_be_estimated_counts_at_the_rates_of_now(session):
    """Ten hours agreed, at 30.00 and the shop's overhead; the pieces as the starting book weighs them."""
    made = project(session, kept=False)
    planed(session, made, 60)
    found = earned(session, made)
    assert found.planned_cents == 10 * (3_000 + shop.get_shop(session).overhead_cents_per_hour)
    (piece,) = next(part for part in found.line.parts if part.name == "Done of it").parts
    assert "as the starting book weighs them" in piece.source


@pytest.mark.parametrize("rework", [False, True])
def test_nothing_agreed_or_nothing_of_the_plan_logged_is_not_told(session, rework):
    assert earned(session, project(session, agreed_minutes=None)) is None
    made = project(session)
    if rework:
        years.log_minutes(session, made.id, "plane_thickness", 60, on=DAY, rework=True)
    assert earned(session, made) is None


def test_the_working_of_the_demo_adds_up(demo_engine):
    today = date(2026, 11, 25)
    with reading(demo_engine) as session:
        made = projects.list_projects(session, [ProjectState.IN_BUILD])[0].project
        found = earned(session, made, today)
    spent, planned, done, index = found.line.parts
    assert done.value == sum(part.value for part in done.parts)
    assert spent.value == sum(part.value for part in spent.parts)
    assert index.value == pytest.approx(done.value / spent.value)
    assert found.end_cents == pytest.approx(spent.value + (planned.value - done.value) / found.index, abs=0.5)
