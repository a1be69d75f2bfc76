"""How long a schedule takes with its bound, the draws of its finish, and the page of a bench’s days."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import count

import numpy as np
import pytest
from journal.days.calendar import Calendar, clock, midnight
from journal.days.hours import Span, Week
from journal.days.search import schedule
from journal.days.spread import finishes
from journal.days.workload import Activity, After, Need, Workload
from journal.desk import days, parts, projects
from journal.desk.starting_stock import set_up
from journal.records import migrate
from journal.records.engine import open_engine, reading, writing
from journal.web import create_app
from tests.web.project_pages import LIST, NOW, TODAY

MONDAY = date(2026, 3, 2)
EVENINGS = Calendar(Week((*(Span(weekday, 1080, 1260) for weekday in range(5)), Span(5, 540, 1020))))


def commission(operations, people):
    """So many operations: parts milled, glued up in clamps and flattened, then one after another, then coats."""
    made, ends = [], []
    for number in range(operations // 5):
        made += [
            Activity(f"mill{number}", "mill", 60 + 7 * number % 50, needs=(Need("planer"),)),
            Activity(
                f"glue{number}",
                "glue",
                35,
                pauses=False,
                after=(After(f"mill{number}"),),
                needs=(Need("clamps", 8, 240),),
            ),
            Activity(f"flat{number}", "flatten", 50, after=(After(f"glue{number}", 1440),), needs=(Need("planer"),)),
        ]
        ends.append(After(f"flat{number}"))
    before = tuple(ends)
    while len(made) < operations:
        key = f"next{len(made)}"
        made.append(Activity(key, "next", 90, pauses=len(made) % 7 > 0, after=before))
        before = (After(key, 960 if len(made) > operations - 4 else 0),)
    return Workload(tuple(made), people, {"clamps": 20, "planer": 1})


@pytest.mark.parametrize("people", [1, 2])
@pytest.mark.parametrize("operations", [20, 60, 120])
def test_schedule_with_its_bound(benchmark, operations, people):
    load, openings, begin = commission(operations, people), clock(EVENINGS, MONDAY), midnight(MONDAY, "UTC")
    found = benchmark.pedantic(lambda: schedule(load, openings, begin), rounds=3, iterations=1)
    benchmark.extra_info["gap"] = (found.finish - found.bound) / (found.finish - begin)
    assert found.bound <= found.finish


def test_three_hundred_draws_of_sixty_operations(benchmark):
    load, openings, begin = commission(60, 1), clock(EVENINGS, MONDAY), midnight(MONDAY, "UTC")
    found = schedule(load, openings, begin)
    minutes = np.array([one.minutes for one in load.activities]) * np.exp(
        0.3 * np.random.default_rng(1).standard_normal((300, 60))
    )
    drawn = benchmark.pedantic(lambda: finishes(found, openings, minutes), rounds=3, iterations=1)
    assert len(drawn.walls) == 300


def test_ten_years_of_openings(benchmark):
    found = benchmark.pedantic(lambda: clock.__wrapped__(EVENINGS, MONDAY), rounds=3, iterations=1)
    assert found.total > 0


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    engine = open_engine(tmp_path_factory.mktemp("days") / "journal.db")
    migrate.ensure_current(engine)
    set_up(engine, TODAY)
    with writing(engine) as session:
        row = projects.begin(session, projects.Asked(title="Bench"), now=NOW)
        parts.take_list(session, row.id, LIST, source="a paste", now=NOW)
    yield engine, row.id
    engine.dispose()


def test_days_when_something_else_in_the_journal_has_changed(benchmark, shop):
    engine, project = shop

    def change():
        with writing(engine) as session:
            other = projects.begin(session, projects.Asked(title="Another enquiry"), now=NOW)
        assert other.id != project

    def again():
        with reading(engine) as session:
            return days.days_of(session, project, TODAY)

    again()
    assert benchmark.pedantic(again, setup=change, rounds=5, iterations=1).weeks > 0


def test_days_worked_out_anew(benchmark, shop):
    engine, project = shop
    starts = count(1)

    def anew():
        with reading(engine) as session:
            return days.days_of(session, project, TODAY, start=TODAY + timedelta(days=next(starts)))

    assert benchmark.pedantic(anew, rounds=3, iterations=1).weeks > 0


def test_the_page_warm(benchmark, shop, tmp_path):
    engine, project = shop
    client = create_app(data=tmp_path, engine=engine, testing=True, today=TODAY).test_client()
    client.get(f"/projects/{project}/days")
    response = benchmark.pedantic(lambda: client.get(f"/projects/{project}/days"), rounds=5, iterations=1)
    assert response.status_code == 200
