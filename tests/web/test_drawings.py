import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal import units
from journal.build.design_parts import make
from journal.build.drawing import Drawn, Face, Span, View, draw
from journal.web.drawings import bench_figure, thumbnail
from tests.build.designs import at_end, shipped, stool

IN = units.NM_PER_INCH


def say(length_nm):
    return units.format_length(length_nm, units.System.INCH)


def figure(made, system=units.System.INCH):
    return bench_figure("bench", "Stool", draw(made), say, system)


def box(length, depth, height, spans=()):
    """A plain box of these outer sizes in inches; `spans` are (view, upright, from, to)."""
    sizes = {View.FRONT: (length, height), View.SIDE: (depth, height), View.TOP: (length, depth)}
    return tuple(
        Drawn(
            view,
            across * IN,
            up * IN,
            (Face("Box", 0, 0, across * IN, up * IN),),
            (),
            tuple(Span(upright, a * IN, b * IN) for at, upright, a, b in spans if at == view),
        )
        for view, (across, up) in sizes.items()
    )


def test_all_views_are_at_one_scale_and_stand_over_and_beside_each_other():
    sheet = bench_figure("b", "Box", box(60, 24, 30), say, units.System.INCH).wide
    front, side, top = sheet.faces
    scale = front.width / 60
    assert front.height == pytest.approx(30 * scale, abs=0.2)
    assert (side.width, side.height) == (pytest.approx(24 * scale, abs=0.2), front.height)
    assert (top.width, top.height) == (front.width, pytest.approx(24 * scale, abs=0.2))
    assert top.x == front.x
    assert top.y + top.height < front.y
    assert side.y == front.y
    assert side.x > front.x + front.width
    assert sheet.floor == pytest.approx(front.y + front.height, abs=0.2)


@pytest.mark.parametrize(
    ("system", "depth", "expected"),
    [
        (units.System.INCH, 24, "1 ft"),
        (units.System.INCH, 40, "2 ft"),
        (units.System.METRIC, 24, "500 mm"),
        (units.System.METRIC, 8, "250 mm"),
    ],
)
def test_the_scale_bar_is_at_the_scale_of_the_drawing(system, depth, expected):
    sheet = bench_figure("b", "Box", box(60, depth, 30), say, system).wide
    assert sheet.bar.text == expected
    share = units.parse_length(sheet.bar.text) / (60 * IN)
    assert sheet.bar.width == pytest.approx(sheet.faces[0].width * share, abs=0.2)


def test_outer_sizes_are_dimensioned_once_each():
    lines = figure(make(stool(), {})).wide.dimensions
    assert sorted(line.text for line in lines) == ["12 in", "2 in", "30 in", "60 in"]
    assert [line.text for line in lines if line.turned] == ["30 in"]


def test_dimensions_side_by_side_share_a_row_and_one_over_another_takes_the_next():
    spans = ((View.FRONT, False, 0, 10), (View.FRONT, False, 50, 60), (View.FRONT, False, 5, 55))
    sheet = bench_figure("b", "Box", box(60, 24, 30, spans), say, units.System.INCH).wide
    height = {line.text: line.y for line in sheet.dimensions if not line.turned}
    ends = [line.y for line in sheet.dimensions if line.text == "10 in"]
    assert ends[0] == ends[1]
    assert ends[0] < height["50 in"] < height["60 in"]


def test_a_figure_says_its_sizes_and_pieces_in_words():
    found = figure(make(stool(), {}))
    assert found.title == "Stool, three views to scale"
    assert found.description.startswith("60 in long, 12 in deep, 30 in high.")
    assert "From above: Top." in found.description


def test_a_jaw_before_the_top_is_named_beside_the_tops_own_depth():
    found = figure(make(shipped()["slab-bench"], {"depth": 26 * IN}))
    for sheet in (found.wide, found.narrow):
        texts = [line.text for line in sheet.dimensions]
        assert texts.count("26 in") == 2  # from the end and from above
        assert texts.count("27¾ in with the vise") + (texts.count("27¾ in") and texts.count("with the vise")) == 1
    assert found.description.startswith("72 in long, 26 in deep (27¾ in with the vise), 34 in high.")


def test_a_thumbnail_is_the_front_alone_inside_its_sheet():
    sheet = thumbnail(draw(make(stool(), {}))[0])
    assert not sheet.dimensions
    for face in sheet.faces:
        assert face.x >= 0
        assert face.x + face.width <= sheet.width
        assert face.y >= 0
        assert face.y + face.height <= sheet.floor + 0.2


@given(st.integers(12, 240), st.integers(8, 60), st.integers(6, 60), st.data())
def test_everything_drawn_lies_on_the_sheet(length, depth, height, data):
    ends = data.draw(st.lists(st.integers(0, min(length, depth, height)), min_size=2, max_size=2, unique=True))
    low, high = sorted(ends)
    spans = ((View.FRONT, True, low, high), (View.FRONT, False, low, high), (View.TOP, True, low, high))
    found = bench_figure("b", "Box", box(length, depth, height, spans), say, units.System.INCH)
    for sheet in (found.wide, found.narrow):
        check_on_sheet(sheet)


@pytest.mark.parametrize("word", sorted(shipped()))
@pytest.mark.parametrize("end", ["low", "high"])
def test_every_shipped_design_lies_on_its_sheet(word, end):
    found = figure(make(shipped()[word], at_end(shipped()[word], end)))
    for sheet in (found.wide, found.narrow):
        check_on_sheet(sheet)


def check_on_sheet(sheet):
    for face in sheet.faces:
        assert face.x >= 0
        assert face.x + face.width <= sheet.width + 0.2
        assert face.y >= 0
        assert face.y + face.height <= sheet.height
    for line in sheet.dimensions:
        points = re.findall(r"[MHV]([\d.]+)(?: ([\d.]+))?", line.path)
        assert all(0 <= float(number) <= max(sheet.width, sheet.height) for pair in points for number in pair if number)
        left, right = text_ends(line)
        assert left >= -0.2
        assert right <= sheet.width + 0.2, line
        assert 0 < line.y < sheet.height
    assert sheet.bar.x + sheet.bar.width <= sheet.width


def text_ends(line):
    wide = len(line.text) * 6.6
    if line.turned:
        return line.x - 12, line.x
    if line.anchor == "middle":
        return line.x - wide / 2, line.x + wide / 2
    return line.x, line.x + wide


def metric(length_nm):
    return units.format_length(length_nm, units.System.METRIC)


@pytest.mark.parametrize("word", sorted(shipped()))
@pytest.mark.parametrize(("system", "says"), [(units.System.METRIC, metric), (units.System.INCH, say)])
def test_on_a_phone_no_text_lies_on_another_and_none_leaves_the_sheet(word, system, says):
    sheet = bench_figure("b", word, draw(make(shipped()[word], {})), says, system).narrow
    check_on_sheet(sheet)
    named = [(title.x, title.x + len(title.text) * 6.6, title.y) for title in sheet.titles]
    bar = (sheet.bar.x, sheet.bar.x + len(sheet.bar.text) * 6.6, sheet.bar.text_y)
    texts = [*((*text_ends(line), line.y) for line in sheet.dimensions if not line.turned), *named, bar]
    for number, (left, right, y) in enumerate(texts):
        assert right <= sheet.width + 0.2
        for other_left, other_right, other_y in texts[:number]:
            assert abs(y - other_y) >= 10 or right <= other_left or other_right <= left


def test_on_a_phone_millimetres_are_said_once_and_a_text_keeps_between_its_lines():
    found = bench_figure("b", "Bench", draw(make(shipped()["slab-bench"], {})), metric, units.System.METRIC)
    assert [title.text for title in found.narrow.titles][-1] == "sizes in mm"
    assert not any("mm" in line.text for line in found.narrow.dimensions)
    assert all(line.text.endswith("mm") or "vise" in line.text for line in found.wide.dimensions)
    for line in found.narrow.dimensions:
        ends = re.match(r"M([\d.]+) [\d.]+V[\d.]+M([\d.]+) ", line.path)
        if ends and line.anchor == "middle" and not line.turned:
            assert len(line.text) * 6.6 <= float(ends[2]) - float(ends[1])


@pytest.mark.parametrize("word", sorted(shipped()))
def test_that_sizes_are_in_millimetres_stands_under_every_line(word):
    sheet = bench_figure("b", word, draw(make(shipped()[word], {})), metric, units.System.METRIC).narrow
    lowest = max(float(end) for line in sheet.dimensions for end in re.findall(r"V([\d.]+)", line.path))
    note = sheet.titles[-1]
    assert lowest <= note.y - 11
    assert note.y < sheet.height
