"""The Buy pages: the list, at the yard, the plans and their searches, the cuts; success first, then each refusal."""

from __future__ import annotations

import io
from threading import Event

import pytest
from journal import units
from journal.desk import at_the_yard, buying, cutting_plans, parts, solving
from journal.desk.cutting_plans import Standing
from journal.desk.jobs import Jobs
from journal.records.engine import PHOTOS, reading, writing
from journal.records.queries import cutting as cutting_records
from journal.records.queries import purchases, stock
from journal.records.tables import CuttingPlan
from journal.records.words import CuttingStatus
from journal.web.buying import pages as views
from journal.web.buying.blueprint import KEY
from pypdf import PdfReader
from sqlalchemy import update
from tests.desk import photo_files
from tests.web import project_pages as pages

LIST = pages.LIST + "Chop,1,1 1/2,6,20,8/4 hard maple,1,all,1 vise\n"
PATIENCE = 30.0
ERRANDS = ("keep", "fresh", "search", "stop")


@pytest.fixture
def client(file_engine, tmp_path):
    return pages.open_shop(file_engine, tmp_path)


@pytest.fixture
def made(client, file_engine):
    assert client
    return pages.project(file_engine, listed=LIST)


def shopping(engine, project_id):
    with reading(engine) as session:
        return buying.shopping(session, project_id, pages.TODAY)


def plan_of(engine, project_id, code="2x6 fir"):
    with reading(engine) as session:
        return cutting_plans.one_in_force(session, project_id, code, pages.TODAY)


def line_of(engine, project_id, code):
    return next(line for line in shopping(engine, project_id).lines if line.stock == code)


def receipts(engine, project_id):
    with reading(engine) as session:
        return purchases.purchases(session, project_id=project_id)


def money(cents):
    return units.format_money(cents, units.currency("USD"))


def page_of(client, project_id, tail=""):
    response = client.get(f"/projects/{project_id}/buy{tail}")
    assert response.status_code == 200
    return pages.soup(response)


def yard_form(client, project_id, number=1):
    return pages.form_at(client, f"/projects/{project_id}/buy/yard", f"/buy/yard/{number}")


def slip(name, content=None):
    """A photo as a browser sends it."""
    return (io.BytesIO(content or photo_files.saved(photo_files.board())), name)


def send(client, project_id, sent, do, number=1, **boxes):
    return client.post(f"/projects/{project_id}/buy/yard/{number}", data=sent | {"do": do} | boxes)


def press(client, project_id, errand, code="2x6 fir", **more):
    token = page_of(client, project_id).select_one("[name=csrf_token]")["value"]
    sent = {"csrf_token": token, "stock": code} | more
    return client.post(f"/projects/{project_id}/buy/{errand}", data=sent)


class TestList:
    def test_first_comes_what_is_to_buy_and_what_it_costs(self, client, file_engine, made):
        page, found = page_of(client, made), shopping(file_engine, made)
        first = page.select_one(".buy-sums div")
        assert pages.text(first.dt) == "Still to buy"
        assert pages.text(first.dd) == money(found.cents)
        rows = page.select(".buy-list tbody tr")
        assert len(rows) == len([line for line in found.lines if line.left])
        costs = [pages.text(row.select("td")[-1]) for row in rows]
        assert sorted(costs) == sorted(money(line.cents) for line in found.lines if line.left)

    def test_it_is_a_tab_of_the_project_in_the_section_projects(self, client, made):
        page = page_of(client, made)
        assert [pages.text(tab) for tab in page.select(".tabs [aria-current]")] == ["Buy"]
        assert [pages.text(tab) for tab in page.select(".sections [aria-current]")] == ["Projects"]
        below = page_of(client, made, "/cuts")
        assert [pages.text(tab) for tab in below.select(".tabs [aria-current]")] == ["Buy"]

    def test_a_starting_price_says_that_it_is_one(self, client, made):
        page = page_of(client, made)
        assert "a starting price" in page.select_one(".buy-list tbody").text
        assert "a starting one" in page.select_one(".buy-sums").text

    def test_places_are_apart_with_their_sums(self, client, file_engine, made):
        with writing(file_engine) as session:
            item = stock.find_item(session, "8/4 hard maple")
            stock.save_item(session, stock.ItemRow(**_fields(item) | {"supplier": "the dealer"}))
        page = page_of(client, made)
        heads = {pages.text(entry.h2): entry for entry in page.select(".entry") if entry.select(".buy-list")}
        assert set(heads) == {"The dealer", "Anywhere"}
        due = line_of(file_engine, made, "8/4 hard maple").cents
        assert pages.text(heads["The dealer"].select_one("tfoot td")) == money(due)

    def test_without_parts_it_sends_there(self, client, file_engine):
        empty = pages.project(file_engine, listed="")
        page = page_of(client, empty)
        assert page.select_one(".empty a")["href"].endswith("/parts")

    def test_what_cannot_be_built_is_said(self, client, file_engine):
        bad = pages.project(file_engine, listed=LIST.replace("3 1/4,22,72", "3 1/4,22,400"))
        assert "Top" in page_of(client, bad).select_one(".trouble").text

    def test_markup_in_a_label_is_text(self, client, file_engine):
        marked = pages.project(file_engine, listed=LIST.replace("Top,", "<b>Top</b> & co,"), title="<i>Bench</i>")
        for tail in ("", "/cuts", "/yard", "/without"):
            page = page_of(client, marked, tail)
            assert page.select("main b, main i") == []
        cuts = page_of(client, marked, "/cuts")
        assert "<b>Top</b> & co" in cuts.select_one("main").text

    def test_no_such_project_is_no_page(self, client):
        for tail in ("", "/yard", "/cuts", "/without", "/searches", "/cut-sheet.pdf"):
            assert client.get(f"/projects/999/buy{tail}").status_code == 404

    def test_more_parts_and_receipts_take_no_more_statements(self, client, file_engine, made):
        long = pages.project(file_engine, listed=LIST + "Rail,2,1 1/8,5,40,2x10 fir,1,all,2 tenons\n")
        for project_id in (made, long):
            _bought(file_engine, project_id, line_of(file_engine, project_id, "2x6 fir"), 1.0)

        def taken(project_id):
            tails = ("", "/yard", "/cuts", "/searches")
            client.get(f"/projects/{project_id}/buy")
            return [
                pages.statements(file_engine, lambda at=f"/projects/{project_id}/buy{tail}": client.get(at))
                for tail in tails
            ]

        before = taken(made)
        assert taken(long) == before
        _bought(file_engine, made, line_of(file_engine, made, "2x6 fir"), 1.0)
        assert taken(made) == before


def _fields(item):
    return {name: getattr(item, name) for name in stock.ItemRow.__dataclass_fields__}


def _bought(engine, project_id, line, count):
    with writing(engine) as session:
        receipt = at_the_yard.Receipt((at_the_yard.Bought(line.key, count, line.price_cents),))
        at_the_yard.buy(session, project_id, receipt, today=pages.TODAY, now=pages.NOW)


class TestYard:
    def test_what_is_ticked_is_bought_at_the_price_typed(self, client, file_engine, made):
        line = line_of(file_engine, made, "2x6 fir")
        sent = yard_form(client, made)
        boxes = {f"tick-{line.key}": "1", f"count-{line.key}": "2", f"price-{line.key}": "12.34", "t1-tax": "1.50"}
        response = send(client, made, sent, "buy", **boxes)
        assert response.status_code == 302
        (kept,) = receipts(file_engine, made)
        assert [(one.stock_code, one.quantity, one.price_cents, one.length_nm) for one in kept.lines] == [
            ("2x6 fir", 2.0, 2468, line.length_nm)
        ]
        assert kept.tax_cents == 150
        after = line_of(file_engine, made, "2x6 fir")
        assert (after.left, after.price_cents) == (line.left - 2, 1234)
        page = pages.soup(client.get(response.location))
        assert money(2468 + 150) in page.select_one(".notices").text
        listed = page_of(client, made).select("#bought-so-far tbody tr")
        assert len(listed) == 1
        assert "2 × 2x6 fir" in pages.text(listed[0])

    def test_every_row_has_a_box_to_tick_that_says_what_it_is(self, client, file_engine, made):
        page = page_of(client, made, "/yard")
        rows = page.select(".yard-row")
        assert len(rows) == len([line for line in shopping(file_engine, made).lines if line.left])
        for row in rows:
            tick = row.select_one("[type=checkbox]")
            assert row.select_one(f"label[for='{tick['id']}']").text.strip()
            assert not tick.has_attr("checked")
        names = [box["id"] for box in page.select("[id]")]
        assert len(names) == len(set(names))

    def test_hardwood_is_bought_by_the_board_foot(self, client, file_engine, made):
        line = line_of(file_engine, made, "8/4 hard maple")
        sent = yard_form(client, made)
        assert (
            send(client, made, sent, "buy", **{f"tick-{line.key}": "1", f"count-{line.key}": "2.7"}).status_code == 302
        )
        (kept,) = receipts(file_engine, made)
        assert [(one.board_feet, one.quantity) for one in kept.lines] == [(2.7, 1.0)]

    def test_what_is_not_there_is_planned_around_on_the_spot(self, client, file_engine, made):
        before = plan_of(file_engine, made)
        nm = before.needs.lengths[0].length_nm
        line = line_of(file_engine, made, "8/4 hard maple")
        sent = yard_form(client, made) | {f"tick-{line.key}": "1"}
        response = send(client, made, sent, "plan", **{f"there-2x6 fir-{nm}": "0"})
        assert response.status_code == 302
        plan = plan_of(file_engine, made)
        assert plan.standing is Standing.KEPT
        assert plan.there == {nm: 0}
        assert nm not in {need.length_nm for need in plan.needs.lengths}
        page = pages.soup(client.get(response.location))
        difference = plan.cents - before.cents
        assert difference
        told = page.select_one(".notices").text
        assert money(abs(difference)) in told
        assert ("more" if difference > 0 else "less") in told
        assert page.select_one(f"[id='tick-{line.key}']").has_attr("checked")
        assert page.select_one(f"[name='there-2x6 fir-{nm}']")["value"] == "0"
        assert "Made with what was there" in page_of(client, made).select_one(".plans").text

    def test_nothing_said_leaves_the_plan(self, client, file_engine, made):
        assert send(client, made, yard_form(client, made), "plan").status_code == 302
        assert plan_of(file_engine, made).standing is Standing.NEW

    def test_too_little_is_refused_where_it_was_typed(self, client, file_engine, made):
        sent = yard_form(client, made)
        boxes = {f"there-2x6 fir-{one.length}": "0" for one in plan_of(file_engine, made).problem.stock}
        response = send(client, made, sent, "plan", **boxes)
        assert response.status_code == 422
        page = pages.soup(response)
        assert page.select_one("#form-1 [role=alert]").text.strip()
        assert {box["value"] for box in page.select("[name^='there-2x6 fir']")} == {"0"}
        assert plan_of(file_engine, made).standing is Standing.NEW

    def test_what_cannot_be_read_is_marked_and_nothing_is_kept(self, client, file_engine, made):
        line, empty = line_of(file_engine, made, "2x6 fir"), yard_form(client, made)
        nm = plan_of(file_engine, made).needs.lengths[0].length_nm
        count, price, there = f"count-{line.key}", f"price-{line.key}", f"there-2x6 fir-{nm}"
        wrong = [(count, text) for text in ("two", "", "0", "2.5", "9" * 30)]
        wrong += [(price, text) for text in ("much", "")]
        wrong += [(there, text) for text in ("some", "-1", "1.5", "9" * 30)]
        for name, typed in wrong:
            response = send(client, made, empty, "buy", **{f"tick-{line.key}": "1", name: typed})
            assert response.status_code == 422, (name, typed)
            page = pages.soup(response)
            (marked,) = page.select("[aria-invalid]")
            assert (marked["name"], marked["value"]) == (name, typed)
            assert page.find(id=marked["aria-describedby"]).text
            assert page.find(id=f"tick-{line.key}").has_attr("checked")
        assert receipts(file_engine, made) == ()
        assert plan_of(file_engine, made).standing is Standing.NEW

    def test_a_tax_that_cannot_be_read_is_marked(self, client, file_engine, made):
        line = line_of(file_engine, made, "2x6 fir")
        sent = yard_form(client, made) | {f"tick-{line.key}": "1", "t1-tax": "a bit"}
        response = send(client, made, sent, "buy")
        assert response.status_code == 422
        assert pages.soup(response).select_one("#t1-tax-error")
        assert receipts(file_engine, made) == ()

    def test_nothing_ticked_is_nothing_bought(self, client, file_engine, made):
        response = send(client, made, yard_form(client, made), "buy")
        assert response.status_code == 422
        assert "ticked" in pages.soup(response).select_one("[role=alert]").text
        assert receipts(file_engine, made) == ()

    def test_from_another_tab_nothing_is_bought_twice(self, client, file_engine, made):
        line = line_of(file_engine, made, "2x6 fir")
        sent = yard_form(client, made) | {f"tick-{line.key}": "1"}
        assert send(client, made, sent, "buy", **{f"count-{line.key}": "1"}).status_code == 302
        response = send(client, made, sent, "buy", **{f"count-{line.key}": "1"})
        assert response.status_code == 409
        page = pages.soup(response)
        assert "changed" in page.select_one("[role=alert]").text
        assert page.select_one(f"[id='tick-{line.key}']").has_attr("checked")
        assert len(receipts(file_engine, made)) == 1
        (form,) = page.select("#form-1")
        assert client.post(form["action"], data=pages.filled(form) | {"do": "buy"}).status_code == 302

    def test_a_photo_of_the_slip_comes_with_what_is_bought(self, client, file_engine, made):
        line = line_of(file_engine, made, "2x6 fir")
        sent = yard_form(client, made) | {f"tick-{line.key}": "1"}
        assert send(client, made, sent, "buy", **{"t1-photos": slip("slip.jpg")}).status_code == 302
        (kept,) = receipts(file_engine, made)
        hung = pages.soup(client.get(f"/rack/purchases/{kept.id}/photos")).select("ul.photos img")
        assert len(hung) == 1

    def test_what_is_no_photo_is_named_and_the_ticks_stay(self, client, file_engine, made, tmp_path):
        line = line_of(file_engine, made, "2x6 fir")
        sent = yard_form(client, made) | {f"tick-{line.key}": "1", "t1-note": "from the pile outside"}
        response = send(client, made, sent, "buy", **{"t1-photos": slip("slip.pdf", b"x")})
        assert response.status_code == 422
        page = pages.soup(response)
        assert "slip.pdf: expected" in page.select_one("#t1-photos-error").text
        assert page.select_one("#t1-photos").find_parent("details").has_attr("open")
        assert page.select_one(f"[id='tick-{line.key}']").has_attr("checked")
        assert page.select_one("#t1-note")["value"] == "from the pile outside"
        assert (receipts(file_engine, made), (tmp_path / PHOTOS).exists()) == ((), False)

    def test_nothing_is_put_on_the_disk_for_a_list_that_changed_and_a_photo_chosen_too_early_is_said(
        self, client, file_engine, made, tmp_path
    ):
        line = line_of(file_engine, made, "2x6 fir")
        sent = yard_form(client, made) | {f"tick-{line.key}": "1"}
        planned = send(client, made, sent, "plan", **{"t1-photos": slip("slip.jpg")})
        told = pages.soup(client.get(planned.location)).select_one(".notices").text
        assert "Choose again once it is bought, as a page cannot keep files: slip.jpg." in told
        assert send(client, made, sent, "buy", **{f"count-{line.key}": "1"}).status_code == 302
        assert send(client, made, sent, "buy", **{"t1-photos": slip("slip.jpg")}).status_code == 409
        assert not (tmp_path / PHOTOS).exists()

    def test_a_trip_that_is_no_more_is_a_conflict(self, client, made):
        assert send(client, made, yard_form(client, made), "buy", number=9).status_code == 409

    def test_without_our_mark_nothing_is_kept(self, client, file_engine, made):
        line = line_of(file_engine, made, "2x6 fir")
        sent = {f"tick-{line.key}": "1", f"count-{line.key}": "1", f"price-{line.key}": "1"}
        assert send(client, made, sent, "buy").status_code == 400
        assert receipts(file_engine, made) == ()

    def test_with_everything_bought_there_is_nothing_to_tick(self, client, file_engine, made):
        for line in shopping(file_engine, made).lines:
            if line.left:
                _bought(file_engine, made, line, line.left)
        assert "Nothing left to buy" in page_of(client, made, "/yard").text
        assert "Nothing left to buy" in page_of(client, made).text


class TestPlans:
    def test_a_plan_is_kept_as_shown(self, client, file_engine, made):
        assert press(client, made, "keep").status_code == 302
        plan = plan_of(file_engine, made)
        assert plan.standing is Standing.KEPT
        assert "kept 2 Mar 2026" in page_of(client, made).select_one(".plans").text

    def test_a_stale_one_is_said_and_the_list_is_for_the_new_parts(self, client, file_engine, made):
        press(client, made, "keep")
        with writing(file_engine) as session:
            changed = LIST.replace("Leg,4", "Leg,8")
            parts.take_list(session, made, changed, source="a paste", now=pages.NOW)
        page = page_of(client, made)
        assert "other parts" in page.select_one(".buy-lead").text
        assert money(shopping(file_engine, made).cents) in pages.text(page.select_one(".buy-sums"))

    def test_a_damaged_one_is_said(self, client, file_engine, made):
        press(client, made, "keep")
        with file_engine.begin() as connection:
            connection.execute(update(CuttingPlan).values(payload="{}"))
        assert "cannot be read" in page_of(client, made).select_one(".buy-lead").text

    def test_after_other_prices_it_can_be_planned_anew(self, client, file_engine, made):
        nm = plan_of(file_engine, made).needs.lengths[0].length_nm
        send(client, made, yard_form(client, made), "plan", **{f"there-2x6 fir-{nm}": "0"})
        assert press(client, made, "fresh").status_code == 302
        plan = plan_of(file_engine, made)
        assert (plan.standing, plan.there) == (Standing.KEPT, {})

    def test_each_length_is_tried_without(self, client, file_engine, made):
        page = page_of(client, made, "/without")
        due = [one for plan in shopping(file_engine, made).plans for one in cutting_plans.without_each(plan)]
        rows = page.select("[data-piece] tbody tr")
        assert [pages.text(row.select_one(".num")) for row in rows] == [
            "cannot be done" if one.why_not else views_money(one.more_cents) for one in due
        ]
        assert page_of(client, made).select_one("[data-fill] a")["href"] == f"/projects/{made}/buy/without"

    def test_another_stock_or_no_mark_changes_nothing(self, client, file_engine, made):
        for errand in ERRANDS:
            assert press(client, made, errand, "2x10 fir", seconds="10").status_code == 404
            assert client.post(f"/projects/{made}/buy/{errand}", data={"stock": "2x6 fir"}).status_code == 400
        with reading(file_engine) as session:
            assert cutting_records.newest(session, made) == {}

    def test_another_project_is_not_there(self, client, made):
        token = page_of(client, made).select_one("[name=csrf_token]")["value"]
        sent = {"csrf_token": token, "stock": "2x6 fir", "seconds": "10"}
        for errand in ERRANDS:
            assert client.post(f"/projects/999/buy/{errand}", data=sent).status_code == 404


def views_money(cents):
    return "the same" if not cents else ("+" if cents > 0 else "−") + money(abs(cents))


class TestSearch:
    @pytest.fixture
    def let_go(self, client, file_engine):
        """Searches that wait to be let go."""
        go = Event()

        def search(problem, _seconds, tell, stop):
            tell(10**9, 1)
            while not (go.wait(0.01) or stop()):
                pass
            return solving.quick(problem)

        client.application.extensions[KEY] = Jobs(file_engine, search)
        yield go
        go.set()

    def ended(self, client, engine, project_id):
        number = plan_of(engine, project_id).row.id
        assert client.application.extensions[KEY].wait(number, PATIENCE)

    def test_the_page_does_not_wait_and_shows_how_far_it_is(self, client, file_engine, made, let_go):
        plan = plan_of(file_engine, made)
        assert press(client, made, "search", seconds="600").status_code == 302
        page = page_of(client, made)
        (shown,) = [one for one in page.select(".plan") if "2x6 fir" in one.h3.text]
        told = pages.text(shown)
        assert "searching" in told
        assert "of at most 10 min" in told
        assert money(plan.result.cost_cents) in told
        assert money(plan.result.bound_cents) in told
        assert page.select_one("[data-running] a")
        piece = page_of(client, made, "/searches")
        assert piece.select_one("[data-running]")
        assert piece.select_one("html") is None
        let_go.set()
        self.ended(client, file_engine, made)
        assert page_of(client, made, "/searches").select_one("[data-running]") is None
        assert "a search found nothing better" in pages.text(page_of(client, made).select_one(".plans"))

    def test_it_can_be_stopped_and_keeps_its_best(self, client, file_engine, made, let_go):
        press(client, made, "search", seconds="600")
        assert press(client, made, "stop").status_code == 302
        self.ended(client, file_engine, made)
        assert not let_go.is_set()
        plan = plan_of(file_engine, made)
        assert (plan.standing, plan.row.ended) == (Standing.KEPT, "stopped")
        assert "the search was stopped" in pages.text(page_of(client, made).select_one(".plans"))

    def test_one_lost_at_a_restart_is_said_to_be(self, client, file_engine, made, let_go):
        press(client, made, "search", seconds="600")
        here = client.application.extensions[KEY]
        client.application.extensions[KEY] = Jobs(file_engine)
        assert plan_of(file_engine, made).row.status is CuttingStatus.SEARCHING
        page = page_of(client, made)
        assert "cut short when the program was stopped" in page.select_one(".plans").text
        assert page.select_one("[data-running]") is None
        client.application.extensions[KEY] = here
        let_go.set()
        self.ended(client, file_engine, made)

    def test_a_time_that_is_not_on_the_page_is_refused(self, client, file_engine, made, let_go):
        assert press(client, made, "search", seconds="86400").status_code == 422
        assert not let_go.is_set()
        assert plan_of(file_engine, made).standing is Standing.NEW


class TestCuts:
    def test_every_board_is_drawn_and_its_cuts_are_in_a_table(self, client, file_engine, made):
        page = page_of(client, made, "/cuts")
        plans = shopping(file_engine, made).plans
        boards = [board for plan in plans for board in plan.result.plan.boards]
        assert len(page.select(".cut-boards > li")) == len(boards)
        for item, board in zip(page.select(".cut-boards > li"), boards, strict=True):
            strips = [blank for segment in board.segments for blank in segment.blanks]
            for form in (".cut-wide", ".cut-narrow"):
                (svg,) = item.select(f"{form} svg")
                assert len(svg.select(".cut-strip")) == len(strips)
                assert svg.title.text
                assert svg.find("desc").text
            assert len(item.select(".cut-steps tbody strong")) == len(strips)
            assert board.stock_id in item.h3.text
        ids = [tag["id"] for tag in page.select("[id]")]
        assert len(ids) == len(set(ids))

    def test_on_paper_it_is_a_pdf_of_the_same(self, client, file_engine, made):
        response = client.get(f"/projects/{made}/buy/cut-sheet.pdf")
        assert (response.status_code, response.content_type) == (200, "application/pdf")
        assert 'filename="cut-sheet-26-001.pdf"' in response.headers["Content-Disposition"]
        reader = PdfReader(io.BytesIO(response.data))
        text = " ".join(" ".join(page.extract_text() for page in reader.pages).split())
        assert "Cut sheet: Bench for a print room" in text
        for plan in shopping(file_engine, made).plans:
            for number, board in enumerate(plan.result.plan.boards, 1):
                assert f"Board {number}: {board.stock_id}" in text
        assert float(reader.pages[0].mediabox.width) == 792

    def test_the_paper_is_the_shops_choice(self, client, made):
        sent = pages.form_at(client, f"/projects/{made}/buy/cuts", "/buy/paper")
        assert sent["paper"] == "us-letter"
        response = client.post(f"/projects/{made}/buy/paper", data=sent | {"paper": "a4"})
        assert response.status_code == 302
        reader = PdfReader(io.BytesIO(client.get(f"/projects/{made}/buy/cut-sheet.pdf").data))
        assert float(reader.pages[0].mediabox.width) == pytest.approx(841.89, abs=0.1)
        assert page_of(client, made, "/cuts").select_one("#paper option[selected]")["value"] == "a4"

    def test_another_paper_or_no_mark_is_refused(self, client, made):
        sent = pages.form_at(client, f"/projects/{made}/buy/cuts", "/buy/paper")
        path = f"/projects/{made}/buy/paper"
        assert client.post(path, data=sent | {"paper": "napkin"}).status_code == 422
        assert client.post(path, data={"paper": "a4"}).status_code == 400

    def test_hardwood_alone_has_none(self, client, file_engine):
        alone = pages.project(
            file_engine, listed="label,qty,thickness,width,length,stock\nChop,1,1 1/2,6,20,8/4 hard maple\n"
        )
        assert "cut as the boards come" in page_of(client, alone, "/cuts").text
        assert "bought by the board foot" in page_of(client, alone, "/without").text


def test_a_difference_is_told_with_its_sign(client):
    with client.application.test_request_context():
        assert [views.more_money(cents) for cents in (1400, -300, 0)] == ["+$14.00", "−$3.00", "the same"]


def test_how_long_is_told_shortly():
    assert [views.seconds(s) for s in (0.4, 59.9, 60, 310)] == ["0 s", "59 s", "1 min", "5 min 10 s"]
