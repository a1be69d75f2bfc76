"""A quote and a receipt: the same words on page and paper, whatever was typed into them."""

import io
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from journal.paper.quote import extra_paper, lines, promise_text, quote_paper, receipt_paper, tax_text
from journal.paper.quote_print import extra_pdf, quote_pdf, receipt_pdf
from pypdf import PdfReader

SHOP = {"name": "Yard Four", "letterhead": "12 Some Lane\nSometown", "currency": "USD", "paper": "us-letter"}
SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 70 20"><text x="5" y="12">72 in</text></svg>'
# What each of the two programs that set it would take for a command, if it were not text.
MARKUP = [
    "#let x = 1; #panic()",
    "*bold* _it_ $x^2$ `raw` <label> @ref",
    "= Heading",
    "<script>alert(1)</script>",
    "{{ page }} {% raw %}",
    r"\ ] [ ) ( \u{1f600}",
    "// gone? /* and this? */",
    "~--- ... 'quotes' \"too\"",
]


def content(**changes):
    """A quote's text: $4,625.00 less $125.00, 8.875% tax, half of it first."""
    said = {
        "number": "Q26-001",
        "replaces": "",
        "issued_on": "2026-03-02",
        "valid_until": "2026-04-01",
        "shop": SHOP,
        "client": "A school\n1 High Street",
        "title": "Slab bench",
        "description": "Douglas-fir, oiled",
        "benches": 1,
        "items": [{"text": "Slab bench", "cents": 462_500}],
        "discount_cents": 12_500,
        "discount_for": "the second this year",
        "tax_ppm": 88_750,
        "tax_rounding": "invoice",
        "sums": {
            "list_cents": 462_500,
            "net_cents": 450_000,
            "discount_cents": 12_500,
            "tax_cents": 39_938,
            "total_cents": 489_938,
            "dues": [{"when": "Deposit", "cents": 244_969}, {"when": "Balance", "cents": 244_969}],
        },
        "weeks": "9.5",
        "included": "All wood\nAll glue",
        "excluded": "Carrying",
        "terms": "Balance before unloading.",
        "drawing": None,
    }
    return said | changes


def words(pdf):
    """What a reader of the PDF finds, spaces put in order."""
    pages = PdfReader(io.BytesIO(pdf)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).replace("\u200b", "").split())


def receipt(**changes):
    said = {
        "number": "R26-001",
        "on": "2026-03-02",
        "kind": "payment",
        "cents": 244_969,
        "how": "cheque",
        "note": "with thanks",
        "shop": SHOP,
        "client": "A school",
        "title": "Slab bench",
        "project": "26-003",
        "quote": "Q26-001",
        "asked_cents": 489_938,
        "paid_cents": 244_969,
        "owed_cents": 244_969,
    }
    return said | changes


class TestPaper:
    def test_every_line_of_the_quote_is_on_it(self):
        text = words(quote_pdf(quote_paper(content(drawing={"svg": SVG, "words": "a bench"}, benches=3))))
        for line in (
            *("Yard Four", "12 Some Lane", "Quote Q26-001", "2 March 2026", "A school", "1 High Street"),
            *("Slab bench", "3 benches, all alike", "Douglas-fir, oiled", "72 in"),
            *("Slab bench $4,625.00", "Discount, the second this year −$125.00", "Price before tax $4,500.00"),
            *("Sales tax 8.875 % $399.38", "Total $4,899.38", "Deposit $2,449.69", "Balance $2,449.69"),
            *("9½ weeks from deposit, agreed drawing and hardware in hand.", "All wood", "Carrying"),
            *("Balance before unloading.", "may be accepted until 1 April 2026.", "For the shop", "Accepted"),
        ):
            assert line in text, line

    def test_the_total_and_what_is_due_first_stand_on_the_first_page_before_the_parts(self):
        said = "\n".join(f"part {n}" for n in range(40))
        pages = PdfReader(io.BytesIO(quote_pdf(quote_paper(content(description=said))))).pages
        first = " ".join(pages[0].extract_text().split())
        assert len(pages) > 1
        assert "Total, with tax $4,899.38 Deposit $2,449.69 part 0" in first
        whole = quote_paper(content(tax_ppm=0, deposit_ppm=0))
        assert [row.text for row in whole.short][:1] == ["Total"]

    def test_what_is_not_said_takes_no_room(self):
        bare = content(weeks=None, included="", excluded="", terms="", client="", description="", tax_ppm=0)
        text = words(quote_pdf(quote_paper(bare)))
        for gone in ("Included", "Terms", "weeks", "Sales tax", "Price before tax"):
            assert gone not in text

    def test_it_names_what_it_replaces_and_a_draft_says_that_it_is_none(self):
        assert "replaces Q26-001" in words(quote_pdf(quote_paper(content(number="Q26-002", replaces="Q26-001"))))
        draft = words(quote_pdf(quote_paper(content(number=""), draft=True)))
        assert "Draft of a quote, not issued" in draft
        assert "Not issued" in draft

    @pytest.mark.parametrize(("paper", "points"), [("us-letter", (612, 792)), ("a4", (595.28, 841.89))])
    def test_it_is_on_the_shops_paper(self, paper, points):
        pdf = quote_pdf(quote_paper(content(shop=SHOP | {"paper": paper})))
        box = PdfReader(io.BytesIO(pdf)).pages[0].mediabox
        assert (float(box.width), float(box.height)) == pytest.approx(points, abs=0.1)

    @pytest.mark.parametrize("typed", MARKUP)
    def test_what_was_typed_is_text_and_never_a_command(self, typed):
        everywhere = dict.fromkeys(("client", "title", "description", "included", "excluded", "terms"), typed)
        everywhere["items"] = [{"text": typed, "cents": 462_500}]
        text = words(quote_pdf(quote_paper(content(**everywhere, discount_for=typed))))
        assert text.count(" ".join(typed.split())) == 8

    def test_other_scripts_stay_in_their_order(self):
        text = words(quote_pdf(quote_paper(content(client="Ünïcode łódź Ελλάδα Привет"))))
        assert "Ünïcode łódź Ελλάδα Привет" in text
        # Signs for which this computer may have no letters break nothing.
        assert words(quote_pdf(quote_paper(content(client="שלום עולם مرحبا 你好 🪵👩‍🔧 \u202e\ufeff\x07"))))

    def test_ten_thousand_characters_run_over_pages_and_none_is_lost(self):
        long = "\n".join(f"Term {n}: " + "wood " * 15 for n in range(110))[:10_000]
        pdf = quote_pdf(quote_paper(content(terms=long, included="")))
        assert len(PdfReader(io.BytesIO(pdf)).pages) > 2
        text = words(pdf)
        assert all(f"Term {n}:" in text for n in range(long.count("Term")))
        assert text.count("wood") == long.count("wood")

    @pytest.mark.parametrize("lines_said", [0, 14, 30, 60])
    def test_what_is_signed_stands_on_the_page_of_its_price(self, lines_said):
        said = "\n".join(f"line {n}" for n in range(lines_said))
        pages = PdfReader(io.BytesIO(quote_pdf(quote_paper(content(description=said))))).pages
        (signed,) = [text for page in pages if "Accepted, date" in (text := page.extract_text())]
        for heading in ("Price", "When it is paid", "Included", "Terms"):
            assert heading in signed

    def test_terms_of_pages_end_on_the_page_of_the_signatures(self):
        said = "\n".join(f"Term {n}: {'word ' * 20}" for n in range(60))
        pages = PdfReader(io.BytesIO(quote_pdf(quote_paper(content(terms=said))))).pages
        assert len(pages) > 1
        assert "Term 59" in pages[-1].extract_text()
        assert "Accepted, date" in pages[-1].extract_text()

    def test_payments_say_when_where_the_quote_does(self):
        said = content(deposit_when="on acceptance", balance_when="")
        text = words(quote_pdf(quote_paper(said)))
        assert "Deposit, on acceptance" in text
        assert "Balance $" in text

    def test_a_word_without_end_is_broken_and_stays_on_the_paper(self):
        pdf = quote_pdf(quote_paper(content(terms="w" * 10_000)))
        reader, across = PdfReader(io.BytesIO(pdf)), []
        for page in reader.pages:
            page.extract_text(visitor_text=lambda text, _cm, tm, _font, _size: across.append(tm[4]) if text else None)
        assert max(across) < 612
        assert words(pdf).replace(" ", "").count("w" * 40) > 200
        assert len(reader.pages) > 2

    @given(st.text(max_size=80), st.text(max_size=200))
    @settings(max_examples=25)
    def test_any_text_prints(self, title, terms):
        assert quote_pdf(quote_paper(content(title=title or "x", client=terms, terms=terms))).startswith(b"%PDF")

    def test_a_price_without_cents_shows_none(self):
        yen = content(shop=SHOP | {"currency": "JPY"}, tax_ppm=0, discount_cents=0)
        yen["sums"] = yen["sums"] | {"total_cents": 462_500, "discount_cents": 0}
        assert "¥462,500" in words(quote_pdf(quote_paper(yen)))


class TestReceipt:
    def test_says_what_came_in_and_what_is_owed(self):
        text = words(receipt_pdf(receipt_paper(receipt())))
        for line in (
            *("Receipt R26-001", "2 March 2026", "A school", "$2,449.69", "with thanks"),
            "Received with thanks on 2 March 2026 (cheque) for “Slab bench”, job 26-003, quote Q26-001.",
            *("To be paid in all $4,899.38", "Paid so far $2,449.69", "Still owed $2,449.69"),
        ):
            assert line in text, line

    def test_money_given_back_is_called_so(self):
        text = words(receipt_pdf(receipt_paper(receipt(kind="refund", how="", quote="", client="", note=""))))
        assert "Receipt for money given back" in text
        assert "Given back on 2 March 2026 for “Slab bench”, job 26-003." in text

    @pytest.mark.parametrize("typed", MARKUP)
    def test_what_was_typed_is_text(self, typed):
        said = receipt(client=typed, note=typed, how=typed, title=typed)
        assert words(receipt_pdf(receipt_paper(said))).count(" ".join(typed.split())) == 4


def extra(**changes):
    """An extra's text: $120.05 and 10% tax on top of $1,100.00, three days later."""
    said = {
        "number": "X26-001",
        "on": "2026-03-02",
        "what": "A shelf\nof ash",
        "days": 3,
        "promised_on": "2026-03-19",
        "net_cents": 12_005,
        "tax_cents": 1_201,
        "tax_ppm": 100_000,
        "tax_rounding": "invoice",
        "before_cents": 110_000,
        "after_cents": 123_206,
        "shop": SHOP,
        "client": "A school",
        "title": "Slab bench",
        "project": "26-003",
        "quote": "Q26-001",
    }
    return said | changes


class TestExtra:
    def test_says_what_is_added_for_how_much_and_until_when(self):
        text = words(extra_pdf(extra_paper(extra())))
        for line in (
            *("Extra X26-001", "2 March 2026", "A school", "A shelf of ash"),
            "To “Slab bench”, quote Q26-001, job 26-003; agreed on 2 March 2026.",
            *("Before tax $120.05", "Sales tax 10 % $12.01", "This extra $132.06"),
            *("Agreed until now $1,100.00", "Agreed in all $1,232.06"),
            "It will be ready 3 days later, on 19 March 2026.",
        ):
            assert line in text, line

    def test_what_is_taken_away_is_called_so_and_comes_off(self):
        less = extra(net_cents=-30_000, tax_cents=0, tax_ppm=0, days=-1, promised_on=None, quote="", after_cents=80_000)
        text = words(extra_pdf(extra_paper(less)))
        assert "Taken away X26-001" in text
        assert "This extra −$300.00" in text
        assert "ready 1 day sooner." in text
        assert "Sales tax" not in text
        assert "The promised day stays." in words(extra_pdf(extra_paper(extra(days=0))))

    @pytest.mark.parametrize("typed", MARKUP)
    def test_what_was_typed_is_text(self, typed):
        said = extra(client=typed, what=typed, title=typed)
        assert words(extra_pdf(extra_paper(said))).count(" ".join(typed.split())) == 3


def test_weeks_read_as_they_are_spoken():
    said = {"9.5": "9½ weeks", "1": "1 week", "0.5": "½ week", "12": "12 weeks", "1.5": "1½ weeks"}
    for weeks, words_ in said.items():
        assert promise_text(weeks).startswith(f"{words_} from deposit")
    assert promise_text(None) == ""


def test_a_tax_rate_keeps_its_decimals_and_says_how_it_is_rounded():
    assert tax_text(88_750, "invoice") == "Sales tax 8.875 %"
    assert tax_text(100_000, "line") == "Sales tax 10 %, rounded line by line"
    assert tax_text(1, "invoice") == "Sales tax 0.0001 %"


def test_lines_keep_their_order_and_lose_the_spaces_at_their_ends():
    assert lines("  a  \r\nb\n\nc\n\n") == ("a", "b", "", "c")
    assert lines("") == ()


def test_the_paper_bears_its_own_day():
    assert quote_paper(content()).iso_day == date(2026, 3, 2)


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ({}, ("$4,899.38", "Sales tax 8.875 %")),  # of a day when there was no choice
        ({"mark": "point"}, ("$4,899.38", "Sales tax 8.875 %")),
        ({"mark": "comma"}, ("$4\u00a0899,38", "Sales tax 8,875 %")),
    ],
)
def test_a_paper_keeps_the_marks_it_was_issued_with(said, expected):
    paper = quote_paper(content(shop=SHOP | said))
    total, tax = expected
    assert paper.rows[-1].amount == total
    assert tax in [row.text for row in paper.rows]
