"""The shop's rate, its machines' hours and its people: worked out, used, refused, never over another tab's change."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from journal.desk import rates, settings
from journal.records.engine import reading, writing
from journal.records.queries import shop as shop_records
from journal.records.queries.shop import MachineRow
from journal.records.queries.workers import WorkerRow
from tests import factories
from tests.web import project_pages as pages

YEAR = {"people": "1", "income": "52,000", "weeks": "46", "hours": "40", "billable": "65"}


@pytest.fixture
def client(file_engine, tmp_path):
    return pages.open_shop(file_engine, tmp_path)


def shop(engine):
    with reading(engine) as session:
        return shop_records.get_shop(session)


def year(engine):
    with reading(engine) as session:
        return rates.year(session, pages.TODAY)


def sums(page):
    return {row.dt.text: pages.text(row.dd) for row in page.select(".sums > div")}


@pytest.mark.parametrize("path", ["/shop/rate", "/shop/people/1", "/shop/people/new", "/shop/machines/1/cost"])
def test_every_box_has_its_own_id_and_a_label(client, file_engine, path):
    with writing(file_engine) as session:
        settings.take_usual_machines(session)
        rates.keep_person(session, WorkerRow("bench two"))
    page = pages.soup(client.get(path))
    ids = [tag["id"] for tag in page.select("[id]")]
    assert len(ids) == len(set(ids))
    for box in page.select("main :is(input, select):not([type=hidden])"):
        assert page.select_one(f"label[for='{box['id']}']")


def form(client, path):
    found = pages.soup(client.get(path)).select_one("main form.form")
    return pages.filled(found)


class TestRate:
    def send(self, client, act="keep", **typed):
        lines = {"overheads-0-amount": "1,000", "overheads-2-amount": "2,352"}
        return client.post("/shop/rate", data=form(client, "/shop/rate") | YEAR | lines | {"act": act} | typed)

    def test_a_year_is_kept_and_shown_with_its_working_and_no_price_changes(self, client, file_engine):
        before = shop(file_engine)
        response = self.send(client)
        assert (response.status_code, response.location) == (302, "/shop/rate")
        page = pages.soup(client.get("/shop/rate"))
        assert sums(page)["An hour must bring"] == "$55.48"
        assert sums(page)["The shop’s rate now"] == "$50.00"
        assert "Prices still rest on $50.00" in page.select_one(".notice--care").text
        assert "46 weeks" in page.select_one("#how-it-comes-about").text
        assert shop(file_engine) == before
        assert [one.cents for one in year(file_engine).row.overheads][:3] == [100_000, 0, 235_200]

    def test_use_this_writes_the_shops_rates(self, client, file_engine):
        assert self.send(client, act="use").status_code == 302
        assert (shop(file_engine).wage_cents_per_hour, shop(file_engine).overhead_cents_per_hour) == (4_348, 1_200)
        page = pages.soup(client.get("/shop/rate"))
        assert "This is the shop’s rate, since 2 Mar 2026." in pages.text(page)
        assert sums(pages.soup(client.get("/shop")))["An hour, before margin"] == "$55.48"

    def test_lines_are_added_and_taken_away(self, client, file_engine):
        named = {
            "overheads-0-name": "",
            "overheads-0-amount": "",
            "overheads-8-name": "Chimney",
            "overheads-8-every": "4",
        }
        assert self.send(client, **named, **{"overheads-8-amount": "60"}).status_code == 302
        lines = year(file_engine).row.overheads
        assert "Rent" not in [one.name for one in lines]
        assert (lines[-1].name, lines[-1].cents, lines[-1].times_a_year) == ("Chimney", 6_000, 4)

    def test_a_form_sent_again_unchanged_changes_nothing(self, client, file_engine):
        self.send(client, billable="65.25", weeks="45.5")
        first = year(file_engine).row
        assert client.post("/shop/rate", data=form(client, "/shop/rate") | {"act": "keep"}).status_code == 302
        again = year(file_engine).row
        assert again == replace(first, version=again.version)

    @pytest.mark.parametrize(
        ("box", "text"),
        [
            ("billable", "0"),
            ("billable", "130"),
            ("billable", "-5"),
            ("billable", "65.123"),
            ("billable", ""),
            ("hours", "0"),
            ("hours", "169"),
            ("hours", "many"),
            ("weeks", "0"),
            ("weeks", "53"),
            ("income", "-1"),
            ("income", ""),
            ("people", "0"),
            ("overheads-0-amount", "-5"),
            ("overheads-0-amount", "lots"),
        ],
    )
    def test_a_refused_figure_comes_back_as_typed_with_its_error_and_nothing_is_kept(
        self, client, file_engine, box, text
    ):
        before = shop(file_engine)
        response = self.send(client, act="use", **{box: text})
        assert response.status_code == 422
        page = pages.soup(response)
        assert page.find(id=box)["value"] == text
        assert page.find(id=f"{box}-error").text.strip()
        assert year(file_engine).rate is None
        assert shop(file_engine) == before

    def test_an_amount_without_a_name_is_asked_for_its_name(self, client, file_engine):
        response = self.send(client, **{"overheads-9-amount": "12"})
        assert response.status_code == 422
        assert "what it is for" in pages.soup(response).find(id="overheads-9-name-error").text
        assert year(file_engine).rate is None

    def test_another_tab_that_was_quicker_is_not_overwritten(self, client, file_engine):
        old = form(client, "/shop/rate") | YEAR
        self.send(client)
        response = client.post("/shop/rate", data=old | {"income": "1", "act": "use"})
        assert response.status_code == 409
        assert year(file_engine).row.income_cents == 5_200_000

    def test_what_machines_pay_is_noticed_in_the_overhead(self, client, file_engine):
        self.send(client, **{"overheads-8-name": "Electricity <b>", "overheads-8-amount": "60"})
        told = [pages.text(notice) for notice in pages.soup(client.get("/shop/rate")).select(".notice--care")]
        assert any(notice.startswith("Counted twice? Electricity <b>") for notice in told)
        with writing(file_engine) as session:
            settings.take_usual_machines(session)
        assert "Counted twice?" in pages.soup(client.get("/shop/machines")).select_one(".notice--care").text

    def test_the_logs_stand_beside_the_billable_share(self, client, file_engine):
        assert "Two months of logged evenings" in client.get("/shop/rate").get_data(as_text=True)
        self.send(client)
        with writing(file_engine) as session:
            project = factories.project(session).id
            first = pages.TODAY - timedelta(days=73)
            factories.entry(session, project_id=project, on_date=first, seconds=92 * 3600)
        # 92 h of 46 × 40 × 73 ÷ 365 = 368 h
        shown = pages.text(pages.soup(client.get("/shop/rate")).select_one("#the-year"))
        assert "92 h on projects are 25 %" in shown

    def test_the_page_asks_the_journal_no_more_the_more_there_is(self, client, file_engine):
        few = pages.statements(file_engine, lambda: client.get("/shop/rate"))
        self.send(client)
        with writing(file_engine) as session:
            project = factories.project(session).id
            for day in range(40):
                factories.entry(session, project_id=project, on_date=pages.TODAY - timedelta(days=day))
        assert pages.statements(file_engine, lambda: client.get("/shop/rate")) <= few + 1  # the overheads


class TestMachineCost:
    TYPED = (
        ("purchase", "2,400"),
        ("salvage", "400"),
        ("life", "8000"),
        ("hours", "400"),
        ("upkeep", "120"),
        ("power", "3"),
        ("load", "50"),
        ("kwh", "0.16"),
        ("blades", "90"),
        ("lasts", "150"),
    )

    @pytest.fixture
    def machine(self, file_engine):
        with writing(file_engine) as session:
            row = MachineRow("thickness planer", "Planer <i>", cost_cents_per_hour=500)
            return shop_records.save_machine(session, row).id

    def cost(self, engine, machine):
        with reading(engine) as session:
            return rates.machine_cost(session, machine)

    def send(self, client, machine, act="keep", **typed):
        path = f"/shop/machines/{machine}/cost"
        return client.post(path, data=form(client, path) | dict(self.TYPED) | {"act": act} | typed)

    def test_it_is_worked_out_with_every_part_and_used_only_when_told(self, client, file_engine, machine):
        assert self.send(client, machine).status_code == 302
        page = pages.soup(client.get(f"/shop/machines/{machine}/cost"))
        assert sums(page) == {"A running hour, worked out": "$1.39", "A running hour, in prices now": "$5.00"}
        assert "3 kW × 50% load × $0.16 a kWh" in page.select_one(".ledger").text
        assert self.cost(file_engine, machine).machine.row.cost_cents_per_hour == 500
        assert self.send(client, machine, act="use").status_code == 302
        assert self.cost(file_engine, machine).machine.row.cost_cents_per_hour == 139

    def test_the_machines_page_leads_there_and_says_what_was_worked_out(self, client, machine):
        def said():
            link = pages.soup(client.get("/shop/machines")).select_one(f"a[href='/shop/machines/{machine}/cost']")
            return link.find(string=True, recursive=False).strip()

        assert said() == "work it out"
        self.send(client, machine)
        assert said() == "worked out: $1.39"
        self.send(client, machine, act="use")
        assert said() == "worked out"

    def test_a_form_sent_again_unchanged_changes_nothing(self, client, file_engine, machine):
        self.send(client, machine, kwh="0.16425")
        first = self.cost(file_engine, machine).row
        path = f"/shop/machines/{machine}/cost"
        assert client.post(path, data=form(client, path) | {"act": "keep"}).status_code == 302
        assert self.cost(file_engine, machine).row == first
        assert first.kwh_cents == 16.425

    @pytest.mark.parametrize(
        ("box", "text"),
        [
            ("life", "0"),
            ("life", ""),
            ("hours", "0"),
            ("hours", "8785"),
            ("salvage", "2,401"),
            ("load", "130"),
            ("power", "-1"),
            ("purchase", "-1"),
            ("lasts", "0"),
            ("kwh", "cheap"),
        ],
    )
    def test_a_refused_figure_comes_back_as_typed_and_nothing_is_kept(self, client, file_engine, machine, box, text):
        response = self.send(client, machine, act="use", **{box: text})
        assert response.status_code == 422
        page = pages.soup(response)
        assert page.find(id=box)["value"] == text
        assert page.find(id=f"{box}-error").text.strip()
        found = self.cost(file_engine, machine)
        assert (found.row, found.machine.row.cost_cents_per_hour) == (None, 500)

    def test_another_tab_and_an_unknown_machine(self, client, file_engine, machine):
        path = f"/shop/machines/{machine}/cost"
        old = form(client, path) | dict(self.TYPED)
        with writing(file_engine) as session:
            row = self.cost(file_engine, machine).machine.row
            shop_records.save_machine(session, replace(row, label="Other"))
        assert client.post(path, data=old).status_code == 409
        assert client.get("/shop/machines/99/cost").status_code == 404

    def test_its_name_cannot_become_markup(self, client, machine):
        shown = client.get(f"/shop/machines/{machine}/cost").get_data(as_text=True)
        assert "<i>" not in shown
        assert "Planer &lt;i&gt;" in shown


class TestPeople:
    def send(self, client, path="/shop/people/new", **typed):
        return client.post(path, data=form(client, path) | typed)

    def people(self, engine):
        with reading(engine) as session:
            return rates.people(session, pages.TODAY).places

    def test_a_place_is_added_changed_and_put_away(self, client, file_engine):
        assert self.send(client, label="bench two", wage="31").status_code == 302
        (place,) = self.people(file_engine)
        assert (place.row.label, place.row.wage_cents_per_hour, place.row.active) == ("bench two", 3_100, True)
        path = f"/shop/people/{place.row.id}"
        sent = form(client, path) | {"label": "apprentice", "wage": ""}
        sent.pop("active")
        assert client.post(path, data=sent).status_code == 302
        (place,) = self.people(file_engine)
        assert (place.row.label, place.row.wage_cents_per_hour, place.row.active) == ("apprentice", None, False)
        assert "put away" in client.get("/shop/people").get_data(as_text=True)

    def test_the_page_leads_with_the_wage_that_prices_take(self, client, file_engine):
        with writing(file_engine) as session:
            hired = rates.keep_person(session, WorkerRow("bench two", 2_000))
            project = factories.project(session).id
            factories.entry(session, project_id=project, worker_id=hired.id, seconds=3_600)
            factories.entry(session, project_id=project, seconds=3 * 3_600)
        page = pages.soup(client.get("/shop/people"))
        assert list(sums(page).values()) == ["$31.25", "$5.00", "$35.00"]
        assert "3 h without a name" in pages.text(page)

    @pytest.mark.parametrize(
        ("box", "text"), [("label", ""), ("label", " "), ("label", "x" * 61), ("wage", "-1"), ("wage", "plenty")]
    )
    def test_what_is_no_place_is_refused_at_its_box(self, client, file_engine, box, text):
        response = self.send(client, **({"label": "bench two"} | {box: text}))
        assert response.status_code == 422
        assert pages.soup(response).find(id=f"{box}-error").text.strip()
        assert self.people(file_engine) == ()

    def test_a_name_twice_is_refused_at_its_box(self, client, file_engine):
        self.send(client, label="bench two")
        assert self.send(client, label="Bench Two").status_code == 422
        assert len(self.people(file_engine)) == 1

    def test_another_tab_and_an_unknown_place(self, client, file_engine):
        self.send(client, label="bench two")
        number = self.people(file_engine)[0].row.id
        old = form(client, f"/shop/people/{number}")
        self.send(client, f"/shop/people/{number}", label="bench three")
        assert client.post(f"/shop/people/{number}", data=old | {"label": "x"}).status_code == 409
        assert client.get("/shop/people/99").status_code == 404
