"""Plans beside what no plan can beat: cutting beside its linear-programming bound, days beside the critical path."""

import pytest
from bench.test_bench_cutting import made_up
from bench.test_bench_days import EVENINGS, MONDAY, commission
from journal.cutting import boards
from journal.days.calendar import clock, midnight
from journal.days.search import schedule
from journal.days.workload import Workload


@pytest.mark.parametrize(("name", "kinds", "pieces"), [("typical", 20, 100), ("stress", 100, 1000)])
def test_cutting_beside_its_bound(benchmark, name, kinds, pieces):  # noqa: ARG001 - the name is for the table
    problem = made_up(kinds, pieces)
    found = benchmark.pedantic(boards.plan, args=(problem,), rounds=3)
    benchmark.extra_info["over_bound_pct"] = 100 * float(found.cost_cents / found.bound_cents - 1)


@pytest.mark.parametrize("people", [1, 2])
def test_days_beside_the_critical_path(benchmark, people):
    """The critical path: the same work with as many people, clamps and machines as anybody could use."""
    load, openings, begin = commission(60, people), clock(EVENINGS, MONDAY), midnight(MONDAY, "UTC")
    found = benchmark.pedantic(lambda: schedule(load, openings, begin), rounds=3, iterations=1)
    plenty = Workload(load.activities, len(load.activities), dict.fromkeys(load.there, 1_000))
    path = schedule(plenty, openings, begin).finish
    benchmark.extra_info["over_bound_pct"] = 100 * ((found.finish - begin) / (found.bound - begin) - 1)
    benchmark.extra_info["times_critical_path"] = (found.finish - begin) / (path - begin)
