from dataclasses import replace
from datetime import date

import pytest
from journal.errors import BadInput, MissingReference
from journal.records.engine import reading, writing
from journal.records.queries import stock
from journal.records.words import PricePer, StockForm
from tests import factories

EIGHT, TWELVE = 8 * factories.FOOT, 12 * factories.FOOT


def _in_force(session, on):
    return [(price.length_nm, price.price_cents) for found in stock.stock_items(session, on) for price in found.prices]


def test_the_newest_price_of_each_length_on_a_day_is_in_force(session):
    item = factories.item(session)
    for length, cents, day in [(EIGHT, 900, 1), (EIGHT, 950, 20), (TWELVE, 1_500, 1), (EIGHT, 990, 20)]:
        factories.price(session, item.id, cents, length_nm=length, on_date=date(2026, 3, day))
    assert _in_force(session, date(2026, 2, 28)) == []
    assert _in_force(session, date(2026, 3, 19)) == [(EIGHT, 900), (TWELVE, 1_500)]
    assert _in_force(session, date(2026, 3, 20)) == [(EIGHT, 990), (TWELVE, 1_500)]  # the later of two on one day


def test_a_price_without_a_length_has_its_own_succession(session):
    item = factories.item(session, code="8/4 ash", form=StockForm.ROUGH, width_nm=None)
    factories.price(session, item.id, 700, per=PricePer.BOARD_FOOT, on_date=date(2026, 1, 1))
    factories.price(session, item.id, 750, per=PricePer.BOARD_FOOT, on_date=date(2026, 2, 1))
    assert _in_force(session, factories.TODAY) == [(None, 750)]
    assert [price.price_cents for price in stock.price_history(session, item.id)] == [750, 700]


def test_an_item_comes_back_as_it_was_kept_and_can_be_changed(engine):
    with writing(engine) as session:
        kept = factories.item(session, on_hand=3.0)
        changed = stock.save_item(session, replace(kept, on_hand=5.0))
    with reading(engine) as session:
        assert stock.find_item(session, kept.code) == changed == replace(kept, on_hand=5.0)


def test_items_can_be_of_one_form_and_archived_ones_are_apart(session):
    factories.item(session)
    factories.item(session, code="old", archived=True)
    factories.item(session, code="glue", form=StockForm.ADHESIVE, thickness_nm=None, width_nm=None, container_ml=473.0)
    today = factories.TODAY
    assert [found.item.code for found in stock.stock_items(session, today)] == ["2x8 spruce", "glue"]
    assert [found.item.code for found in stock.stock_items(session, today, form=StockForm.ADHESIVE)] == ["glue"]
    assert [found.item.code for found in stock.stock_items(session, today, archived=True)] == ["old"]


def test_stock_kept_all_at_once_comes_back_each_with_its_own_prices(session, statements):
    def priced(code, *cents):
        prices = (
            stock.PriceRow(item_id=0, price_cents=one, per=PricePer.PIECE, on_date=factories.TODAY) for one in cents
        )
        item = stock.ItemRow(code=code, form=StockForm.DIMENSIONAL, thickness_nm=38_100_000)
        lengths = (replace(price, length_nm=(n + 8) * factories.FOOT) for n, price in enumerate(prices))
        return stock.PricedItem(item, tuple(lengths))

    many = [priced(f"2x{n} fir", *range(100 * n, 100 * n + n % 4)) for n in range(1, 40)]
    with statements() as seen:
        stock.add_stock(session, many)
    assert len(seen) == 3
    found = {one.item.code: one for one in stock.stock_items(session, factories.TODAY)}
    for wanted in many:
        there = found[wanted.item.code]
        assert replace(there.item, id=0) == wanted.item
        assert [replace(price, id=0, item_id=0) for price in there.prices] == list(wanted.prices)
    stock.add_stock(session, [])


def test_a_code_is_used_once(session):
    factories.item(session)
    with pytest.raises(BadInput, match="no other stock"):
        factories.item(session)


def test_an_item_that_is_not_there_is_named_beside_those_that_are(session):
    kept = factories.item(session)
    with pytest.raises(MissingReference, match="2x8 spruce"):
        stock.find_item(session, "2x9")
    with pytest.raises(MissingReference, match="99"):
        stock.save_item(session, replace(kept, id=99, code="2x9"))


@pytest.mark.parametrize("given", [{"code": ""}, {"thickness_nm": None}, {"width_nm": 0}, {"on_hand": -1.0}])
def test_an_item_that_makes_no_sense_is_refused(session, given):
    with pytest.raises(BadInput):
        factories.item(session, **given)


@pytest.mark.parametrize("given", [{"price_cents": -1}, {"length_nm": 0}])
def test_a_price_that_makes_no_sense_is_refused(session, given):
    item = factories.item(session)
    with pytest.raises(BadInput):
        factories.price(session, item.id, **{"price_cents": 1} | given)


def test_a_price_book_of_any_size_takes_two_statements(engine, statements):
    with writing(engine) as session:
        for number in range(7):
            item = factories.item(session, code=f"item {number}")
            factories.price(session, item.id, 100)
    with reading(engine) as session, statements() as seen:
        assert len(stock.stock_items(session, factories.TODAY)) == 7
    assert len(seen) == 2
