"""The Buy pages with boards of the rack: listed first, set aside, drawn, and what is left after cutting."""

from __future__ import annotations

import pytest
from journal import units
from journal.desk import buying, rack_moves
from journal.desk.rack_moves import Added
from journal.records.engine import reading, writing
from journal.records.queries import purchases
from journal.records.queries import rack as rack_records
from tests.web import project_pages as pages


@pytest.fixture
def client(file_engine, tmp_path):
    return pages.open_shop(file_engine, tmp_path)


@pytest.fixture
def made(client, file_engine):
    assert client
    return pages.project(file_engine)


def put(engine, count=3, code="2x6 fir"):
    with writing(engine) as session:
        rack_moves.add(session, Added(code, count, units.feet(10), cost_cents=900), today=pages.TODAY, now=pages.NOW)


def boards(engine):
    with reading(engine) as session:
        return rack_records.boards(session)


def page_of(client, project_id, tail=""):
    response = client.get(f"/projects/{project_id}/buy{tail}")
    assert response.status_code == 200
    return pages.soup(response)


def send(client, project_id, tail, **boxes):
    sent = pages.form_at(client, f"/projects/{project_id}/buy{tail}", f"/buy{tail}")
    return client.post(f"/projects/{project_id}/buy{tail}", data=sent | boxes)


def draw(client, project_id):
    sent = pages.form_at(client, f"/projects/{project_id}/buy", "/buy/draw")
    return client.post(f"/projects/{project_id}/buy/draw", data=sent)


def test_boards_of_the_rack_stand_first_with_their_numbers_and_what_they_save(client, file_engine, made):
    assert page_of(client, made).select("#from-the-rack") == []
    put(file_engine)
    page = page_of(client, made)
    first = page.select("section.entry")[0]
    assert pages.text(first.h2) == "From the rack"
    (row,) = first.select("tbody tr")
    assert [pages.text(link) for link in row.select("a")] == [str(one.id) for one in boards(file_engine)]
    with reading(file_engine) as session:
        saved = buying.shopping(session, made, pages.TODAY).saved_cents
    assert units.format_money(saved, units.currency("USD")) in first.text
    assert "3" in [pages.text(one.dd) for one in page.select(".buy-sums div") if one.dt.text == "From the rack"]


def test_the_cut_sheet_names_them(client, file_engine, made):
    put(file_engine)
    titles = [pages.text(title) for title in page_of(client, made, "/cuts").select(".cut-boards h3")]
    assert sum("10 ft from the rack" in title for title in titles) == 3
    assert client.get(f"/projects/{made}/buy/cut-sheet.pdf").data.startswith(b"%PDF")


def test_lengths_of_the_rack_are_none_that_the_yard_could_be_short_of(client, file_engine, made):
    before = [box["name"] for box in page_of(client, made, "/yard").select("[name^='there-']")]
    with writing(file_engine) as session:
        odd = Added("2x6 fir", 2, units.inches(77))
        rack_moves.add(session, odd, today=pages.TODAY, now=pages.NOW)
    after = [box["name"] for box in page_of(client, made, "/yard").select("[name^='there-']")]
    assert sorted(after) == sorted(before)


def test_a_kept_plan_sets_them_aside(client, file_engine, made):
    put(file_engine)
    token = page_of(client, made).select_one("[name=csrf_token]")["value"]
    assert client.post(f"/projects/{made}/buy/keep", data={"csrf_token": token, "stock": "2x6 fir"}).status_code == 302
    assert {board.project_id for board in boards(file_engine)} == {made}
    assert "planned for this project" in page_of(client, made).select_one("#from-the-rack").text


def test_they_are_drawn_with_one_tap_and_a_second_one_is_a_conflict(client, file_engine, made):
    put(file_engine)
    sent = pages.form_at(client, f"/projects/{made}/buy", "/buy/draw")
    assert draw(client, made).status_code == 302
    assert boards(file_engine) == ()
    assert "drawn" in page_of(client, made).select_one("#from-the-rack").text
    assert client.post(f"/projects/{made}/buy/draw", data=sent).status_code == 409
    assert client.post(f"/projects/{made}/buy/draw", data=sent | {"numbers": ""}).status_code == 422
    assert client.post(f"/projects/{made}/buy/draw", data=sent | {"numbers": "999"}).status_code == 404


def test_a_plan_whose_boards_are_gone_says_so(client, file_engine, made):
    put(file_engine)
    token = page_of(client, made).select_one("[name=csrf_token]")["value"]
    client.post(f"/projects/{made}/buy/keep", data={"csrf_token": token, "stock": "2x6 fir"})
    with writing(file_engine) as session:
        number = rack_records.boards(session)[0].id
        rack_moves.write_off(session, number, 1, "split", today=pages.TODAY, now=pages.NOW)
    assert "not there any more" in page_of(client, made).select_one(".buy-lead").text


class TestAfter:
    def test_offcuts_go_back_as_the_page_has_them(self, client, file_engine, made):
        put(file_engine)
        draw(client, made)
        page = page_of(client, made, "/after")
        offered = sum(int(box["value"]) for box in page.select("[name^='back-']"))
        assert offered
        assert send(client, made, "/after").status_code == 302
        assert len(boards(file_engine)) == offered
        assert all(board.offcut for board in boards(file_engine))

    def test_a_receipt_is_told_and_the_rest_goes_onto_the_rack(self, client, file_engine, made):
        bought = self.buy(client, file_engine, made)
        told = {f"told-{bought}": "1", f"used-{bought}": "1", f"bad-{bought}": "1"}
        nothing = {box["name"]: "0" for box in page_of(client, made, "/after").select("[name^='back-']")}
        assert send(client, made, "/after", **told, **nothing).status_code == 302
        (board, *more) = boards(file_engine)
        assert (board.length_nm, board.offcut, len(more)) == (units.feet(8), False, 2)
        with reading(file_engine) as session:
            (receipt,) = purchases.purchases(session, project_id=made)
        assert (receipt.lines[0].used_quantity, receipt.lines[0].rejected_quantity) == (1.0, 1.0)

    @pytest.mark.parametrize(("used", "bad", "said"), [("9", "0", "0 to 5"), ("4", "2", "6 together"), ("x", "0", "x")])
    def test_more_than_was_bought_is_said_at_its_box(self, client, file_engine, made, used, bad, said):
        bought = self.buy(client, file_engine, made)
        told = {f"told-{bought}": "1", f"used-{bought}": used, f"bad-{bought}": bad}
        response = send(client, made, "/after", **told)
        assert response.status_code == 422
        page = pages.soup(response)
        assert any(said in pages.text(error) for error in page.select(".field-error"))
        assert page.select_one(f"[name='used-{bought}']")["value"] == used
        assert page.select_one(f"[name='told-{bought}']").has_attr("checked")
        assert boards(file_engine) == ()

    def test_more_offcuts_than_there_are_and_no_such_project(self, client, file_engine, made):
        put(file_engine)
        box = page_of(client, made, "/after").select_one("[name^='back-']")["name"]
        assert send(client, made, "/after", **{box: "99"}).status_code == 422
        assert client.get("/projects/999/buy/after").status_code == 404

    def buy(self, client, engine, project_id):
        path = "/rack/purchases/new"
        sent = pages.form_at(client, f"{path}?project={project_id}", path)
        line = {"l0-stock": "2x6 fir", "l0-count": "5", "l0-length": "8", "l0-price": "9"}
        client.post(path, data=sent | {"do": "keep"} | line)
        with reading(engine) as session:
            return purchases.purchases(session, project_id=project_id)[0].lines[0].id
