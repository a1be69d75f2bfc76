"""The evening entry: filled from clock and plan, kept in one sending, kept as typed when refused."""

from datetime import timedelta

import pytest
from journal.records.engine import reading, writing
from journal.records.queries import logbook, plans
from journal.records.words import EntrySource
from tests import factories
from tests.web.floor_pages import entry, open_floor
from tests.web.project_pages import TODAY, filled, soup, statements, text


@pytest.fixture
def floor(file_engine, tmp_path):
    """(client, engine, project)."""
    client, (made,), _ = open_floor(file_engine, tmp_path, people=1)
    return client, file_engine, made


def page_of(client, path="/evening"):
    return soup(client.get(path))


def form_of(page, kind="evening"):
    return filled(page.select_one(f"form.{kind}-form"))


def entries(engine):
    with reading(engine) as session:
        return logbook.entries_between(session, TODAY - timedelta(days=9), TODAY)


def logged(engine):
    return [(row.operation or row.stage, row.on_date, row.seconds) for row in entries(engine)]


def keep(client, path="/evening", kind="evening", **typed):
    data = form_of(page_of(client, path), kind)
    assert set(typed) <= {*data, *(name for name in typed if name.endswith(".done"))}
    return client.post(path.partition("?")[0], data=data | typed)


def foot_of(page):
    """What the foot shows of the sum: what is hidden is not shown."""
    foot = page.select_one(".evening-sum")
    for hidden in foot.select("[hidden]"):
        hidden.decompose()
    return " ".join(foot.get_text().split())


def test_hours_by_stage_and_operation_are_kept_and_shown_again(floor):
    client, engine, made = floor
    answer = keep(client, **{f"{made}.s.milling.0": "1.5", f"{made}.o.joint_face.0": "45 min", "0.s.shop.0": "0:15"})
    assert (answer.status_code, answer.location) == (303, "/evening?who=1")
    assert sorted(logged(engine)) == [("joint_face", TODAY, 2700), ("milling", TODAY, 5400), ("shop", TODAY, 900)]
    page = page_of(client)
    assert page.select_one(f"[name='{made}.s.milling.0']")["value"] == "1:30"
    assert page.select_one("details.by-operation[open]")
    assert text(page.select_one("[data-sum]")) == "2 h 30 min"
    assert "Logged 2 h 30 min" in text(page.select_one(".last-change"))


def test_sent_twice_it_is_kept_once(floor):
    client, engine, made = floor
    data = form_of(page_of(client)) | {f"{made}.s.milling.0": "2"}
    for _ in range(2):
        assert client.post("/evening", data=data).status_code == 303
    assert logged(engine) == [("milling", TODAY, 7200)]


def test_it_opens_with_what_the_clock_has_and_sent_unchanged_changes_nothing(floor):
    client, engine, made = floor
    made_at = {
        "operation": "joint_face",
        "on_date": TODAY,
        "seconds": 4837,
        "worker_id": 1,
        "source": EntrySource.CLOCK,
    }
    entry(engine, made, **made_at)
    before = entries(engine)
    page = page_of(client)
    assert page.select_one(f"[name='{made}.o.joint_face.0']")["value"] == "1:20:37"
    assert "clock" in text(page.select_one(".clocked"))
    keep(client)
    assert entries(engine) == before
    keep(client, **{f"{made}.o.joint_face.0": "1"})
    assert [row.seconds for row in entries(engine)] == [3600]
    with reading(engine) as session:
        (change,) = logbook.changes_of_all(session, [before[0].id])[before[0].id]
    assert (change.old, change.new, change.why) == ("4837", "3600", "evening entry")


def test_what_cannot_be_read_is_marked_at_its_box_and_all_that_was_typed_is_kept(floor):
    client, engine, made = floor
    typed = {f"{made}.s.milling.0": "a while", f"{made}.o.joint_face.0": "1:30", f"note.{made}": "قلم 🪵\r\ntwo lines"}
    answer = keep(client, **typed)
    assert answer.status_code == 422
    page = soup(answer)
    box = page.select_one("[aria-invalid=true]")
    assert (box["name"], box["value"]) == (f"{made}.s.milling.0", "a while")
    assert "Read “a while”" in text(page.find(id=box["aria-describedby"]))
    assert page.select_one(f"[name='{made}.o.joint_face.0']")["value"] == "1:30"
    assert page.select_one("textarea").text.strip() == "قلم 🪵\ntwo lines"
    assert page.select_one("[role=alert]")
    assert foot_of(page) == "1 h 30 min in all, without what could not be read"
    assert entries(engine) == ()


@pytest.mark.parametrize("typed", ["25", "45", "-1", "1:75", "1e3", "٣", "<b>1</b>"])
def test_no_evening_is_like_that(floor, typed):
    client, engine, made = floor
    assert keep(client, **{f"{made}.s.milling.0": typed}).status_code == 422
    assert entries(engine) == ()


def test_a_day_that_is_over_full_is_refused_and_kept_as_typed(floor):
    client, engine, made = floor
    answer = keep(client, **{f"{made}.s.milling.0": "13", f"{made}.o.joint_face.0": "13"})
    assert answer.status_code == 422
    assert "at most the 24.0 h of that day" in text(soup(answer).select_one("[role=alert]"))
    assert soup(answer).select_one(f"[name='{made}.s.milling.0']")["value"] == "13"
    assert text(soup(answer).select_one("[data-sum]")) == "26 h"
    assert entries(engine) == ()


def test_a_quantity_is_corrected_in_place_or_called_all_done(floor):
    client, engine, made = floor
    keep(client, **{f"{made}.o.joint_face.built": "72", f"{made}.o.close_clamps.built.done": "1"})
    with reading(engine) as session:
        rows = {row.operation: (row.quantity, row.setups) for row in plans.built(session, made)}
    assert rows == {"joint_face": (72.0, 1), "close_clamps": (20.0, 2)}
    page = page_of(client)
    assert page.select_one(f"[name='{made}.o.joint_face.built']")["value"] == "72"
    assert page.select(f"[name='{made}.o.joint_face.built.done']") == []
    for typed in ("many", "-1", "1e9", ""):
        answer = keep(client, **{f"{made}.o.joint_face.built": typed})
        assert answer.status_code == 422
        assert soup(answer).select_one("[aria-invalid=true]")["name"] == f"{made}.o.joint_face.built"


def test_a_note_without_any_time_is_refused_at_its_box(floor):
    client, engine, made = floor
    answer = keep(client, **{f"note.{made}": "wind in the boards"})
    assert answer.status_code == 422
    assert "some time on this project" in text(soup(answer).find(id=f"note-{made}-error"))
    keep(client, **{f"note.{made}": "wind in the boards", f"{made}.s.milling.0": "1"})
    assert [row.note for row in entries(engine)] == ["wind in the boards"]


def test_an_evening_is_taken_back_whole(floor):
    client, engine, made = floor
    keep(client, **{f"{made}.s.milling.0": "1", f"{made}.o.joint_face.0": "1", f"{made}.o.joint_face.built": "72"})
    form = page_of(client).select_one("form.last-change")
    assert client.post(form["action"], data=filled(form)).location == "/evening?day=2026-03-02"
    assert entries(engine) == ()
    with reading(engine) as session:
        assert plans.built(session, made) == ()
    assert client.post(form["action"], data=filled(form)).status_code == 409


def test_another_day_and_another_person_are_told_apart(file_engine, tmp_path):
    client, (made,), (_, two) = open_floor(file_engine, tmp_path, people=2)
    path = f"/evening?day=2026-02-27&who={two}"
    keep(client, path, **{f"{made}.s.milling.0": "2"})
    (row,) = entries(file_engine)
    assert (row.on_date.isoformat(), row.worker_id) == ("2026-02-27", two)
    assert page_of(client, "/evening?day=2026-02-27").select_one(f"[name='{made}.s.milling.0']")["value"] == ""
    assert page_of(client, path).select_one(f"[name='{made}.s.milling.0']")["value"] == "2:00"


@pytest.mark.parametrize("day", ["2026-03-03", "tomorrow", "1999-12-31", "2026-02-30"])
def test_a_day_to_come_or_none_at_all_is_refused(floor, day):
    client, *_ = floor
    assert client.get(f"/evening?day={day}").status_code == 422
    assert client.get(f"/evening/week?week={day}").status_code == 422


def test_a_week_is_kept_at_once_up_to_today(floor):
    client, engine, made = floor
    path = "/evening/week?week=2026-02-25"
    assert (
        keep(client, path, "week", **{f"{made}.s.milling.{place}": str(place + 1) for place in range(7)}).status_code
        == 303
    )
    assert [seconds for *_, seconds in logged(engine)] == [3600 * (place + 1) for place in range(7)]
    assert text(page_of(client, path).select_one("tfoot")).startswith("As it stands, all told 1 h 2 h 3 h")
    this_week = page_of(client, "/evening/week")
    assert this_week.select(f"[name='{made}.s.milling.0']")
    assert this_week.select(f"[name='{made}.s.milling.1']") == []  # tomorrow


def test_a_week_refused_is_shown_as_typed(floor):
    client, engine, made = floor
    answer = keep(
        client, "/evening/week?week=2026-02-25", "week", **{f"{made}.s.milling.0": "2", f"{made}.s.milling.3": "x"}
    )
    assert answer.status_code == 422
    page = soup(answer)
    assert page.select_one(f"[name='{made}.s.milling.0']")["value"] == "2"
    assert [box["name"] for box in page.select("[aria-invalid=true]")] == [f"{made}.s.milling.3"]
    assert entries(engine) == ()


def test_the_mark_of_a_form_is_needed(floor):
    client, engine, made = floor
    data = form_of(page_of(client)) | {f"{made}.s.milling.0": "2"}
    for path in ("/evening", "/evening/week"):
        assert client.post(path, data=data | {"csrf_token": ""}).status_code == 400
    assert entries(engine) == ()


def test_every_box_has_a_label_and_ids_are_unique(floor):
    client, *_ = floor
    for path in ("/evening", "/evening/week"):
        page = page_of(client, path)
        ids = [tag["id"] for tag in page.select("[id]")]
        assert len(ids) == len(set(ids))
        boxes = page.select("main .box")
        assert boxes
        assert all(page.select_one(f"label[for='{box['id']}']").text.strip() for box in boxes)


def test_its_statements_do_not_grow(floor):
    client, engine, made = floor
    client.get("/evening")
    few = statements(engine, lambda: client.get("/evening"))
    with writing(engine) as session:
        for back in range(60):
            factories.entry(session, project_id=made, on_date=TODAY - timedelta(days=back), worker_id=1)
    client.get("/evening")  # what is remembered of the journal is read anew once
    assert statements(engine, lambda: client.get("/evening")) == few


def test_a_shop_with_nothing_in_build_may_tell_its_own_time(file_engine, tmp_path):
    client, *_ = open_floor(file_engine, tmp_path, people=0, titles=())
    keep(client, **{"0.s.shop.0": "1"})
    assert [(row.project_id, row.seconds, row.worker_id) for row in entries(file_engine)] == [(None, 3600, None)]


class TestTwoAtOnce:
    @pytest.fixture
    def two(self, file_engine, tmp_path):
        client, (made,), who = open_floor(file_engine, tmp_path)
        return client, file_engine, made, who

    @pytest.mark.parametrize(("path", "kind"), [("/evening", "evening"), ("/evening/week", "week")])
    def test_a_tick_gives_the_other_the_same_hours(self, two, path, kind):
        client, engine, made, who = two
        page = page_of(client, path)
        assert text(page.select_one(".same-for legend")) == "The same work was done by"
        assert [text(box) for box in page.select(".same-for label")] == ["bench 2"]
        assert not page.select(".same-for [checked]")
        box = next(one["name"] for one in page.select(f".{kind}-form .hours-box") if f"{made}.s.milling" in one["name"])
        assert client.post(path, data=form_of(page, kind) | {box: "2", "also": who[1]}).status_code == 303
        assert sorted((row.worker_id, row.seconds) for row in entries(engine)) == [(who[0], 7200), (who[1], 7200)]
        assert "Logged 2 h for each of 2" in text(page_of(client, path).select_one(".last-change"))

    def test_a_refusal_keeps_the_tick(self, two):
        client, engine, made, who = two
        sent = form_of(page_of(client)) | {f"{made}.s.milling.0": "much", "also": who[1]}
        answer = client.post("/evening", data=sent)
        assert answer.status_code == 422
        assert soup(answer).select_one(".same-for [checked]")["value"] == str(who[1])
        assert entries(engine) == ()

    def test_the_foot_counts_the_hours_of_whoever_is_ticked(self, two):
        client, _, made, who = two
        assert text(page_of(client).select_one("[data-sum]")) == "0 min"
        keep(client, **{f"{made}.s.milling.0": "1"})
        boxes = {f"{made}.s.milling.0": "3:30", f"note.{made}": "x" * 3_000}
        answer = client.post("/evening", data=form_of(page_of(client)) | boxes | {"also": who[1]})
        assert answer.status_code == 422
        assert foot_of(soup(answer)) == "6 h in all: 3 h 30 min here, 2 h 30 min for each one ticked"
        alone = client.post("/evening", data=form_of(page_of(client)) | boxes)
        assert foot_of(soup(alone)) == "3 h 30 min in all"

    def test_alone_at_the_bench_nobody_is_asked(self, floor):
        assert page_of(floor[0]).select(".same-for") == []
