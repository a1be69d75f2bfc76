"""No page runs more statements when it has more rows, and none is heavy: every one, in a small and in a bigger shop."""

from datetime import UTC, date, datetime

import pytest
from journal.desk.demo import load_demo
from journal.desk.demo_years import add_years
from journal.records.engine import writing
from journal.web import create_app
from tests import journals
from tests.web.project_pages import statements

pytestmark = pytest.mark.slow
TODAY = date(2026, 11, 25)
NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)
PROJECT_WORDS = ("<int:project_id>", "<int:project>")


def shop_of(path, years):
    engine = journals.new(path)
    with writing(engine) as session:
        loaded = load_demo(session, now=NOW)
        if years:
            add_years(session, years, 1, TODAY)
    client = create_app(data=path.parent, engine=engine, testing=True, today=TODAY).test_client()
    return engine, client, loaded.commission_project_id


@pytest.fixture(scope="module")
def shops(tmp_path_factory):
    made = [shop_of(tmp_path_factory.mktemp(f"years{years}") / "journal.db", years) for years in (0, 1)]
    yield made
    for engine, _, _ in made:
        journals.removed(engine)


def pages():
    """Every address that can be asked for without knowing more than a project."""
    found = []
    for rule in create_app(testing=True).url_map.iter_rules():
        address = rule.rule
        for word in PROJECT_WORDS:
            address = address.replace(word, "{id}")
        if "GET" in rule.methods and rule.endpoint != "static" and "<" not in address:
            found.append(address)
    return sorted(found)


HEAVIEST_BYTES = 100_000  # on the way, packed, without photos


@pytest.mark.parametrize("page", pages())
def test_more_rows_take_no_more_statements_and_no_page_is_heavy(shops, page):
    counts = []
    for engine, client, project in shops:
        address = page.format(id=project)
        first = client.get(address, headers={"Accept-Encoding": "gzip"})  # what is worked out once is worked out
        assert len(first.data) < HEAVIEST_BYTES or first.mimetype == "application/pdf"  # a paper holds its fonts
        counts.append(statements(engine, lambda: client.get(address)))  # noqa: B023 - asked at once
    assert counts[1] <= counts[0]
