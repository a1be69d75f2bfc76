"""Receipts on the Rack pages: typed, worked out, kept, put right, taken back; then each refusal, with nothing lost."""

from __future__ import annotations

from datetime import timedelta

import pytest
from journal.records.engine import reading, writing
from journal.records.queries import purchases
from journal.records.queries import rack as rack_records
from tests import factories
from tests.web import project_pages as pages

FIR = {"l0-stock": "2x6 fir", "l0-count": "4", "l0-length": "8", "l0-price": "10.00"}
MAPLE = {
    "l0-stock": "8/4 hard maple",
    "l0-tally": "2 x 6 1/4 x 8\n10 x 13",
    "l0-price": "10.50",
    "l0-per": "a board foot",
}
ADDRESS = "/rack/purchases/new"


@pytest.fixture
def client(file_engine, tmp_path):
    return pages.open_shop(file_engine, tmp_path)


def send(client, do="keep", path=ADDRESS, **boxes):
    sent = pages.form_at(client, path, path)
    return client.post(path, data=sent | {"do": do} | boxes)


def kept(engine):
    with reading(engine) as session:
        return purchases.purchases(session)


def boards(engine):
    with reading(engine) as session:
        return rack_records.boards(session)


def errors(response):
    assert response.status_code == 422
    return [pages.text(one) for one in pages.soup(response).select(".field-error")]


class TestKept:
    def test_what_was_typed_is_on_the_rack_with_tax_and_freight_in_its_cost(self, client, file_engine):
        response = send(client, tax="1.00", freight="9.01", supplier="the yard", **FIR)
        assert response.status_code == 302
        (receipt,) = kept(file_engine)
        assert (receipt.supplier, receipt.tax_cents, receipt.freight_cents) == ("the yard", 100, 901)
        assert sum(board.cost_cents for board in boards(file_engine)) == 5_001
        said = pages.soup(client.get(response.location)).select_one(".notices").text
        assert "$50.01" in said
        assert "4 boards on the rack" in said

    def test_a_rate_of_tax_is_taken_of_the_lines_and_kept_as_its_amount(self, client, file_engine):
        assert send(client, tax="6.25 %", freight="9.01", **FIR).status_code == 302
        (receipt,) = kept(file_engine)
        assert (receipt.tax_cents, receipt.freight_cents) == (250, 901)
        assert sum(board.cost_cents for board in boards(file_engine)) == 4_000 + 250 + 901

    def test_worked_out_first_both_ways_of_counting_are_named_and_nothing_is_kept(self, client, file_engine):
        response = send(client, "work", tax="8.00", **MAPLE, **{f"l1-{k[3:]}": v for k, v in FIR.items()})
        assert response.status_code == 200
        maple, fir = pages.soup(response).select("#worked-out tbody tr")
        assert "38" in pages.text(maple)
        assert "rough size, by surface measure" in pages.text(maple)
        assert "$399.00" in pages.text(maple)
        assert "nominal size" in pages.text(fir)
        assert (kept(file_engine), boards(file_engine)) == ((), ())
        assert pages.soup(response).select_one("[name='l0-tally']").text.strip() == MAPLE["l0-tally"]

    def test_for_a_project_it_goes_to_its_list(self, client, file_engine):
        project = pages.project(file_engine)
        path = f"{ADDRESS}?project={project}"
        sent = pages.form_at(client, path, ADDRESS)
        assert sent["project"] == str(project)
        response = client.post(ADDRESS, data=sent | {"do": "keep"} | FIR)
        assert response.location.endswith(f"/projects/{project}/buy")
        assert kept(file_engine)[0].project_id == project
        assert boards(file_engine) == ()

    def test_another_line_keeps_what_is_typed(self, client):
        page = pages.soup(send(client, "more", **FIR))
        numbers = [box["value"] for box in page.select("[data-rows] [name='row']")]
        assert len(numbers) == len(set(numbers)) == 3
        assert page.select_one("[name='l0-count']")["value"] == "4"

    def test_every_box_has_a_label_of_its_own(self, client):
        page = pages.soup(client.get(ADDRESS))
        for box in page.select("[data-rows] .box"):
            assert page.select_one(f"label[for='{box['id']}']")
        names = [box["id"] for box in page.select("main [id]") if not box.find_parent("template")]
        assert len(names) == len(set(names))


class TestPutRight:
    def test_sent_again_as_it_stands_nothing_changes_but_the_receipt_that_counts(self, client, file_engine):
        send(client, **MAPLE)
        (first,) = kept(file_engine)
        before = sorted((one.width_nm, one.length_nm, one.cost_cents) for one in boards(file_engine))
        assert send(client, path=f"/rack/purchases/{first.id}").status_code == 302
        (again,) = kept(file_engine)
        assert (again.id != first.id, again.cents) == (True, first.cents)
        assert sorted((one.width_nm, one.length_nm, one.cost_cents) for one in boards(file_engine)) == before

    def test_a_receipt_put_right_elsewhere_is_a_conflict(self, client, file_engine):
        send(client, **FIR)
        (first,) = kept(file_engine)
        path = f"/rack/purchases/{first.id}"
        old = pages.form_at(client, path, path)
        send(client, path=path, **{"l0-count": "5"})
        assert client.post(path, data=old | {"do": "keep"}).status_code == 409
        assert client.get(path).status_code == 409

    def test_taken_back_and_had_back(self, client, file_engine):
        send(client, **FIR)
        page = pages.soup(client.get("/rack/purchases"))
        (form,) = [one for one in page.select("main form") if one["action"].endswith("/take-back")]
        assert client.post(form["action"], data=pages.filled(form)).status_code == 302
        assert (kept(file_engine), boards(file_engine)) == ((), ())
        (undo,) = pages.soup(client.get("/rack")).select(".rack-last form")
        client.post(undo["action"], data=pages.filled(undo))
        assert (len(kept(file_engine)), len(boards(file_engine))) == (1, 4)

    def test_the_list_names_what_where_and_for_how_much(self, client):
        send(client, supplier="<b>the yard</b>", **FIR)
        page = pages.soup(client.get("/rack/purchases"))
        (row,) = page.select("tbody tr")
        assert page.select("main b") == []
        assert "<b>the yard</b>" in row.text
        assert "4 × 2x6 fir 8 ft" in pages.text(row)
        assert "$40.00" in pages.text(row)


class TestRefused:
    @pytest.mark.parametrize(
        ("boxes", "said"),
        [
            ({"l0-count": "0"}, "1 or more"),
            ({"l0-count": "4.5"}, "whole number"),
            ({"l0-count": "99999999"}, "100,000 or less"),
            ({"l0-count": ""}, "whole number"),
            ({"l0-length": ""}, "the length"),
            ({"l0-length": "eight"}, "eight"),
            ({"l0-price": ""}, "Fill this in."),
            ({"l0-price": "10.005"}, "10.005"),
            ({"l0-price": "12,34,5"}, "12,34,5"),
            ({"l0-price": "-3"}, "not negative"),
            ({"l0-price": "9999999999"}, "comes to less"),
            ({"l0-stock": "gopher wood"}, "Not a valid choice"),
            ({"l0-stock": ""}, "Choose what was bought."),
            ({"l0-stock": "8/4 hard maple"}, "width and length"),
            ({"l0-stock": "8/4 hard maple", "l0-tally": "6 x 8\nseven x 8"}, "line 2"),
            ({"l0-stock": "8/4 hard maple", "l0-board_feet": "0"}, "over 0"),
            ({"l0-stock": "vise", "l0-length": "", "l0-per": "a foot"}, "not sold by length"),
            ({"on_date": "2026-03-03"}, "up to today"),
            ({"on_date": "yesterday"}, "Not a valid date"),
            ({"on_date": ""}, "Fill this in."),
            ({"tax": "lots"}, "lots"),
            ({"tax": "lots%"}, "percentage"),
            ({"tax": "100%"}, "under 100"),
        ],
    )
    def test_a_slip_is_said_at_its_box_and_nothing_is_lost(self, client, file_engine, boxes, said):
        response = send(client, note="by the door 🪵 \u202eback", **FIR | boxes)
        found = errors(response)
        assert any(said in error for error in found), found
        page = pages.soup(response)
        assert page.select_one("#note")["value"] == "by the door 🪵 \u202eback"
        for name, text in (FIR | boxes).items():
            box = page.select_one(f"[name='{name}']")
            if box.name == "input" and name != "on_date":
                assert box["value"] == text
        assert (kept(file_engine), boards(file_engine)) == ((), ())

    def test_a_comma_may_stand_for_the_point(self, client, file_engine):
        assert send(client, **FIR | {"l0-price": "12,34"}).status_code == 302
        assert kept(file_engine)[0].cents == 4_936

    def test_a_receipt_with_nothing_on_it(self, client):
        response = send(client)
        assert response.status_code == 422
        assert "at least one line" in pages.soup(response).select_one("[role=alert]").text

    def test_more_receipts_take_no_more_statements(self, client, file_engine):
        def taken():
            client.get("/rack/purchases")
            return pages.statements(file_engine, lambda: client.get("/rack/purchases"))

        send(client, **FIR)
        before = taken()
        for _ in range(3):
            send(client, **MAPLE)
        assert taken() == before


class TestPages:
    def test_many_receipts_come_a_page_at_a_time_and_all_of_them_once(self, client, file_engine):
        with writing(file_engine) as session:
            for day in range(125):
                factories.purchase(session, on_date=factories.TODAY + timedelta(days=day))
        seen, address, count = [], "/rack/purchases", 0
        while address:
            page = pages.soup(client.get(address))
            seen += [link["href"] for link in page.select(".rack-do a[aria-label^='Put right']")]
            older, count = page.select_one("nav.pages a[rel=next]"), count + 1
            address = older and older["href"]
        assert (len(seen), len(set(seen)), count) == (125, 125, 3)

    @pytest.mark.parametrize("number", ["0", "-3", "999", "last"])
    def test_a_page_that_is_not_there_gives_one_that_is(self, client, number):
        assert client.get(f"/rack/purchases?page={number}").status_code == 200
