"""Price, Today and Log by the keyboard alone: every stop is seen, and they follow the order of the page."""

from __future__ import annotations

from datetime import date

import pytest
from journal.records.engine import reading
from journal.records.queries.projects import list_projects
from journal.records.words import ProjectState
from journal.web import create_app
from tests.web.browsing import served

pytestmark = pytest.mark.browser

TODAY = date(2026, 11, 25)
# Where the key has come to: its place among all that can be reached, and whether the eye sees it there.
STOP = """() => {
  const here = document.activeElement, seen = getComputedStyle(here), box = here.getBoundingClientRect();
  const marked = seen.outlineStyle !== "none" && parseFloat(seen.outlineWidth) >= 2 || seen.boxShadow !== "none";
  const place = [...document.querySelectorAll("*")].indexOf(here);
  const inSight = box.width > 0 && box.bottom > 0 && box.top < innerHeight;
  return [place, marked, inSight, here.outerHTML.slice(0, 120), here.tagName];
}"""


@pytest.fixture(scope="module")
def address(demo_engine, tmp_path_factory):
    app = create_app(data=tmp_path_factory.mktemp("keys"), engine=demo_engine, testing=True, today=TODAY)
    with served(app) as address:
        yield address


@pytest.fixture
def page(browser):
    context = browser.new_context(viewport={"width": 1280, "height": 800}, reduced_motion="reduce")
    yield context.new_page()
    context.close()


@pytest.fixture(scope="module")
def project_of(demo_engine):
    with reading(demo_engine) as session:
        return {one.project.state: one.project.id for one in list_projects(session)}


def stops(page, most):
    """What the Tab key comes to, from the top."""
    found = []
    for _ in range(most):
        page.keyboard.press("Tab")
        stop = page.evaluate(STOP)
        if stop[4] in {"BODY", "HTML"}:
            break
        found.append(stop)
    return found


@pytest.mark.parametrize(
    ("section", "state", "fewest"),
    [("price", ProjectState.ENQUIRY, 30), ("today", None, 15), ("log", ProjectState.IN_BUILD, 30)],
)
def test_each_stop_of_the_key_is_seen_and_follows_the_page(address, page, project_of, section, state, fewest):
    page.goto(f"{address}/today" if state is None else f"{address}/projects/{project_of[state]}/{section}")
    found = stops(page, 60)
    assert len(found) >= fewest
    assert [stop[3] for stop in found if not stop[1]] == []
    assert [stop[3] for stop in found if not stop[2]] == []
    places = [stop[0] for stop in found]
    assert places == sorted(places)
