"""A quote in a real browser: what Days says follows the weeks while they are typed, and the paper opens beside the form."""

from __future__ import annotations

import pytest
from journal.desk import days
from tests.web import project_pages as pages
from tests.web.browsing import fits

pytestmark = pytest.mark.browser

LEFT_BEHIND = """() => !window.dispatchEvent(new Event("beforeunload", {cancelable: true}))"""


def test_days_speaks_under_the_weeks_and_the_paper_opens_beside_what_is_typed(
    file_engine,
    visit,
    monkeypatch,
):
    monkeypatch.setattr(days, "promised_weeks", lambda *_: 8.5)
    monkeypatch.setattr(days, "chance_within", lambda *_: 0.0)
    project = pages.project(file_engine)
    page = visit(360)
    page.goto(f"/projects/{project}/quote")
    page.fill("#weeks", "2")
    page.wait_for_selector("text=2 weeks: kept 0 of 100 times; Days says 8½ weeks.")
    assert fits(page)
    with page.context.expect_page() as opened:
        page.click("text=See the paper first")
    assert opened.value.evaluate("window.opener") is None
    assert page.input_value("#weeks") == "2"
    assert page.evaluate(LEFT_BEHIND)  # the browser still asks before this is lost
    page.fill("#weeks", "9")
    page.wait_for_selector(".quote-short", state="detached")
    assert page.faults == []
