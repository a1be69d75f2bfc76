"""Every page of a shop with 1, 10 and 20 years behind it, warm; the 95th percentile and the statements beside the median."""

from datetime import UTC, date, datetime

import numpy as np
import pytest
from journal.desk.demo import load_demo
from journal.desk.demo_years import add_years
from journal.records.engine import open_engine, writing
from journal.records.migrate import ensure_current
from journal.web import create_app
from tests.web.project_pages import statements
from tests.web.test_query_counts import pages

TODAY = date(2026, 11, 25)


@pytest.fixture(scope="module", params=[1, 10, 20])
def shop(request, tmp_path_factory):
    engine = open_engine(tmp_path_factory.mktemp("years") / "journal.db")
    ensure_current(engine)
    with writing(engine) as session:
        loaded = load_demo(session, now=datetime(2026, 11, 25, 12, tzinfo=UTC))
        add_years(session, request.param, 1, TODAY)
    client = create_app(engine=engine, testing=True, today=TODAY).test_client()
    yield engine, client, loaded.commission_project_id
    engine.dispose()


@pytest.mark.parametrize("page", pages())
def test_page_of_a_shop_of_years(benchmark, shop, page):
    engine, client, project = shop
    address = page.format(id=project)
    benchmark.pedantic(lambda: client.get(address), rounds=15, warmup_rounds=2)
    benchmark.extra_info["p95_ms"] = 1e3 * float(np.quantile(benchmark.stats.stats.data, 0.95))
    benchmark.extra_info["statements"] = statements(engine, lambda: client.get(address))
    benchmark.extra_info["bytes"] = len(client.get(address, headers={"Accept-Encoding": "gzip"}).data)
