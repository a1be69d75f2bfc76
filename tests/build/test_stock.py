"""Which stock a part’s wording means."""

import pytest
from hypothesis import given
from journal import units
from journal.build.stock import Offer, StockBook
from journal.errors import BadInput, JournalError, MissingReference
from tests.build.benches import BOOK, dimensional, rough, sheet
from tests.strategies import typed_text


def codes(text, book=BOOK):
    return [stock.code for stock in book.find(text)]


def test_an_exact_code_is_that_stock_alone_whatever_the_usual_wood():
    assert codes("2x8 southern pine") == ["2x8 southern pine"]
    assert codes("2X8 Southern Pine") == ["2x8 southern pine"]


@pytest.mark.parametrize("text", ["2x8", "2 x 8", "2×8", "2 × 8", " 2X8 "])
def test_a_size_means_the_usual_wood(text):
    assert codes(text) == ["2x8 Douglas-fir"]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("2 × 8 doug-fir lumber", "2x8 Douglas-fir"),
        ('8/4" sugar maple, rough', "8/4 sugar maple"),
        ("8/4 hard maple boards", "8/4 sugar maple"),
        ('3/4" ply', "3/4 plywood"),
        ("3/4 in construction ply", "3/4 plywood"),
    ],
)
def test_units_other_names_of_a_wood_and_words_that_say_nothing_do_not_stand_in_the_way(text, code):
    assert codes(text) == [code]


def test_millimetres_may_touch_their_number():
    book = StockBook((sheet("18 mm birch plywood", "18 mm"), sheet("12 mm birch plywood", "12 mm")))
    assert codes("18mm birch ply", book) == ["18 mm birch plywood"]


def test_a_size_in_another_wood_is_found_by_its_words_in_any_order():
    assert codes("pine 2x8") == ["2x8 southern pine"]
    assert codes("pine, 2x8") == ["2x8 southern pine"]


def test_a_wood_alone_means_every_size_of_it_in_the_order_of_the_book():
    assert codes("douglas fir") == [f"{size} Douglas-fir" for size in ("2x4", "2x6", "2x8", "4x4")]
    assert codes("maple") == ["4/4 sugar maple", "8/4 sugar maple"]


def test_a_rough_thickness_and_a_wood():
    assert codes("8/4 maple") == ["8/4 sugar maple"]
    assert codes("8/4") == ["8/4 sugar maple"]


def test_the_start_of_a_word_will_do_but_not_of_a_size():
    assert codes("ply") == ["3/4 plywood"]
    book = StockBook((dimensional("2x4"), dimensional("4x4")))
    with pytest.raises(MissingReference):
        book.find("2x")
    with pytest.raises(MissingReference):
        book.find("do")


def test_nothing_said_means_any_lumber_of_the_usual_wood():
    assert codes("") == codes("douglas-fir")
    assert codes("  ") == codes("")


def test_nothing_said_and_no_usual_wood_lists_what_there_is():
    with pytest.raises(BadInput, match="8/4 sugar maple"):
        StockBook((rough(), sheet())).find("")
    with pytest.raises(BadInput, match="none yet"):
        StockBook(()).find("")


def test_an_unknown_stock_lists_the_known_ones_the_most_alike_first():
    with pytest.raises(MissingReference) as refused:
        BOOK.find("2x8 teak")
    assert sorted(refused.value.known) == sorted(BOOK.codes)
    assert refused.value.known[0].startswith("2x8")
    with pytest.raises(MissingReference):
        BOOK.find("2x8 maple")


@given(typed_text())
def test_any_wording_finds_stocks_of_the_book_or_is_refused(text):
    try:
        found = BOOK.find(text)
    except JournalError:
        return
    assert found
    assert set(found) <= set(BOOK.stocks)


def test_no_price_is_negative():
    with pytest.raises(BadInput, match="price"):
        Offer(-1)
    assert Offer(0, length_nm=units.NM_PER_FOOT).price_cents == 0
