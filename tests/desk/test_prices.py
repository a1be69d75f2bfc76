"""What the shop buys: added by its row in the tables, put away and taken back."""

from datetime import date

import pytest
from journal import reference, units
from journal.desk import prices
from journal.desk.starting_stock import set_up
from journal.errors import BadInput, MissingReference
from journal.records.engine import reading, writing
from journal.records.tables import StockItem
from journal.records.words import StockForm
from sqlalchemy import update

TODAY = date(2026, 3, 2)


@pytest.fixture
def shop_engine(file_engine):
    set_up(file_engine, TODAY)
    return file_engine


def code_of(session, code):
    return next(stock for stock in prices.listed(session, TODAY) if stock.item.code == code)


def test_lumber_gets_its_dressed_size(shop_engine):
    with writing(shop_engine) as session:
        item = prices.add_lumber(session, code="2x8 larch", species="Douglas-fir", nominal="2×8")
    assert (item.thickness_nm, item.width_nm) == reference.dressed("2", "8")


def test_a_sheet_gets_the_size_it_is_sold_in(shop_engine):
    with writing(shop_engine) as session:
        item = prices.add_goods(session, code="MDF", form=StockForm.SHEET, class_key="mdf_3_4")
    sheet = reference.sheet_goods()["mdf_3_4"]
    assert (item.thickness_nm, item.width_nm, item.length_nm) == (sheet.thickness_nm, sheet.width_nm, sheet.length_nm)


def test_a_glue_keeps_what_its_container_holds(shop_engine):
    with writing(shop_engine) as session:
        item = prices.add_goods(
            session, code="PVA, pint", form=StockForm.ADHESIVE, class_key="pva_interior", container_ml=473.2
        )
    assert (item.container_ml, item.thickness_nm) == (473.2, None)


@pytest.mark.parametrize(
    ("form", "class_key", "container_ml", "error"),
    [
        (StockForm.ADHESIVE, "pva_interior", None, BadInput),
        (StockForm.ADHESIVE, "chewing_gum", 100.0, MissingReference),
        (StockForm.HARDWARE, "dog_hole", None, MissingReference),
        (StockForm.DIMENSIONAL, "2x8", None, MissingReference),
    ],
)
def test_goods_that_are_not_in_the_tables_are_refused(shop_engine, form, class_key, container_ml, error):
    with writing(shop_engine) as session, pytest.raises(error):
        prices.add_goods(session, code="odd", form=form, class_key=class_key, container_ml=container_ml)


def test_what_is_put_away_keeps_its_prices_and_comes_back(shop_engine):
    with writing(shop_engine) as session:
        item_id = code_of(session, "2x8 fir").item.id
        before = prices.history(session, item_id)
        prices.put_away(session, item_id, TODAY)
        prices.put_away(session, item_id, TODAY)
    with writing(shop_engine) as session:
        assert [item.code for item in prices.put_away_before(session, TODAY)] == ["2x8 fir"]
        with pytest.raises(MissingReference):
            prices.one(session, item_id, TODAY)
        prices.take_back(session, item_id, TODAY)
    with reading(shop_engine) as session:
        assert prices.history(session, item_id) == before
        assert prices.one(session, item_id, TODAY).item.code == "2x8 fir"
        assert prices.put_away_before(session, TODAY) == ()


def test_putting_away_what_never_was_is_refused(shop_engine):
    with writing(shop_engine) as session, pytest.raises(MissingReference):
        prices.put_away(session, 9_999, TODAY)


def test_a_shop_that_put_everything_away_is_not_filled_again(shop_engine):
    with writing(shop_engine) as session:
        session.execute(update(StockItem).values(archived=True))
    set_up(shop_engine, TODAY)
    with reading(shop_engine) as session:
        assert prices.listed(session, TODAY) == ()


@pytest.mark.parametrize(
    ("code", "length_nm", "on"),
    [
        ("2x8 fir", None, TODAY),
        ("8/4 ash", units.feet(8), TODAY),
        ("8/4 ash", None, date(2026, 3, 3)),
    ],
)
def test_a_price_that_cannot_be_is_refused(shop_engine, code, length_nm, on):
    with writing(shop_engine) as session:
        item_id = code_of(session, code).item.id
        with pytest.raises(BadInput):
            prices.see_price(session, item_id, 900, length_nm=length_nm, on=on, today=TODAY)
