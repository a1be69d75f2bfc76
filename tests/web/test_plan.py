"""The Plan tab: how it is built, what is tried on it, steps changed, moisture read; success first, then each refusal."""

from __future__ import annotations

from datetime import timedelta

import pytest
from journal import units
from journal.desk import designs, parts, projects
from journal.desk.plan import build_plan
from journal.records.engine import reading, writing
from journal.records.queries import building, plans
from journal.records.queries import shop as shop_records
from journal.records.queries.shop import SettingRow
from journal.records.words import EditKind
from tests.web import project_pages as pages


@pytest.fixture
def client(file_engine, tmp_path):
    return pages.open_shop(file_engine, tmp_path)


@pytest.fixture
def made(client, file_engine):
    assert client
    return pages.project(file_engine)


def page_of(client, made, tail="", status=200):
    response = client.get(f"/projects/{made}/plan{tail}")
    assert response.status_code == status
    return pages.soup(response)


def plan_of(engine, made):
    with reading(engine) as session:
        return build_plan(session, made, pages.TODAY)


def edits(engine, made):
    with reading(engine) as session:
        return building.edits(session, made)


def readings(engine, made):
    with reading(engine) as session:
        return building.readings(session, made)


def post(client, made, where, **sent):
    token = page_of(client, made).select_one("[name=csrf_token]")["value"]
    return client.post(f"/projects/{made}/plan/{where}", data={"csrf_token": token} | sent)


def add(client, made, **more):
    sent = {
        "title": "Burn in the mark",
        "minutes": "15 min",
        "stage": "finishing",
        "after": "sand",
        "note": "by the vise",
    }
    return post(client, made, "steps/add", **sent | more)


def sums(page):
    return {pages.text(one.dt): pages.text(one.dd) for one in page.select(".build-sums > div")}


class TestShow:
    def test_answers_how_it_is_built_before_anything_else(self, client, file_engine, made):
        plan, page = plan_of(file_engine, made), page_of(client, made)
        first = sums(page)
        assert first["Glue-ups"] == str(sum(up.times for up in plan.gluing.ups))
        sections = next(one.sections for one in plan.gluing.milled if one.slab)
        assert first["The slab"] == f"{sections} sections"
        assert first["Hours, 8 in 10 between"].endswith(" h")
        assert first["Waiting, whatever one does"].endswith(" days")
        lead = pages.text(page.select_one(".build-lead"))
        assert "It takes a second person to move: Top, section of" in lead
        assert page.select_one("nav.tabs [aria-current=page]").text == "Plan"

    def test_every_glue_up_is_there_with_its_limits_and_its_reason(self, client, file_engine, made):
        plan, page = plan_of(file_engine, made), page_of(client, made)
        rows = page.select(".glue-row")
        assert len(rows) == len(plan.gluing.ups)
        top = pages.text(page.select_one(".glued"))
        assert "because" in top
        for row, up in zip(rows, plan.gluing.ups, strict=True):
            said = pages.text(row)
            assert up.label in said
            assert f"{up.clamps} clamps" in said
            assert units.format_area(up.area_nm2, units.System.INCH) in said
            bar = row.select_one("svg")
            assert "that the glue gives" in bar["aria-label"]
            spread, close = (float(bar.select_one(f".glue-bar-{kind}")["width"]) for kind in ("spread", "close"))
            assert 0 < spread < close <= 200

    def test_every_step_is_there_once_in_order_with_its_waits_and_cautions(self, client, file_engine, made):
        plan, page = plan_of(file_engine, made), page_of(client, made)
        titles = [pages.text(h3.find(string=True, recursive=False) or h3) for h3 in page.select(".step-title")]
        assert len(titles) == len(plan.steps.steps)
        shown = [a["href"].rsplit("/plan/step/", 1)[1] for a in page.select(".step-change")]
        assert shown == [step.key for step in [*plan.steps.steps] if not step.anytime] + [
            step.key for step in plan.steps.steps if step.anytime
        ]
        assert "After 21 days: construction lumber rests" in pages.text(page.select_one(".runs ~ .runs, #steps"))
        (rip,) = [step for step in page.select(".step") if "Rip to final width" in step.text]
        assert "table saw" in pages.text(rip.select_one(".step-facts"))
        mind = rip.select_one("details.mind")
        assert "saws" in mind.summary.text
        assert "Riving knife" in mind.text
        assert "29 CFR 1910.213" in mind.text
        assert "follow the machine’s manual and local codes" in page.select_one("#steps").text

    def test_oily_rags_are_spoken_of_where_a_drying_oil_is_used_and_only_there(self, client, file_engine, made):
        assert "Oily rags: at the end of every day" in page_of(client, made).text
        bare = pages.project(file_engine, title="In shellac", finish="shellac")
        assert "Oily rags" not in page_of(client, bare).text

    def test_weights_and_ways_stand_with_the_assumptions_of_the_equation(self, client, file_engine, made):
        plan, page = plan_of(file_engine, made), page_of(client, made)
        handling = pages.text(page.select_one("#handling"))
        for move in plan.moves:
            assert move.what in handling
            assert units.format_mass(move.end_kg, units.System.INCH) in handling
        assert "NIOSH" in handling
        summary = pages.text(page.select_one("#handling summary"))
        assert f"at the shop’s {plan.shop_emc_pct:.3g}% moisture" in summary
        price = pages.text(pages.soup(client.get(f"/projects/{made}/price")).select_one(".price-sums"))
        assert "Weight, 12% moist" in price
        assert "never a head count" in handling

    def test_the_stages_add_up_to_what_is_said_beside_the_hours_of_price(self, client, file_engine, made):
        plan, page = plan_of(file_engine, made), page_of(client, made)
        said = pages.text(page.select_one("#steps > p.soft, #steps .soft"))
        steps = sum(step.minutes.p50 for step in plan.steps.steps if step.minutes)
        price = pages.soup(client.get(f"/projects/{made}/price"))
        wage = next(one for one in price.select(".working") if pages.text(one.select_one(".working-name")) == "Wage")
        counted = f"{plan.found.made.hours.mean:.1f} h"
        assert f"Together {steps / 60:.1f} h" in said
        assert f"Price counts with {counted}" in said
        assert f"= {counted} ×" in pages.text(wage)
        assert steps / 60 < plan.found.made.hours.mean

    def test_wood_says_how_it_moves_and_when_it_is_ready(self, client, made):
        wood = pages.text(page_of(client, made).select_one("#wood"))
        assert "Ready about the 23rd" in wood  # three weeks from the second of March
        assert "radial as its strips stand" in wood
        assert "Nothing is measured yet" in wood

    def test_finish_is_bought_in_whole_containers(self, client, file_engine, made):
        needed = plan_of(file_engine, made).found.made.takeoff.finish_ml
        table = pages.text(page_of(client, made).select_one("#glue-and-finish table"))
        assert units.format_liquid(needed, units.System.INCH) in table
        assert " × " in table

    def test_a_part_too_thick_for_the_saw_goes_another_way(self, client, made):
        assert page_of(client, made).select(".way-odd")

    def test_without_parts_it_says_what_to_do(self, client, file_engine):
        bare = pages.project(file_engine, listed=None)
        assert "No parts, no plan" in page_of(client, bare).text

    def test_parts_that_cannot_be_built_are_named(self, client, file_engine):
        thick = pages.project(file_engine, listed="label,qty,thickness,width,length,stock\nPost,1,9,9,30,2x8 fir\n")
        assert "Post" in page_of(client, thick).select_one(".trouble").text

    def test_what_cannot_be_glued_says_what_would_do(self, client, file_engine, made):
        with writing(file_engine) as session:
            shop_records.put_setting(session, SettingRow("clamps_on_hand", "5", "count"))
        page = page_of(client, made)
        notices = [pages.text(one) for one in page.select(".build-lead .notice--bad")]
        assert any(said.startswith("Top: ") and "more clamps would do" in said for said in notices)

    def test_markup_in_a_name_stays_text(self, client, file_engine):
        listed = pages.LIST.replace("Top,", "<b>Top</b>,")
        hostile = pages.project(file_engine, listed=listed, title="<script>alert(1)</script>")
        page = page_of(client, hostile)
        assert "<b>Top</b>" in page.select_one("#glue-ups").text
        assert not page.select("main script")

    def test_an_unknown_project_is_not_found(self, client):
        for tail in ("", "/step/sand", "/packet.pdf"):
            assert client.get(f"/projects/99/plan{tail}").status_code == 404

    def test_the_number_of_queries_does_not_depend_on_what_was_kept(self, client, file_engine, made):
        page_of(client, made)
        few = pages.statements(file_engine, lambda: page_of(client, made))
        for _ in range(4):
            add(client, made)
            post(client, made, "readings", on="2026-03-01", moisture="14", place="")
        page_of(client, made)
        assert pages.statements(file_engine, lambda: page_of(client, made)) == few


class TestWhatIf:
    def test_a_slower_glue_saves_clampings_hours_and_money(self, client, file_engine):
        made = pages.project(file_engine, listed=pages.LIST.replace("22,72", "24,96"))
        said = pages.text(page_of(client, made, "?asked=1&adhesive=pva_slow").select_one("#what-if .verdict"))
        assert "1 fewer" in said
        assert "h less" in said
        assert "Top 3 sections in place of 4" in said

    def test_the_quick_links_ask_what_they_say(self, client, made):
        links = page_of(client, made).select(".build-quick a")
        assert len(links) == 3
        for link in links:
            response = client.get(link["href"].split("#")[0])
            assert response.status_code == 200
            assert pages.soup(response).select_one("#what-if details[open] .verdict")

    def test_nothing_is_kept(self, client, file_engine, made):
        before = plan_of(file_engine, made)
        page_of(client, made, "?asked=1&clamps=4&hands=1&planer=20")
        after = plan_of(file_engine, made)
        assert (after.steps, after.found.made.price_cents) == (before.steps, before.found.made.price_cents)

    @pytest.mark.parametrize(
        ("asked", "box"),
        [("clamps=lots", "clamps"), ("clamps=9999", "clamps"), ("planer=-3", "planer"), ("hands=7", "hands")],
    )
    def test_what_cannot_be_read_is_told_at_its_box(self, client, made, asked, box):
        page = page_of(client, made, f"?asked=1&{asked}", status=422)
        assert page.select_one(f"#{box}-error")
        assert not page.select("#what-if .verdict")


class TestWayIn:
    def test_a_bench_through_a_door_and_round_a_landing(self, client, made):
        asked = "?carried=1&length=8'&depth=24&height=34&door_width=30&door_height=80&stairs_width=36&headroom=78&landing=36"
        rows = [pages.text(row) for row in page_of(client, made, asked).select("#handling details[open] tbody tr")]
        assert any(row.startswith("The finished bench") and row.endswith("yes no") for row in rows)

    def test_sizes_that_belong_together_are_asked_for_together(self, client, made):
        page = page_of(client, made, "?carried=1&door_width=30", status=422)
        assert "Fill this in too" in page.select_one("#door_height-error").text
        assert page_of(client, made, "?carried=1&landing=36", status=422).select_one("#stairs_width-error")

    def test_a_bench_of_a_design_brings_its_sizes_along(self, client, file_engine):
        made = from_design(file_engine)
        page = page_of(client, made)
        assert page.select_one("#length")["value"] == "72 in"
        assert page.select_one("#drawing .bench-seam")


def from_design(engine):
    with writing(engine) as session:
        asked = projects.Asked(title="Bench for a print room")
        begun, kept = designs.begin(session, "slab-bench", {}, asked, now=pages.NOW)
        assert kept.trouble == ""
        return begun.id


class TestSteps:
    def test_an_own_step_stands_where_it_was_put_and_counts_in_the_price(self, client, file_engine, made):
        before = plan_of(file_engine, made).found.made.price_cents
        response = add(client, made)
        (row,) = edits(file_engine, made)
        assert response.location.endswith(f"/plan?changed={row.id}#told")
        assert (row.minutes, row.stage, row.after_key, row.note) == (15, "finishing", "sand", "by the vise")
        plan = plan_of(file_engine, made)
        keys = [step.key for step in plan.steps.steps]
        assert keys.index(row.step_key) == keys.index("sand") + 1
        assert plan.found.made.price_cents >= before
        page = pages.soup(client.get(response.location))
        assert "Added Burn in the mark." in pages.text(page.select_one("#told"))
        (step,) = [one for one in page.select(".step") if "Burn in the mark" in one.text]
        assert "typed" in step.text
        assert "Burn in the mark" in pages.soup(client.get(f"/projects/{made}/price")).text

    def test_the_button_of_the_notice_undoes_and_does_it_again(self, client, file_engine, made):
        told = pages.soup(client.get(add(client, made).location))
        for expected in (0, 1):
            form = told.select_one("#told form")
            response = client.post(form["action"], data=pages.filled(form))
            assert len(edits(file_engine, made)) == expected
            told = pages.soup(client.get(response.location))
        assert pages.text(told.select_one("#told button")) == "Undo"

    def test_a_step_has_its_own_page_from_which_it_is_dropped(self, client, file_engine, made):
        page = page_of(client, made, "/step/sand")
        assert "Sand" in page.select_one(".step-title").text
        sent = pages.form_at(client, f"/projects/{made}/plan/step/sand", "/steps/drop")
        client.post(f"/projects/{made}/plan/steps/drop", data=sent)
        (row,) = edits(file_engine, made)
        assert (row.kind, row.step_title) == (EditKind.DROP, "Sand")
        assert page_of(client, made, "/step/sand", status=404)
        with reading(file_engine) as session:
            assert plans.latest_plan(session, made).reason == "steps changed: dropped Sand"

    def test_note_move_and_split_are_kept(self, client, file_engine, made):
        path = f"/projects/{made}/plan/step/sand"
        for where, typed in (
            ("note", {"text": "start at the vise end"}),
            ("split", {"text": "The underside", "share": "30"}),
            ("move", {"after": "ease_edges"}),
        ):
            sent = pages.form_at(client, path, f"/steps/{where}") | typed
            assert client.post(f"/projects/{made}/plan/steps/{where}", data=sent).status_code == 302
        kinds = [row.kind for row in edits(file_engine, made)]
        assert kinds == [EditKind.NOTE, EditKind.SPLIT, EditKind.MOVE]
        page = page_of(client, made)
        assert "start at the vise end" in page.select_one("#steps .step-note:-soup-contains('vise end')").text
        assert "The underside" in page.select_one("#steps").text

    def test_an_edit_that_fits_no_more_is_listed_and_can_be_dropped(self, client, file_engine, made):
        post(client, made, "steps/note", step="bore_large", text="from both faces")
        with writing(file_engine) as session:
            listed = pages.LIST.replace("12 holes", "")
            parts.take_list(session, made, listed, source="a paste", now=pages.NOW)
        misfits = page_of(client, made).select_one(".build-lead .changes")
        assert "this step is not in the plan any more" in misfits.text
        form = misfits.select_one("form")
        client.post(form["action"], data=pages.filled(form))
        assert edits(file_engine, made) == ()

    def test_a_move_against_the_order_of_work_is_told_and_not_kept(self, client, file_engine, made):
        response = post(client, made, "steps/move", step="sand", after="drawings")
        assert response.status_code == 422
        assert "which it needs" in pages.text(pages.soup(response))
        assert edits(file_engine, made) == ()

    @pytest.mark.parametrize(
        ("where", "sent", "box"),
        [
            ("steps/note", {"step": "sand", "text": " "}, "text"),
            ("steps/split", {"step": "sand", "text": "X", "share": "0"}, "share"),
            ("steps/split", {"step": "sand", "text": "X", "share": "100"}, "share"),
            ("steps/move", {"step": "sand", "after": "nowhere"}, "after"),
            ("steps/add", {"title": "", "minutes": "15", "stage": "shop", "after": ""}, "title"),
            ("steps/add", {"title": "X", "minutes": "soon", "stage": "shop", "after": ""}, "minutes"),
            ("steps/add", {"title": "X", "minutes": "15", "stage": "moon", "after": ""}, "stage"),
        ],
    )
    def test_what_cannot_be_taken_is_told_at_its_box_and_stays_as_typed(
        self, client, file_engine, made, where, sent, box
    ):
        response = post(client, made, where, **sent)
        assert response.status_code == 422
        page = pages.soup(response)
        assert page.select_one(f"#{box}-error")
        assert edits(file_engine, made) == ()

    def test_a_step_that_is_not_there_is_not_found(self, client, made):
        assert client.get(f"/projects/{made}/plan/step/plug").status_code == 404
        assert post(client, made, "steps/drop", step="plug").status_code == 404
        assert post(client, made, "edits/7/back").status_code == 404

    @pytest.mark.parametrize(
        "where", ["steps/add", "steps/drop", "steps/note", "edits/1/back", "readings", "readings/1/back", "stack"]
    )
    def test_forms_of_other_pages_are_refused(self, client, made, where):
        assert client.post(f"/projects/{made}/plan/{where}", data={}).status_code == 400


class TestReadings:
    def test_a_reading_is_kept_drawn_and_moves_the_day(self, client, file_engine, made):
        response = post(client, made, "readings", on="2026-03-01", moisture="12.5", place="third board")
        (row,) = readings(file_engine, made)
        assert (row.moisture_pct, row.place) == (12.5, "third board")
        page = pages.soup(client.get(response.location))
        assert "Noted: 12.5% on 1 Mar 2026." in page.select_one("#told").text
        assert len(page.select(".drying-wide .drying-reading")) == 1
        assert "third board" in page.select_one("#wood table").text
        form = page.select_one("#told form")
        client.post(form["action"], data=pages.filled(form))
        assert readings(file_engine, made) == ()

    def test_moisture_on_the_log_leads_to_the_open_section(self, client, made):
        (link,) = [one for one in pages.soup(client.get(f"/projects/{made}/log")).select("a") if one.text == "Moisture"]
        assert link["href"].endswith("#wood")
        assert pages.soup(client.get(link["href"])).select_one("#wood details").has_attr("open")
        assert not page_of(client, made).select_one("#wood details").has_attr("open")

    def test_wet_stock_is_warned_of_before_anything_else(self, client, made):
        for _ in range(3):
            post(client, made, "readings", on="2026-03-02", moisture="24", place="")
        assert "Do not mill yet" in pages.text(page_of(client, made).select_one(".build-lead .notice--bad"))

    @pytest.mark.parametrize("typed", ["9.5", "9,5", "9.5%", "9.5 %", " 9,5 % ", "9.5\u00a0%"])
    def test_a_reading_is_typed_as_the_meter_shows_it(self, client, file_engine, made, typed):
        assert post(client, made, "readings", on="2026-03-01", moisture=typed, place="").status_code == 302
        assert [row.moisture_pct for row in readings(file_engine, made)] == [9.5]

    @pytest.mark.parametrize("typed", ["damp", "101", "-1", "9.5 % %", "%"])
    def test_a_reading_that_is_none_is_refused_by_name_with_an_example(self, client, made, typed):
        shown = pages.soup(post(client, made, "readings", on="2026-03-01", moisture=typed, place=""))
        error = pages.text(shown.select_one("#moisture-error"))
        assert f"Read “{typed}”, expected the moisture in percent, from 0 to 100, such as 9.5." in error

    def test_the_day_it_was_stacked_is_kept(self, client, file_engine, made):
        ready = plan_of(file_engine, made).stack.ready_on
        assert post(client, made, "stack", since="2026-02-22").status_code == 302
        assert plan_of(file_engine, made).stack.ready_on == ready - timedelta(days=8)

    @pytest.mark.parametrize(
        ("where", "sent", "box"),
        [
            ("readings", {"on": "2026-03-01", "moisture": "101"}, "moisture"),
            ("readings", {"on": "2026-03-01", "moisture": "damp"}, "moisture"),
            ("readings", {"on": "2026-03-03", "moisture": "12"}, "on"),
            ("readings", {"on": "", "moisture": "12"}, "on"),
            ("stack", {"since": "2026-03-03"}, "since"),
        ],
    )
    def test_what_cannot_be_is_told_at_its_box(self, client, file_engine, made, where, sent, box):
        response = post(client, made, where, **sent)
        assert response.status_code == 422
        assert pages.soup(response).select_one(f"#{box}-error")
        assert readings(file_engine, made) == ()
