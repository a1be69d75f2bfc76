"""Searches beside the pages: looked at, stopped, their best plan kept, told of when they were cut short."""

from dataclasses import replace
from datetime import UTC, date, datetime
from threading import Event

import pytest
from journal.desk import buying, cutting_plans, parts, solving
from journal.desk.cutting_plans import Standing
from journal.desk.jobs import Jobs
from journal.desk.starting_stock import set_up
from journal.errors import BadInput, NoSolution
from journal.records.engine import reading, writing
from journal.records.queries import cutting as cutting_records
from journal.records.words import CuttingStatus
from tests import factories

TODAY = date(2026, 3, 2)
NOW = datetime(2026, 3, 2, 12, tzinfo=UTC)
LIST = """label,qty,thickness,width,length,stock,strips
Top,1,3 1/4,22,72,2x8 fir,auto along width
Leg,4,3 1/2,5,31,2x6 fir,3 along thickness
"""
PATIENCE = 30.0


@pytest.fixture
def shop(file_engine):
    set_up(file_engine, TODAY)
    return file_engine


@pytest.fixture
def made(shop):
    with writing(shop) as session:
        row = factories.project(session)
        parts.take_list(session, row.id, LIST, source="a paste", now=NOW)
        return row.id


class Slow:
    """A search that says what it is told to, and ends when it is let go or told to stop."""

    def __init__(self, found=None):
        self.begun, self.go = Event(), Event()
        self.found = found
        self.steps = []

    def __call__(self, problem, _seconds, tell, stop):
        for step in self.steps:
            tell(*step)
        self.begun.set()
        while not (self.go.wait(0.01) or stop()):
            pass
        if isinstance(self.found, Exception):
            raise self.found
        return self.found or solving.quick(problem)


def plan_of(engine, project_id, code="2x6 fir"):
    with reading(engine) as session:
        return cutting_plans.one_in_force(session, project_id, code, TODAY)


def row_of(engine, cutting_id):
    with reading(engine) as session:
        return cutting_records.get(session, cutting_id)


def start(jobs, engine, project_id, seconds=60.0, code="2x6 fir"):
    return jobs.start(project_id, plan_of(engine, project_id, code), seconds=seconds, now=NOW)


def cheaper(plan):
    """The same cuts, told to cost a cent less: what a better search would hand over."""
    return replace(plan.result, cost_cents=plan.result.cost_cents - 1)


def test_the_real_search_ends_in_a_kept_plan(shop, made):
    jobs = Jobs(shop)
    number = start(jobs, shop, made, 5.0)
    assert jobs.wait(number, PATIENCE)
    plan = plan_of(shop, made)
    assert plan.standing is Standing.KEPT
    assert plan.row.id == number
    assert plan.row.status.value == plan.result.status
    assert plan.row.ended
    assert plan.replayed().faults == ()


def test_while_it_runs_the_best_bound_and_gap_can_be_seen_and_the_plan_at_hand_is_kept(shop, made):
    before = plan_of(shop, made)
    search = Slow()
    search.steps = [(9000, 8000), (8800, 8100), (8900, 8050)]
    jobs = Jobs(shop, search)
    number = start(jobs, shop, made, 42.0)
    assert search.begun.wait(PATIENCE)
    seen = jobs.look(number)
    assert (seen.project_id, seen.stock_code, seen.limit, seen.stopping) == (made, "2x6 fir", 42.0, False)
    assert seen.cost_cents == min(8800, before.result.cost_cents)
    assert seen.bound_cents == max(8100, before.result.bound_cents)
    assert seen.gap == (seen.cost_cents - seen.bound_cents) / seen.cost_cents
    assert row_of(shop, number).status is CuttingStatus.SEARCHING
    assert plan_of(shop, made).result == before.result
    search.go.set()
    assert jobs.wait(number, PATIENCE)
    assert jobs.look(number) is None


def test_what_it_finds_is_kept_when_it_is_better(shop, made):
    plan = plan_of(shop, made)
    search = Slow(cheaper(plan))
    jobs = Jobs(shop, search)
    number = start(jobs, shop, made)
    search.go.set()
    assert jobs.wait(number, PATIENCE)
    row = row_of(shop, number)
    assert (row.cost_cents, row.ended) == (plan.result.cost_cents - 1, plan.result.ended)


def test_what_it_finds_is_not_kept_when_it_is_worse(shop, made):
    plan = plan_of(shop, made)
    search = Slow(replace(plan.result, cost_cents=plan.result.cost_cents + 1))
    jobs = Jobs(shop, search)
    number = start(jobs, shop, made)
    search.go.set()
    assert jobs.wait(number, PATIENCE)
    assert (row_of(shop, number).cost_cents, row_of(shop, number).ended) == (
        *(plan.result.cost_cents, "found nothing better"),
    )
    assert plan_of(shop, made).result == plan.result


def test_stopped_it_keeps_the_best_it_has(shop, made):
    plan = plan_of(shop, made)
    search = Slow(cheaper(plan))
    jobs = Jobs(shop, search)
    number = start(jobs, shop, made)
    assert search.begun.wait(PATIENCE)
    jobs.stop(number)
    assert jobs.wait(number, PATIENCE)
    assert (row_of(shop, number).cost_cents, row_of(shop, number).ended) == (plan.result.cost_cents - 1, "stopped")
    jobs.stop(number)  # once it has ended, nothing is left to stop


def test_failing_it_keeps_the_plan_at_hand_and_says_so(shop, made):
    plan = plan_of(shop, made)
    search = Slow(NoSolution("boards", "none was found"))
    jobs = Jobs(shop, search)
    number = start(jobs, shop, made)
    search.go.set()
    assert jobs.wait(number, PATIENCE)
    assert (row_of(shop, number).ended, row_of(shop, number).cost_cents) == ("failed", plan.result.cost_cents)


def test_cut_short_by_a_fault_it_stays_marked_as_searching_and_keeps_the_plan_at_hand(shop, made, caplog):
    before = plan_of(shop, made)
    search = Slow(RuntimeError("a slip in the search"))
    jobs = Jobs(shop, search)
    number = start(jobs, shop, made)
    search.go.set()
    assert jobs.wait(number, PATIENCE)
    assert "a slip in the search" in caplog.text
    assert jobs.look(number) is None
    plan = plan_of(shop, made)
    assert (plan.row.status, plan.standing, plan.result) == (CuttingStatus.SEARCHING, Standing.KEPT, before.result)


def test_after_a_restart_it_is_not_running_and_its_row_tells(shop, made):
    search = Slow()
    jobs = Jobs(shop, search)
    number = start(jobs, shop, made)
    restarted = Jobs(shop)
    assert restarted.look(number) is None
    assert row_of(shop, number).status is CuttingStatus.SEARCHING
    search.go.set()
    assert jobs.wait(number, PATIENCE)


def test_the_same_search_is_not_begun_twice_but_another_stock_has_its_own(shop, made):
    search = Slow()
    jobs = Jobs(shop, search)
    first = start(jobs, shop, made)
    assert start(jobs, shop, made) == first
    other = start(jobs, shop, made, code="2x8 fir")
    assert other != first
    search.go.set()
    assert jobs.wait(first, PATIENCE)
    assert jobs.wait(other, PATIENCE)


def test_one_for_parts_that_have_changed_is_stopped_for_the_new_one(shop, made):
    search = Slow()
    jobs = Jobs(shop, search)
    first = start(jobs, shop, made)
    with writing(shop) as session:
        parts.take_list(session, made, LIST.replace("Leg,4", "Leg,6"), source="a paste", now=NOW)
    second = start(jobs, shop, made)
    assert second != first
    assert jobs.wait(first, PATIENCE)
    assert row_of(shop, first).ended == "stopped"
    assert jobs.look(second) is not None
    search.go.set()
    assert jobs.wait(second, PATIENCE)
    assert plan_of(shop, made).row.id == second


def test_no_more_than_a_few_run_at_once(shop, made):
    search = Slow()
    jobs = Jobs(shop, search)
    begun = [start(jobs, shop, made), start(jobs, shop, made, code="2x8 fir")]
    for _ in range(2):
        with writing(shop) as session:
            row = factories.project(session)
            parts.take_list(session, row.id, LIST, source="a paste", now=NOW)
        begun.append(start(jobs, shop, row.id))
    with pytest.raises(BadInput, match="at once"):
        start(jobs, shop, row.id, code="2x8 fir")
    with reading(shop) as session:
        plans = buying.shopping(session, row.id, TODAY).plans
    assert {plan.lot.stock.code: plan.standing for plan in plans}["2x8 fir"] is Standing.NEW
    search.go.set()
    assert all(jobs.wait(number, PATIENCE) for number in begun)


@pytest.mark.parametrize("seconds", [0, -1, 3601, float("nan")])
def test_a_time_that_makes_no_sense_is_refused(shop, made, seconds):
    with pytest.raises(BadInput, match="time"):
        start(Jobs(shop), shop, made, seconds)
