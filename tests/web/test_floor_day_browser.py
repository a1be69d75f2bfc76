"""A whole day on the floor on two phones whose signal comes and goes; the same day mended when the clocks were forgotten."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

import pytest
from journal.desk import taps
from journal.records.engine import reading, writing
from journal.records.queries import floor, gluing, log, purchases
from journal.records.queries import projects as project_records
from journal.records.queries import taps as tap_records
from journal.records.words import ProjectState
from journal.web import create_app
from playwright.sync_api import expect
from tests.desk import floor_shop
from tests.web.browsing import contexts, hears_of_signal, served, until
from tests.web.project_pages import open_shop, project

pytestmark = pytest.mark.browser

FIRST_WORK = "fetch_stock"
TITLES = ("First", "Second", "Third")
LIST = """label,qty,thickness,width,length,stock,strips,faces,features
Leg,4,3 1/2,5,31,2x6 fir,3 along thickness,all,2 laminated joints
"""


@pytest.fixture
def shop(file_engine, tmp_path):
    """(address, engine, ids of three projects, accepted); on the clock's own day."""
    open_shop(file_engine, tmp_path)
    made = [project(file_engine, LIST, title=title) for title in TITLES]
    with writing(file_engine) as session:
        floor_shop.people(session, "bench 1", "bench 2")
        for one in made:
            row = project_records.get_project(session, one)
            accepted = row.draft(state=ProjectState.ACCEPTED)
            project_records.change_project(session, one, accepted, read_version=row.version, now=floor_shop.NOW)
    with served(create_app(data=tmp_path, engine=file_engine, testing=True)) as address:
        yield address, file_engine, made


@pytest.fixture
def phone(browser, shop):
    """Hands out phones."""
    with contexts(browser, shop[0]) as opener:

        def handed():
            context = opener(has_touch=True, is_mobile=True)
            # Its figures take their time, and are not of here.
            context.route("**/today/ahead", lambda route: route.abort())
            return context

        yield handed


def opened(context, path):
    page = context.new_page()
    page.goto(path)
    page.wait_for_load_state("networkidle")
    return page


def tap(page, label, within="main"):
    page.locator(within).get_by_role("button", name=label, exact=True).first.tap()


def start_next(page, title):
    """The big button of a project on Today."""
    page.locator(".next", has_text=title).locator("form button").first.tap()


def waits(page, count):
    word = "tap waits" if count == 1 else "taps wait"
    page.get_by_text(f"{count} {word} in this browser.").wait_for()


def fits(page):
    assert page.evaluate("document.documentElement.scrollWidth") <= 360


def coat(page, number, amount):
    page.get_by_label("Coat", exact=True).fill(str(number))
    page.get_by_label("Amount used").fill(amount)
    tap(page, "Note the coat")


def kept(engine):
    """What the journal holds of the day."""
    with reading(engine) as session:
        first = datetime(2020, 1, 1, tzinfo=UTC)
        return {
            "taps": [row for worker in (1, 2) for row in tap_records.taps_after(session, worker, first)],
            "glue_ups": floor.glue_ups(session),
            "coats": floor.coats(session),
            "receipts": purchases.purchases(session),
            "entries": log.entries(session),
            "refused": tap_records.refused(session),
        }


def online(context, *pages):
    """The signal is back, and the pages notice."""
    context.set_offline(False)
    for page in pages:
        hears_of_signal(page)


def glued(context, page):
    """A glue-up told without signal, but for a moment of it after the second strip."""
    tap(page, "First glue now")
    expect(page.locator(".glue-strips:visible")).to_have_text("Strip 1 of 3 is on")
    page.wait_for_timeout(1_100)
    tap(page, "Strip 2 is on")
    expect(page.locator(".glue-strips:visible")).to_have_text("Strip 2 of 3 is on")
    online(context, page)
    page.locator("[data-glue-clock][data-clock-id='1']").wait_for()  # by the server's own word
    page.wait_for_load_state("networkidle")
    context.set_offline(True)
    tap(page, "Strip 3 is on")
    expect(page.locator(".glue-strips:visible")).to_contain_text("All 3 strips are on")
    fits(page)
    page.wait_for_timeout(1_100)
    tap(page, "Last clamp is on")
    expect(page.locator("[data-glue-off]")).to_have_text(re.compile(r"\d"))


def coated(page):
    """Two coats told without signal."""
    coat(page, 1, "250 ml")
    waits(page, 1)
    coat(page, 2, "180 ml")
    waits(page, 2)
    fits(page)


def bought(context):
    """A receipt, which needs signal."""
    page = opened(context, "/rack/purchases/new")
    page.locator("[name=l0-stock]").select_option(index=1)
    for box, typed in (("count", "6"), ("length", "8'"), ("price", "60")):
        page.locator(f"[name=l0-{box}]").fill(typed)
    page.get_by_role("button", name="Save the receipt").first.tap()
    page.get_by_text("Receipt kept").wait_for()


def as_bench_2(page):
    page.get_by_label("bench 1").uncheck()
    page.get_by_label("bench 2").check()
    page.locator("[data-who-set]").tap()
    page.wait_for_load_state("networkidle")


def starts(page, title, worker):
    """Start the next of a project with signal."""
    start_next(page, title)
    page.locator(f"[data-clock='{worker}'] .clock-count").wait_for()
    page.wait_for_load_state("networkidle")


def lived(shop, phone):
    """The day; answers (began, the glue-up began, it ended, ended)."""
    _, engine, made = shop
    one, other = phone(), phone()
    today, glue = opened(one, "/today"), opened(one, f"/projects/{made[1]}/glue/Leg")
    coats, theirs = opened(other, f"/projects/{made[2]}/coats"), opened(other, "/today")
    as_bench_2(theirs)
    began = datetime.now(UTC)
    starts(today, "First", 1)
    one.set_offline(True)
    starts(theirs, "Third", 2)
    other.set_offline(True)
    tap(today, "Pause")
    waits(today, 1)
    glue_began = datetime.now(UTC)
    glued(one, glue)
    glue_ended = datetime.now(UTC)
    coated(coats)
    tap(theirs, "Stop", "[data-clock='2']")
    waits(theirs, 3)
    ended = datetime.now(UTC)
    assert kept(engine)["coats"] == ()
    online(one, glue)
    online(other, coats)
    until(today, lambda: len(kept(engine)["taps"]) == 7, "every tap")
    bought(one)
    return began, glue_began, glue_ended, ended


def test_a_day_with_and_without_signal_arrives_whole_once_and_with_its_times(shop, phone):
    _, engine, made = shop
    began, glue_began, glue_ended, ended = lived(shop, phone)
    day = kept(engine)
    assert day["refused"] == ()
    assert [(row.worker_id, row.what.value, row.project_id, row.operation) for row in day["taps"]] == [
        (1, "start", made[0], FIRST_WORK),
        (1, "pause", made[0], FIRST_WORK),
        (1, "start", made[1], "spread_glue"),
        (1, "start", made[1], "close_clamps"),
        (1, "stop", made[1], "close_clamps"),
        (2, "start", made[2], FIRST_WORK),
        (2, "stop", made[2], FIRST_WORK),
    ]
    moments = [row.at for row in day["taps"]]
    assert moments[:5] == sorted(moments[:5])
    assert all(began - timedelta(seconds=1) <= at <= ended for at in moments)
    assert glue_began <= moments[2] < moments[3] < moments[4] <= glue_ended
    (glue_up,) = day["glue_ups"]
    assert (glue_up.project_id, glue_up.strips, glue_up.clamped_at) == (made[1], 3, moments[4])
    assert glue_up.spread_seconds == max(1, round((moments[3] - moments[2]).total_seconds()))
    amounts = [(row.coat, row.amount_ml, row.project_id) for row in day["coats"]]
    assert amounts == [(1, 250.0, made[2]), (2, 180.0, made[2])]
    assert [len(row.lines) for row in day["receipts"]] == [1]
    logged = {(row.worker_id, row.operation) for row in day["entries"]}
    assert logged == {(1, FIRST_WORK), (1, "spread_glue"), (1, "close_clamps"), (2, FIRST_WORK)}
    with reading(engine) as session:
        assert {project_records.get_project(session, one).state.value for one in made} == {"in_build"}
        assert gluing.running_clocks(session) == ()


def test_a_day_of_forgotten_clocks_is_mended_on_the_phone(shop, phone):
    _, engine, made = shop
    zone = datetime.now(UTC).astimezone().tzinfo
    morning = (datetime.now(zone) - timedelta(days=1)).replace(hour=9, minute=0, second=0, microsecond=0)
    with writing(engine) as session:
        device = taps.device_of(session, taps.pair(session, "a" * 32, "a phone", now=datetime.now(UTC)))
        left_on = [
            floor_shop.body(number, "start", made[number - 1], "crosscut_rough", morning, person=number)
            for number in (1, 2)
        ]
        taps.take(session, device, left_on, zone=zone, now=datetime.now(UTC))
    page = opened(phone(), "/today")
    assert page.locator(".clock--asks").count() == 2
    page.get_by_label("It ended at, or took").first.fill("12")
    tap(page, "Log it so")
    expect(page.locator(".clock--asks")).to_have_count(1)
    tap(page, "Nothing of it was work")
    expect(page.locator(".clock--asks")).to_have_count(0)
    page.goto(f"/evening?day={morning.date()}&who=2")
    more = page.get_by_role("button", name="A quarter hour more of Milling").first
    for _ in range(8):
        more.tap()
    page.get_by_role("button", name="Save the day").tap()
    page.locator(".last-change").wait_for()
    fits(page)
    found = {(row.worker_id, row.operation or row.stage, row.seconds / 3600) for row in kept(engine)["entries"]}
    assert found == {(1, "crosscut_rough", 3.0), (2, "milling", 2.0)}
    assert {row.on_date for row in kept(engine)["entries"]} == {morning.date()}
