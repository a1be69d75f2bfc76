"""Today: what it shows, and that every button does what it says, once."""

import json
from datetime import UTC, datetime, timedelta

import pytest
from journal.desk import taps
from journal.records.engine import reading, writing
from journal.records.queries import devices, logbook, projects
from journal.records.queries import taps as tap_records
from journal.records.words import ProjectState
from tests import factories
from tests.desk import floor_shop
from tests.web.floor_pages import open_floor
from tests.web.project_pages import NOW, TODAY, filled, open_shop, project, soup, statements, text


@pytest.fixture
def floor(file_engine, tmp_path):
    """(client, engine, project, first and second person)."""
    client, (made,), who = open_floor(file_engine, tmp_path)
    return client, file_engine, made, *who


def today(client):
    return soup(client.get("/today"))


def entries(engine):
    with reading(engine) as session:
        return logbook.entries_between(session, TODAY - timedelta(days=2), TODAY)


def button(page, label):
    """The form of the button that says so, as a browser would send it."""
    (found,) = [one for one in page.select("form") if one.button and text(one.button) == label]
    return found["action"], filled(found) | _pressed(found.button)


def _pressed(pressed):
    return {pressed["name"]: pressed["value"]} if pressed.has_attr("name") else {}


def press(client, said, page=None, **more):
    action, data = button(page or today(client), said)
    return client.post(action, data=data | more)


class TestEmpty:
    def test_a_shop_without_projects_says_what_to_do_first(self, file_engine, tmp_path):
        page = today(open_shop(file_engine, tmp_path))
        assert text(page.select_one(".empty h2")) == "No project yet"
        assert page.select_one(".empty a")["href"] == "/projects/new"
        assert page.title.text.startswith("Today")

    def test_a_shop_with_nothing_in_build_leads_to_its_projects(self, file_engine, tmp_path):
        client = open_shop(file_engine, tmp_path)
        project(file_engine)
        assert text(today(client).select_one(".empty h2")) == "Nothing is in build"

    def test_it_is_the_first_section_and_the_home_page(self, file_engine, tmp_path):
        client = open_shop(file_engine, tmp_path)
        project(file_engine)  # a shop without one is welcomed first
        assert client.get("/").location == "/today"


class TestClock:
    def test_one_tap_starts_what_is_next_and_one_stops_it(self, floor):
        client, engine, _, one, _ = floor
        answer = press(client, "Crosscut to rough length")
        assert (answer.status_code, answer.location) == (303, "/today")
        page = today(client)
        card = page.select_one(".clock--running")
        assert text(card.h2) == "Crosscut to rough length"
        assert "bench 1" in text(card)
        assert text(page.select_one(".last-change p")) == "12:00 Started Crosscut to rough length."
        press(client, "Stop")
        assert today(client).select(".clock") == []
        with reading(engine) as session:
            assert [row.worker_id for row in tap_records.taps_after(session, one, NOW - timedelta(days=1))] == [one] * 2
        assert entries(engine) == ()  # at the very same moment: nothing to log

    def test_a_form_sent_twice_taps_once(self, floor):
        client, engine, *_ = floor
        action, data = button(today(client), "Crosscut to rough length")
        for _ in range(2):
            assert client.post(action, data=data).status_code == 303
        with reading(engine) as session:
            assert len(tap_records.newest_windows(session)) == 1

    def test_two_people_are_chosen_once_and_start_together(self, floor):
        client, _, _, one, two = floor
        (form,) = [form for form in today(client).select("form") if form["action"] == "/floor/who"]
        mark = filled(form)["csrf_token"]
        client.post("/floor/who", data={"csrf_token": mark, "who": [one, two]})
        page = today(client)
        assert [box["value"] for box in page.select(".who [checked]")] == [str(one), str(two)]
        action, data = button(page, "Crosscut to rough length")
        client.post(action, data=data | {"who": [one, two]})
        assert [text(card.select_one(".clock-who")) for card in today(client).select(".clock--running")] == [
            "bench 1", "bench 2",
        ]  # fmt: skip
        assert client.post("/floor/who", data={"csrf_token": mark, "who": [99]}).status_code == 422
        assert client.post("/floor/who", data={"csrf_token": mark}).status_code == 422

    def test_a_pause_waits_to_be_resumed(self, floor):
        client, *_ = floor
        press(client, "Crosscut to rough length")
        press(client, "Pause")
        assert text(today(client).select_one(".clock .state")) == "paused"
        press(client, "Go on")
        assert today(client).select_one(".clock--running")

    def test_undo_takes_the_start_back(self, floor):
        client, *_ = floor
        press(client, "Crosscut to rough length")
        press(client, "Undo")
        page = today(client)
        assert page.select(".clock") == []
        assert "Taken back: started Crosscut to rough length." in text(page.select_one(".notices"))
        assert page.select(".last-change") == []

    def test_a_shop_without_anybody_gets_its_first_place_at_the_bench(self, file_engine, tmp_path):
        client, *_ = open_floor(file_engine, tmp_path, people=0)
        press(client, "Crosscut to rough length")
        assert "Bench 1" in text(today(client).select_one("#bench"))

    def test_a_form_nobody_gave_out_is_refused_and_taps_nothing(self, floor):
        client, engine, *_ = floor
        action, data = button(today(client), "Crosscut to rough length")
        slips = (
            ({"what": "begin"}, 422),
            ({"work": "juggling"}, 404),
            ({"work": ""}, 422),
            ({"project": "99"}, 404),
            ({"project": "1 OR 1"}, 422),
            ({"project": "9" * 30}, 422),
            ({"who": "99"}, 404),
            ({"who": "٣"}, 422),
            ({"key": ""}, 422),
            ({"csrf_token": "stale"}, 400),
        )
        for changed, status in slips:
            assert client.post(action, data=data | changed).status_code == status, changed
        with reading(engine) as session:
            assert tap_records.newest_windows(session) == ()

    def test_a_look_changes_nothing(self, floor):
        client, engine, made, *_ = floor
        for path in ("/today", "/floor/tap", f"/floor/start?project={made}&work=joint_face", f"/floor/choose/{made}"):
            client.get(path)
        with reading(engine) as session:
            assert tap_records.newest_windows(session) == ()

    def test_after_a_tap_one_is_led_to_our_own_pages_only(self, floor):
        client, *_ = floor
        for back, there in (
            ("/evening", "/evening"), ("//evil.example", "/today"), ("https://evil.example/", "/today"),
            ("/\\evil.example", "/today"), ("/a\r\nSet-Cookie: x=1", "/today"), ("", "/today"),
        ):  # fmt: skip
            action, data = button(today(client), "Crosscut to rough length")
            assert client.post(action, data=data | {"back": back}).location == there

    def test_another_place_at_the_bench_is_a_role(self, floor):
        client, *_ = floor
        page = today(client)
        press(client, "Add", page, label="the apprentice")
        assert "the apprentice" in text(today(client).select_one("#bench"))
        assert press(client, "Add", page, label="the apprentice").status_code == 422


def start_ago(engine, made, one, hours):
    """A clock somebody started so many hours ago."""
    began = NOW - timedelta(hours=hours)
    with writing(engine) as session:
        device = devices.server_device(session, now=NOW)
        key = taps.Key(device.id, tap_records.next_sequence(session, device.id))
        tap = taps.Tap(key, one, taps.What.START, floor_shop.planing(made), began)
        tap_records.add_tap(session, tap, now=NOW)
        taps.work_out(session, one, began, zone=UTC, now=NOW)


def test_i_stopped_at_eleven(floor):
    client, engine, made, one, _ = floor
    start_ago(engine, made, one, 3)
    page = today(client)
    assert text(page.select_one(".clock-count")) == "3 h"
    refused = press(client, "Stop it there", page, ended="1 pm")  # it is noon
    assert refused.status_code == 422
    assert soup(refused).select_one("[aria-invalid=true]")["value"] == "1 pm"
    press(client, "Stop it there", page, ended="11")
    assert [row.seconds for row in entries(engine)] == [2 * 3600]
    assert today(client).select(".clock") == []


class TestForgotten:
    @pytest.fixture
    def left(self, floor):
        _, engine, made, one, _ = floor
        start_ago(engine, made, one, 21)
        return floor

    def test_it_asks_first_and_logs_what_it_is_told(self, left):
        client, engine, *_ = left
        page = today(client)
        assert text(page.select_one(".clock--asks h2")) == "When did plane to thickness end?"
        assert page.select(".clock--running") == []
        press(client, "Log it so", page, ended="5 pm", do="ended")
        assert [row.seconds for row in entries(engine)] == [2 * 3600]
        assert today(client).select(".clock--asks") == []

    def test_what_cannot_be_read_comes_back_at_its_box(self, left):
        client, engine, *_ = left
        answer = press(client, "Log it so", ended="<b>soon</b>", do="ended")
        assert answer.status_code == 422
        box = soup(answer).select_one("[aria-invalid=true]")
        assert box["value"] == "<b>soon</b>"
        assert "expected a time of day" in text(soup(answer).find(id=box["aria-describedby"]))
        assert entries(engine) == ()

    def test_nothing_of_it_may_be_work(self, left):
        client, engine, *_ = left
        page = today(client)
        action, data = button_in(page, ".clock--asks", "nothing")
        client.post(action, data=data)
        assert today(client).select(".clock--asks") == []
        assert entries(engine) == ()


def button_in(page, where, do):
    form = page.select_one(where)
    return form["action"], filled(form) | {"do": do}


class TestTold:
    def test_a_refused_tap_is_shown_until_it_is_seen(self, floor):
        client, engine, made, one, _ = floor
        with writing(engine) as session:
            device = taps.device_of(session, taps.pair(session, "a" * 32, "", now=NOW))
            bad = floor_shop.body(1, "start", made, "juggling", NOW, person=one)
            taps.take(session, device, [bad], zone=UTC, now=NOW)
        assert "juggling" in text(today(client).select_one(".notice--bad"))
        press(client, "Seen")
        assert today(client).select(".notice--bad") == []

    def test_markup_in_titles_and_labels_is_text(self, file_engine, tmp_path):
        client, *_ = open_floor(file_engine, tmp_path, titles=("<script>alert(1)</script> 🪵",))
        page = today(client)
        assert "<script>alert(1)</script> 🪵" in text(page.select_one(".next-of"))
        assert page.select("main script") == []

    def test_evenings_without_a_log_lead_to_their_entry(self, floor):
        client, engine, made, *_ = floor
        for back in range(1, 40):
            if (TODAY - timedelta(days=back)).weekday() < 5 and back != 3:
                with writing(engine) as session:
                    factories.entry(session, project_id=made, on_date=TODAY - timedelta(days=back))
        (link,) = today(client).select("#not-logged .button")
        assert (text(link), link["href"]) == ("Friday 27 Feb", "/evening?day=2026-02-27")

    def test_ahead_is_a_page_of_its_own_and_a_piece_for_today(self, floor):
        client, *_ = floor
        assert today(client).select_one("[data-fill]")["data-fill"] == "/today/ahead"
        page = soup(client.get("/today/ahead"))
        assert "to come" in text(page.select_one("[data-piece] .due"))

    def test_the_chance_of_a_promised_day_is_that_of_days_or_none(self, file_engine, tmp_path):
        client = open_shop(file_engine, tmp_path)
        made = project(file_engine)
        with writing(file_engine) as session:
            row = projects.get_project(session, made)
            begun = row.draft(state=ProjectState.IN_BUILD, agreed_on=TODAY, promised_on=TODAY + timedelta(days=7))
            projects.change_project(session, made, begun, read_version=row.version, now=NOW)
        before = text(soup(client.get("/today/ahead")).select_one(".due"))
        assert "Whether the day can be kept, Days says" in before
        assert "of the time" not in before
        assert "kept 0 % of the time" in text(soup(client.get(f"/projects/{made}/days")).select_one(".days-say"))
        after = soup(client.get("/today/ahead")).select_one(".due")
        assert "Kept 0 % of the time, as Days has it" in text(after)
        assert "state--bad" in after.select_one(".state")["class"]

    def test_its_statements_do_not_grow_with_the_log(self, floor):
        client, engine, made, one, two = floor
        client.get("/today")
        few = statements(engine, lambda: client.get("/today"))
        with writing(engine) as session:
            for back in range(1, 60):
                factories.entry(session, project_id=made, on_date=TODAY - timedelta(days=back), worker_id=one)
                factories.entry(session, project_id=made, on_date=TODAY - timedelta(days=back), worker_id=two)
            for _ in range(5):
                floor_shop.in_build(session)
        client.get("/today")  # a plan is read once, when it is first seen
        assert statements(engine, lambda: client.get("/today")) == few


class TestTaps:
    """What a device's queue sends."""

    @pytest.fixture
    def paired(self, floor):
        client, engine, made, one, _ = floor
        mark = today(client).select_one("input[name=csrf_token]")["value"]
        answer = client.post("/floor/device", data={"csrf_token": mark, "uid": "a" * 32, "label": "phone"})
        assert answer.headers["Cache-Control"] == "no-store"
        return client, engine, made, one, answer.json["token"]

    def send(self, client, token, bodies, **headers):
        return client.post(
            "/floor/taps",
            data=json.dumps({"taps": bodies}),
            headers={"Content-Type": "application/json", "X-Journal-Device": token} | headers,
        )

    def body(self, made, one, **given):
        moment = datetime(2026, 3, 2, 11, tzinfo=UTC)
        return floor_shop.body(1, "start", made, "joint_face", moment, person=one) | given

    def test_they_are_taken_without_a_forms_mark_and_once(self, paired):
        client, engine, made, one, token = paired
        for state in ("kept", "known"):
            answer = self.send(client, token, [self.body(made, one)])
            assert answer.json == {"answers": [{"sequence": 1, "state": state, "why": ""}]}
        with reading(engine) as session:
            assert [row.at.hour for row in tap_records.newest_windows(session)] == [11]

    def test_only_our_own_pages_with_a_devices_token_may_send_them(self, paired):
        client, engine, made, one, token = paired
        strangers = (
            ({"X-Journal-Device": ""}, 401),
            ({"X-Journal-Device": "guessed"}, 401),
            ({"Content-Type": "text/plain"}, 403),
            ({"Content-Type": "application/x-www-form-urlencoded"}, 403),
            ({"Origin": "https://evil.example"}, 403),
            ({"Origin": "null"}, 403),
            ({"Sec-Fetch-Site": "cross-site"}, 403),
            ({"Sec-Fetch-Site": "same-site"}, 403),
        )
        for headers, status in strangers:
            assert self.send(client, token, [self.body(made, one)], **headers).status_code == status, headers
        with reading(engine) as session:
            assert tap_records.newest_windows(session) == ()
        ours = {"Sec-Fetch-Site": "same-origin", "Origin": "http://localhost"}
        assert self.send(client, token, [self.body(made, one)], **ours).json["answers"][0]["state"] == "kept"

    def test_what_is_no_list_of_taps_is_refused(self, paired):
        client, _, _, _, token = paired
        headers = {"Content-Type": "application/json", "X-Journal-Device": token}
        for data in ("", "[", "[]", "7", '{"taps": 7}', "{}", '"\\ud800"'):
            assert client.post("/floor/taps", data=data, headers=headers).status_code == 400, data

    def test_a_heap_is_refused_before_it_is_read(self, paired):
        client, _, _, _, token = paired
        assert self.send(client, token, ["x" * 300_000]).status_code == 413

    def test_a_revoked_device_is_no_longer_heard(self, paired):
        client, engine, made, one, token = paired
        with writing(engine) as session:
            devices.revoke_device(session, devices.devices(session)[0].id, now=NOW)
        assert self.send(client, token, [self.body(made, one)]).status_code == 401

    def test_pairing_needs_a_forms_mark(self, floor):
        client, *_ = floor
        assert client.post("/floor/device", data={"uid": "a" * 32}).status_code == 400

    def test_the_worker_may_answer_for_the_whole_journal_and_is_asked_for_anew(self, floor):
        client, *_ = floor
        answer = client.get("/floor/worker.js")
        assert answer.headers["Service-Worker-Allowed"] == "/"
        assert answer.headers["Cache-Control"] == "no-cache"
        assert answer.mimetype == "text/javascript"


class TestStart:
    """What a printed code leads to."""

    def test_a_code_shows_one_button_that_starts_it(self, floor):
        client, _, made, *_ = floor
        page = soup(client.get(f"/floor/start?project={made}&work=joint_face"))
        assert text(page.h1) == "Joint one face"
        press(client, "Start", page)
        assert text(today(client).select_one(".clock--running h2")) == "Joint one face"

    def test_a_code_of_something_else_is_refused(self, floor):
        client, *_ = floor
        slips = {
            "project=99&work=joint_face": 404,
            "project=1&work=juggling": 404,
            "project=x&work=joint_face": 422,
            "": 422,
        }
        for query, status in slips.items():
            assert client.get(f"/floor/start?{query}").status_code == status, query

    def test_everything_may_be_chosen_by_operation_or_as_a_stage(self, floor):
        client, _, made, *_ = floor
        page = soup(client.get(f"/floor/choose/{made}"))
        press(client, "Plane to thickness", page)
        assert text(today(client).select_one(".clock--running h2")) == "Plane to thickness"
        form = next(one for one in page.select("form") if filled(one).get("by_stage") == "1")
        client.post(form["action"], data=filled(form))
        assert text(today(client).select_one(".clock--running h2")) == "Milling"
        assert client.get("/floor/choose/99").status_code == 404
