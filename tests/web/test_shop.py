"""The shop's own data, its allowances, its machines: kept, refused, and never over another tab's change."""

from __future__ import annotations

from datetime import date

import pytest
from bs4 import BeautifulSoup
from journal import reference, units
from journal.desk import settings
from journal.desk.shop import Work, read_shop
from journal.records.engine import reading
from journal.records.queries import shop as shop_records
from journal.records.words import LengthSystem
from tests.web.shared_app import client_of

TODAY = date(2026, 3, 2)


@pytest.fixture
def engine(file_engine):
    return file_engine


@pytest.fixture
def client(engine):
    return client_of(engine, today=TODAY)


def soup_of(response):
    return BeautifulSoup(response.get_data(as_text=True), "html.parser")


def filled(form, **typed):
    """What a browser would send of a form, with these boxes filled in."""
    data = {box["name"]: box.get("value", "") for box in form.select("input[name]") if box.get("type") != "checkbox"}
    data |= {box["name"]: "y" for box in form.select("input[type=checkbox][checked]")}
    data |= {box["name"]: box.text.strip() for box in form.select("textarea")}
    for box in form.select("select"):
        chosen = box.select_one("option[selected]") or box.select_one("option")
        data[box["name"]] = chosen["value"]
    return data | typed


def form_at(client, path, action=None):
    wanted = f"main form[action='{action}']" if action else "main form.form"
    return soup_of(client.get(path)).select_one(wanted)


def kept(engine):
    with reading(engine) as session:
        return settings.shop_row(session)


class TestMoney:
    def send(self, client, **typed):
        return client.post("/shop", data=filled(form_at(client, "/shop"), **typed))

    def test_what_is_typed_is_kept(self, engine, client):
        response = self.send(
            client,
            name="Hill Shop",
            wage="42.50",
            overhead="0",
            margin="22.5",
            confidence="90",
            rounding="10",
            deposit="40",
            tax="8.875",
            hours="24.5",
            people="2",
            species="white ash",
            finish="shellac",
            time_zone="America/Chicago",
        )
        assert (response.status_code, response.location) == (302, "/shop")
        row = kept(engine)
        assert (row.name, row.wage_cents_per_hour, row.overhead_cents_per_hour) == ("Hill Shop", 4250, 0)
        assert (row.margin_bp, row.confidence_pct, row.deposit_bp, row.tax_ppm) == (2250, 90, 4000, 88_750)
        assert (row.rounding_cents, row.minutes_per_week, row.people) == (1000, 1470, 2)
        assert (row.default_species, row.default_finish, row.time_zone) == ("white ash", "shellac", "America/Chicago")

    def test_a_form_sent_again_unchanged_changes_nothing(self, engine, client):
        self.send(client, margin="22.55", tax="8.8755", hours="24.5", wage="1,234.50")
        first = kept(engine)
        assert self.send(client).status_code == 302
        again = kept(engine)
        fields = [name for name in first.__slots__ if name != "version"]
        assert [getattr(again, name) for name in fields] == [getattr(first, name) for name in fields]

    def test_margin_is_shown_with_the_markup_it_equals(self, client):
        self.send(client, margin="20", wage="30", overhead="12.5")
        sums = {row.dt.text: row.dd.text.strip() for row in soup_of(client.get("/shop")).select(".sums > div")}
        assert sums["Margin, of the price"] == "20 %"
        assert sums["The same as a markup, on the cost"] == "25 %"  # 0.2 ÷ 0.8
        assert sums["An hour, before margin"] == "$42.50"

    @pytest.mark.parametrize(
        ("box", "text"),
        [
            ("margin", "100"),
            ("margin", "12.345"),
            ("margin", "-1"),
            ("tax", "1.23456"),
            ("confidence", "40"),
            ("confidence", "80.5"),
            ("wage", "plenty"),
            ("wage", "-3"),
            ("rounding", "0"),
            ("hours", "0"),
            ("hours", "200"),
            ("people", "0"),
            ("name", " "),
        ],
    )
    def test_a_refused_figure_comes_back_as_typed_and_nothing_is_kept(self, engine, client, box, text):
        before = kept(engine)
        response = self.send(client, **{box: text, "letterhead": "two\nlines"})
        assert response.status_code == 422
        page = soup_of(response)
        assert page.find(id=box)["aria-invalid"] == "true"
        assert page.find(id=f"{box}-error").text.strip()
        assert page.find(id=box)["value"] == text.strip()
        assert page.find(id="letterhead").text.strip() == "two\nlines"
        assert kept(engine) == before

    @pytest.mark.parametrize("box", ["species", "adhesive", "finish", "currency", "time_zone", "system"])
    def test_a_choice_that_is_not_on_the_list_is_refused(self, engine, client, box):
        before = kept(engine)
        assert self.send(client, **{box: "made up"}).status_code == 422
        assert kept(engine) == before

    @pytest.mark.parametrize(
        ("typed", "zone"),
        [("chicago", "America/Chicago"), ("New York", "America/New_York"), ("Etc/UTC", "Etc/UTC"), ("", "")],
    )
    def test_a_time_zone_goes_by_its_city_and_blank_is_the_computers(self, engine, client, typed, zone):
        assert self.send(client, time_zone=typed).status_code == 302
        assert kept(engine).time_zone == zone

    def test_the_time_zones_are_offered_while_typing(self, client):
        page = soup_of(client.get("/shop"))
        offered = {option["value"] for option in page.find(id=page.find(id="time_zone")["list"]).select("option")}
        assert {"UTC", "Europe/Berlin"} <= offered

    def test_amounts_are_read_in_the_money_that_is_chosen(self, engine, client):
        assert self.send(client, currency="EUR", wage="40").status_code == 302
        assert kept(engine).currency == "EUR"
        assert "€55.00" in soup_of(client.get("/shop")).select_one(".sums").text

    def test_cents_are_refused_in_money_without_cents(self, engine, client):
        response = self.send(client, currency="JPY", wage="40.50")
        assert response.status_code == 422
        assert "no decimals in JPY" in soup_of(response).select_one("#wage-error").text
        assert kept(engine).currency == "USD"

    def test_a_metric_shop_shows_millimetres_from_then_on(self, engine, client):
        self.send(client, system="metric")
        assert kept(engine).system is LengthSystem.METRIC
        assert "152.4 mm" in soup_of(client.get("/shop/machines")).select_one(".machines").text

    def test_another_tab_that_was_quicker_is_not_overwritten(self, engine, client):
        old = form_at(client, "/shop")
        self.send(client, wage="40")
        response = client.post("/shop", data=filled(old, wage="50"))
        assert response.status_code == 409
        page = soup_of(response)
        assert "Somebody else changed this" in page.select_one("[role=alert]").text
        assert page.select_one("#wage-error").text.strip() == "Kept now: “40.00”."
        assert page.select_one("#wage")["value"] == "50"
        assert len(page.select(".field-error")) == 1  # what nobody changed says nothing
        assert kept(engine).wage_cents_per_hour == 4000
        again = client.post("/shop", data=filled(page.select_one("form:has(#wage)")))
        assert again.status_code == 302  # sent again, knowingly
        assert kept(engine).wage_cents_per_hour == 5000

    def test_boxes_that_both_filled_in_alike_say_nothing(self, client):
        old = form_at(client, "/shop")
        self.send(client, margin="20")
        response = client.post("/shop", data=filled(old, margin="20"))
        assert response.status_code == 409
        assert [error.text for error in soup_of(response).select(".field-error")] == []

    def test_a_form_without_our_mark_is_refused(self, client):
        assert self.send(client, csrf_token="").status_code == 400

    def test_a_name_cannot_become_markup(self, client):
        self.send(client, name="<script>alert(1)</script>", letterhead="</textarea><script>alert(2)</script>")
        assert "<script>alert" not in client.get("/shop").get_data(as_text=True)

    def test_every_box_has_a_label(self, client):
        page = soup_of(client.get("/shop"))
        boxes = page.select("main .box")
        assert len(boxes) == 21
        assert all(page.select_one(f"label[for={box['id']}]") for box in boxes)


class TestAllowances:
    def send(self, client, group, form=None, **typed):
        action = f"/shop/allowances/{group}"
        form = form or form_at(client, "/shop/allowances", f"{action}#{group}")
        return client.post(action, data=filled(form, **{f"{group}-{key}": text for key, text in typed.items()}))

    def typed_in(self, engine):
        with reading(engine) as session:
            return {key: row.value for key, row in shop_records.settings(session).items()}

    def test_every_allowance_is_there_with_its_start_and_source(self, client):
        page = soup_of(client.get("/shop/allowances"))
        rows = page.select(".allowances tbody tr")
        assert len(rows) == len(reference.allowances())
        row = page.find(id="cutting-segment_extra").find_parent("tr")
        cells = {cell["data-label"]: cell.get_text(" ", strip=True) for cell in row.select("td")}
        assert cells["Starts at"] == "3 in"
        assert cells["Range"] == "1 in to 8 in"
        assert "common practice" in cells["From"]
        assert "2 to 4 in" in cells["From"]

    def test_what_is_typed_is_kept_as_typed_and_used(self, engine, client):
        response = self.send(client, "cutting", kerf_rip="3/32")
        assert (response.status_code, response.location) == (302, "/shop/allowances#cutting")
        assert self.typed_in(engine) == {"kerf_rip": "3/32"}
        with reading(engine) as session:
            assert read_shop(session, TODAY).rules(Work()).milling.kerf_rip_nm == units.inches("3/32")

    def test_a_share_is_typed_in_per_cent(self, engine, client):
        self.send(client, "rejects", reject_softwood="12.5")
        with reading(engine) as session:
            assert read_shop(session, TODAY).allowances["reject_softwood"] == pytest.approx(0.125)
        assert form_at(client, "/shop/allowances").select_one("#rejects-reject_softwood") is None
        assert soup_of(client.get("/shop/allowances")).find(id="rejects-reject_softwood")["value"] == "12.5"

    def test_a_group_sent_again_unchanged_changes_nothing(self, engine, client):
        self.send(client, "time", shop_day_minutes="330", bench_hours_share="65")
        self.send(client, "glue", glue_waste_factor="1.25", clamps_on_hand="36", clamp_spacing="8 1/4")
        before = self.typed_in(engine)
        for group in ("time", "glue"):
            assert self.send(client, group).status_code == 302
        with reading(engine) as session:
            assert read_shop(session, TODAY).allowances["clamp_spacing"] == units.inches("8 1/4")
        assert set(self.typed_in(engine)) == set(before)

    def test_one_goes_back_to_its_start_and_the_others_stay(self, engine, client):
        self.send(client, "cutting", kerf_rip="3/32", end_trim="1")
        form = form_at(client, "/shop/allowances", "/shop/allowances/cutting#cutting")
        button = form.select_one("button[name=back][value=kerf_rip]")
        assert button.text == "Back to ⅛ in"
        client.post("/shop/allowances/cutting", data=filled(form) | {"back": "kerf_rip"})
        assert set(self.typed_in(engine)) == {"end_trim"}

    @pytest.mark.parametrize(
        ("group", "key", "text"),
        [
            ("cutting", "kerf_rip", "2"),
            ("cutting", "kerf_rip", "thin"),
            ("rejects", "reject_softwood", "95"),
            ("milling", "joint_face_passes", "2.5"),
            ("air", "shop_temp", "500"),
        ],
    )
    def test_a_refused_allowance_comes_back_as_typed_in_its_open_group(self, engine, client, group, key, text):
        response = self.send(client, group, **{key: text})
        assert response.status_code == 422
        page = soup_of(response)
        box = page.find(id=f"{group}-{key}")
        assert (box["value"], box["aria-invalid"]) == (text, "true")
        assert page.find(id=f"{group}-{key}-error").text.strip()
        assert box.find_parent("details").has_attr("open")
        assert self.typed_in(engine) == {}

    def test_a_metric_shop_types_millimetres(self, engine, client):
        TestMoney().send(client, system="metric")
        self.send(client, "cutting", kerf_rip="3.2")
        with reading(engine) as session:
            assert read_shop(session, TODAY).rules(Work()).milling.kerf_rip_nm == units.mm("3.2")
        assert soup_of(client.get("/shop/allowances")).find(id="cutting-kerf_rip")["value"] == "3.2 mm"

    def test_another_tab_that_was_quicker_is_not_overwritten(self, engine, client):
        old = form_at(client, "/shop/allowances", "/shop/allowances/cutting#cutting")
        self.send(client, "cutting", kerf_rip="3/32")
        assert self.send(client, "cutting", old, kerf_rip="1/16").status_code == 409
        assert self.typed_in(engine) == {"kerf_rip": "3/32"}

    def test_an_unknown_group_is_not_found(self, client):
        data = filled(form_at(client, "/shop/allowances"))
        assert client.post("/shop/allowances/moods", data=data).status_code == 404

    def test_a_form_without_our_mark_is_refused(self, client):
        assert client.post("/shop/allowances/cutting", data={}).status_code == 400

    def test_every_box_has_a_label(self, client):
        page = soup_of(client.get("/shop/allowances"))
        assert all(page.select_one(f"label[for='{box['id']}']") for box in page.select("main .box"))


class TestMachines:
    def take_usual(self, client):
        data = filled(soup_of(client.get("/shop/machines")).select_one("main form"))
        return client.post("/shop/machines/usual", data=data)

    def listed(self, engine):
        with reading(engine) as session:
            return {one.row.kind: one.row for one in settings.machines(session)}

    def test_a_shop_without_machines_is_shown_the_usual_ones_and_told_so(self, client):
        page = soup_of(client.get("/shop/machines"))
        assert len(page.select(".machines tbody tr")) == len(reference.machines())
        assert "You have listed no machine yet" in page.select_one(".shop-lead").text
        assert {badge.text for badge in page.select(".machines .badge")} == {"starting assumption"}

    def test_the_usual_machines_become_the_shops_own(self, engine, client):
        assert self.take_usual(client).status_code == 302
        assert set(self.listed(engine)) == set(reference.machines())

    def test_a_machine_is_changed_in_its_place(self, engine, client):
        self.take_usual(client)
        number = self.listed(engine)["thickness planer"].id
        form = form_at(client, f"/shop/machines/{number}")
        response = client.post(f"/shop/machines/{number}", data=filled(form, width="20", cost="4.10", label="Big one"))
        assert response.status_code == 302
        row = self.listed(engine)["thickness planer"]
        assert (row.max_width_nm, row.cost_cents_per_hour, row.label) == (units.inches(20), 410, "Big one")

    def test_a_machine_out_of_use_is_missed(self, engine, client):
        self.take_usual(client)
        number = self.listed(engine)["jointer"].id
        data = filled(form_at(client, f"/shop/machines/{number}"))
        del data["active"]
        client.post(f"/shop/machines/{number}", data=data)
        assert not self.listed(engine)["jointer"].active
        assert "You have no jointer" in soup_of(client.get("/shop/machines")).select_one(".shop-lead").text

    def test_one_more_machine_is_added(self, engine, client):
        self.take_usual(client)
        form = form_at(client, "/shop/machines/new")
        typed = {"kind": "band saw", "label": "Old band saw", "cost": "1.50", "height": "6"}
        assert client.post("/shop/machines/new", data=filled(form, **typed)).status_code == 302
        with reading(engine) as session:
            assert sum(one.row.kind == "band saw" for one in settings.machines(session)) == 2

    @pytest.mark.parametrize(("box", "text"), [("width", "wide"), ("cost", ""), ("label", ""), ("kind", "laser")])
    def test_a_refused_machine_comes_back_as_typed(self, engine, client, box, text):
        self.take_usual(client)
        before = self.listed(engine)
        number = before["jointer"].id
        form = form_at(client, f"/shop/machines/{number}")
        response = client.post(f"/shop/machines/{number}", data=filled(form, **{box: text}))
        assert response.status_code == 422
        assert soup_of(response).find(id=f"{box}-error").text.strip()
        assert self.listed(engine) == before

    def test_another_tab_that_was_quicker_is_not_overwritten(self, engine, client):
        self.take_usual(client)
        number = self.listed(engine)["jointer"].id
        old = form_at(client, f"/shop/machines/{number}")
        client.post(f"/shop/machines/{number}", data=filled(old, width="8"))
        assert client.post(f"/shop/machines/{number}", data=filled(old, width="10")).status_code == 409
        assert self.listed(engine)["jointer"].max_width_nm == units.inches(8)

    def test_an_unknown_machine_is_not_found(self, client):
        assert client.get("/shop/machines/77").status_code == 404

    def test_forms_without_our_mark_are_refused(self, client):
        assert client.post("/shop/machines/usual").status_code == 400
        assert client.post("/shop/machines/new").status_code == 400
