"""Every page of a shop with 1, 10 and 20 years behind it: warm, and some of them after a write.

Beside each stands how many statements it sends, and how long SQLite alone takes for the very same ones.
"""

import sqlite3
from datetime import UTC, date, datetime
from time import perf_counter

import pytest
from journal.desk.demo import load_demo
from journal.desk.demo_years import add_years
from journal.records.engine import open_engine, writing
from journal.records.migrate import ensure_current
from journal.records.queries.log import EntryDraft, add_entry
from journal.web import create_app
from sqlalchemy import event
from tests.web.test_query_counts import pages

TODAY = date(2026, 11, 25)
NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)
WORKED_OUT = ("/today/ahead", "/projects/{id}/price", "/paces", "/ballpark", "/across/", "/rack")


@pytest.fixture(scope="module", params=[1, 10, 20])
def shop(request, tmp_path_factory):
    engine = open_engine(tmp_path_factory.mktemp("years") / "journal.db")
    ensure_current(engine)
    with writing(engine) as session:
        loaded = load_demo(session, now=NOW)
        add_years(session, request.param, 1, TODAY)
    client = create_app(engine=engine, testing=True, today=TODAY).test_client()
    yield engine, client, loaded.commission_project_id
    engine.dispose()


def sent(engine, act):
    """The statements of a request with what they were filled in with."""
    found = []

    def note(_connection, _cursor, statement, parameters, *_more):
        found.append((statement, parameters))

    event.listen(engine, "before_cursor_execute", note)
    try:
        act()
    finally:
        event.remove(engine, "before_cursor_execute", note)
    return found


def alone(engine, statements):
    """Milliseconds SQLite takes for statements and all their rows, without anything of ours; the best of five."""
    bare = sqlite3.connect(f"file:{engine.url.database}?mode=ro", uri=True)
    times = []
    try:
        for _ in range(5):
            began = perf_counter()
            for statement, parameters in statements:
                if statement.lstrip().upper().startswith(("SELECT", "WITH")):
                    bare.execute(statement, parameters).fetchall()
            times.append(perf_counter() - began)
    finally:
        bare.close()
    return 1e3 * min(times)


@pytest.mark.parametrize("page", pages())
def test_page_of_a_shop_of_years(benchmark, shop, page):
    engine, client, project = shop
    address = page.format(id=project)
    benchmark.pedantic(lambda: client.get(address), rounds=15, warmup_rounds=2)
    statements = sent(engine, lambda: client.get(address))
    benchmark.extra_info["statements"] = len(statements)
    benchmark.extra_info["sql_ms"] = alone(engine, statements)
    benchmark.extra_info["bytes"] = len(client.get(address, headers={"Accept-Encoding": "gzip"}).data)


@pytest.mark.parametrize("page", WORKED_OUT)
def test_page_after_time_was_logged(benchmark, shop, page):
    engine, client, project = shop
    address = page.format(id=project)
    client.get(address)

    def log_time():
        with writing(engine) as session:
            add_entry(session, EntryDraft(on_date=TODAY, seconds=600, project_id=project, operation="sand"), now=NOW)

    benchmark.pedantic(lambda: client.get(address), setup=log_time, rounds=4, warmup_rounds=1)
