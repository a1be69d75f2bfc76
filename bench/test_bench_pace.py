"""How long a refit takes, beside statsmodels on the one-way layout both can fit."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from journal.pace.forecast import summary
from journal.pace.model import BookPace, Row, fit
from statsmodels.regression.mixed_linear_model import MixedLM

TODAY = date(2026, 6, 30)
BOOK = {f"op_{i}": BookPace(f"op_{i}", f"stage_{i % 11}", 5.0, 0.5) for i in range(58)}


def make_rows(projects, rows_each, seed=0):
    """Projects over ten years; a third of the rows logged by stage over up to five operations."""
    rng = np.random.default_rng(seed)
    codes = list(BOOK)
    stages = {stage: [c for c in codes if BOOK[c].stage == stage] for stage in {b.stage for b in BOOK.values()}}
    effect = dict(zip(codes, rng.normal(0, 0.35, len(codes)), strict=True))
    rows = []
    for project in range(projects):
        day = TODAY - timedelta(days=int(3600 * (1 - (project + 0.5) / projects)))
        luck = rng.normal(0, 0.15)
        for _ in range(rows_each):
            first = codes[rng.integers(len(codes))]
            staged = rng.random() < 1 / 3
            held = stages[BOOK[first].stage][: rng.integers(2, 6)] if staged else [first]
            shares = tuple(zip(held, rng.dirichlet(np.full(len(held), 3.0)).tolist(), strict=True))
            baseline = float(rng.uniform(10, 240))
            log_ratio = luck + sum(s * effect[c] for c, s in shares)
            log_ratio += rng.normal(0, 0.25 * np.sqrt(1 + 20 / baseline))
            minutes = float(baseline * np.exp(log_ratio))
            rows.append(Row(f"P{project}", day, BOOK[first].stage, shares, baseline, minutes, by_stage=len(held) > 1))
    return rows


@pytest.mark.parametrize(("projects", "rows_each"), [(0, 0), (18, 20), (60, 20), (1000, 20)])
def test_refit_and_every_pace(benchmark, projects, rows_each):
    rows = make_rows(projects, rows_each)
    out = benchmark(lambda: summary(fit(rows, BOOK, today=TODAY)))
    assert len(out["operations"]) == len(BOOK)


def test_statsmodels_one_way_with_two_hundred_projects(benchmark):
    """Projects and operations as one random effect and fixed effects: the nearest it fits in reasonable time."""
    rows = [row for row in make_rows(200, 20) if not row.by_stage]
    y = np.log([row.minutes / row.baseline_minutes for row in rows])
    columns = np.array([[code == row.shares[0][0] for code in BOOK] for row in rows], dtype=float)
    groups = np.array([row.project for row in rows])
    fitted = benchmark(lambda: MixedLM(y, columns, groups).fit(reml=True))
    assert fitted.scale > 0


def test_ours_on_the_same_two_hundred_projects(benchmark):
    rows = [row for row in make_rows(200, 20) if not row.by_stage]
    found = benchmark(lambda: fit(rows, BOOK, today=TODAY))
    assert found.projects == 200
