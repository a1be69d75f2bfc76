"""What became of the materials of a finished job."""

from datetime import UTC, date, datetime

import pytest
from journal.desk import parts, projects
from journal.desk.review import review
from journal.desk.review_materials import reckoned
from journal.desk.starting_stock import set_up
from journal.records.engine import reading, writing
from journal.records.queries import floor, purchases, stock
from journal.records.queries import projects as project_records
from journal.records.words import PricePer, ProjectState, StockForm
from journal.units import inches

AGREED, TODAY = date(2026, 2, 2), date(2026, 4, 1)
NOW = datetime(2026, 2, 1, 12, tzinfo=UTC)
CODE = "plain fir"
LIST = "label,qty,thickness,width,length,stock\nSlat,16,1 1/4,6 1/2,29,{stock}"


def delivered(session, of=CODE):
    row = projects.begin(session, projects.Asked(title="Bench by hand"), now=NOW)
    parts.take_list(session, row.id, LIST.format(stock=of), source="x", now=NOW)
    row = project_records.get_project(session, row.id)
    told = {
        "state": ProjectState.DELIVERED,
        "coats": 1,
        "agreed_on": AGREED,
        "delivered_on": date(2026, 3, 12),
        "agreed_price_cents": 75_000,
    }
    return project_records.change_project(session, row.id, row.draft(**told), read_version=row.version, now=NOW).id


def stocked(session):
    size = {"thickness_nm": inches("1 1/2"), "width_nm": inches("7 1/4"), "length_nm": inches(96)}
    kept = stock.ItemRow(code=CODE, form=StockForm.DIMENSIONAL, species="Douglas-fir", nominal="2x8", **size)
    item = stock.save_item(session, kept)
    price = stock.PriceRow(
        item_id=item.id, price_cents=1_000, per=PricePer.PIECE, on_date=date(2026, 1, 1), length_nm=inches(96)
    )
    stock.add_price(session, price)


def receipt(session, project_id, **line):
    told = {"stock_code": CODE, "quantity": 12, "price_cents": 12_600, "length_nm": inches(96)} | line
    bought = purchases.PurchaseRow(
        on_date=date(2026, 2, 21), project_id=project_id, freight_cents=600, lines=(purchases.LineRow(**told),)
    )
    purchases.add_purchase(session, bought)


@pytest.fixture
def shop(file_engine):
    set_up(file_engine, TODAY)
    with writing(file_engine) as session:
        stocked(session)
    return file_engine


def read(engine, project_id):
    with reading(engine) as session:
        return reckoned(session, project_id, TODAY)


def test_on_paper(shop):
    """Twelve boards of 1½ × 7¼ × 96 in, 7.25 board feet each, for 126.00 and 6.00 freight: eight used, one bad, three left.

    Gone: nine boards, 65.25 board feet. Left: three, 21.75 board feet, 3/12 of 132.00 = 33.00.
    Blanks: sixteen of 1½ in as bought, 29 in long, 6½ in and a sixteenth for jointing the edge: 16 × 1.5 × 6.5625 × 29
        ÷ 144 = 31.72. Waste 1 − 31.72/65.25 = 51.4 %. Of three slats a board the squaring of their ends leaves no room,
        so the plan takes two: eight boards, ten with the share of bad ones: 72.5, so by it 56.2 % are waste.
    Price: twelve at 10.00 = 120.00 by the book of the day agreed, 126.00 paid: 5 % more. Freight on what is gone: 4.50.
    """
    with writing(shop) as session:
        project_id = delivered(session)
        receipt(session, project_id, used_quantity=8, rejected_quantity=1)
    found = read(shop, project_id)
    (wood,) = found.woods
    assert (wood.bought_feet, wood.left_feet, wood.used_feet) == (87, 21.75, 65.25)
    assert (found.left_cents, found.on_top_cents) == (3_300, 450)
    assert found.paid.more == pytest.approx(0.05)
    assert wood.blanks_feet == pytest.approx(16 * 1.5 * 6.5625 * 29 / 144)
    assert wood.planned_feet == pytest.approx(10 * 7.25)
    assert wood.waste == pytest.approx(0.514, abs=0.0005)
    assert wood.planned_waste == pytest.approx(0.5625, abs=0.0005)


def test_where_nobody_said_what_was_left_no_waste_is_told(shop):
    with writing(shop) as session:
        project_id = delivered(session)
        receipt(session, project_id)
    whole = read(shop, project_id).whole
    assert not whole.said
    assert whole.waste is None
    assert whole.planned_waste is not None


def test_what_was_poured_stands_against_what_its_areas_take(shop):
    """Twice the area takes twice as much, so that twice as much poured on it is as much over."""
    over = []
    for area in (500_000, 1_000_000):
        with writing(shop) as session:
            project_id = delivered(session)
            up = floor.GlueUpRow(
                project_id=project_id, on_date=AGREED, label="top", strips=4, area_mm2=area, glue_ml=area / 1_000
            )
            floor.add_glue_up(session, up)
            coat = floor.CoatRow(
                project_id=project_id, finish="hard_oil", coat=1, area_mm2=area, amount_ml=area / 10_000, on_date=AGREED
            )
            floor.add_coat(session, coat)
        found = read(shop, project_id)
        over.append((found.glue.more, found.finish.more))
        assert found.glue.actual == pytest.approx(area / 1_000)
    assert over[0] == pytest.approx(over[1])


def test_nothing_noted_is_empty(shop):
    with writing(shop) as session:
        project_id = delivered(session)
    assert read(shop, project_id).empty


def test_a_plan_that_can_no_longer_be_made_leaves_waste_unknown(shop):
    with writing(shop) as session:
        project_id = delivered(session, of="ironwood")
        receipt(session, project_id, used_quantity=9)
    with reading(shop) as session:
        assert review(session, project_id, TODAY).money is None
    assert read(shop, project_id).woods == ()


def test_every_finished_job_of_the_demo_uses_more_wood_than_its_blanks_hold(demo_engine):
    with reading(demo_engine) as session:
        told = [reckoned(session, number, date(2026, 11, 25)).whole for number in (3, 16)]
    glued_again, usual = told
    assert 0 < usual.waste < glued_again.waste < 1
    assert glued_again.waste > glued_again.planned_waste + 0.1  # a half top was glued up twice
