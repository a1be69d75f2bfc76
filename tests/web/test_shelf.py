"""The shelf's pages: what is there, counted, taken, put right; in the shop's own units."""

import pytest
from journal.desk import shelf
from journal.records.engine import reading, writing
from journal.records.queries import stock as stock_records
from journal.records.queries.purchases import LineRow
from journal.records.words import StockForm
from tests import factories
from tests.web.project_pages import TODAY, filled, form_at, open_shop, project, soup, statements, text

VISE, GLUE = "vise", "pva_interior"


@pytest.fixture
def shop(file_engine, tmp_path):
    """(client, engine, project, {what: its number}): four vises and a container of glue are there."""
    client = open_shop(file_engine, tmp_path)
    made = project(file_engine)
    with writing(file_engine) as session:
        items = {one.item.class_key: one.item for one in stock_records.stock_items(session, TODAY)}
        glue, vise = items[GLUE], items[VISE]
        assert glue.form is StockForm.ADHESIVE
        lines = (
            LineRow(stock_code=glue.code, quantity=1, price_cents=2_000),
            LineRow(stock_code=vise.code, quantity=4, price_cents=8_000),
        )
        factories.purchase(session, lines=lines, freight_cents=1_000)
    return client, file_engine, made, {GLUE: glue.id, VISE: vise.id}


def amounts(shop):
    with reading(shop[1]) as session:
        found = shelf.shelf(session)
        return {what: round(found[key].amount, 2) for what, key in shop[3].items()}


def count(shop, **typed):
    client, _, _, keys = shop
    data = form_at(client, "/rack/count", "/rack/count")
    return client.post("/rack/count", data=data | {f"shelf-{keys[what]}": value for what, value in typed.items()})


def test_the_rack_lists_what_is_on_the_shelf_with_what_it_cost(shop):
    client, _, _, keys = shop
    page = soup(client.get("/rack"))
    rows = {text(row.th): text(row) for row in page.select("tr") if row.select_one("a[href^='/rack/shelf/']")}
    assert any(("4" in row and "$88.00" not in row and "$88" in row) or "$88.00" in row for row in rows.values())
    assert f"/rack/shelf/{keys[VISE]}" in [link["href"] for link in page.select("a")]


def test_a_stock_take_counts_it_and_undo_puts_it_back(shop):
    client = shop[0]
    before = amounts(shop)
    assert count(shop, **{VISE: "3", GLUE: "1 qt"}).status_code == 302
    assert amounts(shop) == {VISE: 3, GLUE: 946.35}
    page = soup(client.get("/rack"))
    assert "stock-take: 2 things on the shelf" in text(page.select_one(".rack-last"))
    form = page.select_one(".rack-last form")
    client.post(form["action"], data=filled(form))
    assert amounts(shop) == before


@pytest.mark.parametrize(
    ("what", "typed"), [(VISE, "2.5"), (VISE, "-1"), (VISE, "many"), (GLUE, "some"), (GLUE, "99999999 l"), (VISE, "🪵")]
)
def test_what_cannot_be_a_count_stays_as_typed_with_its_error_at_the_box(shop, what, typed):
    before = amounts(shop)
    answer = count(shop, **{what: typed})
    assert answer.status_code == 422
    (box,) = soup(answer).select("[aria-invalid=true]")
    assert (box["value"], box["name"]) == (typed, f"shelf-{shop[3][what]}")
    assert amounts(shop) == before


def test_nothing_left_of_it_is_a_count_too(shop):
    count(shop, **{VISE: "0", GLUE: "0"})
    assert amounts(shop) == {VISE: 0, GLUE: 0}


def test_a_count_from_a_sheet_that_is_out_of_date_is_a_conflict(shop):
    client, engine, _, keys = shop
    data = form_at(client, "/rack/count", "/rack/count")
    with writing(engine) as session:
        code = shelf.get(session, keys[VISE]).place.item.code
        factories.purchase(session, lines=(LineRow(stock_code=code, quantity=1, price_cents=1),))
    assert client.post("/rack/count", data=data | {f"shelf-{keys[VISE]}": "4"}).status_code == 409


def take(shop, what, **typed):
    client, _, _, keys = shop
    path = f"/rack/shelf/{keys[what]}"
    return client.post(f"{path}/take", data=form_at(client, path, "/take") | typed)


def test_it_is_taken_for_a_project_and_its_story_says_so(shop):
    client, _, made, keys = shop
    assert take(shop, VISE, amount="3", project=str(made)).status_code == 302
    assert amounts(shop)[VISE] == 1
    page = soup(client.get(f"/rack/shelf/{keys[VISE]}"))
    newest, *_ = page.select("tbody tr")
    assert ("taken" in text(newest), newest.select_one("a")["href"]) == (True, f"/projects/{made}/parts")


def test_a_liquid_is_taken_by_its_amount(shop):
    before = amounts(shop)[GLUE]
    assert take(shop, GLUE, amount="250 ml", why="dried up").status_code == 302
    assert amounts(shop)[GLUE] == pytest.approx(before - 250)


@pytest.mark.parametrize(
    ("typed", "box"),
    [({"amount": "9", "why": "x"}, "amount"), ({"amount": "0", "why": "x"}, "amount"), ({"amount": "1"}, "why")],
)
def test_what_cannot_be_taken_is_said_at_its_box(shop, typed, box):
    answer = take(shop, VISE, **typed)
    assert answer.status_code == 422
    assert [wrong["name"] for wrong in soup(answer).select("[aria-invalid=true]")] == [box]
    assert amounts(shop)[VISE] == 4


def test_buy_says_what_is_on_the_shelf(shop):
    client, _, made, _ = shop
    page = soup(client.get(f"/projects/{made}/buy"))
    assert "on the shelf" in text(page.main)
    plan = soup(client.get(f"/projects/{made}/plan"))
    shown = [text(cell) for cell in plan.select("td[data-label='On the shelf']")]
    assert any(cell != "–" for cell in shown)


def test_nothing_of_that_number_is_no_page(shop):
    assert shop[0].get("/rack/shelf/9999").status_code == 404


def test_statements_do_not_grow_with_what_happened(shop):
    client, engine, _, keys = shop
    path = f"/rack/shelf/{keys[VISE]}"
    client.get(path)

    def again():
        with writing(engine) as session:
            code = shelf.get(session, keys[VISE]).place.item.code
            factories.purchase(session, lines=(LineRow(stock_code=code, quantity=1, price_cents=1),))
        return statements(engine, lambda: client.get(path))

    once = again()
    for _ in range(5):
        more = again()
    assert more == once
