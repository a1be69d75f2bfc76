"""The shop as the sums need it: its own words where it said any, the starting tables where not."""

from datetime import date

import pytest
from journal import reference, units
from journal.build.stock import Dimensional, Rough, Sheet
from journal.desk.allowances import read_allowance
from journal.desk.shop import Work, read_shop, start_shop
from journal.desk.starting_stock import STARTING, set_up, start_items
from journal.errors import BadInput, MissingReference
from journal.records.engine import reading, writing
from journal.records.queries import shop as shop_records
from journal.records.queries import stock as stock_records
from journal.records.queries.shop import MachineRow, SettingRow
from journal.records.queries.stock import ItemRow, PriceRow
from journal.records.words import PricePer, StockForm

TODAY = date(2026, 3, 2)


def test_starting_shop_buys_lumber_by_length_by_board_foot_and_by_sheet():
    kinds = {type(stock) for stock in start_shop().book().stocks}
    assert kinds == {Dimensional, Rough, Sheet}


def test_starting_prices_have_no_day():
    stock = next(s for s in start_shop().book().stocks if isinstance(s, Dimensional))
    assert all(offer.on is None for offer in stock.offers)
    assert all(price.note == STARTING for priced in start_items() for price in priced.prices)


def test_starting_sizes_are_the_dressed_ones():
    stock = next(s for s in start_shop().book().stocks if s.code == "2x8 fir")
    assert (stock.thickness_nm, stock.width_nm) == reference.dressed("2", "8")
    assert stock.nominal_width_nm == units.inches(8)


def test_an_empty_journal_answers_like_the_starting_shop(file_engine):
    with reading(file_engine) as session:
        shop = read_shop(session, TODAY)
    assert shop.book() == start_shop().book()
    assert shop.rates() == start_shop().rates()


def test_setting_up_stores_the_starting_stock_once(file_engine):
    set_up(file_engine, TODAY)
    with reading(file_engine) as session:
        first = stock_records.stock_items(session, TODAY)
    set_up(file_engine, TODAY)
    with reading(file_engine) as session:
        assert stock_records.stock_items(session, TODAY) == first
        assert len(first) == len(start_items())
        # The list may come in another order than the table; the stock itself is the same.
        assert set(read_shop(session, TODAY).book().stocks) == set(start_shop().book().stocks)


def test_a_price_of_the_shops_own_is_in_force_from_its_day(file_engine):
    set_up(file_engine, TODAY)
    length_nm = units.feet(8)
    with writing(file_engine) as session:
        item = stock_records.find_item(session, "2x8 fir")
        price = PriceRow(item_id=item.id, price_cents=1234, per=PricePer.PIECE, on_date=TODAY, length_nm=length_nm)
        stock_records.add_price(session, price)
    with reading(file_engine) as session:
        stock = next(s for s in read_shop(session, TODAY).book().stocks if s.code == "2x8 fir")
    offer = next(o for o in stock.offers if o.length_nm == length_nm)
    assert (offer.price_cents, offer.on) == (1234, TODAY)
    assert all(o.on is None for o in stock.offers if o.length_nm != length_nm)


def test_a_price_by_the_foot_becomes_a_price_for_each_length_sold(file_engine):
    with writing(file_engine) as session:
        dressed = reference.dressed("2", "6")
        row = ItemRow(
            code="2x6 larch",
            form=StockForm.DIMENSIONAL,
            species="Douglas-fir",
            nominal="2x6",
            thickness_nm=dressed[0],
            width_nm=dressed[1],
        )
        item = stock_records.save_item(session, row)
        price = PriceRow(item_id=item.id, price_cents=101, per=PricePer.FOOT, on_date=TODAY)
        stock_records.add_price(session, price)
    with reading(file_engine) as session:
        (stock,) = read_shop(session, TODAY).book().stocks
    assert {o.length_nm: o.price_cents for o in stock.offers}[units.feet(12)] == 1212


def test_a_changed_setting_replaces_the_starting_one(file_engine):
    with writing(file_engine) as session:
        shop_records.put_setting(session, SettingRow("kerf_rip", "3/32", "in"))
        shop_records.put_setting(session, SettingRow("reject_softwood", "20%", "share"))
    with reading(file_engine) as session:
        rules = read_shop(session, TODAY).rules(Work())
    assert rules.milling.kerf_rip_nm == units.inches("3/32")
    assert rules.reject_dimensional == pytest.approx(0.2)


def test_machines_of_the_shop_set_its_capacities(file_engine):
    with writing(file_engine) as session:
        shop_records.save_machine(
            session,
            MachineRow("thickness planer", "the planer", max_width_nm=units.inches(15), cost_cents_per_hour=410),
        )
    with reading(file_engine) as session:
        shop = read_shop(session, TODAY)
    assert shop.rules(Work()).milling.planer_width_nm == units.inches(15)
    assert shop.rules(Work()).milling.jointer_width_nm == 0  # this shop has none
    assert shop.rates().machine_cents_per_hour["thickness planer"] == 410


def test_a_commission_may_have_its_own_finish_and_coats():
    rules = start_shop().rules(Work(finish="boiled_linseed_oil", coats=5))
    assert (rules.finish.coats, rules.finish.wipe_off) == (5, True)


@pytest.mark.parametrize("work", [Work(finish="moonshine"), Work(adhesive="chewing gum")])
def test_an_unknown_glue_or_finish_is_refused_with_the_known_ones(work):
    with pytest.raises(MissingReference, match="known: "):
        start_shop().rules(work)


@pytest.mark.parametrize(
    ("key", "text", "value"),
    [
        ("kerf_rip", "3/32", units.inches("3/32")),
        ("end_trim", "0", 0),
        ("reject_softwood", "12%", 0.12),
        ("reject_softwood", "0.12", 0.12),
        ("joint_face_passes", "4", 4),
    ],
)
def test_a_setting_is_read_in_its_own_unit(key, text, value):
    assert read_allowance(key, text) == pytest.approx(value)


@pytest.mark.parametrize(
    ("key", "text"),
    [("kerf_rip", "2 in"), ("reject_softwood", "95%"), ("reject_softwood", "many"), ("kerf_rip", "-1/8")],
)
def test_a_setting_outside_its_range_is_refused(key, text):
    with pytest.raises(BadInput):
        read_allowance(key, text)
