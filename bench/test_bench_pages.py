"""Pages of the demo shop, warm: what a person waits for after a click."""

from datetime import UTC, datetime

import pytest
from journal.desk.demo import load_demo
from journal.records.engine import open_engine, writing
from journal.records.migrate import ensure_current
from journal.web import create_app


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    engine = open_engine(tmp_path_factory.mktemp("pages") / "journal.db")
    ensure_current(engine)
    with writing(engine) as session:
        loaded = load_demo(session, now=datetime.now(UTC))
    client = create_app(engine=engine, testing=True).test_client()
    yield client, loaded.commission_project_id
    engine.dispose()


@pytest.mark.parametrize(
    "page", ["/projects/", "/projects/{id}/parts", "/projects/{id}/price", "/prices/", "/paces/", "/shop/"]
)
def test_page(benchmark, shop, page):
    client, commission = shop
    path = page.format(id=commission)

    def get():
        answer = client.get(path)
        assert answer.status_code == 200
        return answer

    benchmark.pedantic(get, rounds=15, warmup_rounds=2)
