"""The shelf as the journal tells it: receipts bring, glue-ups and coats take, counts put right, undo takes back."""

from datetime import date, timedelta

import pytest
from journal.desk import estimate, purchases, rack_moves, shelf
from journal.desk.receipts import Ordered, Per, Receipt
from journal.desk.starting_stock import set_up
from journal.errors import BadInput, Conflict, MissingReference
from journal.records.engine import reading, writing
from journal.records.queries import floor, rack
from journal.records.queries import projects as project_records
from journal.records.queries import stock as stock_records
from journal.records.words import ProjectState, StockForm
from tests import factories
from tests.desk.floor_shop import DAY, NOW, at
from tests.web.project_pages import project

GLUE, OIL, VISE = "glue, gallon", "oil, quart", "a vise"
GALLON, QUART = 3785.411784, 946.352946
BEFORE = DAY - timedelta(days=1)


@pytest.fixture
def shop(file_engine):
    """(engine, project): a shop that buys a glue, a finish and a vise."""
    set_up(file_engine, DAY)
    with writing(file_engine) as session:
        for priced in stock_records.stock_items(session, DAY):
            if priced.item.form in (StockForm.ADHESIVE, StockForm.FINISH, StockForm.HARDWARE):
                stock_records.save_item(session, _archived(priced.item))
        for code, form, key, ml in (
            (GLUE, StockForm.ADHESIVE, "pva_interior", GALLON),
            (OIL, StockForm.FINISH, "hard_oil", QUART),
            (VISE, StockForm.HARDWARE, "vise", None),
        ):
            item = stock_records.ItemRow(code=code, form=form, class_key=key, container_ml=ml)
            kept = stock_records.save_item(session, item)
            factories.price(session, kept.id, 2_000, on_date=date(2025, 1, 1))
        made = factories.project(session, adhesive="pva_interior", state=ProjectState.IN_BUILD).id
    return file_engine, made


def _archived(item):
    fields = {name: getattr(item, name) for name in type(item).__dataclass_fields__}
    return type(item)(**fields | {"archived": True})


def buy(shop, code, count, cents, *, project_id=None, on=BEFORE, freight=0):
    line = Ordered(stock_code=code, price_cents=cents, per=Per.ALL, count=count)
    receipt = Receipt((line,), on, project_id=project_id, freight_cents=freight)
    with writing(shop[0]) as session:
        return purchases.keep(session, receipt, today=DAY, now=NOW)


def glue(shop, ml, on=DAY, area_mm2=1_000_000):
    with writing(shop[0]) as session:
        row = floor.GlueUpRow(
            project_id=shop[1], on_date=on, label="Leg", strips=3, area_mm2=area_mm2, glue_ml=ml, clamped_at=at(10)
        )
        return floor.add_glue_up(session, row).id


def coat(shop, ml, on=DAY):
    with writing(shop[0]) as session:
        row = floor.CoatRow(
            project_id=shop[1], finish="hard_oil", coat=1, area_mm2=1_000_000, amount_ml=ml, on_date=on, at=at(11)
        )
        return floor.add_coat(session, row).id


def there(shop, code):
    with reading(shop[0]) as session:
        item = stock_records.find_item(session, code)
        return shelf.shelf(session)[item.id]


def count(shop, found, now=NOW):
    """A stock-take: code → how much is there."""
    with writing(shop[0]) as session:
        all_of_it = shelf.shelf(session)
        keys = {stock_records.find_item(session, code).id: amount for code, amount in found.items()}
        counted = {key: (all_of_it[key].amount, amount) for key, amount in keys.items()}
        drafts = shelf.count(counted, all_of_it, DAY)
        return rack_moves.count_stock(session, {}, drafts, today=DAY, now=now)


def test_receipts_raise_it_with_their_share_of_freight(shop):
    buy(shop, GLUE, 2, 5_000, freight=700)
    buy(shop, VISE, 4, 8_000)
    assert there(shop, GLUE).amount == pytest.approx(2 * GALLON, abs=0.001)
    assert there(shop, GLUE).standing.cents == 5_700
    assert (there(shop, VISE).free, there(shop, VISE).standing.cents) == (4, 8_000)


def test_glue_ups_and_coats_take_from_it_and_follow_when_put_right(shop):
    buy(shop, GLUE, 1, 2_000)
    buy(shop, OIL, 1, 3_000)
    glue(shop, 400.0)
    kept = coat(shop, 200.0)
    assert there(shop, GLUE).amount == pytest.approx(GALLON - 400, abs=0.001)
    assert there(shop, OIL).amount == pytest.approx(QUART - 200, abs=0.001)
    with writing(shop[0]) as session:
        floor.change_coat(session, kept, {"amount_ml": 250.0})
    assert there(shop, OIL).amount == pytest.approx(QUART - 250, abs=0.001)
    with writing(shop[0]) as session:
        floor.change_coat(session, kept, {"removed_at": NOW})
    assert there(shop, OIL).amount == pytest.approx(QUART, abs=0.001)


def test_a_glue_up_nobody_measured_takes_what_its_area_takes(shop):
    buy(shop, GLUE, 1, 2_000)
    glue(shop, None, area_mm2=2_000_000)
    with reading(shop[0]) as session:
        rules = estimate.read_shop(session, DAY)
        spread = rules.glue(estimate.Work()).spread_ml_m2 * rules.allowances["glue_waste_factor"]
    assert there(shop, GLUE).amount == pytest.approx(GALLON - 2 * spread, abs=0.001)
    assert "reckoned" in there(shop, GLUE).story[-1].said


def test_a_receipt_taken_back_takes_it_off_again_and_undo_brings_it_back(shop):
    kept = buy(shop, VISE, 4, 8_000)
    with writing(shop[0]) as session:
        purchases.take_back(session, kept.id, today=DAY, now=NOW)
    assert there(shop, VISE).amount == 0
    with writing(shop[0]) as session:
        rack_moves.undo(session, rack.acts(session, most=1)[0].id, today=DAY, now=NOW)
    assert there(shop, VISE).amount == 4
    with writing(shop[0]) as session:
        rack_moves.undo(session, rack.acts(session, most=9)[-1].id, today=DAY, now=NOW)
    assert there(shop, VISE).amount == 0


def test_a_stock_take_puts_it_right_and_undo_lets_it_be(shop):
    buy(shop, GLUE, 1, 2_000)
    glue(shop, 400.0)
    done = count(shop, {GLUE: 1_000.0, VISE: 2.0}, now=at(15))
    assert "2 things" in done.said
    assert (there(shop, GLUE).amount, there(shop, VISE).amount) == (1_000, 2)
    assert there(shop, VISE).standing.cents == 4_000  # by the price book
    assert there(shop, GLUE).counted_on == DAY
    with writing(shop[0]) as session:
        rack_moves.undo(session, done.id, today=DAY, now=NOW)
    assert (there(shop, GLUE).amount, there(shop, VISE).amount) == (pytest.approx(GALLON - 400, abs=0.001), 0)


def test_what_came_before_a_count_is_in_it_and_what_comes_after_is_not(shop):
    count(shop, {GLUE: 1_000.0}, now=at(10, 30))
    buy(shop, GLUE, 1, 2_000)  # of yesterday: it stood there when it was counted
    glue(shop, 400.0)  # clamped at ten: what was counted half an hour later was without it
    assert there(shop, GLUE).amount == 1_000
    coat(shop, 200.0)
    count(shop, {OIL: 500.0}, now=at(10, 30))
    assert there(shop, OIL).amount == 300  # the coat of eleven came off it
    buy(shop, GLUE, 1, 2_000, on=DAY)
    assert there(shop, GLUE).amount == pytest.approx(1_000 + GALLON, abs=0.001)


def test_a_count_from_an_old_list_is_refused(shop):
    buy(shop, VISE, 4, 8_000)
    with reading(shop[0]) as session, pytest.raises(Conflict):
        shelf.count({there(shop, VISE).place.key: (3.0, 4.0)}, shelf.shelf(session), DAY)


def test_what_a_project_bought_is_its_own_until_it_is_over(shop):
    engine, made = shop
    buy(shop, OIL, 1, 3_000, project_id=made)
    coat(shop, 400.0)
    assert (there(shop, OIL).free, there(shop, OIL).own) == (0, ((made, pytest.approx(QUART - 400, abs=0.001)),))
    with writing(engine) as session:
        row = project_records.get_project(session, made)
        over = row.draft(state=ProjectState.DELIVERED, delivered_on=DAY)
        project_records.change_project(session, made, over, read_version=row.version, now=NOW)
    assert there(shop, OIL).own == ()
    assert there(shop, OIL).free == pytest.approx(QUART - 400, abs=0.001)


def test_hardware_a_finished_project_bought_is_used_but_for_what_somebody_said_was_left(shop):
    engine, made = shop
    kept = buy(shop, VISE, 4, 8_000, project_id=made)
    with writing(engine) as session:
        row = project_records.get_project(session, made)
        over = row.draft(state=ProjectState.DELIVERED, delivered_on=DAY)
        project_records.change_project(session, made, over, read_version=row.version, now=NOW)
    assert there(shop, VISE).amount == 0
    with writing(engine) as session:
        rack.record(
            session,
            rack.ActDraft(said="left", on_date=DAY, fates=[rack.LineFate(kept.lines[0].id, 3.0, 0.0)]),
            now=NOW,
        )
    assert (there(shop, VISE).free, there(shop, VISE).standing.cents) == (1, 2_000)


def test_pieces_of_its_own_that_a_project_took_by_hand_are_not_used_up_twice(shop):
    engine, made = shop
    buy(shop, VISE, 2, 4_000)
    buy(shop, VISE, 1, 2_000, project_id=made)
    buy(shop, VISE, 3, 6_000, project_id=made)
    with writing(engine) as session:
        shelf.take(session, there(shop, VISE).place.key, 3, made, "", today=DAY, now=NOW)
        row = project_records.get_project(session, made)
        over = row.draft(state=ProjectState.DELIVERED, delivered_on=DAY)
        project_records.change_project(session, made, over, read_version=row.version, now=NOW)
    one = there(shop, VISE)
    assert (one.free, one.standing.cents) == (2, 4_000)
    assert shelf.drawn(one, made) == (0, 0)


def test_a_quart_and_a_gallon_of_one_finish_stand_together(shop):
    with writing(shop[0]) as session:
        item = stock_records.ItemRow(
            code="oil, gallon", form=StockForm.FINISH, class_key="hard_oil", container_ml=GALLON
        )
        stock_records.save_item(session, item)
    buy(shop, OIL, 1, 3_000)
    buy(shop, "oil, gallon", 1, 9_000)
    assert there(shop, OIL).amount == there(shop, "oil, gallon").amount == pytest.approx(QUART + GALLON, abs=0.001)
    with reading(shop[0]) as session:
        assert [one.place.item.form for one in shelf.listed(session)] == [StockForm.FINISH]


def test_what_was_used_costs_what_it_cost_and_what_nobody_typed_in_the_book_s_price(shop):
    buy(shop, OIL, 1, 3_000, freight=200)
    coat(shop, QUART + 100)
    one = there(shop, OIL)
    assert shelf.cents_of(one, shop[1], QUART + 100, 2.0) == pytest.approx(3_200 + 200, abs=1)
    assert shelf.cents_of(one, 99, 100.0, 2.0) == 200


class TestTaken:
    def take(self, shop, amount, project_id=None, why=""):
        with writing(shop[0]) as session:
            key = stock_records.find_item(session, VISE).id
            return shelf.take(session, key, amount, project_id, why, today=DAY, now=NOW)

    def test_a_project_takes_pieces_and_undo_puts_them_back(self, shop):
        buy(shop, VISE, 4, 8_000)
        done = self.take(shop, 3, shop[1])
        assert done.said == "3 pieces of a vise taken for 26-001"
        assert there(shop, VISE).amount == 1
        with reading(shop[0]) as session:
            one = shelf.get(session, there(shop, VISE).place.key)
            assert shelf.drawn(one, shop[1]) == (3, 6_000)
        with writing(shop[0]) as session:
            rack_moves.undo(session, done.id, today=DAY, now=NOW)
        assert there(shop, VISE).amount == 4

    def test_something_spoilt_needs_a_reason(self, shop):
        buy(shop, VISE, 4, 8_000)
        with pytest.raises(BadInput, match="what became of it"):
            self.take(shop, 1)
        self.take(shop, 1, why="dropped")
        assert there(shop, VISE).story[-1].said == "dropped"

    @pytest.mark.parametrize("amount", [0, -1, 5, float("nan")])
    def test_nobody_takes_nothing_or_more_than_is_there(self, shop, amount):
        buy(shop, VISE, 4, 8_000)
        with pytest.raises(BadInput):
            self.take(shop, amount, shop[1])

    def test_for_a_project_that_is_none_nothing_is_taken(self, shop):
        buy(shop, VISE, 4, 8_000)
        with pytest.raises((BadInput, MissingReference)):
            self.take(shop, 1, 99)


def test_an_estimate_does_not_see_the_shelf(file_engine):
    set_up(file_engine, DAY)
    made = project(file_engine)

    def price():
        with reading(file_engine) as session:
            return estimate.estimate_project(session, made, DAY).made.price_cents

    before = price()
    with writing(file_engine) as session:
        for priced in stock_records.stock_items(session, DAY):
            if priced.item.form is StockForm.ADHESIVE:
                line = Ordered(stock_code=priced.item.code, price_cents=1, per=Per.ALL, count=50)
                purchases.keep(session, Receipt((line,), DAY), today=DAY, now=NOW)
    assert price() == before
