"""Boards of the rack in the cutting plans: first, each once, never over a marked stretch, kept, set aside, stale."""

from datetime import UTC, date, datetime

import pytest
from journal import units
from journal.build.tally import Sawn, parse_tally
from journal.cutting.verify import replay
from journal.desk import after_cutting, buying, cutting_plans, estimate, parts, purchases, rack, rack_moves
from journal.desk.after_cutting import Fate
from journal.desk.cutting_plans import Standing
from journal.desk.rack_moves import Added
from journal.desk.receipts import Ordered, Per, Receipt
from journal.desk.starting_stock import set_up
from journal.errors import BadInput, Conflict
from journal.records.engine import reading, writing
from journal.records.queries import purchases as purchase_records
from journal.records.queries import rack as rack_records
from journal.records.words import RackMoveKind
from tests import factories

TODAY = date(2026, 3, 2)
NOW = datetime(2026, 3, 2, 12, tzinfo=UTC)
FIR, MAPLE, PLY = "2x6 fir", "8/4 hard maple", "3/4 birch plywood (18 mm)"
TEN = units.feet(10)
LIST = """label,qty,thickness,width,length,stock,strips,faces,features
Leg,4,3 1/2,5,31,2x6 fir,3 along thickness,all,2 laminated joints
Shelf,1,18 mm,20,50,18 mm birch plywood,1,all,
Chop,2,1 1/2,6,20,8/4 hard maple,1,all,
"""


@pytest.fixture
def shop(file_engine):
    set_up(file_engine, TODAY)
    return file_engine


@pytest.fixture
def made(shop):
    return project(shop)


def project(engine):
    with writing(engine) as session:
        row = factories.project(session)
        parts.take_list(session, row.id, LIST, source="a paste", now=NOW)
        return row.id


def put(engine, count=1, code=FIR, length_nm=TEN, **given):
    with writing(engine) as session:
        rack_moves.add(session, Added(code, count, length_nm, **given), today=TODAY, now=NOW)
        return [board.id for board in rack_records.boards(session, stock_code=code)][-count:]


def listed(engine, project_id):
    with reading(engine) as session:
        return buying.shopping(session, project_id, TODAY)


def plan_of(found, code=FIR):
    return next((plan for plan in found.plans if plan.lot.stock.code == code), None)


def keep(engine, project_id, code=FIR):
    with writing(engine) as session:
        plan = cutting_plans.one_in_force(session, project_id, code, TODAY)
        cutting_plans.keep(session, project_id, plan, now=NOW)


def boards(engine):
    with reading(engine) as session:
        return rack_records.boards(session)


def tally(engine, project_id, text, price_cents=1_000):
    with writing(engine) as session:
        receipt = Receipt(
            (Ordered(MAPLE, price_cents, Per.BOARD_FOOT, boards=parse_tally(text)),), TODAY, "", project_id
        )
        return purchases.keep(session, receipt, today=TODAY, now=NOW)


def needed(found, code=FIR):
    return sum(line.needed for line in found.lines if line.stock == code)


class TestFirst:
    def test_boards_of_the_rack_come_before_any_that_are_bought_and_every_cut_is_replayed(self, shop, made):
        before = listed(shop, made)
        put(shop, 3)
        found = listed(shop, made)
        plan = plan_of(found)
        assert replay(plan.problem, plan.result).faults == ()
        (taken,) = found.taken
        assert (taken.stock, len(taken.boards), taken.free) == (FIR, 3, 3)
        assert needed(found) < needed(before)
        assert found.saved_cents == before.cents - found.cents > 0

    def test_the_price_does_not_depend_on_the_rack(self, shop, made):
        with reading(shop) as session:
            before = estimate.estimate_project(session, made, TODAY).made
        put(shop, 3)
        with reading(shop) as session:
            after = estimate.estimate_project(session, made, TODAY).made
        assert after.price_cents == before.price_cents
        assert [bill.cents for bill in after.takeoff.bills] == [bill.cents for bill in before.takeoff.bills]

    def test_enough_on_the_rack_leaves_nothing_to_buy(self, shop, made):
        put(shop, 20, length_nm=units.feet(12))
        found = listed(shop, made)
        assert needed(found) == 0
        assert plan_of(found).cents == 0

    def test_what_is_planned_for_another_project_is_left_alone(self, shop, made):
        (board, *_) = put(shop, 3)
        other = project(shop)
        with writing(shop) as session:
            rack_moves.plan_for(session, board, 3, other, today=TODAY, now=NOW)
        assert listed(shop, made).taken == ()
        assert len(listed(shop, other).taken[0].boards) == 3

    def test_once_boards_were_bought_for_it_the_free_ones_stay_for_others_unless_planned_by_hand(self, shop, made):
        with writing(shop) as session:
            ordered = Ordered(FIR, 800, Per.EACH, count=2, length_nm=units.feet(8))
            kept = purchases.keep(session, Receipt((ordered,), TODAY, "", made), today=TODAY, now=NOW)
        (board, *_) = put(shop, 3)
        assert listed(shop, made).taken == ()
        with writing(shop) as session:
            rack_moves.plan_for(session, board, 1, made, today=TODAY, now=NOW)
        assert [one.id for one in listed(shop, made).taken[0].boards] == [board]
        with writing(shop) as session:
            purchases.take_back(session, kept.id, today=TODAY, now=NOW)
        assert sum(len(one.boards) for one in listed(shop, made).taken) == 3

    def test_offcuts_of_sheets_come_first_as_well(self, shop, made):
        assert listed(shop, made).lines[1].needed == 1
        put(shop, 1, PLY, units.inches(60), width_nm=units.inches(30), offcut=True)
        found = listed(shop, made)
        assert needed(found, PLY) == 0
        assert [one.stock for one in found.taken] == [PLY]
        assert plan_of(found, PLY).replayed().faults == ()

    def test_no_part_lies_over_a_marked_stretch(self, shop, made):
        (board,) = put(shop, 1, length_nm=units.inches(75))
        assert listed(shop, made).taken
        with writing(shop) as session:
            marked = (units.inches(30), units.inches(45), "knot")
            rack_moves.note_stretch(session, board, marked, version=1, today=TODAY, now=NOW)
        assert listed(shop, made).taken == ()  # neither end holds a leg of 31 in any more
        with writing(shop) as session:
            rack_moves.forget_stretch(session, board, 0, version=2, today=TODAY, now=NOW)
            marked = (0, units.inches(20), "split")
            rack_moves.note_stretch(session, board, marked, version=3, today=TODAY, now=NOW)
        plan = plan_of(listed(shop, made))
        assert plan.result.from_rack
        assert plan.replayed().faults == ()
        place = next(n for n, one in enumerate(plan.result.plan.boards) if one.stock_id == plan.result.from_rack[0][0])
        starts = [strip.along for strip in plan.replayed().strips if strip.board == place]
        assert min(starts) >= units.inches(20)


class TestRandomWidths:
    def test_hardwood_has_no_plan_until_boards_of_it_are_there(self, shop, made):
        found = listed(shop, made)
        assert plan_of(found, MAPLE) is None
        assert needed(found, MAPLE) > 0

    def test_each_board_is_cut_once_by_its_own_width(self, shop, made):
        tally(shop, made, "6 1/2 x 4\n7 x 5\n3 x 8")
        found = listed(shop, made)
        plan = plan_of(found, MAPLE)
        assert plan.replayed().faults == ()
        assert {stock.available for stock in plan.problem.stock if stock.on_hand} == {1}
        assert needed(found, MAPLE) == 0
        assert all(count == 1 for _, count in plan.result.from_rack)
        # The narrow board holds no chop of 6 in, and so is no stock of this plan.
        assert {stock.width for stock in plan.problem.stock if stock.on_hand} == {units.inches("6.5"), units.inches(7)}

    def test_what_the_tally_does_not_give_is_still_to_be_bought_by_the_board_foot(self, shop, made):
        all_of_it = needed(listed(shop, made), MAPLE)
        tally(shop, made, "7 x 3")  # one chop of two
        found = listed(shop, made)
        assert 0 < needed(found, MAPLE) < all_of_it
        assert needed(found, MAPLE) == pytest.approx(all_of_it / 2, rel=1e-6)
        line = next(line for line in found.lines if line.stock == MAPLE)
        assert line.bought == 0  # the boards are in the plan, and counted there alone

    def test_boards_bought_for_the_project_are_no_saving(self, shop, made):
        tally(shop, made, "7 x 5")
        assert listed(shop, made).saved_cents == 0


class TestKept:
    def test_keeping_a_plan_sets_its_boards_aside_and_it_stays_in_force(self, shop, made):
        put(shop, 3)
        keep(shop, made)
        assert {board.project_id for board in boards(shop)} == {made}
        plan = plan_of(listed(shop, made))
        assert plan.standing is Standing.KEPT
        assert listed(shop, made).taken[0].free == 0

    def test_a_plan_whose_boards_are_gone_is_stale_and_made_anew(self, shop, made):
        (board, *_) = put(shop, 3)
        keep(shop, made)
        with writing(shop) as session:
            rack_moves.write_off(session, board, 1, "split", today=TODAY, now=NOW)
        plan = plan_of(listed(shop, made))
        assert plan.standing is Standing.RACK
        assert plan.replayed().faults == ()
        assert dict(plan.result.from_rack).popitem()[1] == 2

    def test_an_equal_board_takes_the_place_of_one_that_is_gone(self, shop, made):
        (board, *_) = put(shop, 3)
        keep(shop, made)
        put(shop, 1)
        with writing(shop) as session:
            rack_moves.write_off(session, board, 1, "split", today=TODAY, now=NOW)
        assert plan_of(listed(shop, made)).standing is Standing.KEPT

    def test_a_marked_board_makes_the_plan_stale(self, shop, made):
        (board, *_) = put(shop, 3)
        keep(shop, made)
        with writing(shop) as session:
            (row,) = rack_records.get_boards(session, [board])
            rack_moves.note_stretch(session, board, (0, 9, "knot"), version=row.version, today=TODAY, now=NOW)
        assert plan_of(listed(shop, made)).standing is Standing.RACK

    def test_more_boards_are_said_and_the_cuts_still_hold(self, shop, made):
        put(shop, 1)
        keep(shop, made)
        put(shop, 2, length_nm=units.feet(12))
        plan = plan_of(listed(shop, made))
        assert plan.standing is Standing.REPRICED
        assert sum(count for _, count in plan.result.from_rack) == 1

    def test_boards_drawn_stay_in_the_plan_that_cuts_them(self, shop, made):
        numbers = put(shop, 3)
        with writing(shop) as session:
            after_cutting.draw(session, made, numbers, today=TODAY, now=NOW)
        found = listed(shop, made)
        assert plan_of(found).standing is Standing.KEPT
        assert (found.taken[0].drawn, boards(shop)) == (3, ())
        with pytest.raises(Conflict), writing(shop) as session:
            after_cutting.draw(session, made, numbers, today=TODAY, now=NOW)

    def test_what_another_project_has_cannot_be_drawn(self, shop, made):
        (board,) = put(shop, 1)
        other = project(shop)
        with writing(shop) as session:
            rack_moves.plan_for(session, board, 1, other, today=TODAY, now=NOW)
        with pytest.raises(Conflict), writing(shop) as session:
            after_cutting.draw(session, made, [board], today=TODAY, now=NOW)


class TestAfter:
    def test_offcuts_go_back_at_their_share_of_the_cost_and_are_offered_once(self, shop, made):
        put(shop, 12, cost_cents=1_000)
        (taken,) = listed(shop, made).taken
        with writing(shop) as session:
            after_cutting.draw(session, made, [board.id for board in taken.boards], today=TODAY, now=NOW)
        with reading(shop) as session:
            found = after_cutting.after(session, made, TODAY)
        left = {one.key: one.count for one in found.left}
        assert left
        with writing(shop) as session:
            act = after_cutting.tell(session, made, left, (), today=TODAY, now=NOW)
        back = [board for board in boards(shop) if board.offcut]
        assert len(back) == sum(left.values())
        assert all(board.offcut and board.project_id is None for board in back)
        whole = units.inches("1 1/2") * units.inches("5 1/2") * TEN
        for board in back:
            if board.stock_code == FIR:
                assert board.cost_cents == pytest.approx(1_000 * board.volume_nm3 / whole, abs=0.5 + 1e-9)
        with reading(shop) as session:
            assert after_cutting.after(session, made, TODAY).left == ()
        with writing(shop) as session:
            rack_moves.undo(session, act.id, today=TODAY, now=NOW)
        with reading(shop) as session:
            assert {one.key: one.count for one in after_cutting.after(session, made, TODAY).left} == left

    def test_what_was_neither_used_nor_bad_goes_to_the_rack_at_what_it_cost(self, shop, made):
        with writing(shop) as session:
            ordered = Ordered(FIR, 800, Per.EACH, count=10, length_nm=units.feet(8))
            kept = purchases.keep(session, Receipt((ordered,), TODAY, "", made, 500), today=TODAY, now=NOW)
        line = kept.lines[0].id
        with writing(shop) as session:
            after_cutting.tell(session, made, {}, [Fate(line, 6.0, 1.0)], today=TODAY, now=NOW)
        assert [(board.length_nm, board.cost_cents) for board in boards(shop)] == [(units.feet(8), 850)] * 3
        with reading(shop) as session:
            told = purchase_records.get_purchase(session, kept.id).lines[0]
            assert (told.used_quantity, told.rejected_quantity) == (6.0, 1.0)
            assert line not in [one.line.id for one in after_cutting.after(session, made, TODAY).bought]

    def test_more_than_there_is_is_refused(self, shop, made):
        put(shop, 3)
        with reading(shop) as session:
            (one, *_) = after_cutting.after(session, made, TODAY).left
        for left, refusal in (({one.key: one.count + 1}, BadInput), ({"no-such": 1}, Conflict), ({}, BadInput)):
            with pytest.raises(refusal), writing(shop) as session:
                after_cutting.tell(session, made, left, (), today=TODAY, now=NOW)

    def test_the_last_board_of_a_receipt_tells_what_became_of_its_line(self, shop, made):
        with writing(shop) as session:
            ordered = Ordered(FIR, 800, Per.EACH, count=3, length_nm=units.feet(10))
            kept = purchases.keep(session, Receipt((ordered,), TODAY), today=TODAY, now=NOW)
        a, b, c = (board.id for board in boards(shop))
        with writing(shop) as session:
            after_cutting.draw(session, made, [a, b], today=TODAY, now=NOW)
        assert fate(shop, kept) == (None, None)
        with writing(shop) as session:
            act = rack_moves.write_off(session, c, 1, "split", today=TODAY, now=NOW)
        assert fate(shop, kept) == (2.0, 1.0)
        with writing(shop) as session:
            rack_moves.undo(session, act.id, today=TODAY, now=NOW)
        assert fate(shop, kept) == (None, None)

    def test_what_a_project_took_costs_it_what_it_cost_less_what_it_left(self, shop, made):
        numbers = put(shop, 3, cost_cents=1_000)
        with writing(shop) as session:
            after_cutting.draw(session, made, numbers, today=TODAY, now=NOW)
            assert cost_of(session, made) == 3_000
            left = {one.key: one.count for one in after_cutting.after(session, made, TODAY).left}
            after_cutting.tell(session, made, left, (), today=TODAY, now=NOW)
            back = sum(board.cost_cents for board in rack_records.boards(session))
            assert cost_of(session, made) == 3_000 - back


def cost_of(session, project_id):
    """What a project drew from the rack, less what it gave back."""
    found = [pair for moves in rack.costed_moves(session).values() for pair in moves]
    mine = [(move.kind, cents) for move, cents in found if move.project_id == project_id]
    drawn = sum(cents for kind, cents in mine if kind is RackMoveKind.DRAWN)
    return drawn - sum(cents for kind, cents in mine if kind is RackMoveKind.RETURNED)


def fate(engine, kept):
    with reading(engine) as session:
        line = purchase_records.get_purchase(session, kept.id).lines[0]
        return line.used_quantity, line.rejected_quantity


def test_a_tally_of_the_same_boards_is_read_back_as_it_was_typed(shop, made):
    kept = tally(shop, made, "2 x 7 x 8\n6 1/2 x 8")
    with reading(shop) as session:
        typed = purchases.as_typed(session, kept.id)
    assert typed.lines[0].boards == (
        Sawn(units.inches(7), units.feet(8), 2),
        Sawn(units.inches("6.5"), units.feet(8)),
    )
