"""Days on the pages, in the order the shop writes them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from journal.desk.shop import how_shown
from journal.desk.welcome import keep, starting
from journal.records.engine import reading, writing
from journal.units import DayForm, System
from tests.web import project_pages as pages


@pytest.fixture
def client(file_engine, tmp_path):
    return pages.open_shop(file_engine, tmp_path)


def chosen(client, form):
    """The shop's data sent with another order of days."""
    page = pages.soup(client.get("/shop"))
    sent = pages.filled(page.select_one("main form.form")) | {"day_form": form.value}
    return client.post("/shop", data=sent)


def test_the_choice_shows_each_form_by_an_example(client):
    offered = [pages.text(option) for option in pages.soup(client.get("/shop")).select("#day_form option")]
    assert offered == ["25 Nov 2026", "Nov 25, 2026", "2026-11-25"]


@pytest.mark.parametrize(
    ("form", "expected"),
    [(DayForm.DAY_FIRST, "2 Mar 2026"), (DayForm.MONTH_FIRST, "Mar 2, 2026"), (DayForm.YEAR_FIRST, "2026-03-02")],
)
def test_every_page_follows_the_choice(client, file_engine, form, expected):
    made = pages.project(file_engine)
    assert chosen(client, form).status_code == 302
    with reading(file_engine) as session:
        assert how_shown(session).day_form is form
    assert expected in pages.text(pages.soup(client.get(f"/projects/{made}/parts")))


def test_a_form_nobody_offered_is_refused(client):
    page = pages.soup(client.get("/shop"))
    sent = pages.filled(page.select_one("main form.form")) | {"day_form": "backwards"}
    assert client.post("/shop", data=sent).status_code == 422


@pytest.mark.parametrize(("system", "form"), [(System.INCH, DayForm.MONTH_FIRST), (System.METRIC, DayForm.DAY_FIRST)])
def test_a_new_shop_writes_days_as_its_units_suggest(file_engine, system, form):
    first = starting()
    with writing(file_engine) as session:
        keep(session, replace(first, system=system, machines=()))
        assert how_shown(session).day_form is form
