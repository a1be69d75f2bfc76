"""Every page of a lived-in journal, looked at by axe: no fault at two widths, in both themes; and nothing too wide.

The rules are those of WCAG 2.0 to 2.2, levels A and AA, and axe's own best practice (the engine comes with
axe-playwright-python).
"""

from __future__ import annotations

from datetime import UTC, date, datetime
from io import BytesIO
from pathlib import Path

import axe_playwright_python
import pytest
from journal import units
from journal.desk import rack_moves
from journal.desk.demo import load_demo
from journal.records.engine import writing
from journal.records.queries.projects import list_projects
from journal.records.tables import Coat
from journal.records.words import ProjectState
from journal.web import create_app
from journal.web.config import Network
from sqlalchemy import select
from tests import journals
from tests.desk import photo_files
from tests.web import project_pages as pages
from tests.web.browsing import served
from tests.web.crawl import walk

pytestmark = pytest.mark.browser

TODAY = date(2026, 11, 25)
# A word nobody knows, a day that is none, a line that is right.
OLD_JOBS = """Job,Date,Task,Qty,Unit,Hours,Note
W-1,2019-03-04,Sand,90,ft2,4,by the window
W-1,2019-02-30,Joint one face,600,ft,2,
W-2,2019-05-01,Sanding,60,,3,
"""
AXE = (Path(axe_playwright_python.__file__).parent / "axe.min.js").read_text(encoding="utf-8")
EVERY_RULE = {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}
COLOURS = {"type": "rule", "values": ["color-contrast"]}  # all that a theme changes
# One of each kind of fold, and the first rows of a long list: the others are made by the same macro.
UNFOLD = """() => {
  const more = (what) => `${what}:nth-child(n + 7)`;
  for (const row of document.querySelectorAll(["tbody > tr", "main li", "option", ".field"].map(more).join())) {
    row.remove();
  }
  const seen = new Set();
  for (const fold of document.querySelectorAll("details")) {
    if (!seen.has(fold.className)) { seen.add(fold.className); fold.open = true; }
  }
}"""
LOOK = """async (rules) => (await axe.run(document, {resultTypes: ["violations"], runOnly: rules})).violations
  .map((fault) => `${fault.id}: ${fault.nodes.slice(0, 2).map((node) => node.target).join(", ")}`)"""
# Seen only in a state that a link does not lead to; each has its own tests.
ELSEWHERE = {
    "designs.ballpark_live",
    "designs.live",
    "designs.of",  # leads to the design
    "quotes.show_promise",  # a piece that a script puts under a box
    "welcome.index",  # of an empty journal, below
    "paces.guesses_so_far",
    "buying.buy_searches",  # pieces that a script puts into a page
    "access.sign_in",  # only there for a network, below
    "access.pair",
    "floor.start",  # from a code on the floor
}


@pytest.fixture(scope="module")
def app(tmp_path_factory, empty_journal):
    """The demo shop, with what its own days have not brought yet: an estimate kept, a quote, an option, boards."""
    folder = tmp_path_factory.mktemp("access")
    engine = journals.copied(empty_journal, folder / "journal.db")
    with writing(engine) as session:
        made = load_demo(session, now=datetime(2026, 11, 25, tzinfo=UTC)).commission_project_id
        in_build = next(one.project.id for one in list_projects(session) if one.project.state is ProjectState.IN_BUILD)
        coat = session.scalars(select(Coat).limit(1)).one()
        filled_in = (  # pieces a script fetches, and a coat
            f"/projects/{in_build}/progress/course",
            f"/projects/{made}/review/lessons",
            f"/projects/{coat.project_id}/review/learnt",
            f"/projects/{coat.project_id}/review/materials",
            f"/projects/{coat.project_id}/coats/{coat.id}",
        )
        board = rack_moves.Added("2x6 fir", 2, units.feet(8))
        rack_moves.add(session, board, today=TODAY, now=datetime(2026, 11, 25, 12, tzinfo=UTC))
    app = create_app(data=folder, engine=engine, testing=True, today=TODAY)
    yield app, (*_live_in(app.test_client(), made), *filled_in)
    journals.removed(engine)


def _live_in(client, made):
    """Where a walk begins: what no plain link of the first pages leads to."""
    for path, sent_to in ((f"/projects/{made}/price", "/price/keep"), (f"/projects/{made}/quote", "/quote")):
        sent = pages.form_at(client, path, sent_to)
        assert client.post(f"/projects/{made}{sent_to}", data=sent).status_code == 302
    option = f"/projects/{made}/options/new"
    sent = pages.filled(pages.soup(client.get(option)).select_one("main form.form")) | {"name": "Five", "benches": "5"}
    assert client.post(option, data=sent).status_code == 302
    copied = client.post("/designs/slab-bench/copy", data=pages.form_at(client, "/designs/slab-bench", "/copy"))
    assert copied.status_code == 302
    notes = f"/projects/{made}/notes"
    written = pages.form_at(client, notes, "/notes") | {"text": "glue took 50 minutes", "about": "s:milling"}
    written["photos"] = (BytesIO(photo_files.saved(photo_files.board(60, 40, 1))), "board.jpg")
    assert client.post(notes, data=written).status_code == 303
    old = pages.form_at(client, "/paces/past-jobs", "/past-jobs") | {"text": OLD_JOBS}
    looked_at = client.post("/paces/past-jobs", data=old)
    assert looked_at.status_code == 302
    of_project = ("notes", "price/kept/1", "quote/1", "options/1", "buy/without")
    return (
        "/today",
        "/projects/",
        "/patterns",
        "/paces/missing",
        "/notes?q=glue",
        "/today/ahead",
        "/rack/boards/1",
        "/welcome/begin",
        copied.location,
        looked_at.location,
        *(f"/projects/{made}/{path}" for path in of_project),
    )


@pytest.fixture(scope="module")
def address(app):
    with served(app[0]) as address:
        yield address


@pytest.fixture
def window(browser):
    context = browser.new_context(reduced_motion="reduce")  # colours hold still while they are looked at
    yield context.new_page()
    context.close()


def faults_of(page):
    """What axe and the eye of a narrow page find, each with the combination it was found in."""
    page.evaluate(AXE)
    page.evaluate(UNFOLD)
    found = []
    for width in (1280, 360):
        page.set_viewport_size({"width": width, "height": 900})
        for theme, rules in (("light", EVERY_RULE), ("dark", COLOURS)):
            page.emulate_media(color_scheme=theme)
            found += [f"{width} {theme} {fault}" for fault in page.evaluate(LOOK, rules)]
        if page.evaluate("document.documentElement.scrollWidth") > width:
            found.append(f"{width} wider than the page")
    return found


def test_every_page_is_without_fault_in_both_themes_at_both_widths(app, address, window):
    app, starts = app
    faults, seen = {}, set()
    for visited in walk(app, window, address, starts):
        seen.add(visited.endpoint)
        if found := faults_of(window):
            faults[visited.path] = found
    assert faults == {}
    pages_there = {
        rule.endpoint
        for rule in app.url_map.iter_rules()
        if "GET" in rule.methods and rule.endpoint != "static" and not rule.endpoint.endswith("file")
    }
    files = {"buying.buy_cut_sheet", "floor.worker", "days.show_json", "plan.show_packet", "quotes.show_paper",
             "quotes.show_receipt", "quotes.show_extra_paper", "quotes.show_drawing", "across.table"}  # fmt: skip
    assert sorted(pages_there - seen - files - ELSEWHERE) == []


def test_the_first_questions_are_without_fault(file_engine, tmp_path, window):
    with served(create_app(data=tmp_path, engine=file_engine, testing=True)) as here:
        window.goto(f"{here}/")
        assert window.url.endswith("/welcome")
        assert faults_of(window) == []


def test_the_way_in_is_without_fault(file_engine, tmp_path, window):
    app = create_app(data=tmp_path, engine=file_engine, testing=True, network=Network(("127.0.0.1",), https=False))
    with served(app) as here:
        window.goto(f"{here}/projects/")  # a stranger is led to the passphrase
        assert "/access/sign-in" in window.url
        assert faults_of(window) == []
        window.goto(f"{here}/access/pair?code=no-such-code")
        assert faults_of(window) == []


def test_help_opens_and_closes_by_key_and_the_way_on_stays(address, window):
    window.goto(f"{address}/patterns")
    mark = window.locator("#help button.help")
    text = window.locator("#help-margin")
    mark.focus()
    assert not text.is_visible()
    window.keyboard.press("Enter")
    assert text.is_visible()
    window.keyboard.press("Escape")
    assert not text.is_visible()
    assert mark.evaluate("(mark) => mark === document.activeElement")


def test_the_first_stop_of_the_tab_key_leads_past_the_header(address, window):
    window.goto(f"{address}/shop")
    window.keyboard.press("Tab")
    assert window.evaluate("document.activeElement.className") == "skip"
    window.keyboard.press("Enter")
    assert window.evaluate("document.activeElement.id") == "main"


@pytest.mark.parametrize("path", ["/today", "/projects/", "/shop", "/prices", "/designs/slab-bench"])
def test_text_of_twice_the_size_still_fits(address, window, path):
    window.set_viewport_size({"width": 640, "height": 450})
    window.goto(address + path)
    window.evaluate("document.documentElement.style.fontSize = '200%'")
    assert window.evaluate("document.documentElement.scrollWidth") <= 640


def test_the_eyes_are_open(window):
    """A page with faults is found to have them; else a clean walk would mean nothing."""
    window.goto("about:blank")
    window.set_content("<html><body><img src='x.png'><p style='color:#ccc'>pale</p></body></html>")
    found = " ".join(faults_of(window))
    assert "image-alt" in found
    assert "color-contrast" in found
