"""The glue-up clock on a phone in a real browser: it counts, survives a reload, and ends; and without scripts."""

from __future__ import annotations

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from journal.records.engine import reading, writing
from journal.records.queries import floor, gluing, log
from journal.records.queries import projects as project_records
from journal.records.words import ProjectState
from journal.web import create_app
from playwright.sync_api import Error, expect
from tests.desk import floor_shop
from tests.web.browsing import contexts, hears_of_signal, served, until, until_kept
from tests.web.project_pages import open_shop, project

pytestmark = pytest.mark.browser

LEAST_TARGET = 48  # pixels, for a finger


@pytest.fixture
def shop(file_engine, tmp_path):
    """(address, engine, project); on the clock's own day."""
    open_shop(file_engine, tmp_path)
    made = project(file_engine)
    with writing(file_engine) as session:
        floor_shop.people(session, "bench 1")
    with served(create_app(data=tmp_path, engine=file_engine, testing=True)) as address:
        yield address, file_engine, made


@pytest.fixture
def open_page(browser, shop):
    """Opens a page on a phone of its own."""
    with contexts(browser, shop[0]) as opener:
        yield lambda **options: opener(has_touch=True, **options).new_page()


def tap(page, label):
    button = page.get_by_role("button", name=label, exact=True)

    def large():
        try:
            return button.evaluate("(one) => one.offsetHeight") >= LEAST_TARGET
        except Error:  # it was just being shown anew
            return False

    until(page, large, f"{label} to be large enough for a finger")
    button.tap()


def sound(page):
    """It fits the phone, and nothing in it is out of reach."""
    page.wait_for_load_state("networkidle")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
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


def in_build(engine, made):
    with writing(engine) as session:
        row = project_records.get_project(session, made)
        begun = row.draft(state=ProjectState.IN_BUILD)
        project_records.change_project(session, made, begun, read_version=row.version, now=floor_shop.NOW)


def begun_and_taken_back(page):
    """Without signal: the first glue by mistake, a strip on it, and both taken back at once."""
    page.context.set_offline(True)
    for label, shown in (("First glue now", "Strip 1 of 3 is on"), ("Strip 2 is on", "Strip 2 of 3 is on")):
        tap(page, label)
        expect(page.locator(".glue-strips:visible")).to_have_text(shown)
    first = page.locator("[data-waiting-list] > li").first
    first.get_by_role("button", name="Do not send").tap()
    first.get_by_role("button", name="Yes, do not send").tap()
    expect(page.locator("[data-aside-list] > li")).to_contain_text("Leg: first glue · 26-001, and 1 more")
    expect(page.locator("[data-glue-clock]")).to_have_count(0)
    page.context.set_offline(False)
    page.wait_for_function("() => navigator.onLine")
    page.wait_for_load_state("networkidle")  # it looks whether something waits, and shows that anew


def test_a_running_glue_up_and_the_coats_open_again_without_signal_and_take_taps(shop, open_page):
    _, engine, made = shop
    in_build(engine, made)
    glue, coats = f"/projects/{made}/glue/Leg", f"/projects/{made}/coats"
    page = open_page()
    page.goto(coats)
    until_kept(page, coats)
    page.goto(glue)
    begun_and_taken_back(page)
    tap(page, "First glue now")
    expect(page.locator("[data-glue-clock][data-clock-id='1']")).to_be_visible()
    until_kept(page, coats, glue, saying='data-clock-id="1"')
    expect(page.locator("[data-kept-shown]")).to_be_hidden()
    before = left(page)
    page.context.set_offline(True)
    page.wait_for_timeout(1_100)
    page.goto(glue)
    expect(page.locator("[data-kept-shown]")).to_have_text(re.compile(r"^No signal: this page is as of \d\d:\d\d\."))
    assert before - 10 < left(page) < before  # it went on with the clock, and not anew
    tap(page, "Strip 2 is on")
    expect(page.locator(".glue-strips:visible")).to_have_text("Strip 2 of 3 is on")
    page.goto(coats)
    expect(page.locator("[data-kept-shown]")).to_be_visible()
    page.get_by_label("Amount used").fill("250 ml")
    tap(page, "Note the coat")
    lines = page.locator("[data-waiting-list] > li")
    expect(lines).to_have_count(2)
    expect(lines.nth(0)).to_contain_text("Leg: a strip is on")
    lines.nth(1).get_by_text("What was typed").tap()
    expect(lines.nth(1).locator(".typed")).to_contain_text("Amount used250 ml")
    sound(page)
    page.context.set_offline(False)
    hears_of_signal(page)
    expect(page.get_by_text("Next coat from")).to_be_visible()
    expect(page.locator("[data-kept-shown]")).to_be_hidden()
    with reading(engine) as session:
        (coat,) = floor.coats(session)
        assert (coat.amount_ml, len(gluing.ticks(session, 1))) == (250.0, 1)


def test_the_coats_page_fits_a_phone_and_is_in_reach(shop, open_page):
    page = open_page()
    page.goto(f"/projects/{shop[2]}/coats")
    sound(page)
    page.get_by_label("Amount used").fill("250 ml")
    tap(page, "Note the coat")
    expect(page.get_by_text("Next coat from")).to_be_visible()
    sound(page)
