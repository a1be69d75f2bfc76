"""The first questions: asked once, answered or skipped, and never over what the shop has said meanwhile."""

from __future__ import annotations

import pytest
from journal.desk.shop import read_shop
from journal.records.engine import reading
from journal.records.queries import shop as shop_records
from tests.web import project_pages as pages


@pytest.fixture
def client(file_engine, tmp_path):
    return pages.open_shop(file_engine, tmp_path)


def filled(client):
    """The questions as they come; boxes with several ticks send one value each."""
    form = pages.soup(client.get("/welcome")).select_one("main form.form")
    return pages.filled(form) | {"machines": [box["value"] for box in form.select("[name=machines][checked]")]}


def answer(client, **changes):
    return client.post("/welcome", data=filled(client) | changes)


def shop(engine):
    with reading(engine) as session:
        return shop_records.get_shop(session), shop_records.machines(session), read_shop(session, pages.TODAY)


def test_an_empty_journal_opens_with_six_questions_each_with_an_answer(client):
    assert client.get("/").location == "/welcome"
    page = pages.soup(client.get("/welcome"))
    assert [pages.text(label) for label in page.select(".field-name label")] == [
        "Lengths",
        "Money",
        "Hours a week at the bench",
        "People at the benches",
        "Wage an hour",
        "Clamps you can use at once",
    ]
    boxes = page.select("[name=machines]")
    assert boxes
    assert all(box.has_attr("checked") for box in boxes)
    assert page.select_one("[name=hours]")["value"] == "25"


def test_answers_are_the_shops_own_and_are_asked_once(client, file_engine):
    machines = ["jointer", "table saw"]
    answered = answer(
        client, system="metric", currency="EUR", hours="30.5", people="2", wage="28,50", clamps="33", machines=machines
    )
    assert (answered.status_code, answered.location) == (302, "/welcome/begin")
    row, listed, view = shop(file_engine)
    assert (row.system.value, row.currency, row.minutes_per_week, row.time_zone) == ("metric", "EUR", 1830, "")
    assert (row.people, row.wage_cents_per_hour) == (2, 2850)
    assert [machine.kind for machine in listed] == machines
    assert view.allowances["clamps_on_hand"] == 33
    assert client.get("/").location == "/today"
    assert client.get("/welcome").location == "/welcome/begin"


def test_skipped_they_leave_the_starting_values_and_are_asked_no_more(client, file_engine):
    sent = pages.form_at(client, "/welcome", "/welcome/skip")
    assert client.post("/welcome/skip", data=sent).location == "/welcome/begin"
    row, listed, view = shop(file_engine)
    assert (row.currency, row.minutes_per_week, row.time_zone) == ("USD", 1500, "")
    assert listed == ()
    assert view.allowances["clamps_on_hand"] == 20
    assert client.get("/").location == "/today"


def test_without_a_tick_the_usual_machines_are_taken(client, file_engine):
    answer(client, machines=[])
    assert shop(file_engine)[1] == ()


@pytest.mark.parametrize(
    ("box", "typed"),
    [
        ("hours", "0"),
        ("hours", "many"),
        ("hours", "169"),
        ("people", "0"),
        ("wage", "plenty"),
        ("clamps", "0"),
        ("clamps", "2.5"),
        ("currency", "XYZ"),
    ],
)
def test_what_cannot_be_is_refused_at_its_box_and_nothing_is_kept(client, file_engine, box, typed):
    refused = answer(client, **{box: typed})
    assert refused.status_code == 422
    assert pages.soup(refused).select_one(f"#{box}-error .field-error")
    assert shop(file_engine)[0].version == 0


def price_facts(client, engine):
    """The words under the wage and the overhead on the price of a project, with where their links lead."""
    page = pages.soup(client.get(f"/projects/{pages.project(engine)}/price"))
    found = {}
    for line in page.select(".working, .working-plain"):
        name = pages.text(line.select_one(".working-name"))
        if name in {"Wage", "Overhead"}:
            facts = line.select_one(".working-facts")
            found[name] = (pages.text(facts), [link["href"] for link in facts.select("a")])
    return found


def test_a_wage_nobody_set_is_a_starting_value_on_the_price_until_somebody_does(client, file_engine):
    answer(client)
    facts = price_facts(client, file_engine)
    for name in ("Wage", "Overhead"):
        said, links = facts[name]
        assert "a starting value, set it under Shop" in said
        assert "starting book" in said
        assert links == ["/shop"]
    opened = pages.soup(client.get("/shop"))
    assert "starting value" in pages.text(opened.select_one("#wage-hint"))
    assert "starting value" in pages.text(opened.select_one("#overhead-hint"))
    assert client.post("/shop", data=pages.form_at(client, "/shop", "/shop")).status_code == 302
    facts = price_facts(client, file_engine)
    assert all("starting" not in said and not links for said, links in facts.values())
    assert "starting value" not in pages.text(pages.soup(client.get("/shop")).select_one("#wage-hint"))


def test_an_answered_wage_is_the_shops_own_and_the_overhead_still_a_starting_value(client, file_engine):
    answer(client, wage="41")
    facts = price_facts(client, file_engine)
    assert "setting: wage" in facts["Wage"][0]
    assert "a starting value" in facts["Overhead"][0]


def test_a_machine_nobody_knows_is_refused(client, file_engine):
    assert answer(client, machines=["time machine"]).status_code == 422
    assert shop(file_engine)[0].version == 0


def test_a_second_window_does_not_answer_over_the_first(client, file_engine):
    sent = filled(client)
    answer(client, hours="30")
    assert client.post("/welcome", data=sent | {"hours": "10"}).status_code == 409
    assert shop(file_engine)[0].minutes_per_week == 1800


def test_a_shop_with_a_project_is_not_asked(client, file_engine):
    pages.project(file_engine)
    assert client.get("/").location == "/today"


def test_only_our_own_page_may_answer(client, file_engine):
    client.application.config["WTF_CSRF_ENABLED"] = True
    assert client.post("/welcome", data={"hours": "3"}).status_code == 400
    assert shop(file_engine)[0].version == 0


def test_the_ways_to_begin_are_all_there(client):
    page = pages.soup(client.get("/welcome/begin"))
    led = [link["href"].split("?")[0] for link in page.select("main a")]
    for path in ("/projects/new", "/static/sample-part-list.csv", "/designs/slab-bench", "/paces/past-jobs", "/words"):
        assert path in led
        with client.get(path) as response:
            assert response.status_code == 200
    assert "journal demo" in pages.text(page.main)
