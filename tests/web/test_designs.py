import io
import re
from dataclasses import replace

import pytest
from journal import units
from journal.build.design_file import GUIDE
from journal.desk import designs, parts
from journal.records.engine import reading, writing
from journal.records.queries import designs as records
from journal.records.queries import projects as project_records
from journal.records.queries import shop as shop_records
from journal.records.tables import StockItem, StockPrice
from journal.records.words import LengthSystem, ProjectState
from sqlalchemy import delete, select
from tests.build.designs import STOOL
from tests.desk.finished import built
from tests.web import project_pages as pages

LOW = STOOL.replace('title = "Stool"', 'title = "Low stool"')


@pytest.fixture
def client(file_engine, tmp_path):
    return pages.open_shop(file_engine, tmp_path)


@pytest.fixture
def own(file_engine):
    """One design of the shop's own."""
    with writing(file_engine) as session:
        return designs.add(session, STOOL, now=pages.NOW)


def stored(engine, word="stool"):
    with reading(engine) as session:
        return records.find_design(session, word)


def project_row(engine, project_id):
    with reading(engine) as session:
        return project_records.get_project(session, project_id)


def sizes(client, word="slab-bench", **changed):
    """The form of a design as it comes, some boxes changed; None takes a box away."""
    form = pages.soup(client.get(f"/designs/{word}")).select_one("form#sizes")
    sent = {**pages.filled(form), **changed}
    return {name: value for name, value in sent.items() if value is not None}


def begin_form(client, path="/designs/slab-bench"):
    return pages.form_at(client, path, "/begin")


def price(soup):
    return pages.text(soup.select_one("[data-live-piece=price] .sums dd"))


def csrf(client, path="/designs"):
    return pages.soup(client.get(path)).select_one("input[name=csrf_token]")["value"]


class TestShelf:
    def test_every_design_stands_there_with_a_drawing_and_its_reach(self, client):
        page = pages.soup(client.get("/designs"))
        cards = page.select(".shelf-card")
        assert len(cards) >= 4
        for card in cards:
            assert card.select("svg .bench-face")
            assert "in long" in pages.text(card)
        assert page.select_one("nav a[aria-current=page]").text == "Designs"

    def test_the_shops_own_stand_first(self, client, own):
        first = pages.soup(client.get("/designs")).select_one(".shelf-card a")
        assert first["href"] == f"/designs/{own.word}"

    def test_a_text_that_can_no_longer_be_read_is_told_beside_its_name(self, client, file_engine):
        with writing(file_engine) as session:
            records.add_design(session, "old", "Old <b>bench</b>", "format = 1", pages.NOW)
        card = pages.soup(client.get("/designs")).select_one(".shelf-card")
        assert "Old <b>bench</b>" in card.text
        assert card.select(".field-error")
        assert client.get("/designs/old").status_code == 400

    def test_what_is_put_away_stands_at_the_end_and_comes_back(self, client, own, file_engine):
        sent = pages.form_at(client, f"/designs/{own.word}", "/put-away")
        assert client.post(f"/designs/{own.word}/put-away", data=sent).status_code == 302
        assert stored(file_engine).archived
        page = pages.soup(client.get("/designs"))
        assert own.word not in str(page.select(".shelf"))
        back = pages.filled(page.select_one(".shelf-away form"))
        client.post(f"/designs/{own.word}/put-away", data=back)
        assert not stored(file_engine).archived


class TestTryingOut:
    def test_a_design_opens_at_its_usual_size_with_drawing_price_and_parts(self, client):
        response = client.get("/designs/slab-bench")
        page = pages.soup(response)
        assert response.status_code == 200
        assert re.fullmatch(r"\$ ?[\d,]+\.00", price(page).replace(" ", ""))
        assert page.select_one("svg.bench-wide title").text == "Slab bench, three views to scale"
        assert (
            "72 in long, 24 in deep (25¾ in with the vise), 34 in high" in page.select_one("svg.bench-wide desc").text
        )
        rows = [pages.text(row.th) for row in page.select("[data-live-piece=parts] tbody tr")]
        assert rows[:3] == ["Top", "Legs", "Long stretchers"]

    def test_every_box_has_a_label_and_the_limits_beside_it(self, client):
        form = pages.soup(client.get("/designs/slab-bench")).select_one("form#sizes")
        for box in form.select("input:not([type=hidden]), select"):
            assert form.select_one(f"label[for={box['id']}]"), box["name"]
        assert "48 in to 96 in" in pages.text(form)

    def test_a_changed_length_changes_parts_drawing_and_price(self, client):
        before = pages.soup(client.get("/designs/slab-bench"))
        after = pages.soup(client.get("/designs/slab-bench", query_string=sizes(client, p_length="7 ft")))
        assert price(after) != price(before)
        assert "84 in" in pages.text(after.select_one("[data-live-piece=parts] tbody tr"))
        assert after.select_one("#p_length")["value"] == "7 ft"

    def test_the_live_pieces_are_those_of_the_whole_page(self, client):
        sent = sizes(client, p_length="80", p_shelf=None)
        whole = pages.soup(client.get("/designs/slab-bench", query_string=sent))
        live = pages.soup(client.get("/designs/slab-bench/live", query_string=sent))
        pieces = live.select("[data-live-piece]")
        assert [piece["data-live-piece"] for piece in pieces] == ["price", "drawing", "parts", "sent"]
        for piece in pieces:
            there = whole.select_one(f"[data-live-piece={piece['data-live-piece']}]")
            assert pages.text(there) == pages.text(piece)
        assert "Shelf" not in live.text
        assert not live.select("html, head, form")

    def test_identical_benches_say_the_price_of_one(self, client):
        page = pages.soup(client.get("/designs/slab-bench", query_string=sizes(client, benches="4")))
        assert "For each of 4" in pages.text(page.select_one("[data-live-piece=price]"))

    def test_in_millimetres_where_the_shop_measures_so(self, client, file_engine):
        with writing(file_engine) as session:
            row = shop_records.get_shop(session)
            shop_records.save_shop(session, replace(row, system=LengthSystem.METRIC))
        page = pages.soup(client.get("/designs/slab-bench"))
        assert "1219.2 mm to 2438.4 mm" in pages.text(page.select_one("form#sizes")).replace(",", "")
        assert "mm" in page.select_one("svg.bench-wide desc").text

    @pytest.mark.parametrize(
        ("box", "typed", "told"),
        [
            ("p_length", "200", "96 in or less"),
            ("p_length", "12", "48 in or more"),
            ("p_length", "long", "expected"),
            ("p_length", "", "Fill this in"),
            ("p_vises", "1.5", "a whole number"),
            ("p_wood", "plastic", "Not a valid choice"),
            ("benches", "0", "1 or more"),
        ],
    )
    def test_a_box_that_cannot_be_taken_says_why_and_keeps_what_was_typed(self, client, box, typed, told):
        response = client.get("/designs/slab-bench", query_string=sizes(client, **{box: typed}))
        page = pages.soup(response)
        assert response.status_code == 422
        assert told in pages.text(page.select_one(f"#{box}-error"))
        assert told in pages.text(page.select_one("[data-live-piece=price]"))
        if page.select_one(f"input#{box}"):
            assert page.select_one(f"#{box}")["value"] == typed

    def test_a_live_refusal_leaves_drawing_and_parts_as_they_are(self, client):
        live = pages.soup(client.get("/designs/slab-bench/live", query_string=sizes(client, p_length="200")))
        assert [piece["data-live-piece"] for piece in live.select("[data-live-piece]")] == ["price"]
        assert "Length: Read 200 in, expected 96 in or less." in pages.text(live)

    def test_choices_that_make_no_bench_name_the_cell_and_what_would_do(self, client, file_engine):
        with writing(file_engine) as session:
            designs.add(session, STOOL.replace('thick = "2"', 'thick = "4/legs"'), now=pages.NOW)
        page = pages.soup(client.get("/designs/stool", query_string=sizes(client, "stool", p_legs="0")))
        told = pages.text(page.select_one("[data-live-piece=price]"))
        line = 1 + STOOL[: STOOL.index("thick = ")].count("\n")
        assert f"worked thick (line {line})" in told
        assert "Legs 1 would do" in told

    def test_stock_the_shop_does_not_buy_leads_to_where_it_is_added_and_the_bench_is_priced_then(
        self, client, file_engine
    ):
        with writing(file_engine) as session:
            thin = StockItem.code.like("1/2 %plywood%")
            sheets = select(StockItem.id).where(thin)
            session.execute(delete(StockPrice).where(StockPrice.item_id.in_(sheets)))
            session.execute(delete(StockItem).where(thin))
        asked = sizes(client, p_drawers="3")
        line = pages.soup(client.get("/designs/slab-bench", query_string=asked)).select_one(".notice--care li")
        assert "no stock called “1/2 plywood”" in pages.text(line)
        added = client.get(line.a["href"])
        form = pages.soup(added).select_one("main form.form")
        sent = pages.filled(form)
        assert sent["stock"] == "1/2 plywood"
        assert "kind=" not in line.a["href"]
        done = client.post("/prices/add/sheet", data=sent | {"kind": "hardwood_plywood_1_2"})
        assert done.status_code == 302
        seen = pages.soup(client.get(done.location)).select_one("form[action*='/seen']")
        assert client.post(seen["action"], data=pages.filled(seen) | {"price": "39"}).status_code == 302
        told = pages.text(
            pages.soup(client.get("/designs/slab-bench", query_string=asked)).select_one("[data-live-piece=price]")
        )
        assert "no stock called" not in told
        assert "Price to ask" in told

    def test_what_the_shop_cannot_make_is_told_by_the_part(self, client, file_engine):
        with writing(file_engine) as session:
            text = STOOL.replace('width = "10"', 'width = "12"')
            designs.add(session, text, now=pages.NOW)
        page = pages.soup(client.get("/designs/stool"))
        told = pages.text(page.select_one("[data-live-piece=price]"))
        assert "cannot build it as it stands" in told
        assert "Legs: 12 in wide is wider than 2x12" in told
        assert page.select("svg .bench-face")

    def test_an_unknown_design_is_not_found(self, client):
        for path in ("/designs/no-such", "/designs/no-such/live", "/designs/no-such/file", "/designs/no-such/edit"):
            assert client.get(path).status_code == 404

    def test_texts_are_shown_as_they_are_written(self, client, file_engine):
        text = STOOL.replace('"A board on legs."', '"<script>alert(1)</script>"').replace(
            'label = "Top"', 'label = "<i>Top"'
        )
        with writing(file_engine) as session:
            designs.add(session, text, now=pages.NOW)
        page = pages.soup(client.get("/designs/stool"))
        assert "<script>alert(1)</script>" in page.select_one(".title-note").text
        assert not page.select("main script, main i")

    def test_the_number_of_statements_does_not_grow_with_designs_and_projects(self, client, file_engine):
        def count():
            return pages.statements(file_engine, lambda: client.get("/designs/slab-bench"))

        count()
        first = count()
        for n in range(5):
            pages.project(file_engine, title=f"Bench {n}")
            with writing(file_engine) as session:
                designs.copy(session, "slab-bench", now=pages.NOW)
        count()
        assert count() == first


class TestBeginning:
    def test_begins_a_project_with_the_parts_and_the_choices_shown(self, client, file_engine):
        query = "/designs/slab-bench?" + "&".join(
            f"{k}={v}" for k, v in sizes(client, p_length="84", benches="2").items()
        )
        sent = begin_form(client, query)
        assert sent["p_length"] == "84"
        response = client.post("/designs/slab-bench/begin", data=sent | {"title": "For a school"})
        assert response.status_code == 302
        row = project_row(file_engine, 1)
        assert response.location == "/projects/1/price"
        assert (row.title, row.benches, row.design_word) == ("For a school", 2, "slab-bench")
        assert row.design_values["length"] == units.inches(84)
        assert pages.parts_of(file_engine, 1)[0].length_nm == units.inches(84)
        assert "is begun from the design" in client.get(response.location).text

    def test_goes_to_the_parts_where_there_is_no_price_yet(self, client, file_engine):
        with writing(file_engine) as session:
            designs.add(session, STOOL.replace('width = "10"', 'width = "12"'), now=pages.NOW)
        response = client.post("/designs/stool/begin", data=begin_form(client, "/designs/stool"))
        assert response.location == "/projects/1/parts"

    def test_into_a_project_that_is_there_replaces_its_parts_and_can_be_undone(self, client, file_engine):
        project_id = pages.project(file_engine)
        before = pages.parts_of(file_engine, project_id)
        sent = begin_form(client) | {"project": str(project_id), "title": ""}
        assert client.post("/designs/slab-bench/begin", data=sent).location == f"/projects/{project_id}/price"
        assert {part.label for part in pages.parts_of(file_engine, project_id)} >= {"Top", "Legs"}
        assert [head.version for head in pages.history(file_engine, project_id)] == [2, 1]
        with writing(file_engine) as session:
            parts.undo(session, project_id, now=pages.NOW)
        assert [p.label for p in pages.parts_of(file_engine, project_id)] == [p.label for p in before]

    def test_from_a_project_one_comes_back_to_its_design_as_it_was_chosen(self, client):
        client.post("/designs/slab-bench/begin", data=begin_form(client) | {"p_length": "90", "title": "B"})
        link = pages.soup(client.get("/projects/1/parts")).select_one("a[href$='/designs/of/1']")
        page = pages.soup(client.get(link["href"], follow_redirects=True))
        assert page.select_one("#p_length")["value"] == "90 in"
        assert page.select_one("#project option[selected]")["value"] == "1"

    def test_a_project_of_no_design_has_no_such_way(self, client, file_engine):
        project_id = pages.project(file_engine)
        assert "designs/of" not in client.get(f"/projects/{project_id}/parts").text
        assert client.get(f"/designs/of/{project_id}").status_code == 404
        assert client.get("/designs/of/99").status_code == 404

    @pytest.mark.parametrize(
        ("changed", "told"),
        [({"title": " "}, "needs a title"), ({"p_length": "200"}, "96 in or less"), ({"project": "99"}, "Not a valid")],
    )
    def test_is_refused_with_the_reason_and_begins_nothing(self, client, file_engine, changed, told):
        response = client.post("/designs/slab-bench/begin", data=begin_form(client) | changed)
        assert response.status_code == 422
        assert told in response.text
        with reading(file_engine) as session:
            assert project_records.list_projects(session) == ()

    def test_a_finished_project_is_not_offered(self, client, file_engine):
        project_id = pages.project(file_engine)
        with writing(file_engine) as session:
            row = project_records.get_project(session, project_id)
            done = row.draft(state=ProjectState.DELIVERED)
            project_records.change_project(session, project_id, done, read_version=row.version, now=pages.NOW)
        options = pages.soup(client.get("/designs/slab-bench")).select("#project option")
        assert [option["value"] for option in options] == [""]

    def test_without_the_mark_of_our_own_page_nothing_is_begun(self, client):
        sent = begin_form(client)
        del sent["csrf_token"]
        assert client.post("/designs/slab-bench/begin", data=sent).status_code == 400


class TestWriting:
    def test_a_copy_opens_to_be_changed(self, client, file_engine):
        sent = pages.form_at(client, "/designs/slab-bench", "/copy")
        response = client.post("/designs/slab-bench/copy", data=sent)
        assert response.location == "/designs/slab-bench-2/edit"
        assert stored(file_engine, "slab-bench-2").title == "Slab bench, our own"
        page = pages.soup(client.get(response.location))
        assert 'word = "slab-bench-2"' in page.select_one("textarea").text
        assert page.select("svg .bench-face")
        assert GUIDE.splitlines()[0] in page.text

    def test_a_change_is_kept(self, client, own, file_engine):
        sent = pages.form_at(client, f"/designs/{own.word}/edit", "/edit") | {"text": LOW}
        assert client.post("/designs/stool/edit", data=sent).location == "/designs/stool"
        assert stored(file_engine).title == "Low stool"

    def test_a_change_of_its_word_moves_it(self, client, own, file_engine):
        sent = pages.form_at(client, "/designs/stool/edit", "/edit")
        moved = {"text": STOOL.replace('word = "stool"', 'word = "low-stool"')}
        assert client.post("/designs/stool/edit", data=sent | moved).location == "/designs/low-stool"
        assert client.get("/designs/stool").status_code == 404
        assert stored(file_engine, "low-stool").id == own.id

    def test_a_new_one_starts_from_one_that_can_be_built_and_is_kept(self, client, file_engine):
        page = pages.soup(client.get("/designs/new"))
        assert "makes the bench shown" in pages.text(page.select_one("[data-live-piece=faults]"))
        assert price(page)
        sent = pages.form_at(client, "/designs/new", "/new")
        assert client.post("/designs/new", data=sent).location == "/designs/our-bench"
        assert stored(file_engine, "our-bench")

    @pytest.mark.usefixtures("own")
    def test_another_tabs_change_is_told_and_what_was_written_stays(self, client, file_engine):
        sent = pages.form_at(client, "/designs/stool/edit", "/edit")
        client.post("/designs/stool/edit", data=sent | {"text": LOW})
        response = client.post("/designs/stool/edit", data=sent | {"text": STOOL + "# mine\n"})
        page = pages.soup(response)
        assert response.status_code == 409
        assert "# mine" in page.select_one("textarea").text
        assert stored(file_engine).title == "Low stool"
        again = pages.filled(page.select_one("form[action$='/edit']"))
        assert client.post("/designs/stool/edit", data=again).status_code == 302
        assert "# mine" in stored(file_engine).text

    @pytest.mark.usefixtures("own")
    def test_a_bad_cell_is_named_by_line_and_nothing_is_kept(self, client, file_engine):
        bad = STOOL.replace('thickness = "thick"', 'thickness = "thik"')
        sent = pages.form_at(client, "/designs/stool/edit", "/edit") | {"text": bad}
        response = client.post("/designs/stool/edit", data=sent)
        page = pages.soup(response)
        assert response.status_code == 422
        told = page.select_one("[data-live-piece=faults]")
        line = 1 + bad[: bad.index('"thik"')].count("\n")
        assert told.select_one(f"[data-go-to-line='{line}']")
        assert "did you mean thick" in pages.text(told)
        assert page.select_one("textarea").text.strip() == bad.strip()
        assert stored(file_engine).text == STOOL

    @pytest.mark.usefixtures("own")
    def test_while_it_is_written_faults_come_alone_and_the_rest_stays(self, client):
        sent = pages.form_at(client, "/designs/stool/edit", "/edit")
        bad = client.post(
            "/designs/check", data=sent | {"text": STOOL.replace('"thick"', '"leg"').replace('"2"', '"leg"')}
        )
        assert [p["data-live-piece"] for p in pages.soup(bad).select("[data-live-piece]")] == ["faults"]
        assert "circle" in bad.text
        good = pages.soup(client.post("/designs/check", data=sent | {"text": STOOL}))
        told = [piece["data-live-piece"] for piece in good.select("[data-live-piece]")]
        assert told == ["price", "drawing", "parts", "faults"]

    @pytest.mark.usefixtures("own")
    def test_without_a_script_it_is_worked_out_by_a_button(self, client, file_engine):
        sent = pages.form_at(client, "/designs/stool/edit", "/edit") | {"text": LOW, "do": "check"}
        response = client.post("/designs/stool/edit", data=sent)
        assert response.status_code == 200
        assert "Low stool, three views" in response.text
        assert stored(file_engine).title == "Stool"
        new = pages.form_at(client, "/designs/new", "/new") | {"do": "check"}
        assert client.post("/designs/new", data=new).status_code == 200

    @pytest.mark.parametrize("text", ["", "   ", "[[["])
    def test_what_is_no_design_is_refused(self, client, text):
        sent = pages.form_at(client, "/designs/new", "/new") | {"text": text}
        assert client.post("/designs/new", data=sent).status_code == 422

    def test_a_word_that_is_taken_is_refused(self, client):
        sent = pages.form_at(client, "/designs/new", "/new")
        taken = sent | {"text": STOOL.replace('"stool"', '"slab-bench"')}
        response = client.post("/designs/new", data=taken)
        assert response.status_code == 422
        assert "such as ours-slab-bench" in pages.soup(response).select_one(".field-error").text

    def test_what_came_with_the_journal_is_not_changed(self, client):
        assert client.get("/designs/slab-bench/edit").status_code == 422
        assert client.post("/designs/slab-bench/edit", data={"csrf_token": csrf(client)}).status_code == 422
        assert "Change it" not in client.get("/designs/slab-bench").text

    @pytest.mark.usefixtures("own")
    def test_nothing_is_changed_without_the_mark_of_our_own_page(self, client):
        for path in ("new", "check", "take", "stool/edit", "stool/copy", "stool/put-away"):
            assert client.post(f"/designs/{path}", data={"text": STOOL}).status_code == 400


class TestFiles:
    def test_a_design_goes_out_and_comes_in(self, client, file_engine):
        out = client.get("/designs/slab-bench/file")
        assert out.mimetype == "text/plain"
        assert 'filename="slab-bench.toml"' in out.headers["Content-Disposition"]
        response = client.post(
            "/designs/take", data={"csrf_token": csrf(client), "file": (io.BytesIO(out.data), "b.toml")}
        )
        assert response.location == "/designs/slab-bench-2"
        assert stored(file_engine, "slab-bench-2")

    @pytest.mark.parametrize(
        ("content", "told"), [(b"a,b\n", "Line 1"), (b"\xff\xfe\x00\x01", "UTF-8"), (b"", "not a design of ours")]
    )
    def test_a_file_that_is_no_design_is_told_by_its_lines(self, client, content, told):
        sent = {"csrf_token": csrf(client), "file": (io.BytesIO(content), "b.toml")}
        response = client.post("/designs/take", data=sent)
        assert response.status_code == 422
        assert told in response.text

    def test_no_file_at_all_is_refused(self, client):
        response = client.post("/designs/take", data={"csrf_token": csrf(client)})
        assert response.status_code == 422
        assert "Choose a file." in response.text


def in_whole(text):
    return int(text.removeprefix("$").replace(",", ""))


class TestBallpark:
    def test_shows_a_band_at_once(self, client):
        response = client.get("/ballpark")
        page = pages.soup(response)
        band = pages.text(page.select_one(".band"))
        assert response.status_code == 200
        assert re.search(r"\$[\d,]+ and \$[\d,]+", band)
        assert re.search(r"[\d,]+ – [\d,]+ h", band)
        grounds = pages.text(page.select_one("[data-live-piece=grounds]"))
        assert "Slab bench" in grounds
        assert "the design alone" in grounds

    def test_what_to_say_comes_first_and_is_what_a_quote_would_ask(self, client, file_engine):
        def says_what_a_quote_would_ask():
            page = pages.soup(client.get("/ballpark"))
            design = pages.soup(client.get(page.select_one(".band-least a")["href"]))
            asks = pages.text(design.select_one(".bench-sums dd")).removesuffix(".00")
            assert pages.text(page.select_one(".band > div")) == f"Say {asks}"
            assert "what a quote would ask" in pages.text(page.select_one(".band-least"))
            return page, design

        alone, _ = says_what_a_quote_would_ask()
        assert "Middle" not in pages.text(alone.select_one(".band"))
        built(file_engine, price=100_000)
        page, design = says_what_a_quote_would_ask()
        assert "Agreed for one like it, 8 in 10 between" in pages.text(page.select_one(".band"))
        assert "About" not in pages.text(page.select_one(".band"))
        assert design.select_one(".bench-name a[href='/ballpark']")

    def test_a_price_above_its_own_band_says_why(self, client, file_engine):
        above = "above what benches like it were agreed for"
        assert above not in client.get("/ballpark").text
        for _ in range(8):
            built(file_engine, price=150_000)
        page = pages.soup(client.get("/ballpark"))
        say, between = (pages.text(one) for one in page.select(".band-say dd, .band-price dd"))
        assert in_whole(say) > in_whole(between.split(" and ")[1])
        assert above in pages.text(page.select_one(".band-least"))

    def test_where_benches_like_it_are_agreed_for_more_the_middle_of_that_is_said(self, client, file_engine):
        built(file_engine, price=90_000_000)
        page = pages.soup(client.get("/ballpark"))
        said, asks = (pages.text(page.select_one(f".band > div:nth-child({place}) dd")) for place in (1, 3))
        assert in_whole(said) > in_whole(asks)
        assert "A quote would ask" in pages.text(page.select_one(".band > div:nth-child(3)"))
        assert "Say the middle of what one like it is agreed for" in pages.text(page.select_one(".band-least"))

    def test_needs_one_load_and_no_script_for_any_size(self, client):
        page = pages.soup(
            client.get("/ballpark", query_string={"length": "8 ft", "depth": "30", "wood": "sugar maple", "kind": ""})
        )
        assert page.select_one("#length")["value"] == "8 ft"
        assert "sugar maple" in pages.text(page.select_one("[data-live-piece=grounds]"))

    def test_its_live_pieces_are_those_of_the_page(self, client):
        asked = {"length": "60", "depth": "22", "wood": "", "kind": "knock-down-bench"}
        whole, live = (pages.soup(client.get(path, query_string=asked)) for path in ("/ballpark", "/ballpark/live"))
        for piece in live.select("[data-live-piece]"):
            assert pages.text(piece) == pages.text(whole.select_one(f"[data-live-piece={piece['data-live-piece']}]"))

    def test_leads_on_to_the_design_at_that_size(self, client):
        page = pages.soup(
            client.get("/ballpark", query_string={"length": "80", "depth": "30", "wood": "", "kind": "slab-bench"})
        )
        found = client.get(page.select_one("[data-live-piece=grounds] a")["href"])
        assert found.status_code == 200
        assert pages.soup(found).select_one("#p_length")["value"] == "80 in"
        assert pages.soup(found).select_one("#p_depth")["value"] == "30 in"

    def test_beyond_every_design_it_says_so(self, client):
        page = client.get("/ballpark", query_string={"length": "12 ft", "depth": "24", "wood": "", "kind": ""})
        assert "It reaches no further" in page.text

    @pytest.mark.parametrize(
        ("changed", "told"),
        [({"length": "2"}, "12 in or more"), ({"depth": "wide"}, "expected"), ({"kind": "no-such"}, "Not a valid")],
    )
    def test_what_cannot_be_read_is_told_at_its_box(self, client, changed, told):
        asked = {"length": "72", "depth": "24", "wood": "", "kind": "", **changed}
        response = client.get("/ballpark", query_string=asked)
        assert response.status_code == 422
        assert told in pages.text(pages.soup(response).select_one(f"#{next(iter(changed))}-error"))
        assert told in client.get("/ballpark/live", query_string=asked).text

    def test_the_shops_own_benches_are_named(self, client, file_engine):
        code = built(file_engine)
        page = pages.soup(client.get("/ballpark"))
        assert code in pages.text(page.select_one("[data-live-piece=grounds] table"))
        assert "50.0 h" in pages.text(page.select_one("[data-live-piece=grounds] table"))
