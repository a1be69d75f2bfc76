"""The Price tab: the price first, its range, what a typed price means, every working, what was kept."""

import json
from dataclasses import replace

import pytest
from journal import units
from journal.desk import estimate
from journal.quote.estimate import chances
from journal.records.engine import reading, writing
from journal.records.queries import shop as shop_records
from journal.records.tables import Estimate, StockItem, StockPrice
from journal.web.projects import price_view
from journal.working import Spread
from sqlalchemy import delete, select, update
from tests import factories
from tests.web import project_pages as pages


@pytest.fixture
def client(file_engine, tmp_path):
    return pages.open_shop(file_engine, tmp_path)


@pytest.fixture
def made(client, file_engine):  # noqa: ARG001 - the shop must be set up first
    return pages.project(file_engine)


def worked_out(engine, project_id):
    with reading(engine) as session:
        return estimate.estimate_project(session, project_id, pages.TODAY).made


def money(minor):
    return units.format_money(minor, units.currency("USD"))


def priced(client, project_id, query=""):
    return pages.soup(client.get(f"/projects/{project_id}/price{query}"))


def verdict(page):
    return [pages.text(item) for item in page.select(".verdict:not(.verdict--client) dd")]


class TestFigures:
    def test_the_price_is_the_first_figure_and_is_the_desks(self, client, file_engine, made):
        found = worked_out(file_engine, made)
        sums = [pages.text(item) for item in priced(client, made).select(".price-sums dd")]
        assert sums[0] == money(found.price_cents)
        assert sums[1] == f"{found.hours.at(0.1):.0f} – {found.hours.at(0.9):.0f} h"
        assert sums[2] == f"${found.cost.at(0.1) / 100:,.0f} – ${found.cost.at(0.9) / 100:,.0f}"
        boards = sum(bill.sawing.boards for bill in found.takeoff.bills)
        assert sums[4] == f"{boards} boards"

    def test_every_cost_line_opens_into_its_working_and_they_add_up_to_the_price(self, client, file_engine, made):
        found = worked_out(file_engine, made)
        ledger = priced(client, made).select_one("#what-it-costs .ledger")
        shown = {line.select_one(".working-name").text: line for line in ledger.select("details.working")}
        assert list(shown) == [line.name for line in found.costs]
        for line in found.costs:
            assert pages.text(shown[line.name].select_one("summary .fig")) == money(line.value)
            assert shown[line.name].select_one(".working-formula").text == line.working
        assert sum(line.value for line in found.costs) == found.price_cents
        assert pages.text(ledger.select_one(".ledger-total .fig")) == money(found.price_cents)

    def test_every_operation_stands_once_under_its_stage_with_its_working(self, client, file_engine, made):
        found = worked_out(file_engine, made)
        rows = priced(client, made).select("#the-work tbody tr")
        assert [row.select_one(".working-name").text for row in rows] == [op.name for op in found.operations]
        for row, operation in zip(rows, found.operations, strict=True):
            cells = [pages.text(cell) for cell in row.select("td")]
            assert cells[1] == f"{operation.book_minutes:,.0f}"
            assert cells[2] == f"{operation.minutes.p10:,.0f} – {operation.minutes.p90:,.0f}"
            assert operation.working in row.select_one(".working-formula").text
        assert sum(op.share for op in found.operations) == pytest.approx(1)

    def test_boards_to_buy_add_up(self, client, file_engine, made):
        found = worked_out(file_engine, made)
        table = priced(client, made).select_one("#boards-to-buy table")
        costs = [row.select("td")[-1] for row in table.select("tbody tr")]
        minor = [units.parse_money(pages.text(cost), units.currency("USD")) for cost in costs]
        assert sum(minor) == sum(bill.cents for bill in found.takeoff.bills)
        assert pages.text(table.select_one("tfoot td")) == money(sum(minor))

    def test_the_picture_marks_the_price_and_says_it_in_words(self, client, file_engine, made):
        found = worked_out(file_engine, made)
        page = priced(client, made)
        assert f"The price to ask: ${found.price_cents / 100:,.0f}" in page.select_one("svg desc").text
        marks = [row.select_one("th").text for row in page.select("#range tbody tr")]
        assert marks == [
            "1 in 10 cheaper than",
            "half cheaper than",
            "8 in 10 cheaper than",
            "9 in 10 cheaper than",
            "price",
        ]

    def test_ids_are_used_once_and_boxes_have_labels(self, client, made):
        page = priced(client, made)
        ids = [tag["id"] for tag in page.select("[id]")]
        assert len(ids) == len(set(ids))
        for box in page.select("main input:not([type=hidden])"):
            assert page.select_one(f"label[for={box['id']}]")

    def test_the_page_is_small_enough_for_a_phone_at_the_gate(self, client, made):
        assert len(client.get(f"/projects/{made}/price").data) < 100_000


class TestAtPrice:
    def test_a_typed_price_says_what_it_would_mean(self, client, file_engine, made):
        found = worked_out(file_engine, made)
        means = chances(found, 250_000)
        page = priced(client, made, "?price=2500")
        assert page.select_one("#price")["value"] == "2500"
        assert verdict(page) == [
            price_view.chance(means.below_wage),
            price_view.chance(means.out_of_pocket),
            money(means.earned_cents_per_hour),
            *(f"{100 * share:.1f} %".replace("-", "−") for share in (means.margin, means.markup)),
        ]
        assert "For the price you typed, $2,500.00" in page.select_one("#at-this-price").text

    def test_without_one_the_price_to_ask_is_weighed(self, client, file_engine, made):
        found = worked_out(file_engine, made)
        page = priced(client, made)
        assert page.select_one("#price")["value"] == money(found.price_cents)
        assert verdict(page)[0] == price_view.chance(chances(found, found.price_cents).below_wage)

    def test_a_lower_price_is_worse_in_every_way(self, client, made):
        low, high = (verdict(priced(client, made, f"?price={price}")) for price in (1500, 5000))
        percent = [float(text.split()[-2]) for text in (low[0], high[0], low[1], high[1])]
        assert percent[0] > percent[1]
        assert percent[2] > percent[3]

    @pytest.mark.parametrize("typed", ["cheap", "0", "-5", "", "1e9", "99999999999999"])
    def test_what_is_no_price_is_refused_at_its_box_and_the_rest_stays(self, client, made, typed):
        response = client.get(f"/projects/{made}/price", query_string={"price": typed})
        assert response.status_code == 422
        page = pages.soup(response)
        assert page.select_one("#price")["value"] == typed
        assert page.select_one("#price-error").text.strip()
        assert page.select(".verdict") == []
        assert pages.text(page.select_one(".price-sums dd")).startswith("$")

    def test_a_typed_price_is_drawn_when_it_is_near_and_not_when_it_would_squash_the_picture(self, client, made):
        near = [row.th.text for row in priced(client, made, "?price=2500").select("#range tbody tr")]
        far = [row.th.text for row in priced(client, made, "?price=900000").select("#range tbody tr")]
        assert "yours" in near
        assert "yours" not in far

    def test_what_was_typed_cannot_become_markup(self, client, made):
        response = client.get(f"/projects/{made}/price", query_string={"price": '"><script>alert(1)</script>'})
        assert "<script>alert" not in response.get_data(as_text=True)


class TestDiscountAndClient:
    def client_pays(self, page):
        return {pages.text(row.dt): pages.text(row.dd) for row in page.select(".verdict--client > div")}

    def test_the_client_pays_tax_and_a_deposit_that_add_up(self, client, file_engine, made):
        with writing(file_engine) as session:
            shop = shop_records.get_shop(session)
            shop_records.save_shop(session, replace(shop, tax_ppm=62_500, deposit_bp=3_333))
        pays = self.client_pays(priced(client, made, "?price=2500"))
        assert pays == {
            "Price": "$2,500.00",
            "Sales tax, 6.25 %": "$156.25",
            "The client pays": "$2,656.25",
            "Deposit": "$885.33",
            "Balance": "$1,770.92",
        }

    @pytest.mark.parametrize(("typed", "off"), [("10%", 25_000), ("250", 25_000), ("0", 0), ("9999", 250_000)])
    def test_a_discount_is_a_share_or_an_amount_and_never_more_than_the_price(self, client, made, typed, off):
        page = pages.soup(client.get(f"/projects/{made}/price", query_string={"price": "2500", "discount": typed}))
        pays = self.client_pays(page)
        assert pays.get("Discount", money(0)) == (f"−{money(off)}" if off else money(0))
        assert pays["Price"] == "$2,500.00"
        assert pays.get("After the discount", money(250_000)) == money(250_000 - off)
        assert page.select_one("#discount")["value"] == typed

    def test_what_a_discount_does_to_the_chances_stands_beside_them(self, client, file_engine, made):
        found = worked_out(file_engine, made)
        before, after = chances(found, 300_000), chances(found, 270_000)
        page = pages.soup(client.get(f"/projects/{made}/price", query_string={"price": "3000", "discount": "10%"}))
        earning = page.select(".verdict:not(.verdict--client) dd")[2]
        assert pages.text(earning.select_one(".verdict-before .fig")) == money(before.earned_cents_per_hour)
        assert pages.text(earning.find_all(class_="fig", recursive=False)[-1]) == money(after.earned_cents_per_hour)
        assert pages.text(earning).replace("before the discount ", "") == (
            f"{money(before.earned_cents_per_hour)} → {money(after.earned_cents_per_hour)}"
        )
        assert "less the discount, $2,700.00 before tax" in page.select_one("#at-this-price").text

    @pytest.mark.parametrize("typed", ["101%", "-5%", "-5", "a tenth", "5%%", "%"])
    def test_what_is_no_discount_is_refused_at_its_box(self, client, made, typed):
        response = client.get(f"/projects/{made}/price", query_string={"price": "2500", "discount": typed})
        assert response.status_code == 422
        page = pages.soup(response)
        assert page.select_one("#discount-error").text.strip()
        assert page.select_one("#discount")["value"] == typed
        assert page.select(".verdict") == []

    @pytest.mark.parametrize(("price", "says"), [("25000", "would be profit"), ("200", "leaves the pocket")])
    def test_a_price_that_makes_no_sense_is_remarked_on(self, client, made, price, says):
        assert says in priced(client, made, f"?price={price}").select_one("#at-this-price .notice--care").text
        assert priced(client, made).select("#at-this-price .notice") == []

    def test_the_shops_margin_is_told_as_a_markup_too(self, client, made):
        assert "15 % of the price, is 17.6 % on the cost" in pages.text(
            priced(client, made).select_one("#what-it-costs")
        )


class TestMissing:
    def test_what_has_no_price_is_said_before_everything_else(self, client, file_engine):
        chop = pages.LIST + "Chop,1,1 3/4,6,30,8/4 hard maple,1,all,2 drawers\n"
        made = pages.project(file_engine, listed=chop)
        with writing(file_engine) as session:
            drawers = select(StockItem.id).where(StockItem.class_key == "drawer")
            session.execute(delete(StockPrice).where(StockPrice.item_id.in_(drawers)))
        page = priced(client, made)
        told = page.select_one(".price-lead .notice--bad")
        assert "drawer: 2, no price for it" in told.text
        assert told.select_one("a")["href"].startswith("/prices")

    def test_with_no_parts_it_says_where_to_put_them(self, client, file_engine):
        bare = pages.project(file_engine, listed="")
        response = client.get(f"/projects/{bare}/price")
        assert response.status_code == 200
        page = pages.soup(response)
        assert "No parts, no price" in page.select_one(".empty").text
        assert page.select_one(".empty a")["href"] == f"/projects/{bare}/parts"

    def test_parts_that_cannot_be_made_are_named_with_a_link_to_mend_them(self, client, file_engine):
        made = pages.project(file_engine, listed=pages.LIST.replace("2x6 fir", "4x12 bog oak"))
        response = client.get(f"/projects/{made}/price")
        assert response.status_code == 200
        page = pages.soup(response)
        assert pages.text(page.select_one(".trouble li")).startswith("Leg: no stock called “4x12 bog oak”")
        add = pages.soup(client.get(page.select_one(".trouble li a")["href"]))
        assert pages.text(add.select_one(".tabs [aria-current]")) == "Lumber"
        assert add.select_one("[name=stock]")["value"] == "4x12 bog oak"
        assert page.select_one(f"a.button[href='/projects/{made}/parts']")


class TestKeep:
    def keep(self, client, project_id, **changes):
        sent = pages.form_at(client, f"/projects/{project_id}/price", "/price/keep") | changes
        return client.post(f"/projects/{project_id}/price/keep", data=sent)

    def test_it_is_kept_as_it_stands_and_shown_from_what_was_stored(self, client, file_engine, made):
        found = worked_out(file_engine, made)
        response = self.keep(client, made, reason="told to the school")
        assert (response.status_code, response.location) == (302, f"/projects/{made}/price/kept/1")
        with writing(file_engine) as session:
            session.execute(update(StockPrice).values(price_cents=StockPrice.price_cents * 2))
        page = pages.soup(client.get(response.location))
        sums = [pages.text(item) for item in page.select(".price-sums dd")]
        assert sums[0] == money(found.price_cents)
        assert sums[1] == f"{found.hours.at(0.1):.0f} – {found.hours.at(0.9):.0f} h"
        assert "told to the school" in page.select_one(".price-lead").text
        assert [row.th.text for row in page.select("#the-work tbody tr")] == [op.name for op in found.operations]
        costs = [line for line in found.lines if line.unit == "cents"]
        assert [row.th.text for row in page.select("#what-it-cost tbody tr")] == [line.name for line in costs]
        rows = len(page.select("#what-it-took tbody tr")) + len(found.operations)
        assert rows == len(found.lines) - len(costs)
        assert pages.text(priced(client, made).select_one(".price-sums dd")) != money(found.price_cents)

    def test_the_list_names_price_day_and_reason_and_opens_each(self, client, file_engine, made):
        self.keep(client, made)
        self.keep(client, made, reason="second")
        rows = priced(client, made).select("#kept-estimates tbody tr")
        price = money(worked_out(file_engine, made).price_cents)
        assert [[pages.text(cell) for cell in row.select("th, td")] for row in rows] == [
            [price, "2 Mar 2026", "second", "version 1"],
            [price, "2 Mar 2026", "kept by hand", "version 1"],
        ]
        assert client.get(rows[1].a["href"]).status_code == 200

    def test_a_price_that_changed_since_it_was_seen_is_not_kept(self, client, file_engine, made):
        sent = pages.form_at(client, f"/projects/{made}/price", "/price/keep")
        with writing(file_engine) as session:
            session.execute(update(StockPrice).values(price_cents=StockPrice.price_cents * 2))
        response = client.post(f"/projects/{made}/price/keep", data=sent)
        assert response.status_code == 409
        assert money(worked_out(file_engine, made).price_cents) in pages.soup(response).select_one("main").text
        with reading(file_engine) as session:
            assert estimate.kept_estimates(session, made) == ()

    def test_a_reason_too_long_is_refused_at_its_box(self, client, made):
        response = self.keep(client, made, reason="x" * 201)
        assert response.status_code == 422
        assert pages.soup(response).select_one("#reason-error").text.strip()

    def test_without_our_mark_nothing_is_kept(self, client, file_engine, made):
        assert client.post(f"/projects/{made}/price/keep", data={"price_cents": "1"}).status_code == 400
        with reading(file_engine) as session:
            assert estimate.kept_estimates(session, made) == ()

    def test_money_is_the_money_of_its_day(self, client, file_engine, made):
        self.keep(client, made)
        with writing(file_engine) as session:
            row = session.get(Estimate, 1)
            kept = json.loads(row.payload)
            kept["estimate"]["currency"] = "EUR"
            text = estimate.canonical(kept)
            factories.estimate(session, made, payload=text)
        assert (
            pages.text(pages.soup(client.get(f"/projects/{made}/price/kept/2")).select_one(".price-sums dd"))[0] == "€"
        )

    def test_a_damaged_one_is_said_and_never_shown(self, client, file_engine, made):
        self.keep(client, made)
        with file_engine.begin() as connection:
            connection.exec_driver_sql("UPDATE estimates SET payload = replace(payload, '\"seed\":20', '\"seed\":21')")
        assert pages.text(priced(client, made).select_one("#kept-estimates tbody th")) == "damaged"
        response = client.get(f"/projects/{made}/price/kept/1")
        assert response.status_code == 400
        assert "restore a backup" in pages.soup(response).select_one("main").text

    def test_another_projects_estimate_is_not_found_here(self, client, file_engine, made):
        self.keep(client, made)
        other = pages.project(file_engine)
        assert client.get(f"/projects/{other}/price/kept/1").status_code == 404
        assert client.get(f"/projects/{made}/price/kept/2").status_code == 404

    def test_more_parts_and_kept_estimates_take_no_more_statements(self, client, file_engine, made):
        path = f"/projects/{made}/price"
        client.get(path)
        one = pages.statements(file_engine, lambda: client.get(path))
        for _ in range(3):
            self.keep(client, made)
        long = pages.project(file_engine, listed=pages.LIST + "Rail,2,1 1/8,5,40,2x6 fir,1,all,2 tenons\n")
        path_of_long = f"/projects/{long}/price"
        client.get(path_of_long)
        assert pages.statements(file_engine, lambda: client.get(path)) == one
        assert pages.statements(file_engine, lambda: client.get(path_of_long)) == one


def test_a_chance_is_never_told_as_none_or_all():
    shares = (0, 0.0099, 0.01, 0.126, 0.99, 0.991, 1)
    told = ["under 1 %", "under 1 %", "1 %", "13 %", "99 %", "over 99 %", "over 99 %"]
    assert [price_view.chance(share) for share in shares] == told


def test_a_range_of_minutes_is_short():
    assert price_view.minutes_range(Spread(41.2, 50, 1058.4)) == "41 – 1,058"


def test_what_is_to_buy_is_counted_in_words():
    assert price_view.to_buy_text(21, 1) == "21 boards + 1 sheet"
    assert price_view.to_buy_text(0, 2) == "2 sheets"
    assert price_view.to_buy_text(0, 0) == "nothing"
