"""The Rack pages: what is there, boards added, planned, drawn, noted, written off, counted; each refusal after it."""

from __future__ import annotations

import pytest
from journal import units
from journal.desk import rack, rack_moves
from journal.desk.rack_moves import Added
from journal.records.engine import reading, writing
from journal.records.queries import rack as rack_records
from tests.web import project_pages as pages

EIGHT = units.feet(8)


@pytest.fixture
def client(file_engine, tmp_path):
    return pages.open_shop(file_engine, tmp_path)


@pytest.fixture
def made(client, file_engine):
    assert client
    return pages.project(file_engine)


def put(engine, count=1, code="2x6 fir", length_nm=EIGHT, **given):
    with writing(engine) as session:
        added = Added(code, count, length_nm, **given)
        rack_moves.add(session, added, today=pages.TODAY, now=pages.NOW)
        return [board.id for board in rack_records.boards(session)][-count:]


def there(engine):
    with reading(engine) as session:
        return rack_records.boards(session)


def story(engine, board_id):
    with reading(engine) as session:
        return rack.board_page(session, board_id).story


def press(client, board_id, errand, **boxes):
    sent = pages.form_at(client, f"/rack/boards/{board_id}", f"/boards/{board_id}/{errand}")
    for name in ("plan", "draw", "free"):
        sent.pop(name, None)
    return client.post(f"/rack/boards/{board_id}/{errand}", data=sent | boxes)


def page_of(client, path="/rack"):
    response = client.get(path)
    assert response.status_code == 200
    return pages.soup(response)


def errors(response):
    assert response.status_code == 422
    return [pages.text(one) for one in pages.soup(response).select(".field-error")]


class TestIndex:
    def test_it_is_a_section_and_says_what_is_there(self, client, file_engine):
        put(file_engine, 3, cost_cents=500)
        page = page_of(client)
        assert [pages.text(tab) for tab in page.select(".sections [aria-current]")] == ["Rack"]
        sums = {pages.text(one.dt): pages.text(one.dd) for one in page.select(".rack-sums div")}
        assert sums["Free"] == "3"
        assert sums["What it cost, on average"] == "$15.00"
        (row,) = page.select("[id='2x6-fir'] tbody tr")
        assert pages.text(row.th) == "8 ft"
        assert [pages.text(cell) for cell in row.select("td")][:3] == ["3", "free", "today"]

    def test_an_empty_rack_says_how_boards_come(self, client):
        page = page_of(client)
        assert page.select_one(".empty a")["href"] == "/rack/new"

    def test_more_boards_take_no_more_statements(self, client, file_engine):
        put(file_engine, 2)
        paths = ("/rack", "/rack/count", "/rack/done", "/rack/purchases")
        for path in paths:
            client.get(path)  # what no board changes is read once
        put(file_engine, 2)
        before = [pages.statements(file_engine, lambda at=path: client.get(at)) for path in paths]
        put(file_engine, 20, length_nm=units.feet(10))
        put(file_engine, 5, code="8/4 hard maple", width_nm=units.inches(6))
        assert [pages.statements(file_engine, lambda at=path: client.get(at)) for path in paths] == before

    def test_how_cost_is_counted_is_the_shops_choice(self, client):
        put(client.application.extensions["journal"].engine)
        sent = pages.form_at(client, "/rack", "/rack/cost")
        assert client.post("/rack/cost", data=sent | {"method": "first in"}).status_code == 302
        assert "first in, first out" in page_of(client).select_one(".rack-sums").text
        assert client.post("/rack/cost", data=sent | {"method": "by weight"}).status_code == 422


class TestAdd:
    def fill(self, client, **boxes):
        sent = pages.form_at(client, "/rack/new", "/rack/new")
        return client.post("/rack/new", data=sent | {"stock": "2x6 fir", "count": "4", "length": "10"} | boxes)

    def test_a_bare_length_is_feet_and_the_width_is_the_usual_one(self, client, file_engine):
        assert self.fill(client, cost="7.50").status_code == 302
        boards = there(file_engine)
        assert len(boards) == 4
        assert {(one.length_nm, one.width_nm, one.cost_cents) for one in boards} == {
            (units.feet(10), units.inches("5 1/2"), 750)
        }

    @pytest.mark.parametrize(
        ("boxes", "said"),
        [
            ({"count": "0"}, "1 or more"),
            ({"count": "501"}, "500 or less"),
            ({"count": "1e9"}, "whole number"),
            ({"length": ""}, "the length"),
            ({"length": "long"}, "long"),
            ({"cost": "-3"}, "not negative"),
            ({"stock": "8/4 hard maple"}, "the width"),
            ({"stock": "nothing we buy"}, "Not a valid choice"),
        ],
    )
    def test_what_makes_no_sense_is_said_at_its_box(self, client, file_engine, boxes, said):
        response = self.fill(client, note="by the door", **boxes)
        assert any(said in error for error in errors(response))
        assert pages.soup(response).select_one("#note")["value"] == "by the door"
        assert there(file_engine) == ()


class TestBoard:
    def test_several_are_planned_for_a_project_and_made_free_again(self, client, file_engine, made):
        first, *_ = put(file_engine, 3)
        assert press(client, first, "use", count="2", project=str(made), plan="1").status_code == 302
        assert [one.project_id for one in there(file_engine)] == [made, made, None]
        assert press(client, first, "use", count="1", project="", free="1").status_code == 302
        assert [one.project_id for one in there(file_engine)].count(None) == 2

    def test_a_board_is_drawn_and_that_is_undone(self, client, file_engine, made):
        (first,) = put(file_engine)
        assert press(client, first, "use", count="1", project=str(made), draw="1").status_code == 302
        assert there(file_engine) == ()
        page = page_of(client)
        (undo,) = page.select(".rack-last form")
        assert client.post(undo["action"], data=pages.filled(undo)).status_code == 302
        assert [one.id for one in there(file_engine)] == [first]
        assert [move.kind.value for _, move in story(file_engine, first)] == ["counted", "drawn", "undone"]
        assert client.post(undo["action"], data=pages.filled(undo)).status_code == 409

    def test_a_board_that_is_gone_is_a_conflict_and_its_story_stays(self, client, file_engine, made):
        (first,) = put(file_engine)
        form = pages.form_at(client, f"/rack/boards/{first}", f"/boards/{first}/off")
        press(client, first, "use", count="1", project=str(made), draw="1")
        assert client.post(f"/rack/boards/{first}/off", data=form | {"why": "split"}).status_code == 409
        page = page_of(client, f"/rack/boards/{first}")
        assert "not on the rack any more" in page.select_one("main").text
        assert page.select("main form") == []

    def test_written_off_with_a_reason(self, client, file_engine):
        first, *_ = put(file_engine, 2)
        assert "Fill this in." in errors(press(client, first, "off", why=" "))
        assert press(client, first, "off", count="1", why="split end to end").status_code == 302
        assert len(there(file_engine)) == 1
        assert "split end to end" in page_of(client, "/rack/done").select_one(".rack-acts").text

    def test_a_stretch_is_marked_seen_and_cleared(self, client, file_engine):
        (first,) = put(file_engine)
        marked = press(client, first, "stretch", start="30", end="34", why="knot")
        assert marked.status_code == 302
        (board,) = there(file_engine)
        assert board.cut_outs == ((units.inches(30), units.inches(34), "knot"),)
        assert "knot at 30 in to 34 in" in pages.text(page_of(client).select_one("[id='2x6-fir'] tbody tr"))
        assert press(client, first, "stretch/0/clear").status_code == 302
        assert there(file_engine)[0].cut_outs == ()

    @pytest.mark.parametrize(
        ("errand", "boxes", "said"),
        [
            ("stretch", {"start": "30", "end": "20", "why": "knot"}, "past where it begins"),
            ("stretch", {"start": "30", "end": "200", "why": "knot"}, "on the board"),
            ("use", {"count": "3", "plan": "1"}, "so many like it are there"),
            ("off", {"count": "0", "why": "split"}, "1 or more"),
            ("off", {"count": "9", "why": "split"}, "so many like it are there"),
        ],
    )
    def test_a_slip_is_said_at_its_box(self, client, file_engine, made, errand, boxes, said):
        first, *_ = put(file_engine, 2)
        more = {"project": str(made)} if errand == "use" else {}
        assert any(said in error for error in errors(press(client, first, errand, **more | boxes)))
        assert len(there(file_engine)) == 2

    def test_planning_wants_a_project(self, client, file_engine):
        (first,) = put(file_engine)
        assert "Choose a project." in errors(press(client, first, "use", project="", plan="1"))

    def test_an_old_page_is_a_conflict(self, client, file_engine):
        (first,) = put(file_engine)
        old = pages.form_at(client, f"/rack/boards/{first}", f"/boards/{first}/note")
        assert press(client, first, "note", note="the straight one").status_code == 302
        assert client.post(f"/rack/boards/{first}/note", data=old | {"note": "other"}).status_code == 409
        assert there(file_engine)[0].note == "the straight one"

    def test_markup_in_a_note_is_text(self, client, file_engine):
        (first,) = put(file_engine, note="<b>knotty</b> & wet")
        for path in ("/rack", f"/rack/boards/{first}", "/rack/count"):
            page = page_of(client, path)
            assert page.select("main b") == []
        assert "<b>knotty</b> & wet" in page_of(client).select_one("main").text

    def test_no_such_board_is_no_page(self, client):
        assert client.get("/rack/boards/99").status_code == 404
        assert client.get("/rack/purchases/99").status_code == 404

    def test_without_our_mark_nothing_is_done(self, client, file_engine):
        (first,) = put(file_engine)
        for path in (f"/rack/boards/{first}/off", "/rack/count", "/rack/cost", "/rack/new", "/rack/purchases/new"):
            assert client.post(path, data={"count": "1", "why": "split"}).status_code in (400, 422)
        assert len(there(file_engine)) == 1


class TestCount:
    def sheet(self, client):
        return pages.form_at(client, "/rack/count", "/rack/count")

    def test_missing_ones_come_off_and_more_go_on(self, client, file_engine):
        a, *_ = put(file_engine, 3, cost_cents=900)
        b, *_ = put(file_engine, 1, length_nm=units.feet(10), cost_cents=1200)
        put(file_engine, 2, length_nm=units.feet(12))
        done = client.post("/rack/count", data=self.sheet(client) | {f"there-{a}": "1", f"there-{b}": "3"})
        assert done.status_code == 302
        lengths = [one.length_nm for one in there(file_engine)]
        assert [lengths.count(units.feet(feet)) for feet in (8, 10, 12)] == [1, 3, 2]
        assert {one.cost_cents for one in there(file_engine) if one.length_nm == units.feet(10)} == {1200}

    def test_what_cannot_be_read_is_said_and_nothing_kept(self, client, file_engine):
        a, *_ = put(file_engine, 3)
        for text in ("-1", "two", "501", "9" * 40):
            response = client.post("/rack/count", data=self.sheet(client) | {f"there-{a}": text})
            assert any("whole number" in error for error in errors(response))
            assert pages.soup(response).select_one(f"#there-{a}")["value"] == text
        assert len(there(file_engine)) == 3

    def test_a_rack_that_changed_is_a_conflict(self, client, file_engine):
        a, *_ = put(file_engine, 3)
        sheet = self.sheet(client)
        press(client, a, "off", count="1", why="split")
        left = there(file_engine)[0].id
        assert client.post("/rack/count", data=sheet | {f"there-{left}": "2"}).status_code == 409
        assert len(there(file_engine)) == 2
