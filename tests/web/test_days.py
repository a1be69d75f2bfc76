"""The Days page: what it says, its calendar file, its forms; plain success first, then each refusal."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from icalendar import Calendar
from journal.desk import days, hours
from journal.desk.shop import read_shop
from journal.desk.starting_stock import set_up
from journal.records.engine import reading, writing
from journal.records.queries import calendar as records
from journal.records.queries import log
from journal.records.queries import projects as project_records
from journal.records.words import ProjectState
from journal.web.days.chain_words import how_long
from journal.web.days.pages import sure_words, weeks_text
from tests import journals
from tests.web import project_pages as pages
from tests.web.shared_app import client_of

LIST = pages.LIST.replace("12 holes", "12 holes; 1 vise")


@pytest.fixture(scope="module")
def shop_file(tmp_path_factory, empty_journal):
    """A shop with one project, made once; each test has a copy. Its project has the id 1."""
    path = tmp_path_factory.mktemp("shop") / "journal.db"
    engine = journals.copied(empty_journal, path)
    set_up(engine, pages.TODAY)
    assert pages.project(engine, listed=LIST, title="Bench & <b>vise</b>, café") == 1
    engine.dispose()
    return path


@pytest.fixture
def file_engine(tmp_path, shop_file):
    path = tmp_path / "journal.db"
    engine = journals.copied(shop_file, path)
    yield engine
    journals.removed(engine)


@pytest.fixture
def client(file_engine, tmp_path):
    return client_of(file_engine, today=pages.TODAY, data=tmp_path)


@pytest.fixture
def made():
    return 1


def found_of(engine, project_id, **given):
    with reading(engine) as session:
        return days.days_of(session, project_id, pages.TODAY, **given)


def page_of(client, project_id, tail="", status=200):
    response = client.get(f"/projects/{project_id}/days{tail}")
    assert response.status_code == status
    return pages.soup(response)


def day(when):
    return f"{when.day} {when:%b %Y}"


def accept(engine, project_id, **fields):
    with writing(engine) as session:
        row = project_records.get_project(session, project_id)
        draft = row.draft(**{"state": ProjectState.ACCEPTED, "agreed_on": pages.TODAY} | fields)
        project_records.change_project(session, project_id, draft, read_version=row.version, now=pages.NOW)


def test_the_page_says_the_weeks_first_and_the_day_they_come_to(client, file_engine, made):
    found = found_of(file_engine, made)
    said = pages.text(page_of(client, made).select_one(".days-say"))
    assert said.startswith(f"Say {weeks_text(found.weeks)}")
    assert (
        f"Eight times in ten done by {day(found.sure_on)} if deposit, agreed drawing and hardware are in hand" in said
    )


def test_the_chain_goes_from_the_start_to_the_likely_finish_with_its_rests(client, file_engine, made):
    page = page_of(client, made)
    lines = [pages.text(line) for line in page.select(".days-chain > li")]
    rests = [pages.text(line) for line in page.select(".days-chain > .days-rest")]
    assert "Drawings, client and paperwork" in lines[0]
    assert "Carry in, set up, level" in lines[-1]
    assert day(found_of(file_engine, made).likely_on) in lines[-1]
    assert any("21 days construction lumber rests in stickers" in rest for rest in rests)
    assert any("the coat before dries" in rest for rest in rests)


def test_the_bars_are_drawn_within_their_picture_and_told_again_as_a_table(client, made):
    page = page_of(client, made)
    svg = page.select_one(".bars-svg")
    width, height = float(svg["width"]), float(svg["height"])
    kinds = set()
    for bar in svg.select("rect.bars-bar"):
        x, y, wide, high = (float(bar[name]) for name in ("x", "y", "width", "height"))
        assert 0 <= x < x + wide <= width + 1
        assert 0 < y < y + high <= height
        kinds.add(bar["class"][1])
    assert kinds == {f"bars-bar--{kind}" for kind in ("work", "clamps", "drying", "resting")}
    assert svg.select_one("title").text
    assert len(page.select(".bars-names li")) == len({bar["y"] for bar in svg.select("rect.bars-bar")})
    rows = page.select(".days-weeks tbody tr")
    assert "resting" in pages.text(rows[2])


def test_the_day_it_starts_is_asked_for_in_the_address(client, file_engine, made):
    later = pages.TODAY + timedelta(days=28)
    page = page_of(client, made, f"?start={later}")
    assert page.select_one("#start")["value"] == later.isoformat()
    found = found_of(file_engine, made, start=later)
    assert day(found.sure_on) in pages.text(page.select_one(".days-say"))
    assert f"start={later}" in page.find("a", string="As a calendar file")["href"]


@pytest.mark.parametrize("start", ["yesterday", "2026-03-01", "2026-02-30", "2046-03-02"])
def test_a_start_that_cannot_be_is_refused_at_its_box(client, made, start):
    page = page_of(client, made, f"?start={start}", status=422)
    assert page.select_one("#start-error").text.strip()
    assert page.select_one("#start")["value"] == start
    assert not page.select(".days-say")


def test_what_is_promised_is_told_with_its_chance(client, file_engine, made):
    accept(file_engine, made, promised_on=pages.TODAY + timedelta(days=700))
    page = page_of(client, made)
    assert "kept 100 % of the time" in pages.text(page.select_one(".days-say"))
    assert not page.select("form[action$='/days/likely']")


def test_other_work_is_listed_with_a_way_to_it(client, file_engine, made):
    other = pages.project(file_engine, title="Sooner")
    accept(file_engine, other, promised_on=pages.TODAY + timedelta(days=30))
    entry = page_of(client, made).select_one("#other-work")
    assert entry.select_one("table a")["href"] == f"/projects/{other}/days"
    assert "promised" in pages.text(entry.select_one("tbody"))


def test_how_likely_it_is_can_be_said_and_unsaid(client, file_engine, made):
    sent = pages.form_at(client, f"/projects/{made}/days", "/days/likely")
    response = client.post(f"/projects/{made}/days/likely", data=sent | {"likely": "35"})
    assert response.status_code == 302
    assert response.location.endswith(f"/projects/{made}/days#other-work")
    with reading(file_engine) as session:
        assert records.likelihoods(session) == {made: 35}
    sent = pages.form_at(client, f"/projects/{made}/days", "/days/likely")
    assert sent["likely"] == "35"
    client.post(f"/projects/{made}/days/likely", data=sent | {"likely": ""})
    with reading(file_engine) as session:
        assert records.likelihoods(session) == {}


@pytest.mark.parametrize("likely", ["101", "-1", "half", "3.5"])
def test_a_likelihood_that_is_none_is_refused_as_it_was_typed(client, file_engine, made, likely):
    sent = pages.form_at(client, f"/projects/{made}/days", "/days/likely")
    response = client.post(f"/projects/{made}/days/likely", data=sent | {"likely": likely})
    assert response.status_code == 422
    box = pages.soup(response).select_one("#likely")
    assert (box["value"], box["aria-invalid"]) == (likely, "true")
    with reading(file_engine) as session:
        assert records.likelihoods(session) == {}


def test_how_likely_a_promise_is_cannot_be_said(client, file_engine, made):
    sent = pages.form_at(client, f"/projects/{made}/days", "/days/likely")
    accept(file_engine, made)
    assert client.post(f"/projects/{made}/days/likely", data=sent | {"likely": "5"}).status_code == 422


def test_what_the_client_brings_is_kept(client, file_engine, made):
    sent = pages.form_at(client, f"/projects/{made}/days", "/days/hardware")
    response = client.post(f"/projects/{made}/days/hardware", data=sent | {"brought": ["vise"]})
    assert response.status_code == 302
    with reading(file_engine) as session:
        assert records.brought(session, made) == {"vise"}
    page = page_of(client, made)
    assert "the client brings it" in pages.text(page.select_one("#hardware tbody"))
    assert page.select_one("input[name=brought][value=vise]").has_attr("checked")


def test_hardware_that_is_not_fitted_is_refused(client, file_engine, made):
    sent = pages.form_at(client, f"/projects/{made}/days", "/days/hardware")
    assert client.post(f"/projects/{made}/days/hardware", data=sent | {"brought": ["anvil"]}).status_code == 422
    with reading(file_engine) as session:
        assert records.brought(session, made) == frozenset()


@pytest.mark.parametrize("errand", ["likely", "hardware"])
def test_a_form_of_another_site_changes_nothing(client, file_engine, made, errand):
    response = client.post(f"/projects/{made}/days/{errand}", data={"likely": "5", "brought": "vise"})
    assert response.status_code == 400
    with reading(file_engine) as session:
        assert (records.likelihoods(session), records.brought(session, made)) == ({}, frozenset())


def test_the_calendar_file_is_read_again_by_the_library_with_every_text_whole(client, file_engine, made):
    response = client.get(f"/projects/{made}/days.ics")
    assert response.mimetype == "text/calendar"
    assert "attachment" in response.headers["Content-Disposition"]
    read = Calendar.from_ical(response.data)
    found = found_of(file_engine, made)
    events = read.walk("VEVENT")
    # RFC 5545, 3.6 and 3.6.1: version and product; UID and DTSTAMP on every event, each UID once, an end after its start.
    assert (read["version"], read["prodid"] != "") == ("2.0", True)
    uids = [str(event["uid"]) for event in events]
    assert len(set(uids)) == len(uids)
    for event in events:
        assert event["dtstamp"].dt == pages.NOW
        assert event["dtstart"].dt <= event["dtend"].dt
        assert not event.errors
    summaries = [str(event["summary"]) for event in events]
    code = found.project.code
    assert f"{code} Drawings, client and paperwork" in summaries
    assert any("Construction lumber rests in stickers" in summary for summary in summaries)
    last = events[-1]
    assert last["dtstart"].dt == found.sure_on
    assert "Bench & <b>vise</b>, café" in str(last["summary"])
    sand = next(event for event in events if str(event["summary"]).endswith(" Sand"))
    rows = [row for row in found.likely.rows if found.parts[row.activity.key].step == "sand"]
    assert sand["dtstart"].dt.timestamp() == min(row.start for row in rows) * 60


def test_the_calendar_file_keeps_the_lines_of_its_standard(client, made):
    # RFC 5545, 3.1: lines end with CR LF and are no longer than 75 octets without them; 3.3.11: commas are escaped.
    raw = client.get(f"/projects/{made}/days.ics").data
    assert raw.count(b"\n") == raw.count(b"\r\n")
    assert max(len(line) for line in raw.split(b"\r\n")) <= 75
    assert b"Drawings\\, client" in raw


def test_a_step_keeps_its_uid_when_its_day_moves(client, made):
    def uids(tail=""):
        read = Calendar.from_ical(client.get(f"/projects/{made}/days.ics{tail}").data)
        return {str(event["summary"]): (str(event["uid"]), event["dtstart"].dt) for event in read.walk("VEVENT")}

    now, later = uids(), uids(f"?start={pages.TODAY + timedelta(days=7)}")
    assert now.keys() == later.keys()
    assert all(now[name][0] == later[name][0] for name in now)
    assert any(now[name][1] != later[name][1] for name in now)


def test_the_same_comes_as_json(client, file_engine, made):
    told = client.get(f"/projects/{made}/days.json").get_json()
    assert told["weeks"] == found_of(file_engine, made).weeks


def test_a_bad_start_is_refused_in_a_file_too(client, made):
    assert client.get(f"/projects/{made}/days.ics?start=soon").status_code == 422
    assert client.get(f"/projects/{made}/days.json?start=2020-01-01").status_code == 422


def test_texts_are_escaped(client, made):
    response = client.get(f"/projects/{made}/days")
    assert "<b>vise</b>" not in response.get_data(as_text=True)


def test_without_parts_the_page_leads_to_them(client, file_engine):
    bare = pages.project(file_engine, listed="")
    assert page_of(client, bare).select_one(f"a.button[href='/projects/{bare}/parts']")


def test_what_stands_in_the_way_is_said_with_the_fix(client, file_engine, made):
    with writing(file_engine) as session:
        sheet = hours.sheet(session, read_shop(session, pages.TODAY), pages.TODAY)
        hours.save_hours(session, ("8:00–8:10", "", "", "", "", "", ""), None, {}, stamp=sheet.stamp)
    page = page_of(client, made)
    said = pages.text(page.select_one(".notice"))
    assert re.search(r"without a break, and the shop is open 10 at most; give one day longer hours", said)
    assert page.select_one("a[href='/shop/hours']")


@pytest.mark.parametrize("tail", ["", ".ics", ".json"])
def test_no_such_project(client, tail):
    assert client.get(f"/projects/999/days{tail}").status_code == 404


def test_a_warm_page_asks_little_of_the_journal(client, file_engine, made):
    page_of(client, made)
    assert pages.statements(file_engine, lambda: page_of(client, made)) <= 30


def test_the_first_lines_say_how_many_hours_a_week_it_counts_with_and_shop_says_the_same(client, file_engine, made):
    bench = pages.soup(client.get("/shop"))
    assert bench.select_one("#logged-week") is None
    said = page_of(client, made).select_one(".days-say #days-bench")
    # Nothing is logged: 25 h a week are typed, and 70% of the open hours by the starting table, to five minutes a day.
    assert "about 25.0 h a week at the bench: 70% of the open hours" in pages.text(said)
    assert said.a["href"] == "/shop/hours"
    with writing(file_engine) as session:
        for weeks in range(2, 10):
            on = pages.TODAY - timedelta(weeks=weeks)
            log.add_entry(
                session, log.EntryDraft(project_id=made, on_date=on, seconds=36_000, stage="milling"), now=pages.NOW
            )
    bench = found_of(file_engine, made).bench
    counted = f"{bench.week_minutes / 60:.1f} h"
    said = page_of(client, made).select_one(".days-say #days-bench")
    assert f"about {counted} a week at the bench: {bench.share:.0%} of the open hours" in pages.text(said)
    beside = pages.soup(client.get("/shop")).select_one("#logged-week")
    assert f"Your log says {counted} a week, by 8 weeks" in pages.text(beside)
    assert said.a["href"] == beside.a["href"] == "/paces#beside-the-paces"
    assert pages.soup(client.get("/paces")).select_one("#beside-the-paces")


@pytest.mark.parametrize(
    ("weeks", "said"), [(0.5, "half a week"), (1, "1 week"), (1.5, "1½ weeks"), (9, "9 weeks"), (27.5, "27½ weeks")]
)
def test_weeks_are_said_as_people_say_them(weeks, said):
    assert weeks_text(weeks) == said


def test_how_sure_is_said_in_tenths_where_it_is_one():
    assert (sure_words(80), sure_words(85)) == ("eight times in ten", "85 times in a hundred")


@pytest.mark.parametrize(
    ("minutes", "said"), [(60, "1 h"), (18 * 60, "18 h"), (1440, "1 day"), (2160, "1½ days"), (30240, "21 days")]
)
def test_waits_are_said_in_days(minutes, said):
    assert how_long(minutes) == said
