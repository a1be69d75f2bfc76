"""Which operations a commission takes: each quantity by hand, then what doubles, what does not, and what changes."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal import reference
from journal.build.finishing import surface
from journal.build.gluing import glue_ups
from journal.build.milling import mill_all
from journal.build.parts import Faces, Feature
from journal.build.steps import Task, joint_words, tasks
from journal.errors import MissingReference
from journal.units import square_feet
from tests.build.benches import (
    BOOK,
    FINISHING,
    FT,
    GLUING,
    IN,
    MILLING,
    WORK,
    bench,
    dimensional,
    laminated_leg,
    part,
    sawing,
    sheet,
    top,
)

SAWN = (sawing(dimensional("2x8"), boards=5, segments=7, segments_nm=40 * FT, rips_nm=70 * FT),)
SHEETS = (sawing(sheet(), boards=1, segments=1, segments_nm=5 * FT, rips_nm=5 * FT),)
# What one trip, one client or one jig takes, whatever the number of benches.
ONCE_A_JOB = {"deliver", "drawings", "jig"}
# Their set-ups belong to the glue-up, and every bench has its own glue-ups.
SET_UP_EACH_GLUE_UP = {"spread_glue", "close_clamps"}
# Follow from minutes, set-ups included, or from whole days: they grow, and by less than everything else.
FOLLOWS_FROM_HOURS = {"sharpen", "rework", "clean_up"}


def work(parts, sawn=SAWN, *, benches=1, finish=FINISHING, rules=WORK):
    milled = mill_all(tuple(parts), BOOK, MILLING, benches=benches)
    found = tasks(milled, sawn, glue_ups(milled, GLUING), finish, rules, benches=benches)
    assert len({task.code for task in found}) == len(found)
    return {task.code: task for task in found}


def twice(sawn):
    return tuple(
        replace(
            saw,
            boards=2 * saw.boards,
            crosscuts=2 * saw.crosscuts,
            segments=2 * saw.segments,
            segments_nm=2 * saw.segments_nm,
            rips_nm=2 * saw.rips_nm,
        )
        for saw in sawn
    )


TOP = work([top()])


@pytest.mark.parametrize(
    ("code", "quantity", "setups"),
    [
        ("fetch_stock", 5, 1),  # boards
        ("sort_mark", 20, 1),  # blanks
        ("sticker", 20, 1),
        ("crosscut_rough", 12, 1),  # 7 segments and 5 first trims
        ("rip_rough", 40, 1),  # 7 1/4 in is wider than a jointer of 6
        ("joint_face", 120, 1),  # 40 ft x 3 passes
        ("joint_edge", 80, 1),  # 40 ft x 2 passes
        ("plane_thickness", 200, 1),  # 1 1/2 to 1.2125 in is 5 passes of 1/16
        ("rip_final", 70, 1),
        ("mill_again", 20 * 98 / 12 * 2, 1),  # strips' feet, twice
        ("trim_slab", 2, 1),
        ("dry_clamp", 3, 0),  # two sections and joining them
        ("spread_glue", (18 * 3.1875 + 3) * 98 / 144, 3),
        ("close_clamps", 45, 3),  # 15 each
        ("unclamp_clean", 3, 0),
        ("rehearse_align", 3, 0),
        ("flatten_by_machine", 2 * 98 / 12 * 4, 1),  # two sections, 4 passes
        ("flatten_final", 16, 1),  # 2 x 8 ft
        ("turn_over", 3, 0),
        ("level_feet", 1, 1),
        ("ease_edges", 32, 1),  # four edges of 8 ft
        ("sand", 3 * 37, 3),  # 2 x 16 + 4 of edges + 1 of ends, three grits
        ("apply_coat", 3 * 37, 3),
        ("scuff", 2 * 37, 2),
        ("wipe_off", 3 * 37, 3),
        ("deliver", 1, 1),
        ("wrap", 1, 1),
        ("install", 1, 1),
        ("call_back", 1, 0),
        ("drawings", 1, 0),
    ],
)
def test_a_bench_top_by_hand(code, quantity, setups):
    assert TOP[code].quantity == pytest.approx(quantity)
    assert TOP[code].setups == setups


def test_nothing_else_is_done_to_a_bench_top_but_what_follows_from_hours():
    follows = {"sharpen", "clean_up", "rework"}
    hand = (15 + 16 * 8 + 10 + 20 + 2 + 32 * 0.6) / 60  # final flattening, feet, edges; by the starting book
    bench_hours = sum(
        task.baseline_minutes
        for code, task in TOP.items()
        if reference.operations()[code].stage not in ("delivery", "shop")
    )
    assert len(TOP) == 30 + len(follows)
    assert TOP["sharpen"].quantity == pytest.approx(hand)
    assert TOP["rework"].quantity == pytest.approx(bench_hours / 60)
    assert TOP["clean_up"].quantity == -(-bench_hours // (6 * 60))


def test_minutes_by_the_book_are_setups_and_quantity():
    # 3 x 4 min + 50 ft2 x 0.40 min; 45 min and nothing a unit
    assert Task("spread_glue", 50, 3, "").baseline_minutes == pytest.approx(32)
    assert Task("deliver", 1, 1, "").baseline_minutes == 45


def test_features_bring_their_work_once_set_up_for_each_kind_of_part():
    found = work(
        [
            laminated_leg(features=(Feature("mortise", 2), Feature("screw", 3))),
            part("rail", "1 1/4", "5", 60, quantity=2, features=(Feature("tenon", 2), Feature("screw", 1))),
        ]
    )
    assert found["mark_joint"].quantity == found["cut_mortise"].quantity == found["assemble"].quantity == 8
    assert found["cut_tenon"].quantity == 4
    assert found["drive_screw"].quantity == found["counterbore_pilot"].quantity == 4 * 3 + 2
    assert (found["cut_mortise"].setups, found["cut_tenon"].setups, found["drive_screw"].setups) == (1, 1, 2)
    assert "leg: 12 screws; rail: 2 screws" in found["drive_screw"].working


def test_a_groove_is_measured_in_feet():
    found = work([part("rail", quantity=3, features=(Feature("groove", length_nm=30 * IN),))])
    assert found["rout_groove"].quantity == pytest.approx(7.5)


def test_a_jig_is_made_once_however_many_it_serves():
    for benches in (1, 3):
        assert work([laminated_leg(features=(Feature("jig", 1),))], benches=benches)["jig"].quantity == 1


def test_a_feature_nobody_knows_is_named():
    with pytest.raises(MissingReference, match="rivet"):
        work([part(features=(Feature("rivet", 1),))])


def test_solid_parts_are_cut_to_length_at_both_ends_and_not_glued():
    found = work([part(quantity=5)])
    assert found["crosscut_final"].quantity == 10
    assert not {"spread_glue", "mill_again", "trim_slab", "flatten_final", "flatten_by_machine"} & set(found)


def test_stock_within_the_jointer_is_not_ripped_first():
    narrow = (sawing(dimensional("2x4"), boards=2, segments=2, segments_nm=8 * FT, rips_nm=0),)
    found = work([part(width="3", stock="2x4 Douglas-fir")], narrow)
    assert "rip_rough" not in found
    assert "rip_final" not in found


def test_panels_are_cut_and_fitted_and_never_milled():
    found = work([part("shelf", "3/4", "20", 58, stock="3/4 plywood", quantity=2)], SHEETS)
    assert found["fit_panel"].quantity == 2
    assert found["cut_panel"].quantity == 4
    assert not {"joint_face", "plane_thickness", "sticker", "crosscut_final", "ease_edges"} & set(found)


def test_without_a_planer_glued_work_is_flattened_by_hand_on_both_faces():
    found = work([top()], rules=replace(WORK, has_planer=False))
    assert found["flatten_panel"].quantity == pytest.approx(32)
    assert found["flatten_final"].quantity == pytest.approx(16)
    assert "flatten_by_machine" not in found


def test_finish_follows_the_finish():
    bare = work([part()], finish=replace(FINISHING, coats=0))
    assert not {"apply_coat", "scuff", "wipe_off"} & set(bare)
    assert "sand" in bare
    once = work([part()], finish=replace(FINISHING, coats=1, wipe_off=False))
    assert "apply_coat" in once
    assert not {"scuff", "wipe_off"} & set(once)
    assert "sand" not in work([part()], rules=replace(WORK, grits=0))
    assert not {"sand", "apply_coat"} & set(work([part(faces=Faces(0, 0, 0))]))


def test_twice_the_benches_are_twice_the_work_and_not_twice_the_setups():
    once = work(bench(), SAWN + SHEETS)
    double = work(bench(), twice(SAWN + SHEETS), benches=2)
    assert set(once) == set(double)
    for code, task in once.items():
        more = double[code]
        if code in FOLLOWS_FROM_HOURS:
            assert task.quantity <= more.quantity <= 2 * task.quantity
        elif code in ONCE_A_JOB:
            assert more.quantity == task.quantity
        else:
            assert more.quantity == pytest.approx(2 * task.quantity), code
        assert more.setups == (2 * task.setups if code in SET_UP_EACH_GLUE_UP else task.setups), code


def changed(before, after):
    return {code for code in set(before) | set(after) if before.get(code) != after.get(code)}


BENCH = work(bench(), SAWN + SHEETS)
SURFACE = {"sand", "apply_coat", "scuff", "wipe_off"}
HOURS = {"sharpen", "rework"}


def longer_slab(**fields):
    parts = bench()
    return (replace(parts[0], **fields), *parts[1:])


def test_a_longer_slab_changes_what_its_length_should():
    # The saw is held as it was: what it does is the cutting plan's to say. 84 in and 90 in lose the same thickness.
    before = work(longer_slab(length_nm=84 * IN), SAWN + SHEETS)
    after = work(longer_slab(length_nm=90 * IN), SAWN + SHEETS)
    by_length = {"mill_again", "spread_glue", "close_clamps", "flatten_by_machine", "flatten_final", "ease_edges"}
    assert changed(before, after) - {"clean_up", "plane_thickness"} == by_length | SURFACE | HOURS


def test_a_thicker_slab_changes_its_glue_lines_and_its_edges():
    after = work(longer_slab(thickness_nm=4 * IN), SAWN + SHEETS)
    assert changed(BENCH, after) - {"clean_up"} == {"spread_glue", "rework"} | SURFACE


def test_one_hole_more_changes_the_boring_alone():
    more = longer_slab(features=(Feature("hole", count=21),))
    assert changed(BENCH, work(more, SAWN + SHEETS)) - {"clean_up"} == {"bore_large", "rework"}


def test_every_task_is_an_operation_of_the_book_in_its_order_and_says_why():
    codes = list(reference.operations())
    assert [codes.index(code) for code in BENCH] == sorted(codes.index(code) for code in BENCH)
    assert all(task.working for task in BENCH.values())


@given(
    st.lists(st.tuples(st.integers(1, 4), st.integers(2, 6), st.integers(4, 90)), min_size=1, max_size=4),
    st.integers(1, 5),
    st.booleans(),
)
def test_no_quantity_is_negative_and_every_code_exists(sizes, benches, planer):
    parts = [
        laminated_leg(label=f"part {n}", width=str(width), length=length, quantity=quantity)
        for n, (quantity, width, length) in enumerate(sizes)
    ]
    found = work(parts, benches=benches, rules=replace(WORK, has_planer=planer))
    for code, task in found.items():
        assert code in reference.operations()
        assert task.quantity >= 0
        assert task.setups >= 0
        assert task.baseline_minutes > 0


def test_the_coated_surface_is_the_surface_that_finish_is_bought_for():
    milled = mill_all(bench(), BOOK, MILLING)
    assert BENCH["apply_coat"].quantity == pytest.approx(3 * square_feet(surface(milled).area_nm2))


def test_joints_are_the_features_that_are_assembled():
    words = joint_words(reference.features())
    assert {word for word, times in words.items() if times} == {"mortise", "laminated joint", "lap", "dovetail"}


def test_without_a_jointer_faces_and_edges_are_trued_by_hand():
    found = work([top()], rules=replace(WORK, has_jointer=False))
    assert "joint_face" not in found
    assert "joint_edge" not in found
    by_hand = sum(square_feet(saw.segments_nm * (saw.stock.width_nm + saw.stock.thickness_nm)) for saw in SAWN)
    assert found["plane_by_hand"].quantity == pytest.approx(by_hand)


def test_without_a_planer_the_second_face_is_planed_by_hand_too():
    both = work([top()], rules=replace(WORK, has_jointer=False, has_planer=False))
    one = work([top()], rules=replace(WORK, has_jointer=False))
    assert "plane_thickness" not in both
    assert both["plane_by_hand"].quantity > 1.7 * one["plane_by_hand"].quantity
