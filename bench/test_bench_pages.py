"""Pages of the demo shop, warm: what a person waits for after a click."""

from datetime import UTC, datetime

import pytest
from bs4 import BeautifulSoup
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


def test_a_changed_dimension(benchmark, shop):
    """Another length of a design each time: part list, drawing and price again."""
    client, _ = shop
    boxes = BeautifulSoup(client.get("/designs/slab-bench").text, "html.parser").select("#sizes [name]")
    sent = {box["name"]: box.get("value", "") for box in boxes}
    lengths = (f"{48 + n / 2} in" for n in range(96))

    def change():
        answer = client.get("/designs/slab-bench/live", query_string=sent | {"p_length": next(lengths)})
        assert "Price to ask" in answer.text

    benchmark.pedantic(change, rounds=15, warmup_rounds=2)


def test_a_ballpark(benchmark, shop):
    client, _ = shop
    lengths = (f"{48 + n / 2} in" for n in range(96))

    def ask():
        answer = client.get("/ballpark", query_string={"length": next(lengths), "depth": "24", "wood": "", "kind": ""})
        assert answer.status_code == 200

    benchmark.pedantic(ask, rounds=15, warmup_rounds=2)
