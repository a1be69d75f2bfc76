"""The Quote tab and the pages behind it: from an estimate to a paper, to an agreement, to the last payment."""

import io
import json
from dataclasses import replace
from datetime import timedelta
from fractions import Fraction
from xml.etree import ElementTree as ET

import pytest
from journal import units
from journal.desk import closing, days, designs, estimate, parts, payments, projects, promises
from journal.records.engine import reading, writing
from journal.records.queries import projects as project_records
from journal.records.queries import quotes as quote_records
from journal.records.queries.shop import get_shop, save_shop
from journal.records.tables import StockPrice
from journal.records.words import ProjectState
from pypdf import PdfReader
from sqlalchemy import update
from tests.web import project_pages as pages

USD = units.currency("USD")
NASTY = "<script>alert(1)</script> #panic() *x* {{ 7*7 }} \"'\\ שלום 🪵"


CANNOT_BE_PROMISED = [
    *(("price", typed) for typed in ("0", "cheap", "")),
    *(("discount", typed) for typed in ("9999999", "101%", "a tenth")),
    *(("tax", typed) for typed in ("100", "8.12345")),
    *(("deposit", typed) for typed in ("130", "33.333")),
    *(("weeks", typed) for typed in ("0", "1040", "2.3")),
    *(("valid_until", typed) for typed in ("2026-03-01", "2046-03-01", "soon")),
    ("title", " "),
    ("stage_1_when", "half way"),
]


@pytest.fixture(autouse=True)
def quick_weeks(monkeypatch):
    """The weeks to promise have tests of their own, and take a second each."""
    monkeypatch.setattr(days, "promised_weeks", lambda *_: 8.5)
    monkeypatch.setattr(days, "chance_within", lambda *_: 0.1)


@pytest.fixture
def client(file_engine, tmp_path):
    return pages.open_shop(file_engine, tmp_path)


@pytest.fixture
def made(client, file_engine):  # noqa: ARG001 - the shop must be set up first
    return pages.project(file_engine)


@pytest.fixture
def designed(client, file_engine):  # noqa: ARG001 - the shop must be set up first
    with writing(file_engine) as session:
        row, _ = designs.begin(session, "slab-bench", {}, projects.Asked("Slab bench"), now=pages.NOW)
        return row.id


def issue(browser, project_id, /, **changes):
    path = f"/projects/{project_id}/quote"
    return browser.post(path, data=pages.form_at(browser, path, "/quote") | changes)


def move_form(client, project_id, end):
    """The form of one move, as its page offers it."""
    page = pages.soup(client.get(f"/projects/{project_id}/life"))
    (form,) = [
        form
        for form in page.select(".moves form")
        if form.select_one("[name=to]") and form.select_one("[name=to]")["value"] == end
    ]
    return pages.filled(form)


def go(browser, project_id, end, /, **changes):
    sent = move_form(browser, project_id, end) | {f"{end}-{name}": value for name, value in changes.items()}
    return browser.post(f"/projects/{project_id}/life", data=sent)


def pay(browser, project_id, /, **changes):
    path = f"/projects/{project_id}/money"
    return browser.post(path, data=pages.form_at(browser, path, "/money") | changes)


def extra(browser, project_id, /, **changes):
    sent = pages.form_at(browser, f"/projects/{project_id}/quote", "/extras")
    return browser.post(f"/projects/{project_id}/extras", data=sent | changes)


def stored(engine, project_id):
    with reading(engine) as session:
        return project_records.get_project(session, project_id), quote_records.quotes(session, project_id)


def said_of(engine, quote_id):
    with reading(engine) as session:
        return json.loads(quote_records.get_quote(session, quote_id).payload)


def pdf_words(response):
    text = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(response.data)).pages)
    return " ".join(text.replace("\u200b", "").split())


def first_error(response):
    return pages.soup(response).select_one(".field-error").text


class TestDraft:
    def test_opens_with_the_total_filled_in_from_the_estimate(self, client, file_engine, made):
        with writing(file_engine) as session:
            save_shop(session, replace(get_shop(session), tax_ppm=62_500, deposit_bp=5_000))
        with reading(file_engine) as session:
            price = estimate.estimate_project(session, made, pages.TODAY).made.price_cents
        page = pages.soup(client.get(f"/projects/{made}/quote"))
        tax = units.percent_of(price, Fraction("0.0625"))
        amounts = (price + tax, price, tax, units.share(price + tax, [1, 1])[0])
        assert [pages.text(item) for item in page.select(".quote-sums dd")] == [
            units.format_money(amount, USD) for amount in amounts
        ]
        assert page.select_one("#price")["value"] == units.format_money(price, USD)
        assert page.select_one("#weeks")["value"] == "8.5"
        assert page.select_one(".tabs [aria-current]").text == "Quote"

    def test_boxes_have_labels_and_ids_are_used_once(self, client, designed):
        page = pages.soup(client.get(f"/projects/{designed}/quote"))
        ids = [tag["id"] for tag in page.select("[id]")]
        assert len(ids) == len(set(ids))
        for box in page.select("main input:not([type=hidden]), main textarea, main select"):
            assert page.select_one(f"label[for={box['id']}]")

    @pytest.mark.parametrize(
        ("asked", "said"),
        [
            ("weeks=2", "2 weeks: kept 10 of 100 times; Days says 8½ weeks."),
            ("weeks=0.5", "Half a week: kept 10 of 100 times; Days says 8½ weeks."),
            ("day=2026-03-16", "Promised for 16 Mar 2026: kept 10 of 100 times; Days says 8½ weeks."),
            ("day=2020-01-01", "Promised for 1 Jan 2020: kept 10 of 100 times; Days says 8½ weeks."),
            *((enough, "") for enough in ("weeks=8.5", "weeks=20", "day=2026-07-01")),
            *((unread, "") for unread in ("weeks=soon", "weeks=2.3", "weeks=0", "day=soon", "weeks=", "")),
        ],
    )
    def test_a_promise_shorter_than_days_says_is_told_under_its_box(self, client, made, asked, said):
        page = pages.soup(client.get(f"/projects/{made}/quote/promise?{asked}"))
        assert pages.text(page.select_one("[data-piece]")) == (f"{said} See Days" if said else "")

    def test_what_days_says_is_asked_for_under_weeks_and_again_when_it_is_accepted(self, client, made):
        asked = f"/projects/{made}/quote/promise"
        place = pages.soup(client.get(f"/projects/{made}/quote")).select_one("[data-follow]")
        assert (place["data-follow"], place["data-answer"]) == ("weeks", f"{asked}?weeks=")
        issue(client, made)
        (place,) = pages.soup(client.get(f"/projects/{made}/life?to=accepted")).select("[data-follow]")
        assert (place["data-follow"], place["data-answer"]) == ("accepted-promised", f"{asked}?day=")

    def test_a_short_promise_is_issued_and_remarked_on(self, client, file_engine, made):
        answer = issue(client, made, weeks="2")
        assert answer.status_code == 302
        assert "2 weeks: kept 10 of 100 times; Days says 8½ weeks." in client.get(answer.location).text
        assert stored(file_engine, made)[1][0].promised_days == 14
        assert "of 100 times" not in client.get(issue(client, made, weeks="9").location).text

    def test_a_discount_is_a_share_or_an_amount(self, client, file_engine, made):
        for typed, off in (("3 %", 7_500), ("3%", 7_500), ("12.5%", 31_250), ("150", 15_000), ("", 0)):
            assert issue(client, made, price="2,500", tax="0", discount=typed).status_code == 302
            assert stored(file_engine, made)[1][0].total_cents == 250_000 - off

    def test_a_price_tried_is_brought_along_with_its_discount(self, client, made):
        tried = pages.soup(client.get(f"/projects/{made}/price?price=2500&discount=3.333%25"))
        link = tried.find("a", string="Quote at this price")["href"]
        page = pages.soup(client.get(link))
        assert page.select_one("#price")["value"] == "$2,500.00"
        assert page.select_one("#discount")["value"] == "3.333%"
        assert pages.text(page.select(".quote-sums dd")[1]) == "$2,416.67"
        assert page.select_one("#price-hint").text == "Before tax; the price tried under Price."
        # What is no price brings nothing along.
        odd = pages.soup(client.get(f"/projects/{made}/quote?price=cheap&discount=200%25"))
        assert odd.select_one("#price-hint").text == "Before tax; filled in from the estimate."
        issue(client, made)
        go(client, made, "accepted")
        assert "Quote at this price" not in client.get(f"/projects/{made}/price").text

    def test_the_paper_to_look_at_opens_beside_the_form(self, client, made):
        form = pages.soup(client.get(f"/projects/{made}/quote")).select_one("form.form")
        assert form["rel"] == "noopener"
        (button,) = form.select("button[formtarget]")
        assert (button["formtarget"], button["formaction"]) == ("_blank", f"/projects/{made}/quote/preview")

    def test_a_preview_is_a_paper_marked_as_none_and_keeps_nothing(self, client, file_engine, made):
        path = f"/projects/{made}/quote"
        sent = pages.form_at(client, path, "/quote") | {"client": "A school"}
        response = client.post(f"{path}/preview", data=sent)
        assert response.content_type == "application/pdf"
        assert "not issued" in pdf_words(response)
        assert "A school" in pdf_words(response)
        assert stored(file_engine, made)[1] == ()

    def test_a_description_nobody_edited_follows_the_parts_and_an_edited_one_stays(self, client, file_engine, made):
        path = f"/projects/{made}/quote"
        sent = pages.form_at(client, path, "/quote")
        assert "22 × 72 in" in sent["description"]
        with writing(file_engine) as session:
            wider = pages.LIST.replace(",22,72,", ",24,80,")
            parts.take_list(session, made, wider, source="a paste", now=pages.NOW)
        typed = sent["description"].replace("\n", "\r\n")
        for words, expected in ((typed, "24 × 80 in"), ("As talked about.", "As talked about.")):
            response = client.post(path, data=sent | {"description": words})
            assert response.status_code == 409
            page = pages.soup(response)
            assert expected in page.select_one("#description").text
            assert "24 × 80 in" in page.select_one("#described")["value"]
            assert bool(page.find("summary", string="What the parts say today")) == (words != typed)
        assert stored(file_engine, made)[1] == ()

    @pytest.mark.parametrize("odd", [{"description": ""}, {"excluded": "Vises and other hardware not named above."}])
    def test_what_a_client_would_stumble_over_is_asked_once_before_it_is_issued(
        self, client, file_engine, designed, odd
    ):
        response = issue(client, designed, **odd)
        assert response.status_code == 422
        page = pages.soup(response)
        assert len(page.select(".notice--care")) == 1
        assert page.select_one("#sure")
        assert stored(file_engine, designed)[1] == ()
        assert issue(client, designed, **odd, sure="y").status_code == 302

    def test_without_parts_it_leads_to_them(self, client, file_engine):
        bare = pages.project(file_engine, listed="")
        page = pages.soup(client.get(f"/projects/{bare}/quote"))
        assert page.select_one(".empty a")["href"] == f"/projects/{bare}/parts"

    def test_parts_that_cannot_be_made_are_named(self, client, file_engine):
        odd = pages.project(file_engine, listed=pages.LIST.replace("2x6 fir", "4x12 bog oak"))
        page = pages.soup(client.get(f"/projects/{odd}/quote"))
        assert pages.text(page.select_one(".trouble li")).startswith("Leg: no stock called")


class TestIssue:
    def test_from_a_design_to_a_paper_in_five_page_loads(self, client, file_engine):
        sizes = pages.soup(client.get("/designs/slab-bench"))  # 1
        (begin,) = [form for form in sizes.select("form") if form["action"].endswith("/begin")]
        begun = client.post(begin["action"], data=pages.filled(begin) | {"title": "Slab bench"}, follow_redirects=True)
        project_id = int(begun.request.path.split("/")[2])  # 2: its price
        issued = issue(client, project_id, client="A school")  # 3: the quote filled in
        kept = pages.soup(client.get(issued.location))  # 4: the quote issued
        paper = client.get(kept.select_one("a.button[href$='.pdf']")["href"])  # 5
        assert "A school" in pdf_words(paper)
        assert stored(file_engine, project_id)[0].state is ProjectState.QUOTED

    def test_page_and_paper_say_the_same(self, client, file_engine, designed):
        response = issue(
            client,
            designed,
            client="A school\n1 High Street",
            description="Oiled",
            discount="100",
            discount_for="second bench",
            tax="8.875",
            breakdown="split",
            stage_1_when="when the top is glued up",
            stage_1_share="25",
        )
        assert response.status_code == 302
        page = pages.soup(client.get(f"{response.location}/client"))
        paper = pdf_words(client.get(f"{response.location}.pdf"))
        sheet = page.select_one(".paper")
        for tag in sheet.select("p, h2, h3, h4, caption, th, td, li"):
            for line in tag.get_text("\n").split("\n"):
                assert " ".join(line.split()) in paper, line
        assert sheet.select_one("img")["alt"].startswith("72 in long")
        short = sheet.select_one(".paper-short")
        assert short.find_next("img") is sheet.select_one("img")  # before the drawing, which fills the first page
        assert pages.text(short.select_one(".paper-total td")) == pages.text(sheet.select(".paper-total td")[-1])
        assert "margin" not in paper.lower()
        assert page.select_one("table.working, .verdict") is None
        said = said_of(file_engine, 1)
        assert sum(due["cents"] for due in said["sums"]["dues"]) == said["sums"]["total_cents"]

    def test_the_drawing_is_well_formed_and_the_same_as_on_paper(self, client, file_engine, designed):
        issue(client, designed)
        response = client.get(f"/projects/{designed}/quote/1/drawing.svg")
        assert response.content_type.startswith("image/svg+xml")
        drawn = ET.fromstring(response.data)  # noqa: S314 - our own
        texts = [tag.text for tag in drawn.iter("{http://www.w3.org/2000/svg}text")]
        assert "72 in" in texts
        assert "72 in" in pdf_words(client.get(f"/projects/{designed}/quote/1.pdf"))
        assert response.get_data(as_text=True) == said_of(file_engine, 1)["drawing"]["svg"]

    def test_whatever_was_typed_is_text_on_every_page_and_on_paper(self, client, made):
        texts = dict.fromkeys(("client", "title", "description", "included", "excluded", "terms"), NASTY)
        response = issue(client, made, **texts, discount="1", discount_for=NASTY)
        assert response.status_code == 302
        for path in (response.location, f"{response.location}/client", f"/projects/{made}/quote"):
            html = client.get(path).get_data(as_text=True)
            assert "<script>alert" not in html
            assert "49" not in html.split("{{ 7*7 }}")[0][-5:]
        assert "#panic() *x* {{ 7*7 }}" in pdf_words(client.get(f"{response.location}.pdf"))

    def test_texts_of_ten_thousand_characters_are_taken_and_one_more_is_not(self, client, file_engine, made):
        assert issue(client, made, terms="x" * 10_001).status_code == 422
        assert stored(file_engine, made)[1] == ()
        assert issue(client, made, terms="x" * 10_000).status_code == 302
        assert len(said_of(file_engine, 1)["terms"]) == 10_000

    def test_its_texts_can_go_on_every_later_quote(self, client, file_engine, made):
        issue(client, made, terms="Cash on the nail.", keep_texts="y")
        other = pages.project(file_engine)
        page = pages.soup(client.get(f"/projects/{other}/quote"))
        assert page.select_one("#terms").text.strip() == "Cash on the nail."

    def test_what_cannot_be_promised_is_refused_at_its_box_and_the_rest_stays(self, client, file_engine, made):
        path = f"/projects/{made}/quote"
        good = pages.form_at(client, path, "/quote") | {"client": "A school"}
        for box, typed in CANNOT_BE_PROMISED:
            response = client.post(path, data=good | {box: typed})
            assert response.status_code == 422, (box, typed)
            page = pages.soup(response)
            assert page.select_one(".field--wrong .field-error").text.strip(), (box, typed)
            assert page.select_one("#client").text.strip() == "A school"
            assert page.select_one(f"#{box}").get("value") == typed.strip()
        assert stored(file_engine, made)[1] == ()

    def test_deposit_and_payments_on_the_way_are_at_most_the_whole(self, client, made):
        response = issue(client, made, deposit="80", stage_1_when="half way", stage_1_share="30")
        assert response.status_code == 422
        assert "more than the whole" in first_error(response)

    def test_an_estimate_that_changed_meanwhile_is_shown_again_before_it_is_promised(self, client, file_engine, made):
        path = f"/projects/{made}/quote"
        sent = pages.form_at(client, path, "/quote") | {"client": "A school"}
        with writing(file_engine) as session:
            session.execute(update(StockPrice).values(price_cents=StockPrice.price_cents * 2))
        response = client.post(path, data=sent)
        assert response.status_code == 409
        assert stored(file_engine, made)[1] == ()
        (again,) = [form for form in pages.soup(response).select("form") if form["action"].endswith("/quote")]
        assert pages.filled(again)["client"] == "A school"
        assert client.post(path, data=pages.filled(again)).status_code == 302

    def test_only_our_own_pages_may_issue(self, file_engine, made):
        from journal.web import create_app  # noqa: PLC0415 - as the one test that needs another

        app = create_app(engine=file_engine, testing=True, today=pages.TODAY, secret="x" * 32)
        response = app.test_client().post(f"/projects/{made}/quote", data={"price": "1"})
        assert response.status_code == 400
        assert stored(file_engine, made)[1] == ()


class TestKept:
    def test_the_shops_copy_leads_from_every_cost_to_the_total(self, client, file_engine, made):
        issue(client, made, price="4,000", discount="100", tax="10")
        page = pages.soup(client.get(f"/projects/{made}/quote/1"))
        way = [
            [pages.text(cell) for cell in row.select("th, td")]
            for row in page.select("#how-the-total-came-about table")[0].select("tbody tr, tfoot tr")
        ]
        said = said_of(file_engine, 1)
        price = said["kept"]["estimate"]["price_cents"]
        assert [name for name, _ in way[:6]] == [line["name"] for line in said["costs"]]
        assert way[6:] == [
            ["Price to ask, by the estimate", units.format_money(price, USD)],
            ["Changed by hand", units.format_money(400_000 - price, USD)],
            ["Discount", "−$100.00"],
            ["Price before tax", "$3,900.00"],
            ["Sales tax", "$390.00"],
            ["Total", "$4,290.00"],
        ]
        lines = said["kept"]["estimate"]["lines"]
        workings = page.select(".quote-workings tbody tr")
        assert len(workings) == len(lines)
        assert {row.th.text for row in workings} == {line["name"] for line in lines}

    def test_todays_estimate_stands_beside_it_with_the_difference(self, client, file_engine, made):
        issue(client, made)
        then = said_of(file_engine, 1)
        before = client.get(f"/projects/{made}/quote/1.pdf").data
        with writing(file_engine) as session:
            session.execute(update(StockPrice).values(price_cents=StockPrice.price_cents * 2))
        with reading(file_engine) as session:
            now = estimate.estimate_project(session, made, pages.TODAY).made
        page = pages.soup(client.get(f"/projects/{made}/quote/1"))
        rows = {
            row.th.text: [pages.text(cell) for cell in row.select("td")]
            for row in page.select("#then-and-today tr")[1:]
        }
        price = then["kept"]["estimate"]["price_cents"]
        assert rows["Price to ask"] == [
            units.format_money(price, USD),
            units.format_money(now.price_cents, USD),
            "+" + units.format_money(now.price_cents - price, USD),
        ]
        assert rows["Hours, mean"][2] == "0.0 h"
        assert said_of(file_engine, 1) == then
        assert client.get(f"/projects/{made}/quote/1.pdf").data == before

    def test_a_newer_one_replaces_it_in_the_lists_and_on_its_page(self, client, made):
        issue(client, made)
        issue(client, made)
        assert "Replaced by Q26-002" in pages.text(pages.soup(client.get(f"/projects/{made}/quote/1")).main)
        rows = pages.soup(client.get(f"/projects/{made}/quote")).select("#issued tbody tr")
        assert [pages.text(row.select("td")[3]) for row in rows] == ["open", "replaced by Q26-002"]
        assert "replaces Q26-001" in pdf_words(client.get(f"/projects/{made}/quote/2.pdf"))

    def test_damage_is_said_before_everything_else_and_a_damaged_paper_is_not_sent(self, client, file_engine, made):
        issue(client, made)
        with file_engine.begin() as connection:
            connection.exec_driver_sql("UPDATE quotes SET payload = replace(payload, 'print room', 'ballroom')")
        page = pages.soup(client.get(f"/projects/{made}/quote/1"))
        assert "does not fit its checksum" in page.select_one(".notice--bad").text
        assert page.select_one(".paper") is None
        assert client.get(f"/projects/{made}/quote/1.pdf").status_code == 200
        with file_engine.begin() as connection:
            connection.exec_driver_sql("UPDATE quotes SET pdf = substr(pdf, 2)")
        assert client.get(f"/projects/{made}/quote/1.pdf").status_code == 400

    def test_another_projects_quote_and_projects_that_are_not_there_are_not_found(self, client, file_engine, made):
        issue(client, made)
        other = pages.project(file_engine)
        for path in ("quote/1", "quote/1/client", "quote/1.pdf", "quote/1/drawing.svg", "quote/9"):
            assert client.get(f"/projects/{other}/{path}").status_code == 404
        for path in ("quote", "life", "money"):
            assert client.get(f"/projects/99/{path}").status_code == 404


def accept_loose_ends(engine, project_id):
    with writing(engine) as session:
        for end in closing.closing(session, project_id, pages.TODAY).open_ends:
            closing.accept(session, project_id, end.what.value, "as it is", today=pages.TODAY, now=pages.NOW)


class TestLife:
    def test_from_quoted_to_closed_with_the_day_promised_fixed(self, client, file_engine, made):
        issue(client, made)
        assert go(client, made, "accepted", promised="2026-06-01").status_code == 302
        for end in ("in_build", "delivered"):
            assert go(client, made, end).status_code == 302
        refused = go(client, made, "closed")
        assert refused.status_code == 422
        assert "each of them mended or accepted first, under Review" in refused.text
        accept_loose_ends(file_engine, made)
        assert go(client, made, "closed").status_code == 302
        project, (quote,) = stored(file_engine, made)
        assert project.state is ProjectState.CLOSED
        assert (project.agreed_price_cents, project.promised_on.isoformat()) == (quote.net_cents, "2026-06-01")
        rows = pages.soup(client.get(f"/projects/{made}/life")).select("#what-was tbody tr")
        assert [row.th.text for row in rows] == [
            "delivered → closed",
            "in build → delivered",
            "accepted → in build",
            "quoted → accepted",
            "enquiry → quoted",
        ]

    def test_the_day_promised_is_offered_from_the_weeks(self, client, made):
        issue(client, made, weeks="2")
        assert move_form(client, made, "accepted")["accepted-promised"] == "2026-03-16"

    def test_every_page_of_a_project_has_the_next_step(self, client, file_engine, made):
        issue(client, made)
        for tab in ("parts", "price", "buy", "quote", "money", "life"):
            head = pages.soup(client.get(f"/projects/{made}/{tab}")).select_one(".next-step")
            assert [link.text for link in head.select("a")] == ["Accepted", "or else"]
        go(client, made, "accepted")
        form = pages.soup(client.get(f"/projects/{made}/price")).select_one(".next-step form")
        assert form.button.text == "Start the build"
        assert client.post(form["action"], data=pages.filled(form)).status_code == 302
        assert stored(file_engine, made)[0].state is ProjectState.IN_BUILD

    def test_of_two_tabs_the_second_is_shown_what_both_wanted_and_nothing_is_done(self, client, file_engine, made):
        issue(client, made)
        accepts, declines = move_form(client, made, "accepted"), move_form(client, made, "declined")
        assert client.post(f"/projects/{made}/life", data=accepts).status_code == 302
        response = client.post(f"/projects/{made}/life", data=declines | {"declined-why": "too dear"})
        assert response.status_code == 409
        told = pages.text(pages.soup(response).select_one(".notice--care"))
        assert "It is accepted now" in told
        assert "“declined”" in told
        assert stored(file_engine, made)[0].state is ProjectState.ACCEPTED

    def test_the_other_way_round_the_agreement_is_not_made(self, client, file_engine, made):
        issue(client, made)
        accepts, declines = move_form(client, made, "accepted"), move_form(client, made, "declined")
        client.post(f"/projects/{made}/life", data=declines | {"declined-why": "too dear"})
        assert client.post(f"/projects/{made}/life", data=accepts).status_code == 409
        project, _ = stored(file_engine, made)
        assert (project.state, project.agreed_price_cents, project.agreed_on) == (ProjectState.DECLINED, None, None)

    def test_why_is_asked_for_and_what_was_chosen_stays(self, client, file_engine, made):
        response = go(client, made, "declined")
        assert response.status_code == 422
        opened = pages.soup(response).select(".move[open]")
        assert [move.summary.text for move in opened] == ["Declined"]
        assert opened[0].select_one(".field-error")
        assert go(client, made, "declined", why=NASTY).status_code == 302
        assert "<script>alert" not in client.get(f"/projects/{made}/life").get_data(as_text=True)
        assert stored(file_engine, made)[0].state is ProjectState.DECLINED

    def test_a_day_that_makes_no_sense_is_refused_at_its_box(self, client, made):
        issue(client, made)
        for box, typed in (("on", "2026-03-03"), ("promised", "2026-03-01"), ("promised", "2046-01-01")):
            response = go(client, made, "accepted", **{box: typed})
            assert response.status_code == 422
            assert pages.soup(response).select_one(f"#accepted-{box}-error")

    def test_without_a_quote_the_price_agreed_by_word_is_asked_for(self, client, file_engine, made):
        assert go(client, made, "accepted").status_code == 422
        assert go(client, made, "accepted", price="3,500").status_code == 302
        assert stored(file_engine, made)[0].agreed_price_cents == 350_000

    def test_the_last_step_can_be_taken_back(self, client, file_engine, made):
        issue(client, made)
        go(client, made, "accepted")
        sent = pages.form_at(client, f"/projects/{made}/life", "/life/undo")
        assert client.post(f"/projects/{made}/life/undo", data=sent).status_code == 302
        project, _ = stored(file_engine, made)
        assert (project.state, project.agreed_price_cents) == (ProjectState.QUOTED, None)
        assert client.post(f"/projects/{made}/life/undo", data=sent).status_code == 409

    def test_an_agreement_with_extras_is_not_taken_back(self, client, file_engine, made):
        issue(client, made)
        go(client, made, "accepted")
        extra(client, made, what="a shelf", price="100")
        sent = pages.form_at(client, f"/projects/{made}/life", "/life/undo")
        response = client.post(f"/projects/{made}/life/undo", data=sent)
        assert response.status_code == 422
        assert "extras were agreed" in pages.soup(response).select_one(".notice--bad").text
        assert stored(file_engine, made)[0].state is ProjectState.ACCEPTED

    def test_a_move_that_is_none_is_refused(self, client, file_engine, made):
        sent = move_form(client, made, "declined")
        for to in ("closed", "nonsense", "", "<b>"):
            assert client.post(f"/projects/{made}/life", data=sent | {"to": to}).status_code == 422
        assert stored(file_engine, made)[0].state is ProjectState.ENQUIRY

    def test_boxes_have_labels_and_ids_are_used_once(self, client, made):
        issue(client, made)
        page = pages.soup(client.get(f"/projects/{made}/life"))
        ids = [tag["id"] for tag in page.select("[id]")]
        assert len(ids) == len(set(ids))
        for box in page.select("main input:not([type=hidden]), main select"):
            assert page.select_one(f"label[for={box['id']}]")


class TestExtras:
    @pytest.fixture
    def agreed(self, client, made):
        issue(client, made, price="1,000", tax="10", weeks="2", deposit="50")
        go(client, made, "accepted")
        return made

    def test_parts_changed_after_agreeing_ask_for_an_extra_on_every_page_that_shows_a_price(
        self, client, file_engine, made
    ):
        issue(client, made)
        go(client, made, "accepted")
        with writing(file_engine) as session:
            wider = pages.LIST.replace(",22,72,", ",24,80,")
            parts.take_list(session, made, wider, source="a paste", now=pages.NOW + timedelta(minutes=1))
        with reading(file_engine) as session:
            price = estimate.estimate_project(session, made, pages.TODAY).made.price_cents
        agreed = stored(file_engine, made)[0].agreed_price_cents
        for path in ("parts", "price", "quote"):
            notices = pages.soup(client.get(f"/projects/{made}/{path}")).select(".notice--care")
            (said,) = [one for one in notices if "differ from what was agreed" in pages.text(one)]
            assert [pages.text(one) for one in said.select("strong")] == [
                units.format_money(cents, USD) for cents in (price, agreed)
            ]
            assert said.select_one("a")["href"] == f"/projects/{made}/quote#extras"

    def test_what_is_added_and_taken_away_changes_price_tax_and_day(self, client, file_engine, agreed):
        extra(client, agreed, what="a shelf", price="120.05", days="3")
        extra(client, agreed, what="no vise", price="300", way="takes", days="−1")
        project, _ = stored(file_engine, agreed)
        assert (project.agreed_price_cents, project.promised_on.isoformat()) == (82_005, "2026-03-18")
        page = pages.soup(client.get(f"/projects/{agreed}/quote"))
        sums = [pages.text(item) for item in page.select(".quote-sums dd")]
        assert sums == ["$902.06", "$820.05", "−$179.95", "18 Mar 2026"]  # 82.005 of tax is 82.01
        rows = [[pages.text(cell) for cell in row.select("th, td")] for row in page.select("#extras tbody tr")]
        assert rows == [
            ["a shelf", "2 Mar 2026", "+$120.05", "+$12.01", "+3 days", "X26-001"],
            ["no vise", "2 Mar 2026", "−$300.00", "−$30.00", "−1 day", "X26-002"],
        ]

    def test_its_paper_is_printed_once_and_sent_as_it_was(self, client, agreed):
        extra(client, agreed, what="a shelf", price="120.05", days="3")
        (link,) = pages.soup(client.get(f"/projects/{agreed}/quote")).select("#extras td a")
        paper = client.get(link["href"])
        assert paper.content_type == "application/pdf"
        text = " ".join(PdfReader(io.BytesIO(paper.data)).pages[0].extract_text().split())
        assert "This extra $132.06" in text
        assert "Agreed in all $1,232.06" in text
        assert client.get(link["href"]).data == paper.data
        assert client.get(link["href"].replace(f"/{agreed}/", "/999/")).status_code == 404

    def test_the_quote_stays_what_it_was(self, client, file_engine, agreed):
        before = said_of(file_engine, 1)
        extra(client, agreed, what="a shelf", price="120.05")
        assert said_of(file_engine, 1) == before
        assert pages.soup(client.get(f"/projects/{agreed}/quote")).select("#issued .state--good")

    def test_more_than_was_agreed_is_not_taken_away(self, client, agreed):
        response = extra(client, agreed, what="all of it", price="1,000.01", way="takes")
        assert response.status_code == 422
        assert pages.soup(response).select_one("#price-error")

    def test_nonsense_is_refused_at_its_box(self, client, file_engine, agreed):
        for box, typed in (("what", " "), ("price", "free"), ("price", "-5"), ("days", "soon")):
            response = extra(client, agreed, **{"what": "a shelf", "price": "1", box: typed})
            assert response.status_code == 422
            assert pages.soup(response).select_one(f"#{box}-error")
        with reading(file_engine) as session:
            assert promises.agreed(session, agreed).extras == ()

    def test_from_an_old_page_nothing_is_added_and_the_form_can_be_sent_again(self, client, file_engine, agreed):
        old = pages.form_at(client, f"/projects/{agreed}/quote", "/extras") | {"what": "a shelf", "price": "1"}
        go(client, agreed, "in_build")
        response = client.post(f"/projects/{agreed}/extras", data=old)
        assert response.status_code == 409
        (again,) = [form for form in pages.soup(response).select("form") if form["action"].endswith("/extras")]
        assert pages.filled(again)["what"] == "a shelf"
        assert client.post(f"/projects/{agreed}/extras", data=pages.filled(again)).status_code == 302
        with reading(file_engine) as session:
            assert len(promises.agreed(session, agreed).extras) == 1


class TestMoney:
    @pytest.fixture
    def agreed(self, client, made):
        issue(client, made, price="1,000", tax="10", deposit="50", client="A school")
        go(client, made, "accepted")
        return made

    def test_before_anything_is_agreed_it_says_where_that_is_done(self, client, made):
        assert pages.soup(client.get(f"/projects/{made}/money")).select_one(".empty a")

    def test_the_deposit_is_offered_then_the_balance_then_nothing(self, client, agreed):
        owed = []
        for _ in range(2):
            page = pages.soup(client.get(f"/projects/{agreed}/money"))
            owed.append((pages.text(page.select_one(".quote-sums dd")), page.select_one("#amount")["value"]))
            assert pay(client, agreed).status_code == 302
        assert owed == [("$1,100.00", "$550.00"), ("$550.00", "$550.00")]
        page = pages.soup(client.get(f"/projects/{agreed}/money"))
        assert pages.text(page.select_one(".quote-sums dd")) == "$0.00"
        assert page.select_one("#amount")["value"] == ""

    def test_a_receipt_is_a_paper_with_what_is_still_owed(self, client, agreed):
        pay(client, agreed, how="cheque", note=NASTY)
        page = pages.soup(client.get(f"/projects/{agreed}/money"))
        words = pdf_words(client.get(page.select_one("#money-in tbody a")["href"]))
        for line in ("Receipt R26-001", "A school", "$550.00", "(cheque)", "Still owed $550.00", "{{ 7*7 }}"):
            assert line in words
        assert "<script>alert" not in str(page.main)

    def test_a_form_sent_twice_pays_once(self, client, file_engine, agreed):
        path = f"/projects/{agreed}/money"
        sent = pages.form_at(client, path, "/money")
        assert client.post(path, data=sent).status_code == 302
        assert client.post(path, data=sent).status_code == 409
        with reading(file_engine) as session:
            assert payments.money_of(session, agreed).paid_cents == 55_000

    def test_nonsense_is_refused_at_its_box(self, client, file_engine, agreed):
        for box, changes in (
            ("amount", {"amount": "0"}),
            ("amount", {"amount": "much"}),
            ("amount", {"kind": "refund"}),
            ("on", {"on": "2026-03-03"}),
            ("how", {"how": "x" * 61}),
        ):
            response = pay(client, agreed, **changes)
            assert response.status_code == 422
            assert pages.soup(response).select_one(f"#{box}-error")
        with reading(file_engine) as session:
            assert payments.money_of(session, agreed).payments == ()

    def test_more_than_is_owed_is_asked_about_first(self, client, file_engine, agreed):
        typed = {"amount": "50,000", "how": "transfer", "note": "for two"}
        assert pages.soup(client.get(f"/projects/{agreed}/money")).select_one("[name=meant]") is None
        asked = pay(client, agreed, **typed)
        page = pages.soup(asked)
        assert asked.status_code == 422
        # By hand: 50,000 − 1,100 agreed = 48,900.
        assert "That is $48,900.00 more than is owed" in page.select_one("#amount-error").text
        sent = pages.filled(page.select_one("#money-in form"))
        assert {name: sent[name] for name in typed} == typed
        assert not page.select_one("[name=meant]").has_attr("checked")
        with reading(file_engine) as session:
            assert payments.money_of(session, agreed).payments == ()
        assert client.post(f"/projects/{agreed}/money", data=sent | {"meant": "y"}).status_code == 302
        with reading(file_engine) as session:
            assert payments.money_of(session, agreed).over_cents == 4_890_000

    def test_another_projects_receipt_is_not_found(self, client, file_engine, agreed):
        pay(client, agreed)
        other = pages.project(file_engine)
        assert client.get(f"/projects/{other}/money/1.pdf").status_code == 404

    def test_a_cancelled_project_says_what_becomes_of_the_deposit(self, client, agreed):
        pay(client, agreed)
        assert go(client, agreed, "cancelled", why="moved away").status_code == 422
        go(client, agreed, "cancelled", why="moved away", deposit="returned")
        page = pages.soup(client.get(f"/projects/{agreed}/money"))
        assert page.select_one(".quote-sums dt").text == "To be given back"
        assert pages.text(page.select_one(".quote-sums dd")) == "$550.00"


class TestPast:
    def test_an_empty_journal_says_what_will_stand_here(self, client):
        page = pages.soup(client.get("/quotes"))
        assert "Nothing was quoted yet" in page.select_one(".empty").text
        assert page.select_one(".sections [aria-current]").text == "Projects"

    def test_what_was_answered_is_counted_and_why_is_told(self, client, file_engine):
        won, lost = pages.project(file_engine), pages.project(file_engine)
        for one in (won, lost):
            issue(client, one, weeks="1")
        go(client, won, "accepted")
        go(client, lost, "declined", why="too dear")
        for end in ("in_build", "delivered"):
            go(client, won, end)
        page = pages.soup(client.get("/quotes"))
        assert [pages.text(item) for item in page.select(".quote-sums dd")] == ["1 of 2", "0"]
        (row,) = page.select("#promised-and-delivered tbody tr")
        assert [pages.text(cell) for cell in row.select("td")][2:] == ["9 Mar 2026", "2 Mar 2026", "7 days early"]
        asked = [[pages.text(cell) for cell in row.select("td")][2:] for row in page.select("#asked tbody tr")]
        assert asked == [["declined", "too dear"], ["accepted", "–"]]

    def test_the_projects_lead_there(self, client, made):  # noqa: ARG002 - a project must be there
        assert pages.soup(client.get("/projects/")).select_one("a[href='/quotes']")


class TestStatements:
    def test_more_quotes_moves_and_payments_take_no_more_statements(self, client, file_engine, made):
        issue(client, made)
        go(client, made, "accepted")
        pay(client, made, amount="10")
        extra(client, made, what="a shelf", price="1")
        paths = [f"/projects/{made}/{tab}" for tab in ("quote", "life", "money", "quote/1")] + ["/quotes"]
        for path in paths:
            client.get(path)
        few = [pages.statements(file_engine, lambda path=path: client.get(path)) for path in paths]
        for _ in range(3):
            pay(client, made, amount="10")
            extra(client, made, what="a shelf", price="1")
            go(client, made, "on_hold", why="waiting")
            go(client, made, "accepted")
        for path in paths:
            client.get(path)
        assert [pages.statements(file_engine, lambda path=path: client.get(path)) for path in paths] == few
