"""How long a refit takes, beside statsmodels on the crossed effects both can fit; and what a journal of the size asks."""

from __future__ import annotations

import warnings
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pandas as pd
import pytest
from journal.desk import paces
from journal.desk.ratios import read_ratios
from journal.desk.shop import read_shop
from journal.pace.forecast import summary
from journal.pace.model import BookPace, Row, fit
from journal.records import migrate
from journal.records.engine import open_engine, reading, writing
from journal.records.queries import imports, projects
from journal.records.queries.log import EntryDraft, add_entry
from journal.records.queries.plans import BuiltRow
from journal.records.queries.projects import ProjectDraft
from journal.records.words import ProjectState
from journal.web import create_app
from statsmodels.regression.mixed_linear_model import MixedLM

TODAY = date(2026, 6, 30)
NOW = datetime(2026, 6, 30, 12, tzinfo=UTC)
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


def single(projects):
    """Rows that name one operation each: the only ones statsmodels can be told of."""
    return [row for row in make_rows(projects, 20) if not row.by_stage]


def test_statsmodels_on_two_hundred_projects(benchmark):
    """Projects, stages and operations as crossed effects: the same model, fitted once at its likeliest deviations."""
    rows = single(200)
    frame = pd.DataFrame(
        {
            "y": np.log([row.minutes / row.baseline_minutes for row in rows]),
            "project": [row.project for row in rows],
            "stage": [row.stage for row in rows],
            "operation": [row.shares[0][0] for row in rows],
            "all": 1,
        }
    )
    parts = {name: f"0 + C({name})" for name in ("project", "stage", "operation")}
    model = MixedLM.from_formula("y ~ 1", frame, groups="all", re_formula="0", vc_formula=parts)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the first of its ways of climbing fails, and it takes the next
        fitted = benchmark.pedantic(lambda: model.fit(reml=True), rounds=1)
    assert fitted.converged


def test_ours_on_the_same_two_hundred_projects(benchmark):
    """Besides, over five hundred settings of the deviations, a drift, and scatter that depends on the size of a task."""
    rows = single(200)
    found = benchmark(lambda: fit(rows, BOOK, today=TODAY))
    assert found.projects == 200


@pytest.fixture(scope="module")
def big(tmp_path_factory):
    """A journal of 1,000 finished projects with 50 entries each, and one in build."""
    engine = open_engine(tmp_path_factory.mktemp("big") / "journal.db")
    migrate.ensure_current(engine)
    rng, book = np.random.default_rng(0), paces.book()
    codes = [code for code in book if code != paces.REWORK]
    with writing(engine) as session:
        head = imports.ImportDraft(source="bench", sha256="0" * 64, first_on=TODAY, last_on=TODAY, rework_told=True)
        jobs = [past_job(rng, codes, place) for place in range(1000)]
        assert imports.take(session, head, jobs, now=NOW).entries == 50_000
        running = projects.add_project(session, ProjectDraft(code="now", title="now", state=ProjectState.IN_BUILD), NOW)
    yield engine, running.id
    engine.dispose()


def past_job(rng, codes, place):
    """Twenty-five operations, each on two days."""
    on = TODAY - timedelta(days=3600 - 3 * place)
    picked = [(codes[at], float(rng.uniform(5, 60))) for at in rng.choice(len(codes), 25, replace=False)]
    minutes = {code: paces.book()[code].baseline_minutes(1, much) for code, much in picked}
    entries = [
        EntryDraft(
            on_date=on + timedelta(days=day), seconds=60 + round(30 * spent * rng.lognormal(0, 0.3)), operation=code
        )
        for code, spent in minutes.items()
        for day in (0, 9)
    ]
    project = ProjectDraft(
        code=f"P{place}", title="P", state=ProjectState.CLOSED, started_on=on, delivered_on=on + timedelta(days=9)
    )
    return imports.PastJob(project, tuple(BuiltRow(code, much, 1) for code, much in picked), tuple(entries))


def learn_from(engine):
    with reading(engine) as session:
        return paces.learn(session, TODAY)


def test_fifty_thousand_entries_read_and_learned_from(benchmark, big):
    engine, _ = big

    def fresh():
        for held in (paces._learnt, paces._gathered, paces._fits):  # noqa: SLF001 - as after a start
            held.forget()

    found = benchmark.pedantic(lambda: learn_from(engine), setup=fresh, rounds=3)
    assert found.calibration.projects == 1000


def test_the_same_again(benchmark, big):
    engine, _ = big
    learn_from(engine)
    assert benchmark(lambda: learn_from(engine)).calibration.projects == 1000


def test_the_same_after_time_was_logged_on_a_project_in_build(benchmark, big):
    """The journal has changed, what the finished projects say has not: it is read again, and nothing is fitted."""
    engine, running = big
    first = learn_from(engine)

    def log_time():
        with writing(engine) as session:
            add_entry(session, EntryDraft(on_date=TODAY, seconds=600, project_id=running, operation="sand"), now=NOW)

    assert benchmark.pedantic(lambda: learn_from(engine), setup=log_time, rounds=5) is first


def test_everything_beside_the_paces_again(benchmark, big):
    engine, _ = big

    def read():
        with reading(engine) as session:
            return read_ratios(session, read_shop(session, TODAY), TODAY)

    read()
    assert benchmark(read).learned


def test_the_paces_page_of_fifty_thousand_entries(benchmark, big):
    client = create_app(engine=big[0], testing=True, today=TODAY).test_client()
    assert benchmark.pedantic(lambda: client.get("/paces"), rounds=10, warmup_rounds=1).status_code == 200
