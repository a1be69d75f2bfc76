"""Hours and days off, under Shop: kept, refused at their box, and never over another tab's change."""

from __future__ import annotations

from datetime import timedelta

import pytest
from journal.records.engine import reading
from journal.records.queries import calendar as records
from journal.records.queries.calendar import HoursRow
from tests.web import project_pages as pages

PATH = "/shop/hours"


@pytest.fixture
def client(file_engine, tmp_path):
    return pages.open_shop(file_engine, tmp_path)


def send(client, **typed):
    return client.post(PATH, data=pages.form_at(client, PATH, PATH) | typed)


def close(client, first, last, why=""):
    sent = pages.form_at(client, PATH, "/shop/hours/off")
    return client.post("/shop/hours/off", data=sent | {"first": str(first), "last": str(last), "why": why})


def kept(engine):
    with reading(engine) as session:
        return records.hours(session)


def off(engine):
    with reading(engine) as session:
        return records.days_off(session)


def test_hours_typed_are_kept(client, file_engine):
    evenings = {f"day{weekday}": "18–21" for weekday in range(5)}
    response = send(client, **evenings, day5="9–12, 13–17", day6="", places="3")
    assert (response.status_code, response.location) == (302, PATH)
    assert kept(file_engine)[-2:] == (HoursRow(5, 540, 720), HoursRow(5, 780, 1020))
    page = pages.soup(client.get(PATH))
    assert page.select_one("#day5")["value"] == "9:00–12:00, 13:00–17:00"
    assert page.select_one("#places")["value"] == "3"


def test_the_page_is_a_tab_of_shop_and_says_that_nothing_is_typed_yet(client):
    page = pages.soup(client.get(PATH))
    assert page.select_one(".tabs [aria-current=page]")["href"] == PATH
    assert "None are typed yet" in pages.text(page)
    send(client)
    assert "None are typed yet" not in pages.text(pages.soup(client.get(PATH)))


def test_the_form_sent_as_it_came_keeps_what_it_shows(client, file_engine):
    before = pages.form_at(client, PATH, PATH)
    assert send(client).status_code == 302
    after = pages.form_at(client, PATH, PATH)
    days = [f"day{weekday}" for weekday in range(7)]
    assert [before[name] for name in days] == [after[name] for name in days]
    assert kept(file_engine)


def test_days_until_hardware_is_in_hand_are_kept(client, file_engine):
    with reading(file_engine) as session:
        vise = next(lead for lead in records.leads(session) if lead.feature == "vise")
    assert send(client, **{f"lead{vise.item_id}": "45"}).status_code == 302
    with reading(file_engine) as session:
        assert {lead.feature: lead.lead_days for lead in records.leads(session)}["vise"] == 45


@pytest.mark.parametrize(
    ("typed", "box"),
    [
        ({"day0": "nine to five"}, "day0"),
        ({"day2": "17–9"}, "day2"),
        ({"day3": "8–12, 11–14"}, "day3"),
        ({"day6": "9–25"}, "day6"),
        ({"places": "0"}, "places"),
        ({"places": "many"}, "places"),
    ],
)
def test_what_cannot_be_read_is_refused_at_its_box_as_it_was_typed(client, file_engine, typed, box):
    response = send(client, **typed)
    assert response.status_code == 422
    page = pages.soup(response)
    assert page.select_one(f"#{box}")["value"] == typed[box]
    assert page.select_one(f"#{box}-error").text.strip()
    assert kept(file_engine) == ()


def test_a_week_without_hours_is_refused_with_the_fix(client, file_engine):
    response = send(client, **{f"day{weekday}": "" for weekday in range(7)})
    assert response.status_code == 422
    assert "open hours on one day at least" in pages.text(pages.soup(response))
    assert kept(file_engine) == ()


def test_another_tabs_change_is_not_overwritten(client, file_engine):
    old = pages.form_at(client, PATH, PATH)
    send(client, day0="7–8")
    before = kept(file_engine)
    assert client.post(PATH, data=old | {"day0": "10–11"}).status_code == 409
    assert kept(file_engine) == before


def test_days_off_are_kept_listed_and_taken_away(client, file_engine):
    first = pages.TODAY + timedelta(days=3)
    response = close(client, first, first + timedelta(days=6), "<i>fair</i>")
    assert response.status_code == 302
    (row,) = off(file_engine)
    assert (row.first_on, row.last_on, row.why) == (first, first + timedelta(days=6), "<i>fair</i>")
    shown = client.get(PATH)
    assert "<i>fair" not in shown.get_data(as_text=True)
    token = pages.soup(shown).select_one("form[action$='/open'] [name=csrf_token]")["value"]
    assert client.post(f"/shop/hours/off/{row.id}/open", data={"csrf_token": token}).status_code == 302
    assert off(file_engine) == ()


@pytest.mark.parametrize(
    ("first", "last"),
    [
        (pages.TODAY, pages.TODAY - timedelta(days=1)),
        (pages.TODAY - timedelta(days=9), pages.TODAY - timedelta(days=3)),
        ("", pages.TODAY),
        ("soon", pages.TODAY),
        (pages.TODAY, pages.TODAY + timedelta(days=9000)),
    ],
)
def test_days_off_that_make_no_sense_are_refused(client, file_engine, first, last):
    response = close(client, first, last)
    assert response.status_code == 422
    assert pages.soup(response).select("[id$=-error]")
    assert off(file_engine) == ()


@pytest.mark.parametrize("path", [PATH, "/shop/hours/off", "/shop/hours/off/1/open"])
def test_a_form_of_another_site_changes_nothing(client, file_engine, path):
    assert client.post(path, data={"day0": "9-10", "first": "2026-05-01", "last": "2026-05-02"}).status_code == 400
    assert (kept(file_engine), off(file_engine)) == ((), ())
