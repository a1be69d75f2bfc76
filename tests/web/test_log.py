"""A project's log: by day, found, corrected, split, removed and counted again, each with its history."""

from datetime import timedelta

import pytest
from journal.desk.log_view import PAGE
from journal.records.engine import reading, writing
from journal.records.queries import logbook, plans
from tests import factories
from tests.web.floor_pages import entry, open_floor
from tests.web.project_pages import TODAY, filled, soup, statements, text


@pytest.fixture
def floor(file_engine, tmp_path):
    """(client, engine, project)."""
    client, (made,), _ = open_floor(file_engine, tmp_path, people=1)
    return client, file_engine, made


def log(client, made, query=""):
    return soup(client.get(f"/projects/{made}/log{query}"))


def form_at(page, ends_with):
    (form,) = [form for form in page.select("form") if form["action"].endswith(ends_with)]
    return form["action"], filled(form)


def rows(engine):
    with reading(engine) as session:
        return logbook.entries_between(session, TODAY - timedelta(days=400), TODAY)


def add(client, made, **typed):
    action, data = form_at_post(log(client, made), f"/{made}/log")
    return client.post(action, data=data | {"work": "o:joint_face", "hours": "1:30"} | typed)


def form_at_post(page, ends_with):
    (form,) = [one for one in page.select("form[method=post]") if one["action"].endswith(ends_with)]
    return form["action"], filled(form)


def test_an_entry_is_added_and_stands_first_under_its_day(floor):
    client, engine, made = floor
    entry(engine, made, on_date=TODAY - timedelta(days=1))
    assert add(client, made, note="snipe <b>again</b>", start="09:15").status_code == 303
    page = log(client, made)
    assert [text(head) for head in page.select(".log-day h3")] == [
        "Monday 2 Mar 2026 1 h 30 min",
        "Sunday 1 Mar 2026 30 min",
    ]
    line = page.select_one(".log-line")
    assert text(line.a) == "Joint one face"
    assert "from 09:15" in text(line)
    assert text(line.select_one(".log-note")) == "snipe <b>again</b>"
    assert [row.seconds for row in rows(engine)] == [1800, 5400]


def test_an_empty_log_says_how_it_fills(floor):
    client, _, made = floor
    page = log(client, made)
    assert text(page.select_one(".empty h2")) == "Nothing is logged yet"
    assert page.select_one(".log-add[open]")
    assert text(page.select_one(".tabs [aria-current]")) == "Log"


@pytest.mark.parametrize(
    ("typed", "box"),
    [
        ({"hours": ""}, "hours"),
        ({"hours": "0"}, "hours"),
        ({"hours": "25"}, "hours"),
        ({"hours": "soon"}, "hours"),
        ({"on_date": "2026-03-03"}, "on_date"),
        ({"on_date": "2026-02-30"}, "on_date"),
        ({"on_date": ""}, "on_date"),
        ({"people": "0"}, "people"),
        ({"people": "1.5"}, "people"),
        ({"start": "25:00"}, "start"),
        ({"work": "o:rework"}, "work"),
        ({"worker": "99"}, "worker"),
    ],
)
def test_what_cannot_be_is_refused_at_its_box_and_what_was_typed_stays(floor, typed, box):
    client, engine, made = floor
    answer = add(client, made, note="typed with care", **typed)
    assert answer.status_code == 422
    page = soup(answer)
    assert [wrong["name"] for wrong in page.select("[aria-invalid=true]")] == [box]
    assert page.select_one("#note").text.strip() == "typed with care"
    assert rows(engine) == ()


def one(client, made, entry_id):
    return soup(client.get(f"/projects/{made}/log/{entry_id}"))


def test_a_correction_keeps_what_was_with_its_reason_and_is_undone(floor):
    client, engine, made = floor
    kept = entry(engine, made, on_date=TODAY, operation="joint_face", seconds=3600)
    action, data = form_at(one(client, made, kept), f"/log/{kept}")
    assert (data["hours"], data["work"]) == ("1:00", "o:joint_face")
    changed = data | {"hours": "45 min", "work": "s:milling", "why": "lunch", "rework": "y"}
    assert client.post(action, data=changed).status_code == 303
    page = log(client, made)
    said = text(page.select_one(".log-changes"))
    assert "time: 1 h → 45 min" in said
    assert "operation: Joint one face → nothing; stage: nothing → Milling" in said
    assert "(lunch)" in said
    assert "done again" in text(page.select_one(".log-line"))
    action, data = form_at(page, "/floor/undo/1")
    assert client.post(action, data=data).location == f"/projects/{made}/log"
    assert [(row.operation, row.seconds, row.rework) for row in rows(engine)] == [("joint_face", 3600, False)]
    assert "Corrected 2 times" in text(log(client, made).select_one(".log-changes"))


def test_a_form_filled_while_somebody_else_corrected_it_is_refused_as_a_conflict(floor):
    client, engine, made = floor
    kept = entry(engine, made, on_date=TODAY, seconds=3600)
    action, data = form_at(one(client, made, kept), f"/log/{kept}")
    client.post(action, data=data | {"hours": "2"})
    _, fresh = form_at(one(client, made, kept), f"/log/{kept}")
    answer = client.post(action, data=data | {"hours": "3", "key": fresh["key"]})
    assert answer.status_code == 409
    page = soup(answer)
    assert "Somebody else changed this" in text(page.select_one("[role=alert]"))
    assert text(page.select_one("#hours-error")) == "Kept now: “2:00”."
    assert page.select_one("#hours")["value"] == "3"
    assert [row.seconds for row in rows(engine)] == [7200]


def test_a_correction_that_cannot_be_comes_back_as_typed(floor):
    client, engine, made = floor
    kept = entry(engine, made, on_date=TODAY, seconds=3600)
    action, data = form_at(one(client, made, kept), f"/log/{kept}")
    answer = client.post(action, data=data | {"hours": "never"})
    assert answer.status_code == 422
    assert soup(answer).select_one("#hours")["value"] == "never"


def test_a_split_shares_the_hours_and_loses_none(floor):
    client, engine, made = floor
    kept = entry(engine, made, on_date=TODAY, operation="joint_face", seconds=7200)
    action, data = form_at(one(client, made, kept), "/split")
    too_much = data | {"p1-work": "o:joint_edge", "p1-hours": "3"}
    answer = client.post(action, data=too_much)
    assert answer.status_code == 422
    assert "at most the 2 h there are to share" in text(soup(answer).select_one("[role=alert]"))
    assert soup(answer).select_one("#p1-hours")["value"] == "3"
    assert client.post(action, data=data).status_code == 422
    client.post(
        action, data=data | {"p1-work": "o:joint_edge", "p1-hours": "0:30", "p2-work": "s:flattening", "p2-hours": "1"}
    )
    assert [(row.operation or row.stage, row.seconds) for row in rows(engine)] == [
        ("joint_face", 1800), ("joint_edge", 1800), ("flattening", 3600),
    ]  # fmt: skip


def test_an_entry_is_removed_with_a_reason_found_again_and_counted_again(floor):
    client, engine, made = floor
    kept = entry(engine, made, on_date=TODAY)
    action, data = form_at(one(client, made, kept), "/remove")
    assert client.post(action, data=data | {"reason": " "}).status_code == 422
    assert client.post(action, data=data | {"reason": "twice in the book"}).status_code == 303
    assert rows(engine) == ()
    assert log(client, made).select(".log-line") == []
    page = log(client, made, "?removed=y")
    assert "removed (twice in the book)" in text(page.select_one(".log-changes"))
    action, data = form_at(page, "/restore")
    client.post(action, data=data)
    assert len(rows(engine)) == 1


def test_done_again_is_a_mark(floor):
    client, engine, made = floor
    kept = entry(engine, made, on_date=TODAY)
    for again in (True, False):
        action, data = form_at(one(client, made, kept), "/again")
        client.post(action, data=data)
        assert [row.rework for row in rows(engine)] == [again]


def test_an_entry_of_another_project_is_not_at_this_address(floor):
    client, engine, made = floor
    with writing(engine) as session:
        other = factories.project(session).id
    kept = entry(engine, other, on_date=TODAY)
    mark = log(client, made).select_one("input[name=csrf_token]")["value"]
    assert client.get(f"/projects/{made}/log/{kept}").status_code == 404
    for path in ("", "/split", "/again", "/remove", "/restore"):
        sent = {"key": "k" * 12, "csrf_token": mark}
        assert client.post(f"/projects/{made}/log/{kept}{path}", data=sent).status_code == 404
    assert client.get("/projects/99/log").status_code == 404
    assert client.get(f"/projects/{made}/log/999").status_code == 404


def test_the_log_is_paged_and_found_by_stage_and_note(floor):
    client, engine, made = floor
    with writing(engine) as session:
        for back in range(PAGE + 5):
            day, note = TODAY - timedelta(days=back), "100% snipe_" if back == 63 else ""
            factories.entry(
                session, project_id=made, on_date=day, note=note, operation="sand" if back == 1 else "joint_face"
            )
    first, last = log(client, made), log(client, made, "?page=99")
    assert (len(first.select(".log-line")), len(last.select(".log-line"))) == (PAGE, 5)
    assert first.select_one("a[rel=next]")["href"] == f"/projects/{made}/log?page=2"
    assert len(log(client, made, "?stage=finishing").select(".log-line")) == 1
    assert len(log(client, made, "?words=100%25+snipe_").select(".log-line")) == 1
    assert len(log(client, made, "?words=%25").select(".log-line")) == 1  # a sign, not a wildcard
    assert "No entry is like that" in text(log(client, made, "?words=nowhere").select_one("#entries"))
    assert log(client, made, "?stage=nonsense&page=-3&removed=").select(".log-line")


def test_its_statements_do_not_grow_with_the_log(floor):
    client, engine, made = floor
    entry(engine, made, on_date=TODAY)
    client.get(f"/projects/{made}/log")
    few = statements(engine, lambda: client.get(f"/projects/{made}/log"))
    for back in range(1, 30):
        entry(engine, made, on_date=TODAY - timedelta(days=back))
    client.get(f"/projects/{made}/log")  # what is remembered of the journal is read anew once
    assert statements(engine, lambda: client.get(f"/projects/{made}/log")) == few


def test_a_quantity_is_noted_as_built(floor):
    client, engine, made = floor
    action, data = form_at(log(client, made), "/built")
    assert client.post(action, data=data | {"operation": "joint_face", "quantity": "72.5"}).status_code == 303
    with reading(engine) as session:
        assert [(row.operation, row.quantity) for row in plans.built(session, made)] == [("joint_face", 72.5)]
    refused = client.post(action, data=data | {"operation": "joint_face", "quantity": "-1"})
    assert (refused.status_code, soup(refused).select_one("[aria-invalid=true]")["name"]) == (422, "quantity")


def test_codes_are_drawn_one_an_operation_and_say_when_they_lead_nowhere_else(floor):
    client, _, made = floor
    page = log_codes(client, made)
    assert len(page.select(".code svg")) == 5
    assert page.select_one(".code svg title").text == "Starts Crosscut to rough length"
    assert page.select(".code [style]") == []
    assert "lead to this computer alone" in text(page.select_one(".notice--care"))


def log_codes(client, made):
    return soup(client.get(f"/projects/{made}/log/codes"))


def test_the_marks_of_forms_are_needed(floor):
    client, engine, made = floor
    kept = entry(engine, made, on_date=TODAY)
    for path in ("", f"/{kept}", f"/{kept}/split", f"/{kept}/again", f"/{kept}/remove", f"/{kept}/restore", "/built"):
        assert client.post(f"/projects/{made}/log{path}", data={"key": "k" * 12}).status_code == 400
    assert len(rows(engine)) == 1


def test_a_note_written_on_an_entry_is_no_correction_of_it(floor):
    client, engine, made = floor
    number = entry(engine, made, on_date=TODAY)
    address = f"/projects/{made}/log/{number}"
    action, data = form_at_post(soup(client.get(address)), address)
    assert client.post(action, data=data | {"note": "the third board cupped"}).status_code == 303
    line = log(client, made).select_one(".log-line")
    assert "the third board cupped" in text(line)
    assert line.select(".log-changes") == []
    assert "note: nothing → the third board cupped" in text(soup(client.get(address)).select_one(".log-history"))
    action, data = form_at_post(soup(client.get(address)), address)
    client.post(action, data=data | {"hours": "2"})
    assert "Corrected once" in text(log(client, made).select_one(".log-changes"))
    operation = soup(client.get("/paces/joint_face"))
    assert all("note:" not in text(one) for one in operation.select("details.changes"))


def test_an_evening_told_with_its_note_is_not_corrected(floor):
    client, engine, made = floor
    data = filled(soup(client.get("/evening")).select_one("form.evening-form"))
    sent = data | {f"{made}.s.milling.0": "2", f"note.{made}": "planed and stacked"}
    assert client.post("/evening", data=sent).status_code == 303
    assert [row.note for row in rows(engine)] == ["planed and stacked"]
    assert log(client, made).select(".log-changes") == []
