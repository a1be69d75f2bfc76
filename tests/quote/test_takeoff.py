"""What a commission takes, from parts to boards, glue, finish, hardware, work and weight."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from journal import units
from journal.build.parts import Feature
from journal.build.stock import Dimensional, Offer, StockBook
from journal.build.wood import weight_kg
from journal.errors import BadInput, MissingReference, NoSolution
from journal.quote.takeoff import Purchase, ShopRules, take_off
from tests.build.benches import BOOK, FT, IN, RULES, bench, dimensional, laminated_leg, part, rough, sheet, top
from tests.quote.commissions import BENCH, takeoff


def by_stock(taken):
    return {bill.stock.code: bill for bill in taken.bills}


def quantities(taken):
    return {task.code: task.quantity for task in taken.tasks}


def test_no_parts_are_refused():
    with pytest.raises(BadInput, match="at least one part"):
        take_off((), BOOK, RULES)


@pytest.mark.parametrize("benches", [0, -1, 1001])
def test_benches_are_one_to_a_thousand(benches):
    with pytest.raises(BadInput, match="benches"):
        takeoff(benches=benches)


def test_a_bench_is_billed_by_each_stock_it_is_made_of():
    bills = by_stock(BENCH)
    assert set(bills) == {"2x8 Douglas-fir", "3/4 plywood"}
    for bill in bills.values():
        assert bill.cents == sum(purchase.count * purchase.offer.price_cents for purchase in bill.purchases)
        assert bill.sawing.boards == sum(purchase.count for purchase in bill.purchases)
        assert bill.sawing.stock is bill.stock


def test_spares_are_the_rejects_allowed_for_in_the_lengths_bought():
    bill = by_stock(BENCH)["2x8 Douglas-fir"]
    planned = len(bill.cutting.plan.boards)
    bought = sum(purchase.count for purchase in bill.purchases)
    assert planned <= (1 - 0.15) * bought < planned + 1  # boards bought, less 15 in 100, cover the plan
    assert sum(purchase.spares for purchase in bill.purchases) == bought - planned
    for purchase in bill.purchases:  # each length within one board of its share
        fair = (bought - planned) * (purchase.count - purchase.spares) / planned
        assert abs(purchase.spares - fair) < 1


def test_no_rejects_no_spares():
    taken = takeoff(rules=replace(RULES, reject_dimensional=0.0, reject_sheet=0.0))
    assert all(purchase.spares == 0 for bill in taken.bills for purchase in bill.purchases)


@pytest.mark.parametrize(("reject", "bought"), [(0.0, 17), (0.15, 20), (0.5, 34), (0.9, 170)])
def test_boards_to_buy_by_hand(reject, bought):
    # 17 / 0.85 is 20 exactly and not 21, whatever binary fractions make of it.
    book = StockBook((dimensional("2x8", lengths_ft=(8,)),), "Douglas-fir")
    beams = part("beam", "1", "5", 90, quantity=17, stock="")
    taken = takeoff((beams,), book, replace(RULES, reject_dimensional=reject))
    assert by_stock(taken)["2x8 Douglas-fir"].sawing.boards == bought


def test_softwood_is_tallied_on_its_nominal_size():
    book = StockBook((dimensional("2x8", lengths_ft=(8,)),), "Douglas-fir")
    taken = takeoff((part("beam", "1", "5", 90, quantity=3, stock=""),), book, replace(RULES, reject_dimensional=0))
    (bill,) = taken.bills
    assert bill.board_feet == pytest.approx(3 * 2 * 8 * 96 / 144)
    # Rough 1 1/4 x 5 1/16 x 90 in the board: what is really in the blanks.
    assert bill.net_board_feet == pytest.approx(3 * 1.25 * 5.0625 * 90 / 144)
    assert bill.purchases == (Purchase(book.stocks[0].offers[0], 3),)
    assert bill.purchases[0].cents == 3 * 8 * 118


def test_random_width_hardwood_by_hand():
    # Four blanks 3 1/16 x (40 + 3) in of 8/4; a 7-in board gives two across, so two segments; 30% waste.
    taken = takeoff((part("rail", "1 1/2", "3", 40, quantity=4, stock="8/4 sugar maple"),))
    (bill,) = taken.bills
    net = 4 * 2 * 3.0625 * 43 / 144
    assert bill.net_board_feet == pytest.approx(net)
    assert bill.board_feet == pytest.approx(net / 0.7)
    assert bill.cents == round(net / 0.7 * 880)
    assert bill.purchases == ()
    assert bill.cutting is None
    assert (bill.sawing.boards, bill.sawing.segments, bill.sawing.crosscuts) == (1, 2, 3)  # 10.45 of a 10.5 bd ft board
    assert bill.sawing.segments_nm == 2 * 43 * IN
    assert bill.sawing.rips_nm == 4 * 43 * IN


def test_sheets_are_not_tallied_in_board_feet():
    assert by_stock(BENCH)["3/4 plywood"].board_feet == 0


def test_every_blank_is_in_the_cutting_plan():
    bill = by_stock(BENCH)["2x8 Douglas-fir"]
    wanted = {m.part.label: m.blanks for m in BENCH.milled if m.stock == bill.stock}
    cut = [blank for board in bill.cutting.plan.boards for segment in board.segments for blank in segment.blanks]
    assert {label: cut.count(label) for label in wanted} == wanted
    assert len(cut) == sum(wanted.values())
    assert bill.cutting.bound_cents <= bill.cutting.cost_cents <= bill.cents


def test_the_saw_is_asked_for_what_the_plan_shows():
    bill = by_stock(BENCH)["2x8 Douglas-fir"]
    segments = [segment for board in bill.cutting.plan.boards for segment in board.segments]
    assert bill.sawing.segments == len(segments)
    assert bill.sawing.crosscuts == len(segments) + len(bill.cutting.plan.boards)
    assert bill.sawing.segments_nm == sum(segment.length for segment in segments)
    assert bill.sawing.rips_nm == sum(len(segment.blanks) * segment.length for segment in segments)


@pytest.mark.parametrize(("width", "boards"), [("3 3/8", 1), ("3 7/16", 2)])
def test_both_eased_edges_are_kept_out_of_the_strips(width, boards):
    # Two blanks of 3 7/16 and a kerf are 7 in, all that 7 1/4 leaves between its edges; two of 3 1/2 are too much.
    book = StockBook((dimensional("2x8", lengths_ft=(8,)),), "Douglas-fir")
    taken = takeoff((part("beam", "1", width, 90, quantity=2, stock=""),), book, replace(RULES, reject_dimensional=0))
    assert taken.bills[0].sawing.boards == boards


def test_a_cheaper_length_is_bought():
    offers = (Offer(900, None, 8 * FT), Offer(5000, None, 16 * FT))
    book = StockBook((dimensional("2x8", offers=offers),), "Douglas-fir")
    taken = takeoff((part("beam", "1", "5", 90, quantity=2, stock=""),), book)
    assert {purchase.offer.length_nm for purchase in taken.bills[0].purchases} == {8 * FT}


def test_hardware_is_what_is_bought_over_all_pieces_and_benches():
    parts = (
        part("beam", quantity=2, features=(Feature("bolt", 3), Feature("hole", 4))),
        part("jaw", features=(Feature("vise", 1), Feature("bolt", 1))),
    )
    assert dict(takeoff(parts, benches=2).hardware) == {"bolt": 14, "vise": 2}
    with pytest.raises(MissingReference):
        takeoff((part(features=(Feature("rivet", 1),)),))


def test_weight_is_the_sum_of_the_parts():
    assert BENCH.weight_kg == pytest.approx(sum(weight_kg(milled) for milled in BENCH.milled))
    assert takeoff(benches=2).weight_kg == pytest.approx(2 * BENCH.weight_kg)


def test_notes_name_the_part_they_are_about():
    assert all(note.split(":")[0] in {milled.part.label for milled in BENCH.milled} for note in BENCH.notes)
    assert any("jointer" in note for note in BENCH.notes)


def test_glue_is_for_the_lines_and_the_assembled_joints():
    assert BENCH.glue.joint_area_nm2 == 8 * RULES.glue.joint_area_nm2  # two mortises in each of four legs
    assert BENCH.glue.line_area_nm2 == sum(up.times * up.area_nm2 for up in BENCH.ups)


def test_a_part_that_cannot_be_made_stops_the_takeoff_and_is_named():
    with pytest.raises(NoSolution, match="block"):
        takeoff((*bench(), part("block", "9", "3", 30)))


def test_a_longer_bench_takes_more_and_never_less():
    parts = bench()
    longer = takeoff((replace(parts[0], length_nm=parts[0].length_nm + 12 * IN), *parts[1:]))
    assert longer.glue.ml > BENCH.glue.ml
    assert longer.finish_ml > BENCH.finish_ml
    assert longer.weight_kg > BENCH.weight_kg
    more, before = quantities(longer), quantities(BENCH)
    assert all(
        more[code] >= before[code] for code in ("spread_glue", "flatten_final", "sand", "joint_face", "ease_edges")
    )
    assert more["bore_large"] == before["bore_large"]


def test_three_benches_take_three_times_the_blanks_glue_and_finish_and_at_most_the_boards():
    three = takeoff(benches=3)
    assert three.benches == 3
    assert [m.blanks for m in three.milled] == [3 * m.blanks for m in BENCH.milled]
    assert three.glue.ml == pytest.approx(3 * BENCH.glue.ml)
    assert three.finish_ml == pytest.approx(3 * BENCH.finish_ml)
    assert sum(bill.cents for bill in three.bills) <= 3 * sum(bill.cents for bill in BENCH.bills)


@pytest.mark.parametrize("name", ["reject_dimensional", "reject_rough", "reject_sheet"])
@pytest.mark.parametrize("share", [-0.01, 1.0, 1.5])
def test_rejects_are_a_share_under_one(name, share):
    with pytest.raises(BadInput, match=name.replace("_", " ")):
        ShopRules(**{**{field: getattr(RULES, field) for field in RULES.__dataclass_fields__}, name: share})


@given(
    st.lists(st.tuples(st.integers(1, 4), st.integers(1, 6), st.integers(6, 110)), min_size=1, max_size=4),
    st.sampled_from([0.0, 0.15, 0.3]),
)
@settings(max_examples=25)
def test_whatever_the_parts_what_is_bought_holds_what_is_cut(sizes, reject):
    parts = [part(f"part {n}", "1", str(w), length, quantity=q, stock="2x8") for n, (q, w, length) in enumerate(sizes)]
    taken = takeoff(parts, rules=replace(RULES, reject_dimensional=reject))
    for bill in taken.bills:
        assert isinstance(bill.stock, Dimensional)
        assert bill.board_feet > bill.net_board_feet > 0
        assert sum(p.count - p.spares for p in bill.purchases) == len(bill.cutting.plan.boards)


def test_the_bill_of_a_sheet_is_by_the_sheet():
    book = StockBook((sheet(grain=True), rough()), "sugar maple")
    shelves = part("shelf", "3/4", "20", 90, stock="3/4 plywood", quantity=3)
    taken = takeoff((shelves, laminated_leg(stock="8/4"), top(stock="8/4")), book, replace(RULES, reject_sheet=0))
    bill = by_stock(taken)["3/4 plywood"]
    assert bill.purchases[0].count == 2  # two of 20 in across 48
    assert bill.cents == 2 * 6200
    assert units.to_feet(bill.sawing.segments_nm) == pytest.approx(15)


@pytest.mark.parametrize(("grain", "sheets"), [(False, 1), (True, 2)])
def test_a_panel_without_grain_may_be_turned_on_its_sheet(grain, sheets):
    # 47 × 60 leaves 36 in of an 8 ft sheet: 35 × 46 fits there only when it is turned.
    ply = sheet(grain=grain)
    panels = [
        part("shelf", thickness="3/4", width="47", length=60, stock=ply.code),
        part("back", thickness="3/4", width="35", length=46, stock=ply.code),
    ]
    (bill,) = take_off(panels, StockBook((ply,)), RULES).bills
    assert sum(purchase.count - purchase.spares for purchase in bill.purchases) == sheets
