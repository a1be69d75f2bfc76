"""Lately: one list of what was done, with each section's own button."""

import pytest
from journal import units
from journal.desk import lately, parts, rack_moves
from journal.desk.rack_moves import Added
from journal.records.engine import reading, writing
from tests.web.floor_pages import entry, open_floor
from tests.web.project_pages import LIST, NOW, TODAY, filled, open_shop, project, soup, statements, text


@pytest.fixture
def floor(file_engine, tmp_path):
    """(client, engine, project)."""
    client, (made,), _ = open_floor(file_engine, tmp_path)
    return client, file_engine, made


def page(client):
    return soup(client.get("/today/lately"))


def things(client):
    return [text(one) for one in page(client).select(".lately-one")]


def take_back(client, place=0):
    """Press the button at one of the lines."""
    form = page(client).select(".lately-one")[place].form
    return client.post(form["action"], data=filled(form))


def log_hour(client, made):
    address = f"/projects/{made}/log"
    (form,) = [
        form
        for form in soup(client.get(address)).select("form")
        if form["action"] == address and form.get("method") == "post"
    ]
    sent = filled(form) | {"hours": "1", "work": "o:joint_face"}
    assert client.post(address, data=sent).status_code == 303


def test_an_empty_journal_says_what_will_stand_there(file_engine, tmp_path):
    shown = page(open_shop(file_engine, tmp_path))
    assert text(shown.select_one(".empty h2")) == "Nothing was done yet"
    assert "Prices, the shop’s settings" in text(shown.main)
    assert shown.select(".lately-one") == []


def test_hours_are_taken_back_from_the_list_and_one_stays_on_it(floor):
    client, engine, made = floor
    log_hour(client, made)
    (place,) = [place for place, one in enumerate(things(client)) if "Logged 1 h of Joint one face" in one]
    answer = take_back(client, place)
    assert (answer.status_code, answer.location) == (303, "/today/lately")
    assert "taken back" in things(client)[place]
    with reading(engine) as session:
        assert all(one.gone for one in lately.lately(session, units.currency("USD")) if one.place.value == "log")


def test_boards_parts_and_readings_go_back_by_their_own_ways(file_engine, tmp_path):
    client = open_shop(file_engine, tmp_path)
    made = project(file_engine)
    with writing(file_engine) as session:
        parts.take_list(session, made, LIST.replace("Leg,4", "Leg,6"), source="a paste", now=NOW)
    assert "No way back: it is the first list" not in "".join(things(client))
    answer = take_back(client)
    assert answer.location == "/today/lately"
    with reading(file_engine) as session:
        assert [part.quantity for part in parts.current(session, made)] == [1, 4]
    with writing(file_engine) as session:
        rack_moves.add(session, Added("2x8 fir", 3, units.feet(8)), today=TODAY, now=NOW.replace(hour=13))
    assert "3 boards of 2x8 fir" in things(client)[0]
    assert take_back(client).location == "/today/lately"
    assert "taken back" in things(client)[0]
    shown = soup(client.get(f"/projects/{made}/plan"))
    (form,) = [form for form in shown.select("form") if "/plan/readings" in form["action"]]
    assert client.post(form["action"], data=filled(form) | {"moisture": "9.5"}).status_code == 302
    (place,) = [place for place, one in enumerate(things(client)) if "Moisture of 9.5 %" in one]
    assert take_back(client, place).location == "/today/lately"
    assert "taken back" in things(client)[place]


def test_a_step_of_a_project_is_taken_back_from_the_list(file_engine, tmp_path):
    client = open_shop(file_engine, tmp_path)
    made = project(file_engine)
    life = f"/projects/{made}/life"
    forms = soup(client.get(life)).select("form")
    (form,) = [form for form in forms if filled(form).get("to") == "declined"]
    assert client.post(life, data=filled(form) | {"declined-why": "too far"}).status_code == 302
    (place,) = [place for place, one in enumerate(things(client)) if "to declined" in one]
    assert "too far" in things(client)[place]
    assert take_back(client, place).location == "/today/lately"
    assert "taken back" in things(client)[place]


def test_the_way_back_never_leads_elsewhere(floor):
    client, _, made = floor
    log_hour(client, made)
    form = page(client).select_one(".lately-one form")
    answer = client.post(form["action"], data=filled(form) | {"back": "//elsewhere.example/"})
    assert answer.location == "/today"


def test_today_and_the_foot_of_every_page_lead_there(floor):
    client, *_ = floor
    for address in ("/today", "/projects/"):
        assert soup(client.get(address)).select('.foot a[href="/today/lately"]')
    assert soup(client.get("/today")).select('.today-evening a[href="/today/lately"]')


def test_more_things_take_no_more_statements(floor):
    client, engine, made = floor
    log_hour(client, made)
    few = statements(engine, lambda: client.get("/today/lately"))
    for _ in range(3):
        log_hour(client, made)
    entry(engine, made)
    assert statements(engine, lambda: client.get("/today/lately")) == few


@pytest.mark.parametrize("address", ["/nowhere", "/projects/999/parts"])
def test_what_is_not_there_says_where_to_look_next(file_engine, tmp_path, address):
    client = open_shop(file_engine, tmp_path)
    answer = client.get(address)
    assert answer.status_code == 404
    shown = soup(answer).main
    assert "Look for it where it is kept." in text(shown)
    ways = shown.select("ul a")
    assert [text(one) for one in ways] == ["Projects", "Rack", "Search notes", "Lately"]
    assert all(client.get(one["href"]).status_code == 200 for one in ways)
