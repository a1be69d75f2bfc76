"""The price list: what is shown of it, a price seen, something added, something put away and taken back."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from bs4 import BeautifulSoup
from journal import units
from journal.desk import prices
from journal.desk.starting_stock import set_up
from journal.records.engine import reading, writing
from journal.records.tables import StockItem
from journal.records.words import StockForm
from journal.web.prices.pages import ago
from sqlalchemy import event, update
from tests import journals
from tests.web.shared_app import client_of

TODAY = date(2026, 3, 2)


@pytest.fixture(scope="module")
def stocked_file(tmp_path_factory, empty_journal):
    """A file with the starting stock, which takes longer to make than to copy."""
    path = tmp_path_factory.mktemp("stocked") / "journal.db"
    engine = journals.copied(empty_journal, path)
    set_up(engine, TODAY)
    engine.dispose()
    return path


@pytest.fixture
def engine(tmp_path, stocked_file):
    path = tmp_path / "journal.db"
    engine = journals.copied(stocked_file, path)
    yield engine
    journals.removed(engine)


@pytest.fixture
def client(engine):
    return client_of(engine, today=TODAY)


def soup_of(response):
    return BeautifulSoup(response.get_data(as_text=True), "html.parser")


def item_id(engine, code):
    with reading(engine) as session:
        return next(stock.item.id for stock in prices.listed(session, TODAY) if stock.item.code == code)


def in_force(engine, code):
    """Prices in force by length, in feet."""
    with reading(engine) as session:
        stock = prices.one(session, item_id(engine, code), TODAY)
    return {seen.length_nm and units.to_feet(seen.length_nm): seen for seen in stock.prices}


def filled(client, path, **typed):
    page = soup_of(client.get(path))
    token = page.select_one("input[name=csrf_token]")["value"]
    return {"csrf_token": token, **typed}


def see(client, number, **typed):
    data = filled(client, f"/prices/{number}", **{"date": TODAY.isoformat()} | typed)
    return client.post(f"/prices/{number}/seen", data=data)


def statements_of(engine, client):
    """How many questions the list asks of the database."""
    asked = []

    def note(*call):
        asked.append(call[2])

    event.listen(engine, "before_cursor_execute", note)
    assert client.get("/prices").status_code == 200
    event.remove(engine, "before_cursor_execute", note)
    return len([text for text in asked if text.startswith("SELECT")])


class TestList:
    def test_every_kind_has_its_prices(self, client):
        page = soup_of(client.get("/prices"))
        heads = [head.text for head in page.select(".entry h2")]
        assert heads == ["Lumber by length", "Hardwood", "Sheets", "Glue", "Finish", "Hardware"]
        row = page.find("a", string="2x8 fir").find_parent("tr")
        cells = {cell["data-label"]: cell.text.strip() for cell in row.select("td")}
        assert cells["8 ft"] == "$9.44"
        assert cells["Seen"] == "starting assumption"

    def test_only_the_usual_wood_is_open_at_first(self, client):
        folds = soup_of(client.get("/prices")).select("details.wood")
        assert [fold.select_one(".wood-name").text for fold in folds if fold.has_attr("open")] == ["spruce-pine-fir"]
        assert folds[0].has_attr("open")

    def test_it_says_how_much_nobody_has_asked_for(self, engine, client):
        assert "Nothing here is your own price yet" in soup_of(client.get("/prices")).select_one(".prices-lead").text
        see(client, item_id(engine, "8/4 ash"), price="7.10")
        things = len(soup_of(client.get("/prices")).select(".prices-name"))
        lead = soup_of(client.get("/prices")).select_one(".prices-lead").text
        assert f"{things - 1} of {things} things have no price of your own yet" in lead

    def test_an_old_price_asks_to_be_looked_at_again(self, engine, client):
        see(client, item_id(engine, "8/4 ash"), price="7.10", date=(TODAY - timedelta(days=100)).isoformat())
        row = soup_of(client.get("/prices")).find("a", string="8/4 ash").find_parent("tr")
        assert row.select_one(".state--care").text == "3 months ago, ask again"

    def test_a_price_that_is_still_starting_among_own_ones_is_marked(self, engine, client):
        number = item_id(engine, "2x8 fir")
        see(client, number, **{f"at_{units.feet(12)}": "15.20"})
        row = soup_of(client.get("/prices")).find("a", string="2x8 fir").find_parent("tr")
        marked = {cell["data-label"] for cell in row.select("td") if cell.select(".starting")}
        assert "12 ft" not in marked
        assert {"8 ft", "16 ft"} <= marked
        assert row.select_one(".badge").text == f"{len(marked)} of {len(marked) + 1} starting"

    def test_a_shop_that_buys_nothing_is_told_what_to_do(self, engine, client):
        with writing(engine) as session:
            session.execute(update(StockItem).values(archived=True))
        assert soup_of(client.get("/prices")).select_one(".empty a")["href"] == "/prices/add/lumber"

    def test_a_longer_list_asks_no_more_questions(self, engine, client):
        before = statements_of(engine, client)
        with writing(engine) as session:
            for number in range(20):
                prices.add_lumber(session, code=f"8/4 ash {number}", species="white ash", nominal="8/4")
        assert statements_of(engine, client) == before

    @pytest.mark.parametrize(
        ("days", "text"),
        [(0, "today"), (1, "yesterday"), (13, "13 days ago"), (14, "2 weeks ago"), (59, "8 weeks ago"),
         (60, "2 months ago"), (729, "24 months ago"), (730, "2 years ago")],
    )  # fmt: skip
    def test_age_is_said_in_the_largest_unit_worth_saying(self, days, text):
        assert ago(days) == text


class TestOpened:
    def test_a_thing_opens_in_its_place_with_today_filled_in(self, engine, client):
        number = item_id(engine, "2x8 fir")
        page = soup_of(client.get(f"/prices/{number}"))
        assert page.select_one("#date")["value"] == TODAY.isoformat()
        assert page.select_one(".prices-opened")["id"] == f"item-{number}"
        assert page.select_one(".prices-opened").find_parent("details").has_attr("open")
        assert [label.text for label in page.select(".price-boxes label")][:2] == ["8 ft", "10 ft"]

    def test_every_box_has_a_label_and_its_description(self, engine, client):
        page = soup_of(client.get(f"/prices/{item_id(engine, '2x8 fir')}"))
        boxes = page.select(".panel .box")
        assert len(boxes) == 10
        for box in boxes:
            assert page.select_one(f"label[for={box['id']}]").text.strip()
            for described in box.get("aria-describedby", "").split():
                assert page.find(id=described) is not None

    def test_an_unknown_thing_is_not_found(self, client):
        assert client.get("/prices/99999").status_code == 404

    def test_history_is_newest_first(self, engine, client):
        number = item_id(engine, "8/4 ash")
        see(client, number, price="7.10", date="2026-02-01")
        see(client, number, price="7.30")
        days = [day.text for day in soup_of(client.get(f"/prices/{number}")).select(".past-day")]
        assert days == ["2 Mar 2026", "1 Feb 2026", "came with the program"]


class TestSeeing:
    def test_prices_of_several_lengths_are_kept_at_once(self, engine, client):
        number = item_id(engine, "2x8 fir")
        boxes = {f"at_{units.feet(8)}": "9.90", f"at_{units.feet(12)}": "$14.85"}
        response = see(client, number, **boxes)
        assert response.status_code == 302
        assert response.location.endswith(f"/prices/{number}#item-{number}")
        found = in_force(engine, "2x8 fir")
        assert (found[8].price_cents, found[12].price_cents) == (990, 1485)
        assert not found[8].starting
        assert found[10].starting

    def test_what_was_kept_is_said(self, engine, client):
        number = item_id(engine, "8/4 ash")
        see(client, number, price="7.10")
        notice = soup_of(client.get("/prices")).select_one(".notice--good").text
        assert notice.strip() == "8/4 ash: $7.10, seen on 2 Mar 2026."

    def test_another_length_is_kept_with_its_price(self, engine, client):
        see(client, item_id(engine, "2x8 fir"), length="9'", price="11.25")
        assert in_force(engine, "2x8 fir")[9].price_cents == 1125

    @pytest.mark.parametrize(
        ("typed", "box"),
        [
            ({f"at_{units.feet(8)}": "cheap"}, f"at_{units.feet(8)}"),
            ({f"at_{units.feet(8)}": "9.90", "date": "2026-03-03"}, "date"),
            ({f"at_{units.feet(8)}": "9.90", "date": ""}, "date"),
            ({"length": "9'"}, "price"),
            ({"price": "9"}, "length"),
            ({"length": "8", "price": "9"}, "length"),
        ],
    )
    def test_a_refused_price_comes_back_as_typed_and_keeps_nothing(self, engine, client, typed, box):
        number = item_id(engine, "2x8 fir")
        before = in_force(engine, "2x8 fir")
        response = see(client, number, **typed)
        assert response.status_code == 422
        page = soup_of(response)
        assert page.find(id=box)["aria-invalid"] == "true"
        assert page.find(id=f"{box}-error").text.strip()
        for name, text in typed.items():
            assert page.find(id=name).get("value", "") == text
        assert in_force(engine, "2x8 fir") == before

    def test_a_form_without_any_price_is_refused(self, engine, client):
        response = see(client, item_id(engine, "8/4 ash"))
        assert response.status_code == 422
        assert "Type a price." in soup_of(response).select_one("[role=alert]").text

    def test_a_form_without_our_mark_is_refused(self, engine, client):
        response = client.post(f"/prices/{item_id(engine, '8/4 ash')}/seen", data={"price": "7", "date": "2026-03-02"})
        assert response.status_code == 400
        assert in_force(engine, "8/4 ash")[None].starting


class TestAdding:
    def test_lumber_is_added_with_its_dressed_size(self, engine, client):
        data = filled(client, "/prices/add/lumber", stock="2x8 larch", size="2×8", wood="Douglas-fir")
        response = client.post("/prices/add/lumber", data=data)
        assert response.status_code == 302
        number = item_id(engine, "2x8 larch")
        assert response.location.endswith(f"/prices/{number}#item-{number}")
        row = soup_of(client.get("/prices")).find("a", string="2x8 larch").find_parent("tr")
        assert row.select_one(".prices-detail").text == "1½ in × 7¼ in"
        assert row.select_one(".state").text == "no price yet"

    @pytest.mark.parametrize(
        ("kind", "typed", "form"),
        [
            ("sheet", {"kind": "mdf_1_2"}, StockForm.SHEET),
            ("glue", {"kind": "epoxy", "container": "1 qt"}, StockForm.ADHESIVE),
            ("finish", {"kind": "shellac", "container": "473 ml"}, StockForm.FINISH),
            ("hardware", {"kind": "vise"}, StockForm.HARDWARE),
        ],
    )
    def test_other_goods_are_added_and_take_a_price(self, engine, client, kind, typed, form):
        client.post(f"/prices/add/{kind}", data=filled(client, f"/prices/add/{kind}", stock="a new one", **typed))
        number = item_id(engine, "a new one")
        with reading(engine) as session:
            assert prices.one(session, number, TODAY).item.form is form
        assert see(client, number, price="25").status_code == 302
        assert in_force(engine, "a new one")[None].price_cents == 2500

    def test_a_size_nobody_sells_is_refused_with_those_that_are(self, client):
        data = filled(client, "/prices/add/lumber", stock="2x7", size="2x7", wood="Douglas-fir")
        response = client.post("/prices/add/lumber", data=data)
        assert response.status_code == 422
        page = soup_of(response)
        assert page.select_one("#size")["value"] == "2x7"
        assert "nominal face width of “7”" in page.select_one("#size-error").text
        assert ", 8, 10, 12" in page.select_one("#size-error").text

    def test_a_name_that_is_taken_is_refused(self, client):
        data = filled(client, "/prices/add/lumber", stock="2x8 fir", size="2x8", wood="Douglas-fir")
        response = client.post("/prices/add/lumber", data=data)
        assert response.status_code == 422
        assert "no other stock" in soup_of(response).select_one("#stock-error").text

    def test_glue_without_a_container_is_refused(self, client):
        response = client.post(
            "/prices/add/glue", data=filled(client, "/prices/add/glue", stock="glue", kind="epoxy", container="")
        )
        assert response.status_code == 422
        assert soup_of(response).select_one("#container-error") is not None

    def test_an_unknown_kind_is_not_found(self, client):
        assert client.get("/prices/add/nails").status_code == 404

    def test_a_name_cannot_become_markup(self, client):
        name = "<script>alert(1)</script>"
        data = filled(client, "/prices/add/hardware", stock=name, kind="vise")
        page = client.post("/prices/add/hardware", data=data, follow_redirects=True).get_data(as_text=True)
        assert "<script>alert" not in page
        assert "&lt;script&gt;alert" in page


class TestPuttingAway:
    def test_what_is_put_away_can_be_taken_back_at_once(self, engine, client):
        number = item_id(engine, "8/4 ash")
        data = filled(client, f"/prices/{number}")
        away = client.post(f"/prices/{number}/put-away", data=data)
        page = soup_of(client.get(away.location))
        assert page.find("a", string="8/4 ash") is None
        undo = page.select_one(".prices-undo")
        assert "8/4 ash is put away" in undo.text
        client.post(undo["action"], data=data)
        assert soup_of(client.get("/prices")).find("a", string="8/4 ash") is not None

    def test_it_stays_in_its_own_list(self, engine, client):
        number = item_id(engine, "8/4 ash")
        client.post(f"/prices/{number}/put-away", data=filled(client, f"/prices/{number}"))
        page = soup_of(client.get("/prices"))
        assert page.select_one(".put-away span").text == "8/4 ash"
        assert page.select_one(".prices-undo") is None

    def test_both_need_our_mark(self, engine, client):
        number = item_id(engine, "8/4 ash")
        assert client.post(f"/prices/{number}/put-away").status_code == 400
        assert client.post(f"/prices/{number}/take-back").status_code == 400

    def test_an_unknown_thing_is_not_found(self, client):
        data = filled(client, "/prices/1")
        assert client.post("/prices/99999/put-away", data=data).status_code == 404
