"""The glue-up clock's pages: chosen, begun, told strip by strip, put right; works as plain forms."""

from datetime import timedelta

import pytest
from journal.records.engine import reading, writing
from journal.records.queries import devices, floor, gluing
from tests.web.project_pages import filled, open_shop, project, soup, statements, text

PLAIN = "Leg"


@pytest.fixture
def shop(file_engine, tmp_path):
    """(client, engine, project)."""
    client = open_shop(file_engine, tmp_path)
    with writing(file_engine) as session:
        devices.add_worker(session, "bench 1")
    return client, file_engine, project(file_engine)


def page(shop, query=""):
    client, _, made = shop
    return soup(client.get(f"/projects/{made}/glue/{PLAIN}{query}"))


def form_ending(found, end):
    (form,) = [form for form in found.select("form[method=post]") if form["action"].endswith(end)]
    return form["action"], filled(form)


def send(shop, end, **typed):
    action, data = form_ending(page(shop), end)
    return shop[0].post(action, data=data | typed)


def glue(shop):
    for end in (f"/glue/{PLAIN}", "/strip", "/strip", "/clamped"):
        assert send(shop, end).status_code == 303


def test_every_glue_up_of_the_plan_leads_to_its_clock(shop):
    client, _, made = shop
    found = soup(client.get(f"/projects/{made}/glue"))
    names = [text(one.select_one("span")) for one in found.select(".glue-pick")]
    assert PLAIN in names
    for link in found.select(".glue-pick"):
        assert client.get(link["href"]).status_code == 200
    assert text(found.select_one(".tabs [aria-current]")) == "Plan"


def test_a_glue_up_goes_from_first_glue_to_clamps_with_plain_forms(shop):
    glue(shop)
    found = page(shop)
    assert "Clamps off" in text(found.main)
    assert "Safe to machine" in text(found.main)
    with reading(shop[1]) as session:
        (row,) = floor.glue_ups(session)
        assert gluing.running_clocks(session) == ()
    assert (row.label, row.strips) == (PLAIN, 3)


def test_the_button_of_this_glue_up_comes_before_the_undo_of_what_was_done_last(shop):
    client, _, made = shop
    glue(shop)
    (other, *_) = [
        link["href"]
        for link in soup(client.get(f"/projects/{made}/glue")).select(".glue-pick")
        if text(link.select_one("span")) != PLAIN
    ]
    said = text(soup(client.get(other)).select_one("main"))
    assert "Undo" in said
    assert said.index("First glue now") < said.index("Undo")
    assert said.index("First glue now") < said.index("of glue line")


def test_the_clock_is_the_same_after_the_page_is_opened_again(shop):
    send(shop, f"/glue/{PLAIN}")
    first, again = page(shop), page(shop)
    ends = [[one["data-until"] for one in found.select("[data-until]")] for found in (first, again)]
    assert ends[0] == ends[1]
    assert len(ends[0]) == 2
    send(shop, "/strip")
    assert text(page(shop).select_one(".glue-strips")) == "Strip 2 of 3 is on"


def test_what_it_really_was_is_kept_and_can_be_undone(shop):
    glue(shop)
    action, data = form_ending(page(shop), "/glue-clock/1")
    typed = {"glue": "240 ml", "strips": "4", "spread": "4 min", "assembly": "11 min", "clamps": "8"}
    assert shop[0].post(action, data=data | typed).status_code == 303
    with reading(shop[1]) as session:
        (row,) = floor.glue_ups(session)
    assert (row.glue_ml, row.strips, row.spread_seconds, row.assembly_seconds, row.clamps) == (240.0, 4, 240, 660, 8)
    shown = form_ending(page(shop), "/glue-clock/1")[1]
    assert shop[0].post(action, data=shown).status_code == 303
    with reading(shop[1]) as session:
        assert floor.glue_ups(session) == (row,)  # sent again unchanged, it changes nothing
    (undo,) = page(shop).select(".last-change")
    shop[0].post(undo["action"], data=filled(undo))
    with reading(shop[1]) as session:
        assert floor.glue_ups(session)[0].glue_ml is None


def test_the_second_of_two_who_put_a_glue_up_right_is_shown_both(shop):
    glue(shop)
    (action, first), (_, second) = form_ending(page(shop), "/glue-clock/1"), form_ending(page(shop), "/glue-clock/1")
    assert shop[0].post(action, data=first | {"glue": "240 ml"}).status_code == 303
    answer = shop[0].post(action, data=second | {"glue": "310 ml"})
    assert answer.status_code == 409
    shown = soup(answer)
    assert shown.select_one("#glue")["value"] == "310 ml"
    assert "Kept now" in text(shown.select_one("#glue-error"))
    with reading(shop[1]) as session:
        assert floor.glue_ups(session)[0].glue_ml == 240.0
    again = form_ending(shown, "/glue-clock/1")[1]
    assert shop[0].post(action, data=again).status_code == 303  # knowingly
    with reading(shop[1]) as session:
        assert floor.glue_ups(session)[0].glue_ml == 310.0


@pytest.mark.parametrize(
    ("typed", "box"),
    [
        ({"glue": "a lot"}, "glue"),
        ({"glue": "-3 ml"}, "glue"),
        ({"strips": "1"}, "strips"),
        ({"strips": "2.5"}, "strips"),
        ({"spread": "soon"}, "spread"),
        ({"spread": "30 min", "assembly": "10 min"}, "assembly"),
        ({"clamps": "-1"}, "clamps"),
    ],
)
def test_bad_figures_come_back_as_typed_with_the_error_at_their_box(shop, typed, box):
    glue(shop)
    action, data = form_ending(page(shop), "/glue-clock/1")
    refused = shop[0].post(action, data=data | typed)
    assert refused.status_code == 422
    found = soup(refused)
    wrong = found.select_one(f"#{box}")
    assert wrong["aria-invalid"] == "true"
    assert wrong["value"] == typed[box]
    assert text(found.select_one(f"#{box}-error"))


@pytest.mark.parametrize("typed", ["", "warm", "-80", "200", "1,5,0", "🔥"])
def test_a_temperature_that_is_none_starts_nothing(shop, typed):
    refused = send(shop, f"/glue/{PLAIN}", temperature=typed, do="begin")
    assert refused.status_code == 422
    assert soup(refused).select_one("#temperature-error")
    with reading(shop[1]) as session:
        assert gluing.running_clocks(session) == ()


def test_too_cold_says_what_would_do_and_starts_nothing(shop):
    refused = send(shop, f"/glue/{PLAIN}", temperature="40 °F", do="begin")
    assert refused.status_code == 422
    assert "too cold" in text(soup(refused).select_one("[role=alert]"))
    with reading(shop[1]) as session:
        assert gluing.running_clocks(session) == ()


def test_looking_at_another_temperature_starts_nothing(shop):
    warm = soup(send(shop, f"/glue/{PLAIN}", temperature="32 °C", do="look"))
    assert text(warm.select_one(".glue-big")) != text(page(shop).select_one(".glue-big"))
    with reading(shop[1]) as session:
        assert gluing.running_clocks(session) == ()


def test_a_tap_on_a_clock_that_ended_meanwhile_is_a_conflict(shop):
    send(shop, f"/glue/{PLAIN}")
    action, data = form_ending(page(shop), "/strip")
    send(shop, "/clamped")
    assert shop[0].post(action, data=data).status_code == 409


def test_unknown_projects_glue_ups_and_clocks_are_not_found(shop):
    client, _, made = shop
    for path in ("/projects/99/glue", f"/projects/{made}/glue/Shelf", "/projects/99/glue/Leg"):
        assert client.get(path).status_code == 404
    assert client.post("/projects/glue-clock/99/strip", data=_token(shop)).status_code == 404


def test_nothing_changes_without_the_form_s_mark(shop):
    client, engine, made = shop
    assert client.post(f"/projects/{made}/glue/{PLAIN}", data={"temperature": "70", "do": "begin"}).status_code == 400
    with reading(engine) as session:
        assert gluing.running_clocks(session) == ()


def test_the_running_page_takes_the_same_statements_however_many_strips_are_on(shop):
    send(shop, f"/glue/{PLAIN}")
    one = statements(shop[1], lambda: page(shop))
    send(shop, "/strip")
    assert statements(shop[1], lambda: page(shop)) == one


def _token(shop):
    return form_ending(page(shop), f"/glue/{PLAIN}")[1]


def test_one_that_runs_says_so_on_the_list_and_on_today_with_its_minutes(shop):
    client, engine, made = shop
    assert send(shop, f"/glue/{PLAIN}").status_code == 303
    with writing(engine) as session:
        (clock,) = gluing.running_clocks(session)
        gluing.change_clock(session, clock.id, {"started_at": clock.started_at - timedelta(minutes=4)})
    (pick,) = [one for one in soup(client.get(f"/projects/{made}/glue")).select(".glue-pick") if "Runs" in text(one)]
    assert text(pick.select_one("span")) == PLAIN
    assert "Runs 4 min , last clamp by" in text(pick)
    (now,) = soup(client.get("/today")).select(".gluing-now li")
    assert "Runs 4 min , last clamp by" in text(now)
    assert "Bench for a print room" in text(now)
    assert client.get(now.a["href"]).status_code == 200
    with writing(engine) as session:
        gluing.change_clock(session, clock.id, {"started_at": clock.started_at - timedelta(hours=3)})
    for address in (f"/projects/{made}/glue", "/today"):
        assert "over the glue’s time since" in soup(client.get(address)).main.get_text()
