"""How long a refit and a walk through a shop's whole past take: 50,000 entries in 1,000 projects."""

from __future__ import annotations

from collections import defaultdict
from datetime import timedelta

import pytest
from bench.test_bench_pace import BOOK, TODAY, make_rows
from journal.pace.backtest import Past, run
from journal.pace.model import Task, fit
from journal.pace.progress import Piece, State, forecast


def make_past(projects, rows_each):
    """The projects of the pace bench, each finished two months after it was agreed."""
    by_project = defaultdict(list)
    for row in make_rows(projects, rows_each):
        by_project[row.project].append(row)
    found = []
    for code, rows in by_project.items():
        baseline = defaultdict(float)
        for row in rows:
            for operation, share in row.shares:
                baseline[operation] += share * row.baseline_minutes
        tasks = tuple(Task(operation, minutes) for operation, minutes in baseline.items())
        total = sum(row.minutes for row in rows)
        done = rows[0].on
        found.append(Past(code, "", "", 1, done - timedelta(days=60), done, tasks, total, total, tuple(rows)))
    return found


@pytest.mark.parametrize(("projects", "rows_each"), [(18, 20), (60, 20), (1000, 50)])
def test_walk_through_the_past(benchmark, projects, rows_each):
    past, told = make_past(projects, rows_each), []
    found = benchmark.pedantic(
        lambda: run(past, BOOK, progress=lambda done, of: told.append((done, of))), rounds=1, iterations=1
    )
    assert told[-1] == (projects, projects)
    assert len(found.guesses) == projects


def test_refit_fifty_thousand_entries(benchmark):
    rows = make_rows(1000, 50)
    found = benchmark.pedantic(lambda: fit(rows, BOOK, today=TODAY), rounds=3, iterations=1)
    assert found.rows == 50_000


def test_where_a_project_in_build_will_end_up(benchmark):
    rows = make_rows(60, 20)
    pieces = [Piece(code, entry.stage, ((code, 1.0),), 60.0) for code, entry in list(BOOK.items())[:40]]
    begun = [
        Piece(one.name, one.stage, one.shares, 60.0, State.OPEN if place % 4 == 0 else State.DONE, 55.0, TODAY)
        if place < 20
        else one
        for place, one in enumerate(pieces)
    ]
    found = benchmark(lambda: forecast(rows, "now", begun, BOOK, today=TODAY))
    assert found.left.p10 > 0
