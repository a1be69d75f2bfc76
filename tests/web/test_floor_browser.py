"""The floor in a real browser: a phone whose signal comes and goes, and the same buttons without scripts."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

import pytest
from axe_playwright_python.sync_playwright import Axe
from journal.records.engine import reading, writing
from journal.records.queries import logbook
from journal.records.queries import taps as tap_records
from journal.web import create_app
from playwright.sync_api import expect
from tests import factories
from tests.desk import floor_shop
from tests.web.browsing import contexts, hears_of_signal, served, until, until_kept

pytestmark = pytest.mark.browser


@pytest.fixture
def shop(file_engine, tmp_path):
    """(address, engine, ids of three projects in build); on the clock's own day, as taps bear real times."""
    with writing(file_engine) as session:
        projects = [floor_shop.in_build(session, title=title) for title in ("First", "Second", "Third")]
        floor_shop.people(session, "bench 1", "bench 2")
    app = create_app(data=tmp_path, engine=file_engine, testing=True)
    with served(app) as address:
        yield address, file_engine, projects


@pytest.fixture
def visit(browser, shop):
    """Opens a browser of its own, as wide as a phone unless told otherwise."""
    with contexts(browser, shop[0]) as opener:
        yield opener


def tap(page, label):
    page.get_by_role("button", name=label, exact=True).first.click()


def waits(page, count):
    word = "tap waits" if count == 1 else "taps wait"
    page.get_by_text(f"{count} {word} in this browser.").wait_for()


def runs(page):
    """A clock runs by the server's own word, and nothing reloads any more."""
    page.locator("[data-clock] .clock-count").wait_for()
    page.wait_for_load_state("networkidle")


def stored(engine):
    with reading(engine) as session:
        return [
            row
            for worker in (1, 2)
            for row in tap_records.taps_after(session, worker, datetime(2020, 1, 1, tzinfo=UTC))
        ]


def arrived(page, engine, count):
    """So many taps are stored, and none waits in the browser."""
    until(page, lambda: len(stored(engine)) == count, f"{count} taps")
    page.locator("[data-waiting]").wait_for(state="hidden")


def fits(page):
    return page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


def test_taps_without_signal_arrive_once_with_their_times_when_it_is_back(visit, shop):
    _, engine, (first, second, _) = shop
    phone = visit(has_touch=True, is_mobile=True)
    page = phone.new_page()
    page.goto("/today")
    began = datetime.now(UTC)
    tap(page, "Crosscut to rough length")  # with signal
    runs(page)

    phone.set_offline(True)
    tap(page, "Pause")
    waits(page, 1)
    page.locator(".next", has_text="Second").get_by_role("button").first.click()
    waits(page, 2)
    tap(page, "Stop")  # on the card of what was started without signal
    waits(page, 3)
    assert len(stored(engine)) == 1
    assert fits(page)

    phone.set_offline(False)
    arrived(page, engine, 4)
    ended = datetime.now(UTC)
    rows = stored(engine)
    assert [(row.what.value, row.project_id, row.operation) for row in rows] == [
        ("start", first, "crosscut_rough"),
        ("pause", first, "crosscut_rough"),
        ("start", second, "crosscut_rough"),
        ("stop", second, "crosscut_rough"),
    ]
    assert began - timedelta(seconds=1) <= rows[0].at < rows[1].at < rows[2].at < rows[3].at <= ended
    assert [row.sequence for row in rows] == [1, 2, 3, 4]


def test_something_else_chosen_without_signal_waits_there_too(visit, shop):
    _, engine, (first, *_) = shop
    phone = visit()
    page = phone.new_page()
    page.goto(f"/floor/choose/{first}")
    page.wait_for_load_state("networkidle")
    phone.set_offline(True)
    tap(page, "Plane to thickness")
    waits(page, 1)
    phone.set_offline(False)
    runs(page)
    assert page.url.endswith("/today")
    assert [row.operation for row in stored(engine)] == ["plane_thickness"]


def test_a_queue_outlives_the_page_and_a_second_page_sends_it_once(visit, shop):
    _, engine, _ = shop
    phone = visit()
    page = phone.new_page()
    page.goto("/today")
    page.wait_for_load_state("networkidle")
    phone.set_offline(True)
    tap(page, "Crosscut to rough length")
    waits(page, 1)
    page.close()
    phone.set_offline(False)
    page, other = phone.new_page(), phone.new_page()
    page.goto("/today")
    other.goto("/today")
    arrived(page, engine, 1)
    arrived(other, engine, 1)
    assert [row.what.value for row in stored(engine)] == ["start"]


def test_an_answer_that_was_lost_on_its_way_is_not_counted_twice(visit, shop):
    _, engine, _ = shop
    phone = visit()
    page = phone.new_page()
    page.goto("/today")
    taken = []

    def lose(route):
        taken.append(route.fetch().status)  # the server has it; the answer never comes
        route.abort()

    page.route("**/floor/taps", lose, times=1)
    tap(page, "Crosscut to rough length")
    waits(page, 1)
    until(page, lambda: taken == [200], "the server to have it")
    assert len(stored(engine)) == 1
    hears_of_signal(page)
    runs(page)
    arrived(page, engine, 1)


def test_today_opens_without_signal_as_it_was_last_seen_and_takes_taps(visit, shop):
    _, engine, _ = shop
    phone = visit()
    page = phone.new_page()
    page.goto("/today")
    until_kept(page, "/today")
    phone.set_offline(True)
    page.goto("/today")
    assert "Today" in page.title()
    tap(page, "Crosscut to rough length")
    waits(page, 1)
    assert "as of" in page.inner_text("[data-waiting-shown]")
    page.goto("/today")
    waits(page, 1)
    phone.set_offline(False)
    hears_of_signal(page)
    runs(page)
    assert [row.what.value for row in stored(engine)] == ["start"]


# What was taken back over an hour ago stays while anything waits, and goes once nothing does.
TAKEN_BACK_LONG_AGO = """async () => {
  const { takenBack } = await import("/static/js/lib/set_aside.js");
  let held = [{ group: 1, at: Date.now() - 3_700_000, taps: [] }, { group: 2, at: Date.now(), taps: [] }];
  const queueOf = (waiting) => ({ get: async () => held, shift: async (act) => { held = act(waiting, held).aside; } });
  const groups = async (waiting) => (await takenBack(queueOf(waiting), waiting)).map((one) => one.group);
  return [await groups([{}]), await groups([]), held.length];
}"""


def test_what_waits_can_be_looked_at_taken_back_and_sent_after_all(visit, shop):
    _, engine, (_, second, third) = shop
    phone = visit(has_touch=True, is_mobile=True)
    page = phone.new_page()
    page.goto("/today")
    page.wait_for_load_state("networkidle")
    assert page.evaluate(TAKEN_BACK_LONG_AGO) == [[1, 2], [2], 1]
    phone.set_offline(True)
    for title in ("Second", "Third"):
        page.locator(".next", has_text=title).get_by_role("button").first.click()
    waits(page, 2)
    tap(page, "Stop")
    waits(page, 3)
    lines = page.locator("[data-waiting-list] > li")
    expect(lines.nth(1)).to_contain_text(re.compile(r"^\d\d:\d\d Crosscut to rough length: started · .* Third"))
    lines.nth(1).get_by_role("button", name="Do not send").click()
    waits(page, 3)  # one tap loses nothing
    lines.nth(1).get_by_role("button", name="Yes, do not send").click()
    waits(page, 1)  # its stop went with it
    expect(page.locator("[data-clock] [data-stop], [data-waiting-clocks] .clock")).to_have_count(1)
    aside = page.locator("[data-aside-list] > li")
    expect(aside).to_contain_text("Third, and 1 more that rests on it")
    assert Axe().run(page).violations_count == 0
    assert fits(page)
    lines.first.get_by_role("button", name="Do not send").click()
    lines.first.get_by_role("button", name="Yes, do not send").click()
    expect(page.get_by_text("Nothing waits in this browser.")).to_be_visible()
    aside.filter(has_text="Third").get_by_role("button", name="Send it after all").click()
    waits(page, 2)
    phone.set_offline(False)
    until(page, lambda: len(stored(engine)) == 2, "the two that were put back")
    page = phone.new_page()
    page.goto("/today")  # what was taken back can still be had
    expect(page.locator("[data-aside-list] > li")).to_contain_text("Second")
    assert [(row.what.value, row.project_id) for row in stored(engine)] == [("start", third), ("stop", third)]
    tap(page, re.compile("^Send it after all"))
    until(page, lambda: len(stored(engine)) == 3, "the last")
    assert stored(engine)[0].project_id == second  # in its own place


def test_what_the_journal_cannot_take_is_not_asked_for_again_and_is_shown(visit, shop):
    _, engine, _ = shop
    page = visit().new_page()
    page.goto("/today")
    page.evaluate("document.querySelector('form[data-tap] [name=work]').value = 'juggling'")
    tap(page, "Crosscut to rough length")
    page.locator(".notice--bad", has_text="juggling").wait_for()
    arrived(page, engine, 0)


def test_a_phone_that_may_no_longer_send_keeps_its_taps_and_says_so(visit, shop):
    _, engine, _ = shop
    page = visit().new_page()
    page.goto("/today")
    tap(page, "Crosscut to rough length")
    runs(page)
    page.route("**/floor/taps", lambda route: route.fulfill(status=401), times=1)
    tap(page, "Stop")
    page.get_by_text("no longer allowed to send taps").wait_for()
    waits(page, 1)
    page.goto("/today")  # paired anew by itself, as long as its name was not revoked
    arrived(page, engine, 2)
    assert [row.what.value for row in stored(engine)] == ["start", "stop"]


def test_without_scripts_the_same_buttons_work(visit, shop):
    _, engine, _ = shop
    page = visit(java_script_enabled=False).new_page()
    page.goto("/today")
    tap(page, "Crosscut to rough length")
    tap(page, "Stop")
    assert page.locator(".clock").count() == 0
    assert [row.what.value for row in stored(engine)] == ["start", "stop"]


def test_an_evening_takes_a_minute_with_a_thumb(visit, shop):
    _, engine, (first, *_) = shop
    page = visit(has_touch=True, is_mobile=True).new_page()
    page.goto("/evening")
    more = page.get_by_role("button", name="A quarter hour more of Milling").first
    for _ in range(5):
        more.click()
    page.get_by_role("button", name="A quarter hour less of Milling").first.click()
    assert page.input_value(f"[name='{first}.s.milling.0']") == "1:00"
    assert page.inner_text("[data-sum]") == "1 h"
    foot = page.locator(".evening-sum")
    assert "ticked" not in foot.inner_text()
    page.locator("[name=also]").first.check()
    assert foot.inner_text().startswith("2 h in all: 1 h here, 1 h for each one ticked")
    page.locator("[name=also]").first.uncheck()
    assert foot.inner_text().startswith("1 h in all")
    page.get_by_role("button", name="Save the day").click()
    page.locator(".last-change").wait_for()
    with reading(engine) as session:
        day = datetime.now(UTC).date()
        rows = logbook.entries_between(session, day - timedelta(days=1), day + timedelta(days=1))
    assert [(row.stage, row.seconds) for row in rows] == [("milling", 3600)]


def test_things_to_hit_are_large_for_a_finger_and_nothing_scrolls_sideways(visit, shop):
    _, engine, (first, *_) = shop
    with writing(engine) as session:
        kept = factories.entry(session, project_id=first, on_date=datetime.now(UTC).date()).id
    page = visit(has_touch=True, is_mobile=True).new_page()
    log = f"/projects/{first}/log"
    for path in ("/today", "/evening", "/evening/week", log, f"{log}/{kept}", f"{log}/codes", f"/floor/choose/{first}"):
        page.goto(path)
        page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
        assert fits(page), path
        heights = page.evaluate(
            "[...document.querySelectorAll('main .button, main .box, main summary, .who-box, .built-done')]"
            ".filter((one) => one.offsetParent).map((one) => one.getBoundingClientRect().height)"
        )
        assert min(heights, default=48) >= 48, path
    page.goto("/today")
    assert min(page.evaluate("[...document.querySelectorAll('.tap')].map((one) => one.offsetHeight)")) >= 56


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_no_violation(visit, shop, scheme):
    _, _, (first, *_) = shop
    page = visit(color_scheme=scheme).new_page()
    page.goto("/today")
    tap(page, "Crosscut to rough length")
    runs(page)
    pages = ["/today", "/evening"]
    if scheme == "light":
        pages += ["/evening/week", f"/projects/{first}/log", f"/floor/choose/{first}"]
    for path in pages:
        page.goto(path)
        page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
        found = Axe().run(page)
        assert found.violations_count == 0, f"{path}: {found.generate_report()}"
