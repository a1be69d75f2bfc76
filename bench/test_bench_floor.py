"""The floor with ten years of logs: 50,000 entries from the clock, 100,000 taps, two people, three projects in build."""

from datetime import UTC, datetime, timedelta

import pytest
from bs4 import BeautifulSoup
from journal.desk.demo import load_demo
from journal.floor.taps import Outcome, What
from journal.records.engine import open_engine, writing
from journal.records.migrate import ensure_current
from journal.records.queries import devices, projects
from journal.records.tables import Tap, TimeEntry
from journal.records.words import FINISHED, EntrySource, ProjectState
from journal.web import create_app
from sqlalchemy import insert

ENTRIES = 50_000
CODES = ("joint_face", "plane_thickness", "rip_final", "cut_tenon", "sand", "dry_fit", "assemble")


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    engine = open_engine(tmp_path_factory.mktemp("floor") / "journal.db")
    ensure_current(engine)
    now = datetime.now(UTC)
    with writing(engine) as session:
        load_demo(session, now=now)
        listed = [found.project for found in projects.list_projects(session)]
        for row in listed[:2]:
            draft = row.draft(state=ProjectState.IN_BUILD)
            projects.change_project(session, row.id, draft, read_version=row.version, now=now)
        _ten_years(session, [row.id for row in listed if row.state in FINISHED], now)
    client = create_app(engine=engine, testing=True).test_client()
    yield client
    engine.dispose()


def _ten_years(session, project_ids, now):
    """Seven stretches of each person a day, the newest an hour ago."""
    device = devices.server_device(session, now=now)
    people = [worker.id for worker in devices.workers(session)]
    first_entry = 1_000_000
    entries, taps = [], []
    for number in range(ENTRIES):
        person, place = people[number % 2], number // 2
        start = now - timedelta(days=1 + place // 7, hours=place % 7)
        about = {
            "project_id": project_ids[number % len(project_ids)],
            "operation": CODES[place % len(CODES)],
            "stage": None,
        }
        entries.append(
            about
            | {"id": first_entry + number, "on_date": start.date(), "started_at": start, "seconds": 2400, "people": 1}
            | {"rework": False, "note": "", "worker_id": person, "source": EntrySource.CLOCK, "created_at": now}
        )
        for what, at, outcome in (
            (What.START, start, Outcome.OPENED),
            (What.STOP, start + timedelta(minutes=40), Outcome.CLOSED),
        ):
            taps.append(
                about
                | {"device_id": device.id, "sequence": len(taps) + 1, "worker_id": person, "what": what, "at": at}
                | {"received_at": at, "outcome": outcome, "why": ""}
                | {"entry_id": first_entry + number if what is What.START else None}
            )
    session.execute(insert(TimeEntry), entries)
    session.execute(insert(Tap), taps)


def _form(client, label):
    page = BeautifulSoup(client.get("/today").text, "html.parser")
    form = next(one for one in page.select("form[data-tap]") if label in one.button.text)
    boxes = {box["name"]: box.get("value", "") for box in form.select("input")}
    return form["action"], boxes


def test_start_and_stop(benchmark, shop):
    """One tap of a plain form, answered: start and stop by turns."""
    page = BeautifulSoup(shop.get("/today").text, "html.parser")
    form = next(one for one in page.select("form[data-tap]"))
    boxes = {box["name"]: box.get("value", "") for box in form.select("input")}
    count = iter(range(10**6))

    def tap():
        number = next(count)
        sent = boxes | {"key": f"bench-{number:08}", "what": "stop" if number % 2 else "start"}
        assert shop.post(form["action"], data=sent).status_code == 303

    benchmark.pedantic(tap, rounds=30, warmup_rounds=2)


@pytest.mark.parametrize("page", ["/today", "/evening", "/evening/week", "/projects/19/log"])
def test_page(benchmark, shop, page):
    def get():
        assert shop.get(page).status_code == 200

    benchmark.pedantic(get, rounds=15, warmup_rounds=2)


def test_ahead_after_a_tap(benchmark, shop):
    """What Today fetches once it stands, worked out anew because something was written."""
    action, boxes = _form(shop, "")
    count = iter(range(10**6))

    def tap():
        shop.post(action, data=boxes | {"key": f"ahead-{next(count):08}"})

    benchmark.pedantic(lambda: shop.get("/today/ahead"), setup=tap, rounds=5, warmup_rounds=1)
