"""A project's coats: told, listed, put right, taken out; the caution on rags; bad input at its box."""

import pytest
from journal.desk import coating, estimate
from journal.records.engine import reading
from journal.records.queries import floor
from tests.web.project_pages import TODAY, filled, form_at, open_shop, project, soup, statements, text


@pytest.fixture
def shop(file_engine, tmp_path):
    """(client, engine, project)."""
    client = open_shop(file_engine, tmp_path)
    return client, file_engine, project(file_engine)


def add(shop, **typed):
    client, _, made = shop
    path = f"/projects/{made}/coats"
    return client.post(path, data=form_at(client, path, "/coats") | {"amount_used": "250 ml"} | typed)


def coats(shop):
    with reading(shop[1]) as session:
        return floor.coats(session)


def page(shop):
    return soup(shop[0].get(f"/projects/{shop[2]}/coats"))


def test_a_coat_is_noted_with_what_the_page_proposes(shop):
    assert add(shop, humidity="55").status_code == 303
    (row,) = coats(shop)
    assert (row.coat, row.amount_ml, row.humidity_pct) == (1, 250.0, 55.0)
    assert row.at is not None
    line = page(shop).select_one(".coat-line")
    assert text(line.a) == "Coat 1"
    assert "Next coat from" in text(line)
    assert page(shop).select_one("#coat")["value"] == "2"


def test_the_form_comes_before_what_was_noted_and_what_was_used(shop):
    add(shop)
    assert [one["id"] for one in page(shop).select("section.entry")] == ["new", "coats", "used"]
    top = page(shop).select_one("main")
    assert text(top).index("A coat is on") < text(top).index("Rags wet with a drying oil")


def test_the_container_s_levels_do_as_well(shop):
    assert add(shop, amount_used="", level_before="1 qt", level_after="700 ml").status_code == 303
    assert coats(shop)[0].amount_ml == pytest.approx(946.352946 - 700)


def test_parts_that_are_ticked_make_the_area(shop):
    add(shop)
    add(shop, parts=["Leg"])
    whole, leg = coats(shop)
    assert leg.parts == "Leg"
    assert leg.area_mm2 < whole.area_mm2


@pytest.mark.parametrize("finish", ["hard_oil", "boiled_linseed_oil", "oil_varnish_blend"])
def test_oily_rags_are_cautioned_of_whenever_a_drying_oil_was_used(shop, finish):
    add(shop, finish=finish)
    assert "Rags wet with a drying oil can catch fire" in text(page(shop).select_one("[role=note]"))


@pytest.mark.parametrize(
    ("typed", "box"),
    [
        ({"amount_used": ""}, "amount_used"),
        ({"amount_used": "0 ml"}, "amount_used"),
        ({"amount_used": "some"}, "amount_used"),
        ({"amount_used": "", "level_before": "500 ml"}, "level_after"),
        ({"amount_used": "", "level_before": "500 ml", "level_after": "600 ml"}, "level_after"),
        ({"coat": "0"}, "coat"),
        ({"coat": "99"}, "coat"),
        ({"area": "-1"}, "area"),
        ({"area": "0"}, "area"),
        ({"on_date": "2026-03-03"}, "on_date"),
        ({"on_date": "2026-02-30"}, "on_date"),
        ({"temperature": "500"}, "temperature"),
        ({"humidity": "101"}, "humidity"),
        ({"note": "x" * 2001}, "note"),
    ],
)
def test_bad_input_stands_at_its_box_as_it_was_typed(shop, typed, box):
    refused = add(shop, **typed)
    assert refused.status_code == 422
    found = soup(refused)
    assert text(found.select_one(f"#{box}-error"))
    assert coats(shop) == ()
    for name, value in typed.items():
        if name != "note":
            assert found.select_one(f"#{name}")["value"] == value


def test_a_part_that_no_plan_has_is_refused(shop):
    assert add(shop, parts=["Vise"]).status_code == 422
    assert coats(shop) == ()


def test_a_coat_put_right_and_taken_out_leaves_the_way_back(shop):
    client, _, made = shop
    add(shop)
    (before,) = coats(shop)
    path = f"/projects/{made}/coats/{before.id}"
    assert client.post(path, data=form_at(client, path, path) | {"coat": "2"}).status_code == 303
    assert coats(shop)[0].coat == 2
    client.post(f"{path}/remove", data=form_at(client, path, "/remove"))
    assert coats(shop) == ()
    assert client.get(path).status_code == 404
    (undo,) = page(shop).select(".last-change")
    client.post(undo["action"], data=filled(undo))
    assert coats(shop)[0].coat == 2


def test_a_coat_sent_again_unchanged_changes_nothing(shop):
    client, _, made = shop
    add(shop, temperature="71.3 °F", humidity="47.5", parts=["Leg"])
    (before,) = coats(shop)
    path = f"/projects/{made}/coats/{before.id}"
    client.post(path, data=form_at(client, path, path) | {"parts": ["Leg"]})
    assert coats(shop) == (before,)


def test_another_project_s_coat_is_not_found(shop):
    add(shop)
    other = project(shop[1], title="Another")
    assert shop[0].get(f"/projects/{other}/coats/{coats(shop)[0].id}").status_code == 404
    assert shop[0].get("/projects/99/coats").status_code == 404


def test_markup_in_a_note_is_text(shop):
    add(shop, note="<b>runs</b> \u200fعربي 🪵")
    assert text(page(shop).select_one(".log-note")) == "<b>runs</b> \u200fعربي 🪵"


def test_nothing_is_kept_without_the_form_s_mark(shop):
    assert shop[0].post(f"/projects/{shop[2]}/coats", data={"amount_used": "250 ml"}).status_code == 400
    assert coats(shop) == ()


def test_more_coats_take_no_more_statements(shop):
    add(shop)
    one = statements(shop[1], lambda: page(shop))
    add(shop)
    add(shop)
    assert statements(shop[1], lambda: page(shop)) == one


class TestUsedBesideThePlan:
    def sums(self, shop):
        rows = page(shop).select("#used .workings > *")
        return {text(one.select_one(".working-name")): text(one.select_one(".fig")) for one in rows}

    def test_each_figure_stands_there_once(self, shop):
        add(shop)
        names = [text(one) for one in page(shop).select("#used .sums dt, #used .workings > * > summary .working-name")]
        assert names == ["The plan expects", "Used so far", "The plan expects for these", "Left of it"]

    def test_before_the_first_coat_all_of_it_is_left(self, shop):
        sums = self.sums(shop)
        assert sums["Used so far"] == "0 fl oz"
        assert sums["Left of it"] == sums["The plan expects"]
        with reading(shop[1]) as session:
            expected = coating.page(session, shop[2], TODAY).use.expected
            takeoff = estimate.estimate_project(session, shop[2], TODAY).made.takeoff
        assert expected.value == takeoff.finish_ml

    def test_the_coats_of_the_plan_add_up_to_what_it_expects(self, shop):
        with reading(shop[1]) as session:
            planned = coating.page(session, shop[2], TODAY).planned
        for coat in range(1, planned + 1):
            add(shop, coat=str(coat), amount_used="300 ml")
        with reading(shop[1]) as session:
            use = coating.page(session, shop[2], TODAY).use
        assert use.used.value == 300 * planned
        assert use.so_far.value == pytest.approx(use.expected.value, rel=1e-3)
        assert use.left.value == pytest.approx(max(0, use.expected.value - use.used.value))

    def test_a_part_of_the_area_counts_by_its_share_and_the_page_says_how_far_off(self, shop):
        add(shop, parts=["Leg"], amount_used="1 ml")
        with reading(shop[1]) as session:
            use = coating.page(session, shop[2], TODAY).use
        assert 0 < use.so_far.value < use.expected.value / 2
        assert "less went on" in text(page(shop).select_one("#used"))

    def test_more_than_the_plan_has_is_said_and_nothing_is_left(self, shop):
        add(shop, amount_used="20 l")
        shown = page(shop).select_one("#used")
        assert "more is used than the plan has for all its coats" in text(shown)
        assert self.sums(shop)["Left of it"] == "0 fl oz"

    def test_another_finish_and_a_coat_too_many_stand_apart(self, shop):
        add(shop, finish="boiled_linseed_oil", amount_used="100 ml")
        add(shop, coat="9", amount_used="50 ml")
        with reading(shop[1]) as session:
            use = coating.page(session, shop[2], TODAY).use
        assert (use.used.value, use.so_far.value, use.beyond) == (50.0, 0.0, None)
        assert list(use.others.values()) == [100.0]
        assert "which the plan does not have" in text(page(shop).select_one("#used"))

    def test_without_a_plan_there_is_nothing_to_compare(self, file_engine, tmp_path):
        client = open_shop(file_engine, tmp_path)
        bare = project(file_engine, listed="")
        assert soup(client.get(f"/projects/{bare}/coats")).select("#used") == []
