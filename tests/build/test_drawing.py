from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal import units
from journal.build.design_parts import Box, Hole, Made, Marked, make
from journal.build.drawing import ROUNDING_NM, Face, View, draw, own_sizes, standing_out
from tests.build.designs import choices, shipped, stool

IN = units.NM_PER_INCH


def bench(*boxes, outer=(60, 12, 30), holes=(), measures=()):
    made = [Box(label, *(tuple(n * IN for n in at) for at in places)) for label, *places in boxes]
    return Made((), tuple(n * IN for n in outer), tuple(made), tuple(holes), tuple(measures), {})


def seen(drawn):
    return [(f.label, f.left_nm // IN, f.bottom_nm // IN, f.width_nm // IN, f.height_nm // IN) for f in drawn.faces]


def test_three_views_of_the_stool_by_hand():
    front, side, top = draw(make(stool(), {}))
    assert (front.view, side.view, top.view) == (View.FRONT, View.SIDE, View.TOP)
    assert (front.width_nm, front.height_nm) == (60 * IN, 30 * IN)
    assert (side.width_nm, side.height_nm) == (12 * IN, 30 * IN)
    assert (top.width_nm, top.height_nm) == (60 * IN, 12 * IN)
    assert seen(top) == [("Top", 0, 0, 60, 12)]
    assert sorted(seen(side)) == [("Legs", 1, 0, 10, 28), ("Top", 0, 28, 12, 2)]
    assert sorted(label for label, *_ in seen(front)) == ["Legs", "Legs", "Top"]
    assert [(r.across_nm // IN, r.up_nm // IN) for r in top.rounds] == [(6, 6), (18, 6), (30, 6)]
    assert [(s.upright, s.start_nm // IN, s.end_nm // IN) for s in front.spans] == [(True, 28, 30)]
    assert not front.rounds
    assert not top.spans


@pytest.mark.parametrize(
    ("far", "near", "index"),
    [
        (((0, 8, 0), (60, 4, 30)), ((0, 0, 0), (30, 4, 30)), 0),  # nearer to the front edge
        (((0, 0, 0), (20, 12, 30)), ((40, 0, 0), (20, 6, 30)), 1),  # nearer to the right end
        (((0, 0, 0), (60, 12, 10)), ((0, 0, 20), (30, 12, 10)), 2),  # higher
    ],
)
def test_the_nearer_piece_is_drawn_after_the_farther(far, near, index):
    for boxes in ((("far", *far), ("near", *near)), (("near", *near), ("far", *far))):
        assert [face.label for face in draw(bench(*boxes))[index].faces] == ["far", "near"]


def test_what_a_nearer_piece_covers_is_not_seen():
    front, _, _ = draw(bench(("hidden", (10, 6, 5), (5, 5, 5)), ("board", (0, 0, 0), (60, 2, 30))))
    assert seen(front) == [("board", 0, 0, 60, 30)]


def test_of_two_equally_near_the_one_listed_first_is_over_the_other():
    top = ("top", (0, 0, 25), (60, 12, 5))
    leg = ("leg", (5, 0, 0), (4, 4, 26))
    front, _, _ = draw(bench(top, leg))
    assert [face.label for face in front.faces] == ["leg", "top"]


def test_holes_and_measures_stand_in_their_views():
    holes = (Hole(6 * IN, 3 * IN, IN),)
    measures = (Marked("side", upright=False, start_nm=IN, end_nm=4 * IN),)
    front, side, top = draw(bench(("board", (0, 0, 0), (60, 12, 2)), holes=holes, measures=measures))
    assert [(r.across_nm, r.up_nm, r.width_nm) for r in top.rounds] == [(6 * IN, 3 * IN, IN)]
    assert (len(front.spans), len(side.spans), len(top.spans)) == (0, 1, 0)


@pytest.mark.parametrize(
    ("vises", "depth", "beyond"), [(0, 0, ""), (1, 1.75, "with the vise"), (2, 1.75, "with the vises")]
)
def test_a_jaw_before_the_top_leaves_the_top_its_own_dimensions(vises, depth, beyond):
    made = make(shipped()["slab-bench"], {"vises": vises, "depth": 26 * IN})
    assert own_sizes(made) == (72 * IN, 26 * IN, 34 * IN)
    front, side, top = draw(made)
    assert (side.width_nm, side.beyond, side.top_nm) == ((26 + depth) * IN, beyond, 26 * IN if vises else 0)
    assert (front.beyond, front.top_nm, top.beyond) == ("", 0, "")
    for view, upright in ((side, False), (top, True)):
        found = [s for s in view.spans if s.upright == upright and s.end_nm - s.start_nm == 26 * IN]
        assert len(found) == bool(vises)


def test_a_top_within_the_rounding_of_the_outer_size_has_no_dimension_of_its_own():
    near = bench(("board", (0, 0, 28), (60, 12, 2)))
    off = replace(near, outer_nm=(60 * IN + ROUNDING_NM, 12 * IN, 30 * IN))
    assert own_sizes(off) == off.outer_nm
    assert all(not view.spans and not view.beyond for view in draw(off))


def test_without_a_piece_at_its_height_a_bench_has_its_outer_sizes():
    low = bench(("board", (0, 0, 0), (60, 12, 2)))
    assert own_sizes(low) == low.outer_nm


def test_feet_beyond_the_top_are_told_from_it():
    front, *_ = draw(bench(("feet", (0, 0, 0), (60, 12, 2)), ("top", (5, 0, 28), (50, 12, 2))))
    assert (front.top_nm, front.beyond) == (50 * IN, "over all")


def test_a_piece_beyond_the_outer_sizes_is_named():
    inside = ("in", (0, 0, 0), (60, 12, 30))
    for out in ((-1, 0, 0), (1, 0, 0), (0, 1, 0), (0, 0, 1)):
        assert [b.label for b in standing_out(bench(inside, ("out", out, (60, 12, 30))))] == ["out"]
    assert standing_out(bench(inside)) == ()


@given(st.tuples(*[st.integers(0, 9)] * 4), st.tuples(*[st.integers(0, 9)] * 4))
def test_a_face_covers_another_just_when_all_its_corners_are_within(one, other):
    def face(numbers):
        left, bottom, width, height = numbers
        return Face("", left, bottom, width + 1, height + 1)

    a, b = face(one), face(other)
    corners = [(x, y) for x in (b.left_nm, b.left_nm + b.width_nm) for y in (b.bottom_nm, b.bottom_nm + b.height_nm)]
    within = all(
        a.left_nm <= x <= a.left_nm + a.width_nm and a.bottom_nm <= y <= a.bottom_nm + a.height_nm for x, y in corners
    )
    assert a.covers(b) == within


@pytest.mark.parametrize("word", sorted(shipped()))
@given(data=st.data())
def test_every_face_of_a_shipped_design_lies_in_its_view(word, data):
    made = make(shipped()[word], data.draw(choices(shipped()[word])))
    assert standing_out(made) == ()
    slack = units.inches("1/32")
    for view in draw(made):
        assert view.faces
        for face in view.faces:
            assert -slack <= face.left_nm
            assert -slack <= face.bottom_nm
            assert face.left_nm + face.width_nm <= view.width_nm + slack
            assert face.bottom_nm + face.height_nm <= view.height_nm + slack
        for span in view.spans:
            assert 0 <= span.start_nm < span.end_nm


def test_glue_lines_are_drawn_where_the_strips_are_seen():
    """The stool's top, 12 in wide of four strips along its width: three lines from above and from the end, none in front."""
    made = make(stool(), {})
    front, side, above = ({face.label: face for face in view.faces}["Top"] for view in draw(made, {"Top": 4}))
    assert front.seams_nm == ()
    assert (side.level, side.seams_nm) == (False, tuple(IN * at for at in (3, 6, 9)))
    assert (above.level, above.seams_nm) == (True, tuple(IN * at for at in (3, 6, 9)))
    assert all(face.seams_nm == () for view in draw(made) for face in view.faces)


def test_solid_pieces_have_no_glue_lines():
    views = draw(make(stool(), {}), {"Legs": 3})
    assert all(face.seams_nm == () for view in views for face in view.faces if face.label == "Legs")
