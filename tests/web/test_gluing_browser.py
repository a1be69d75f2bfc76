"""The glue-up clock on a phone in a real browser: it counts, survives a reload, and ends; and without scripts."""

from __future__ import annotations

import os
import re
import shutil
import threading

import pytest
from axe_playwright_python.sync_playwright import Axe
from journal.records.engine import reading, writing
from journal.records.queries import floor, log
from journal.web import create_app
from playwright.sync_api import expect
from tests.desk import floor_shop
from tests.web.project_pages import open_shop, project
from werkzeug.serving import make_server

pytestmark = pytest.mark.browser
CHROMIUM = shutil.which("chromium")
if CHROMIUM is None and os.environ.get("CI") != "true":
    pytest.skip("needs chromium on the path", allow_module_level=True)

LONGEST_WAIT = 20_000  # milliseconds; far more than a page takes, far less than a hung run
PHONE = {"width": 360, "height": 740}
LEAST_TARGET = 48  # pixels, for a finger


@pytest.fixture
def shop(file_engine, tmp_path):
    """(address, engine, project); on the clock's own day."""
    open_shop(file_engine, tmp_path)
    made = project(file_engine)
    with writing(file_engine) as session:
        floor_shop.people(session, "bench 1")
    server = make_server("127.0.0.1", 0, create_app(data=tmp_path, engine=file_engine, testing=True), threaded=True)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}", file_engine, made
    server.shutdown()
    thread.join()
    server.server_close()


@pytest.fixture
def open_page(browser, shop):
    """Opens a page on a phone of its own."""
    contexts = []

    def opener(**options):
        contexts.append(browser.new_context(viewport=PHONE, base_url=shop[0], has_touch=True, **options))
        contexts[-1].set_default_timeout(LONGEST_WAIT)
        return contexts[-1].new_page()

    yield opener
    for context in contexts:
        context.close()


def tap(page, label):
    button = page.get_by_role("button", name=label, exact=True)
    expect(button).to_be_visible()
    assert button.bounding_box()["height"] >= LEAST_TARGET
    button.tap()


def sound(page):
    """It fits the phone, and nothing in it is out of reach."""
    page.wait_for_load_state("networkidle")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()


def left(page):
    """Seconds that the assembly time still gives, as the page shows them."""
    shown = page.locator("[data-until]").first
    expect(shown).to_have_text(re.compile(r"^\d+:\d\d$"))
    minutes, seconds = shown.inner_text().split(":")
    return 60 * int(minutes) + int(seconds)


def test_a_glue_up_counts_down_survives_a_reload_and_logs_itself(shop, open_page):
    _, engine, made = shop
    page = open_page()
    page.goto(f"/projects/{made}/glue")
    sound(page)
    page.get_by_role("link", name=re.compile("^Leg")).tap()
    expect(page.get_by_role("button", name="First glue now")).to_be_visible()
    sound(page)
    tap(page, "First glue now")
    before = left(page)
    page.wait_for_timeout(1_500)
    assert left(page) < before
    page.reload()
    assert left(page) < before
    sound(page)
    tap(page, "Strip 2 is on")
    expect(page.locator(".glue-strips:visible")).to_have_text("Strip 2 of 3 is on")
    tap(page, "Strip 3 is on")
    tap(page, "Last clamp is on")
    expect(page.get_by_text("Clamps off")).to_be_visible()
    sound(page)
    with reading(engine) as session:
        (glued,) = floor.glue_ups(session)
        logged = {entry.operation for entry in log.entries(session)}
    assert glued.assembly_seconds >= 2
    assert "spread_glue" in logged


def test_the_time_that_ran_out_is_said_in_words_too(shop, open_page):
    page = open_page()
    page.clock.install()
    page.goto(f"/projects/{shop[2]}/glue/Leg")
    tap(page, "First glue now")
    left(page)
    expect(page.get_by_text("over", exact=True).first).to_be_hidden()
    page.clock.run_for(30 * 60 * 1_000)
    expect(page.locator(".glue-left--over")).to_have_count(2)
    expect(page.get_by_text("over", exact=True).first).to_be_visible()


def test_without_scripts_it_is_a_start_and_stop_form(shop, open_page):
    page = open_page(java_script_enabled=False)
    page.goto(f"/projects/{shop[2]}/glue/Leg")
    tap(page, "First glue now")
    expect(page.locator("[data-until]").first).to_have_text(re.compile(r"^\d\d:\d\d$"))
    tap(page, "Last clamp is on")
    expect(page.get_by_text("Clamps off")).to_be_visible()
    with reading(shop[1]) as session:
        assert len(floor.glue_ups(session)) == 1


def test_the_coats_page_fits_a_phone_and_is_in_reach(shop, open_page):
    page = open_page()
    page.goto(f"/projects/{shop[2]}/coats")
    sound(page)
    page.get_by_label("Amount used").fill("250 ml")
    tap(page, "Note the coat")
    expect(page.get_by_text("Next coat from")).to_be_visible()
    sound(page)
