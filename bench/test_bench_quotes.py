"""The paper of a quote, warm: what a person waits for after "see the paper first"; and issuing one whole."""

import json
from datetime import UTC, datetime

import pytest
from bs4 import BeautifulSoup
from journal.desk import designs, projects
from journal.desk.demo import load_demo
from journal.paper.quote import quote_paper
from journal.paper.quote_print import quote_pdf
from journal.records.engine import open_engine, reading, writing
from journal.records.migrate import ensure_current
from journal.records.queries import quotes
from journal.web import create_app


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    """The demo shop with a project from a design and its quote."""
    engine = open_engine(tmp_path_factory.mktemp("quotes") / "journal.db")
    ensure_current(engine)
    now = datetime.now(UTC)
    with writing(engine) as session:
        load_demo(session, now=now)
        row, _ = designs.begin(session, "slab-bench", {}, projects.Asked("Slab bench"), now=now)
    client = create_app(engine=engine, testing=True).test_client()
    page = f"/projects/{row.id}/quote"
    client.post(page, data=filled(client, page))
    yield engine, client, page
    engine.dispose()


def filled(client, page):
    boxes = BeautifulSoup(client.get(page).text, "html.parser").select("form[action$='/quote'] [name]")
    return {
        box["name"]: box.text.strip() if box.name == "textarea" else box.get("value", "")
        for box in boxes
        if box.name != "select"
    } | {"breakdown": "one", "rounding": "invoice"}


def test_paper(benchmark, shop):
    """From the stored text to a PDF with its drawing."""
    engine, _, _ = shop
    with reading(engine) as session:
        content = json.loads(quotes.get_quote(session, quotes.all_quotes(session)[0].id).payload)
    made = benchmark.pedantic(lambda: quote_pdf(quote_paper(content)), rounds=15, warmup_rounds=2)
    assert made.startswith(b"%PDF")


def test_stored_paper(benchmark, shop):
    _, client, page = shop

    def get():
        answer = client.get(f"{page}/1.pdf")
        assert answer.data.startswith(b"%PDF")

    benchmark.pedantic(get, rounds=15, warmup_rounds=2)


@pytest.mark.parametrize("tail", ["", "/1", "/1/client"])
def test_page(benchmark, shop, tail):
    _, client, page = shop

    def get():
        assert client.get(page + tail).status_code == 200

    benchmark.pedantic(get, rounds=15, warmup_rounds=2)


def test_issue(benchmark, shop):
    """Estimate, text, drawing, paper and move, all kept."""
    _, client, page = shop
    sent = filled(client, page)

    def issue():
        assert client.post(page, data=sent).status_code == 302

    benchmark.pedantic(issue, rounds=7, warmup_rounds=1)


def test_looking_back(benchmark, shop):
    _, client, _ = shop

    def get():
        assert client.get("/quotes").status_code == 200

    benchmark.pedantic(get, rounds=15, warmup_rounds=2)
