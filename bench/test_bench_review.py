"""Looking back: one finished job of the demo shop, and all of a shop with 500 of them, after the journal changed."""

from datetime import UTC, date, datetime

import pytest
from journal.desk import across
from journal.desk.demo import load_demo
from journal.records.engine import open_engine, reading, writing
from journal.records.migrate import ensure_current
from journal.records.queries import log, projects, purchases
from journal.records.queries.projects import ProjectDraft
from journal.records.words import FINISHED, ProjectState
from journal.web import create_app

NOW = datetime(2026, 11, 25, tzinfo=UTC)
TODAY = NOW.date()


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    engine = open_engine(tmp_path_factory.mktemp("review") / "journal.db")
    ensure_current(engine)
    with writing(engine) as session:
        load_demo(session, now=NOW)
    yield engine
    engine.dispose()


@pytest.fixture(scope="module")
def full(tmp_path_factory):
    engine = open_engine(tmp_path_factory.mktemp("across") / "journal.db")
    ensure_current(engine)
    with writing(engine) as session:
        load_demo(session, now=NOW)
        for number in range(500):
            draft = ProjectDraft(
                code=f"20-{number:03d}",
                title="Bench",
                client_kind="private",
                state=ProjectState.CLOSED,
                delivered_on=date(2020, 6, 1),
                agreed_price_cents=400_000,
                agreed_minutes=3_000,
            )
            row = projects.add_project(session, draft, NOW)
            line = purchases.LineRow(stock_code="2x8 fir", quantity=10, price_cents=10_000, used_quantity=8)
            purchases.add_purchase(session, purchases.PurchaseRow(on_date=TODAY, project_id=row.id, lines=(line,)))
            spent = [
                log.EntryDraft(project_id=row.id, on_date=date(2020, 5, 1), seconds=3_600, stage="milling")
                for _ in range(50)
            ]
            log.add_entries(session, spent, now=NOW)
    yield engine
    engine.dispose()


def test_review_of_one_job(benchmark, shop):
    client = create_app(engine=shop, testing=True, today=TODAY).test_client()
    with reading(shop) as session:
        newest = projects.list_projects(session, FINISHED)[0].project.id

    def look():
        assert client.get(f"/projects/{newest}/review").status_code == 200

    benchmark.pedantic(look, rounds=15, warmup_rounds=1)


def test_across_500_jobs_from_nothing(benchmark, full):
    def look():
        across._jobs.forget()  # noqa: SLF001 - as after any change of the journal
        with reading(full) as session:
            assert len(across.jobs(session, TODAY)) > 500

    benchmark.pedantic(look, rounds=8, warmup_rounds=1)


def test_page_across_500_jobs(benchmark, full):
    client = create_app(engine=full, testing=True, today=TODAY).test_client()

    def look():
        across._jobs.forget()  # noqa: SLF001 - as above
        assert client.get("/across").status_code == 200

    benchmark.pedantic(look, rounds=8, warmup_rounds=1)
