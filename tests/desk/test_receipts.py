"""Receipts worked out, kept, put right, taken back; their boards on the rack, their prices in the book."""

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from journal import units
from journal.build.tally import parse_tally
from journal.desk import prices, purchases, rack_moves, receipts
from journal.desk.receipts import LineFault, Ordered, Per, Receipt
from journal.desk.starting_stock import set_up
from journal.errors import BadInput, Conflict, MissingReference
from journal.records.engine import reading, writing
from journal.records.queries import purchases as purchase_records
from journal.records.queries import rack as rack_records
from tests import factories

TODAY = date(2026, 3, 2)
NOW = datetime(2026, 3, 2, 12, tzinfo=UTC)
FIR = Ordered("2x6 fir", 1_000, Per.EACH, count=4, length_nm=units.feet(8))
MAPLE = Ordered("8/4 hard maple", 1_050, Per.BOARD_FOOT, boards=parse_tally("2 x 6 1/4 x 8\n10 x 13"))
VISE = Ordered("vise", 19_000, Per.EACH, count=1)
GROUPED = 6  # boards, at most, of one line of the property


@pytest.fixture
def shop(file_engine):
    set_up(file_engine, TODAY)
    return file_engine


def work(engine, *lines, **given):
    with reading(engine) as session:
        return receipts.work_out(session, Receipt(lines, given.pop("on_date", TODAY), **given), TODAY)


def keep(engine, *lines, corrects=None, **given):
    with writing(engine) as session:
        receipt = Receipt(lines, given.pop("on_date", TODAY), **given)
        return purchases.keep(session, receipt, today=TODAY, now=NOW, corrects=corrects)


def boards(engine):
    with reading(engine) as session:
        return rack_records.boards(session)


def in_force(engine):
    with reading(engine) as session:
        return purchases.receipts(session)


class TestWorkedOut:
    def test_hardwood_is_charged_by_its_tally_and_softwood_by_its_nominal_size(self, shop):
        maple, fir = work(shop, MAPLE, FIR).lines
        assert (maple.pieces, maple.board_feet) == (3, 2 * (4 + 4 + 11))
        assert maple.exact_board_feet == pytest.approx(2 * (2 * 6.25 * 8 + 10 * 13) / 12)
        assert "surface measure" in maple.convention
        assert maple.cents == 38 * 1_050
        assert (fir.board_feet, fir.convention) == (32.0, "nominal size")
        assert fir.exact_board_feet == pytest.approx(4 * 1.5 * 5.5 * 96 / 144)

    @pytest.mark.parametrize(
        ("per", "price", "cents"),
        [(Per.EACH, 1_000, 4_000), (Per.ALL, 999, 999), (Per.FOOT, 125, 4_000), (Per.BOARD_FOOT, 333, 10_656)],
    )
    def test_a_price_is_for_a_piece_a_foot_a_board_foot_or_the_line(self, shop, per, price, cents):
        assert work(shop, replace(FIR, per=per, price_cents=price)).lines[0].cents == cents

    def test_tax_and_freight_are_shared_by_value_to_the_cent(self, shop):
        found = work(shop, FIR, VISE, freight_cents=1_001, tax_cents=1_999)
        assert found.cents == 4_000 + 19_000 + 1_001 + 1_999
        fir, vise = (line.landed for line in found.lines)
        assert (fir.freight_cents, vise.freight_cents) == (174, 827)
        assert fir.tax_cents + vise.tax_cents == 1_999

    def test_what_the_book_says_stands_beside_it(self, shop):
        (line,) = work(shop, replace(FIR, price_cents=1_234)).lines
        assert (line.each_cents, line.news) == (1_234, True)
        (same,) = work(shop, replace(FIR, price_cents=line.book_cents)).lines
        assert not same.news

    @pytest.mark.parametrize(
        ("line", "field"),
        [
            (replace(FIR, count=0), "how many"),
            (replace(FIR, count=None), "how many"),
            (replace(FIR, count=100_001), "how many"),
            (replace(FIR, count=501), "how many"),
            (replace(FIR, length_nm=None), "length"),
            (replace(FIR, price_cents=-1), "price"),
            (replace(FIR, price_cents=10**10), "price"),
            (replace(FIR, stock_code="gopher wood"), "stock"),
            (replace(MAPLE, boards=()), "tally"),
            (replace(MAPLE, boards=parse_tally("6 x 11 in")), "tally"),
            (replace(MAPLE, boards=(), board_feet=0.0), "board feet"),
            (replace(MAPLE, boards=(), board_feet=20.0, per=Per.FOOT), "price is"),
            (replace(VISE, per=Per.BOARD_FOOT), "price is"),
        ],
    )
    def test_a_line_that_cannot_be_used_is_named_with_its_box(self, shop, line, field):
        with pytest.raises(LineFault) as refused:
            work(shop, VISE, line)
        assert (refused.value.place, refused.value.field) == (1, field)

    def test_a_day_to_come_no_lines_and_no_such_project_are_refused(self, shop):
        with pytest.raises(BadInput):
            work(shop, FIR, on_date=date(2026, 3, 3))
        with pytest.raises(BadInput):
            work(shop)
        with pytest.raises(MissingReference):
            work(shop, FIR, project_id=99)


class TestKept:
    def test_boards_for_the_rack_go_there_one_by_one_with_all_of_the_cost(self, shop):
        kept = keep(shop, FIR, VISE, MAPLE, freight_cents=1_001, tax_cents=1_999)
        found = boards(shop)
        assert [board.stock_code for board in found].count("2x6 fir") == 4
        assert max(board.width_nm for board in found) == units.inches(10)
        vise = work(shop, FIR, VISE, MAPLE, freight_cents=1_001, tax_cents=1_999).lines[1].landed.cents
        assert sum(board.cost_cents for board in found) + vise == kept.cents

    def test_for_a_project_only_a_tally_goes_there_planned_for_it(self, shop):
        with writing(shop) as session:
            project = factories.project(session).id
        keep(shop, FIR, MAPLE, project_id=project)
        assert {(board.stock_code, board.project_id) for board in boards(shop)} == {("8/4 hard maple", project)}

    def test_new_prices_go_into_the_book_when_that_is_wanted(self, shop):
        def price():
            with reading(shop) as session:
                listed = prices.listed(session, TODAY)
            seen = next(stock for stock in listed if stock.item.code == "2x6 fir").prices
            return next(one.price_cents for one in seen if one.length_nm == units.feet(8))

        before = price()
        keep(shop, replace(FIR, price_cents=before + 77))
        assert price() == before
        keep(shop, replace(FIR, price_cents=before + 77), learn=True)
        assert price() == before + 77

    @settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=12)
    @given(
        st.lists(
            st.tuples(st.integers(1, GROUPED), st.integers(4, 16), st.integers(0, 99_999)), min_size=1, max_size=4
        ),
        st.integers(0, 99_999),
        st.integers(0, 99_999),
    )
    def test_whatever_is_bought_the_boards_cost_what_was_paid(self, shop, lines, freight, tax):
        ordered = [
            Ordered("2x6 fir", price, Per.ALL, count=count, length_nm=units.feet(feet)) for count, feet, price in lines
        ]
        before = sum(board.cost_cents for board in boards(shop))
        kept = keep(shop, *ordered, freight_cents=freight, tax_cents=tax)
        assert sum(board.cost_cents for board in boards(shop)) - before == kept.cents
        assert kept.cents == sum(price for _, _, price in lines) + freight + tax


class TestPutRight:
    def test_another_receipt_counts_instead_and_its_boards_are_there_instead(self, shop):
        first = keep(shop, FIR)
        keep(shop, replace(FIR, count=5), corrects=first.id)
        assert [receipt.lines[0].quantity for receipt in in_force(shop)] == [5.0]
        assert len(boards(shop)) == 5
        with reading(shop) as session:
            (act,) = rack_records.acts(session, most=1)
        with writing(shop) as session:
            rack_moves.undo(session, act.id, today=TODAY, now=NOW)
        assert [receipt.id for receipt in in_force(shop)] == [first.id]
        assert len(boards(shop)) == 4

    def test_what_became_of_a_line_is_taken_over(self, shop):
        with writing(shop) as session:
            project = factories.project(session).id
        first = keep(shop, FIR, project_id=project)
        with writing(shop) as session:
            purchase_records.set_fate(session, first.lines[0].id, 3.0, 1.0)
        again = keep(shop, replace(FIR, price_cents=900), project_id=project, corrects=first.id)
        assert (again.lines[0].used_quantity, again.lines[0].rejected_quantity) == (3.0, 1.0)

    def test_not_once_a_board_of_it_was_moved(self, shop):
        first = keep(shop, FIR)
        (board, *_) = boards(shop)
        with writing(shop) as session:
            rack_moves.write_off(session, board.id, 1, "split", today=TODAY, now=NOW)
        for act in (lambda: keep(shop, FIR, corrects=first.id), lambda: take_back(shop, first.id)):
            with pytest.raises(Conflict):
                act()
        assert len(boards(shop)) == 3

    def test_a_receipt_taken_back_is_gone_from_every_list_and_can_be_had_back(self, shop):
        first = keep(shop, FIR)
        take_back(shop, first.id)
        assert (in_force(shop), boards(shop)) == ((), ())
        with pytest.raises(Conflict):
            take_back(shop, first.id)
        with reading(shop) as session:
            (act,) = rack_records.acts(session, most=1)
            with pytest.raises(Conflict):
                purchases.as_typed(session, first.id)
        with writing(shop) as session:
            rack_moves.undo(session, act.id, today=TODAY, now=NOW)
        assert (len(in_force(shop)), len(boards(shop))) == (1, 4)


def take_back(engine, purchase_id):
    with writing(engine) as session:
        purchases.take_back(session, purchase_id, today=TODAY, now=NOW)
