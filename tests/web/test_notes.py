"""The notes of a project as a page, and the search over all of them; bad input at its box."""

from datetime import date
from io import BytesIO

import pytest
from journal.records.engine import reading, writing
from journal.records.queries import notes
from PIL import Image
from tests import factories
from tests.web.project_pages import TODAY, filled, form_at, open_shop, project, soup, statements, text
from tests.web.shared_app import client_of


@pytest.fixture
def shop(file_engine, tmp_path):
    """(client, engine, project)."""
    client = open_shop(file_engine, tmp_path)
    return client, file_engine, project(file_engine)


def address(shop, *more):
    return "/".join((f"/projects/{shop[2]}/notes", *map(str, more)))


def add(shop, said="Glue took 50 minutes", **typed):
    path = address(shop)
    return shop[0].post(path, data=form_at(shop[0], path, "/notes") | {"text": said} | typed)


def kept(shop, **given):
    with reading(shop[1]) as session:
        return notes.page_of(session, shop[2], most=99, **given)


def page(shop, *more, **asked):
    return soup(shop[0].get(address(shop, *more), query_string=asked))


def search(shop, **asked):
    answer = shop[0].get("/notes", query_string=asked)
    assert answer.status_code == 200
    return soup(answer)


def test_a_note_is_written_on_an_operation_of_the_plan(shop):
    assert add(shop, about="o:close_clamps").status_code == 303
    (row,) = kept(shop)
    assert (row.text, row.operation, row.stage, row.day) == ("Glue took 50 minutes", "close_clamps", None, TODAY)
    line = page(shop).select_one(".note-line")
    assert text(line.select_one(".note-text")) == "Glue took 50 minutes"
    assert text(line.select_one(".note-about")) == "Set and close clamps"


def test_the_form_stands_open_in_a_project_without_notes_and_where_work_was_named(shop):
    assert page(shop).select_one("#new").has_attr("open")
    add(shop)
    assert not page(shop).select_one("#new").has_attr("open")
    asked = page(shop, about="o:close_clamps").select_one("#new")
    assert asked.has_attr("open")
    assert asked.select_one("#about option[selected]")["value"] == "o:close_clamps"
    assert page(shop, about="o:nothing").select_one("#about option[selected]")["value"] == ""


def test_a_stage_and_a_time_entry_are_things_to_write_about(shop):
    with writing(shop[1]) as session:
        entry = factories.entry(session, project_id=shop[2], note="").id
        elsewhere = factories.entry(session, project_id=factories.project(session).id).id
    add(shop, about="s:milling")
    path = f"{address(shop)}?about=e:{entry}"
    shop[0].post(address(shop), data=form_at(shop[0], path, "/notes") | {"text": "snipe at both ends"})
    assert {(row.stage, row.entry_id) for row in kept(shop)} == {("milling", None), (None, entry)}
    assert "Joint one face, 30 min on" in text(page(shop).select_one(".note-lines"))
    assert add(shop, about=f"e:{elsewhere}").status_code == 422
    assert add(shop, about="e:99").status_code == 422
    assert len(kept(shop)) == 2


@pytest.mark.parametrize(
    ("typed", "box"),
    [
        ({"text": " "}, "text"),
        ({"text": "x" * 10_001}, "text"),
        ({"day": "2026-03-03"}, "day"),
        ({"day": "2026-02-30"}, "day"),
        ({"day": ""}, "day"),
        ({"about": "o:vise"}, "about"),
        ({"worker": "77"}, "worker"),
    ],
)
def test_bad_input_stands_at_its_box_and_the_words_stay(shop, typed, box):
    said = typed.pop("text", "words that must not get lost")
    refused = add(shop, said, **typed)
    assert refused.status_code == 422
    found = soup(refused)
    assert text(found.select_one(f"#{box}-error"))
    assert found.select_one("#text").text.strip() == said.strip()
    assert kept(shop) == ()


def test_markup_and_any_script_are_text(shop):
    said = "<b>runs</b> \u202eعربي 🪵"
    add(shop, said)
    assert page(shop).select_one(".note-text").text == said
    assert search(shop, q="<b>RUNS").select_one(".hit-text").text == said


def test_of_two_tabs_the_second_sees_both(shop):
    add(shop, "one")
    (row,) = kept(shop)
    path = address(shop, row.id)
    first, second = (form_at(shop[0], path, path) for _ in range(2))
    assert shop[0].post(path, data=first | {"text": "mine"}).status_code == 303
    told = shop[0].post(path, data=second | {"text": "yours"})
    assert told.status_code == 409
    there = soup(told)
    assert "mine" in text(there.select_one("[role=alert]"))
    (form,) = [one for one in there.select("form") if one["action"] == path]
    assert filled(form)["text"] == "yours"
    assert shop[0].post(path, data=filled(form)).status_code == 303
    assert kept(shop)[0].text == "yours"


def test_a_note_sent_again_unchanged_changes_nothing(shop):
    add(shop, "two\r\nlines", about="s:milling")
    (row,) = kept(shop)
    path = address(shop, row.id)
    assert shop[0].post(path, data=form_at(shop[0], path, path)).status_code == 303
    assert kept(shop) == (row,)


def test_a_note_taken_out_has_its_way_back_and_stays_to_be_seen(shop):
    add(shop)
    (row,) = kept(shop)
    path = address(shop, row.id)
    shop[0].post(f"{path}/remove", data=form_at(shop[0], path, "/remove"))
    assert kept(shop) == ()
    (undo,) = page(shop).select(".last-change")
    shop[0].post(undo["action"], data=filled(undo))
    assert kept(shop)[0].text == row.text
    shop[0].post(f"{path}/remove", data=form_at(shop[0], path, "/remove"))
    gone = page(shop, removed="y")
    assert text(gone.select_one(".note-text")) == row.text
    shop[0].post(f"{path}/restore", data=filled(gone.select_one(".note-line form")))
    assert kept(shop)[0].text == row.text


def test_a_note_of_another_project_is_not_found(shop):
    add(shop)
    (row,) = kept(shop)
    other = project(shop[1], title="Another")
    mark = form_at(shop[0], address(shop, row.id), "/remove")
    assert shop[0].get(f"/projects/{other}/notes/{row.id}").status_code == 404
    for act in ("", "/remove", "/restore"):
        assert shop[0].post(f"/projects/{other}/notes/{row.id}{act}", data=mark).status_code == 404
    assert shop[0].get("/projects/99/notes").status_code == 404
    assert kept(shop) == (row,)


def test_nothing_is_kept_without_the_forms_mark(shop):
    assert shop[0].post(address(shop), data={"text": "x"}).status_code == 400
    assert kept(shop) == ()


def test_the_search_marks_what_it_found_and_leads_there(shop):
    add(shop, "Warm the room: glue is slow in the cold", about="s:milling")
    hit = search(shop, q="GLU cold").select_one(".hit")
    assert [mark.text for mark in hit.select("mark")] == ["glu", "cold"]
    assert hit.a["href"] == address(shop, kept(shop)[0].id)
    assert "Bench for a print room" in text(hit.a)


def test_the_search_finds_the_notes_of_time_entries_also_the_shops_own(shop):
    with writing(shop[1]) as session:
        factories.entry(session, project_id=shop[2], note="snipe at the end")
        factories.entry(session, note="snipe on the drum", stage="milling")
    hits = search(shop, q="snipe").select(".hit")
    assert {text(hit.select_one(".state")) for hit in hits} == {"time"}
    assert [shop[0].get(hit.a["href"]).status_code for hit in hits] == [200, 200]


def test_the_search_is_narrowed_to_an_operation_or_a_stage(shop):
    for about in ("o:close_clamps", "s:milling", ""):
        add(shop, f"glue {about}", about=about)

    def found(work):
        return {text(hit.select_one(".hit-text")) for hit in search(shop, q="glue", work=work).select(".hit")}

    assert found("o:close_clamps") == {"glue o:close_clamps"}
    assert found("s:milling") == {"glue s:milling"}
    assert found("nonsense") == found("o:vise") == found("") == {"glue o:close_clamps", "glue s:milling", "glue"}


def test_an_empty_search_tells_what_to_try(shop):
    assert "Nothing is written down yet" in text(search(shop).select_one(".empty"))
    add(shop)
    nothing = search(shop, q="zebra", work="s:milling").select_one(".empty")
    assert "Try one word less" in text(nothing)
    assert [one["href"] for one in nothing.select("a")] == ["/notes?q=zebra", "/notes"]
    assert len(search(shop).select(".hit")) == 1


@pytest.mark.parametrize("more", [{}, {"page": "-1"}, {"page": "9" * 30}, {"page": "x"}, {"work": "s:"}])
def test_nothing_typed_into_the_search_trips_it(shop, more):
    add(shop)
    for typed in ('"', "*", "a OR", "NEAR(b", "-x", "🪵", "\u202e", "%", "x" * 3_000, "é" * 200):
        search(shop, q=typed, **more)


def test_more_hits_than_a_page_are_paged_with_what_was_asked(shop):
    with writing(shop[1]) as session:
        for number in range(45):
            notes.add_note(
                session, notes.NoteDraft(project_id=shop[2], day=TODAY, text=f"pin {number}"), now=factories.NOW
            )
    first = search(shop, q="pin")
    onward = first.select_one("a[rel=next]")["href"]
    assert onward == "/notes?page=2&q=pin"
    assert len(soup(shop[0].get(onward)).select(".hit")) == 20
    assert len(search(shop, q="pin", page=3).select(".hit")) == 5
    assert page(shop).select_one("a[rel=next]")["href"] == f"{address(shop)}?page=2"


def test_more_notes_take_no_more_statements(shop):
    add(shop)
    counted = []
    for _ in range(2):
        search(shop, q="glue")
        counted.append((statements(shop[1], lambda: page(shop)), statements(shop[1], lambda: search(shop, q="glue"))))
        add(shop, about="o:close_clamps")
        add(shop, about="s:milling")
    assert counted[0] == counted[1]


def test_the_log_and_its_entries_lead_to_the_notes(shop):
    with writing(shop[1]) as session:
        entry = factories.entry(session, project_id=shop[2]).id
    log = soup(shop[0].get(f"/projects/{shop[2]}/log"))
    assert log.select_one(f"a[href='{address(shop)}']")
    one = soup(shop[0].get(f"/projects/{shop[2]}/log/{entry}"))
    assert one.select_one(f"a[href='{address(shop)}?about=e:{entry}#new']")


def picture(colour="tan", size=(640, 480)):
    """A photo as a browser sends it."""
    file = BytesIO()
    Image.new("RGB", size, colour).save(file, "PNG")
    file.seek(0)
    return file, f"{colour}.png"


def test_a_photo_alone_is_a_note_and_is_shown_small_first(shop):
    assert add(shop, "", photos=[picture(), picture("brown")]).status_code == 303
    (row,) = kept(shop)
    shown = page(shop).select(".note-line .photo")
    assert [one.img["width"] for one in shown] == ["320", "320"]
    for address_of in (shown[0].img["src"], shown[0]["href"]):
        with shop[0].get(address_of) as file:
            assert file.mimetype == "image/jpeg"
    assert "2 Mar 2026" in shown[0].img["alt"]
    assert [one.img["src"] for one in search(shop).select(".hit .photo")] == [shown[0].img["src"]]
    path = address(shop, row.id)
    assert len(page(shop, row.id).select(".photo")) == 2
    changed = form_at(shop[0], path, path) | {"photos": [picture("white")]}
    assert shop[0].post(path, data=changed).status_code == 303
    assert len(page(shop).select(".note-line .photo")) == 3


def test_a_file_that_is_no_photo_is_named_and_the_words_stay(shop):
    refused = add(shop, "words", photos=[picture(), (BytesIO(b"not a picture"), "plan.jpg")])
    assert refused.status_code == 422
    assert "plan.jpg" in text(soup(refused).select_one("#photos-error"))
    assert soup(refused).select_one("#text").text.strip() == "words"
    assert kept(shop) == ()


def test_a_photo_taken_down_from_a_note_has_its_way_back(shop):
    add(shop, "one", photos=[picture()])
    (row,) = kept(shop)
    path = address(shop, row.id)
    down = form_at(shop[0], path, "/down")
    place = page(shop, row.id).select_one(".photos form")["action"]
    assert shop[0].post(place, data=down).location == path
    assert page(shop).select(".note-line .photo") == []
    (undo,) = page(shop).select(".last-change")
    shop[0].post(undo["action"], data=filled(undo))
    assert len(page(shop).select(".note-line .photo")) == 1


def test_review_shows_the_notes_of_an_operation_beside_its_line(demo_engine, tmp_path):
    client = client_of(demo_engine, today=date(2026, 11, 25), data=tmp_path)
    with writing(demo_engine) as session:
        for text_of, about in (("<i>snipe</i>", {"operation": "joint_face"}), ("whole stage", {"stage": "milling"})):
            draft = notes.NoteDraft(project_id=1, day=TODAY, text=text_of, **about)
            notes.add_note(session, draft, now=factories.NOW)
    page = soup(client.get("/projects/1/review"))
    beside = {
        text(line.find_parent("th").a): text(line) for line in page.select(".review-why") if "this note" in text(line)
    }
    assert "<i>snipe</i>" in beside["Joint one face"]
    assert [name for name, said in beside.items() if "whole stage" in said] == ["Crosscut to rough length"]


def test_today_leads_to_a_note_on_what_comes_next(demo_engine, tmp_path):
    client = client_of(demo_engine, today=date(2026, 11, 25), data=tmp_path)
    (beside,) = soup(client.get("/today")).select(".next-note")
    asked = soup(client.get(beside["href"])).select_one("#about option[selected]")
    assert asked["value"] != ""
    assert f"about={asked['value']}#new" in beside["href"]


def test_a_step_of_the_plan_leads_to_how_it_was_done_before(shop):
    plan = soup(shop[0].get(f"/projects/{shop[2]}/plan"))
    step = soup(shop[0].get(plan.select_one("a.step-change")["href"]))
    write, look = (step.select_one(f"a[href^='{start}']") for start in (address(shop), "/notes"))
    about = soup(shop[0].get(write["href"])).select_one("#about option[selected]")["value"]
    assert about.startswith("o:")
    assert look["href"] == f"/notes?work={about}"


def test_a_pace_leads_to_the_notes_about_its_operation(shop):
    add(shop, about="o:close_clamps")
    link = soup(shop[0].get("/paces/close_clamps")).select_one("a[href='/notes?work=o:close_clamps']")
    assert len(soup(shop[0].get(link["href"])).select(".hit")) == 1
