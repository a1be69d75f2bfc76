"""Quantities asked for once: the page, an answer kept, each refusal."""

from dataclasses import replace
from datetime import timedelta

import pytest
from journal.desk import paces, quantities
from journal.records.engine import reading, writing
from journal.records.queries import log
from journal.records.queries import shop as shop_records
from journal.records.words import LengthSystem
from journal.web import create_app
from tests.desk import shop_years as years
from tests.web.project_pages import soup, text

DAY = years.FIRST + timedelta(days=25)


@pytest.fixture
def client(file_engine):
    app = create_app(engine=file_engine, testing=True, today=years.TODAY)
    app.config["WTF_CSRF_ENABLED"] = False
    return app.test_client()


def asking(engine, *codes, place=0, **given):
    """A finished project with time on these, in no plan and nowhere noted as built."""
    with writing(engine) as session:
        made = years.finished(session, place, **given)
        for code in codes:
            years.log_minutes(session, made.id, code, 40, on=DAY)
        return made


def built(engine, project_id):
    with reading(engine) as session:
        rows = log.operation_quantities(session, project_id=project_id)
        return {row.operation: (row.quantity, row.setups) for row in rows if row.as_built}


def test_nothing_missing_is_said_calmly(client):
    assert "Nothing is missing" in text(soup(client.get("/paces/missing")).select_one(".empty"))


def test_each_quantity_has_a_form_with_its_unit(file_engine, client):
    row = asking(file_engine, "dry_fit", "deliver")
    page = soup(client.get("/paces/missing"))
    actions = [form["action"] for form in page.select("form[action*=missing]")]
    assert sorted(actions) == [f"/paces/missing/{row.id}/{code}" for code in ("deliver", "dry_fit")]
    ids = [box["id"] for box in page.select("input.box")]
    assert len(ids) == len(set(ids))
    assert {label["for"] for label in page.select("form label")} == set(ids)
    assert "1.3 h were logged" in text(page.select_one(".paces-lead"))


def test_an_operation_counted_by_its_set_ups_asks_only_how_often(file_engine, client):
    asking(file_engine, "deliver")
    boxes = [box["name"] for box in soup(client.get("/paces/missing")).select("input.box")]
    assert boxes == (["quantity", "setups"] if paces.book()["deliver"].pace_minutes else ["setups"])


def test_an_answer_is_kept_teaches_and_is_not_asked_again(file_engine, client):
    row = asking(file_engine, "dry_fit")
    answer = client.post(
        f"/paces/missing/{row.id}/dry_fit", data={"quantity": "8", "setups": "2"}, follow_redirects=True
    )
    assert answer.status_code == 200
    assert "Noted: Dry fit" in answer.text
    assert built(file_engine, row.id) == {"dry_fit": (8.0, 2)}
    with reading(file_engine) as session:
        assert quantities.wanted(session) == ()
        assert paces.learn(session, years.TODAY).calibration.pace("dry_fit").logs == 1


def test_a_metric_shop_is_asked_and_understood_in_metres(file_engine, client):
    row = asking(file_engine, "resaw")
    with writing(file_engine) as session:
        shop_records.save_shop(session, replace(shop_records.get_shop(session), system=LengthSystem.METRIC))
    page = soup(client.get("/paces/missing"))
    assert text(page.select_one(".field-unit")) == "m"
    client.post(f"/paces/missing/{row.id}/resaw", data={"quantity": "3.048", "setups": "1"})
    assert built(file_engine, row.id)["resaw"][0] == pytest.approx(10.0)


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"quantity": "", "setups": "1"}, "How much"),
        ({"quantity": "some", "setups": "1"}, "a number"),
        ({"quantity": "-4", "setups": "1"}, "0"),
        ({"quantity": "0", "setups": "0"}, "above zero"),
        ({"quantity": "8", "setups": "1.5"}, "whole number"),
    ],
)
def test_a_refused_answer_comes_back_as_it_was_filled_in(file_engine, client, sent, said):
    row = asking(file_engine, "resaw")
    answer = client.post(f"/paces/missing/{row.id}/resaw", data=sent)
    assert answer.status_code == 422
    page = soup(answer)
    assert said in text(page.select_one("main"))
    assert page.select_one(f"#setups-{row.id}-resaw")["value"] == sent["setups"]
    assert built(file_engine, row.id) == {}


def test_what_is_not_asked_for_is_not_found(file_engine, client):
    row = asking(file_engine, "dry_fit")
    for path in (f"/paces/missing/{row.id}/sand", f"/paces/missing/{row.id}/juggling", "/paces/missing/99/dry_fit"):
        assert client.post(path, data={"quantity": "8", "setups": "1"}).status_code == 404


def test_a_stranger_cannot_answer(file_engine):
    row = asking(file_engine, "dry_fit")
    guarded = create_app(engine=file_engine, today=years.TODAY, secret="k" * 32).test_client()
    answer = guarded.post(f"/paces/missing/{row.id}/dry_fit", data={"quantity": "8", "setups": "1"})
    assert answer.status_code == 400
    assert built(file_engine, row.id) == {}


def test_the_paces_page_says_how_many_are_missing_and_not_twice(file_engine, client):
    asking(file_engine, "dry_fit", "resaw")
    page = soup(client.get("/paces"))
    assert "2 quantities are missing" in text(page.select_one("a[href='/paces/missing']"))
    assert "Not used" not in [text(head) for head in page.select("h2")]


def test_only_so_many_are_asked_at_once(file_engine, client):
    codes = [code for code in paces.book() if code not in ("joint_face", "sand", "rework")][:30]
    for place in range(2):
        asking(file_engine, *codes, place=place)
    page = soup(client.get("/paces/missing"))
    assert len(page.select("form[action*=missing]")) == 50
    assert "And 10 more" in text(page.select_one("main"))


def test_markup_in_a_number_is_shown_as_text(file_engine, client):
    asking(file_engine, "dry_fit", code="<b>7</b>")
    assert "<b>7</b>" not in client.get("/paces/missing").text
