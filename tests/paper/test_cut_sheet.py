"""The cut sheet: everything inside its board, to scale, each blank once; the same on the page and on paper."""

import io
import re
from collections import Counter
from dataclasses import replace
from datetime import date
from xml.etree import ElementTree as ET

import pytest
from hypothesis import assume, given, settings
from journal import cutting, units
from journal.cutting.problem import BoardCut, CuttingPlan, Offcut, Segment
from journal.cutting.verify import replay
from journal.errors import BadInput, NoSolution
from journal.paper.cut_sheet import NARROW, WIDE, lay_out, letter
from journal.paper.print import CutSheetPaper, StockSheet, cut_sheet_pdf
from journal.paper.svg import board_svg, describe
from journal.quote.rack_stock import KEEP_LENGTH_NM, KEEP_WIDTH_NM
from journal.units import System, inches
from pypdf import PdfReader
from tests.cutting.problems import blank, problem, problems, saw, stock

SVG = "{http://www.w3.org/2000/svg}"
NEAR = 1e-6


@pytest.fixture
def bench():
    """Two kinds of strips from two lengths; a wide piece is left of the last board."""
    rules = saw(kerf="1/8", trim="1/2", extra="3", edge="1/4")
    wanted = [blank("Leg <front> & back", "31", 5, width="3"), blank("Rail", "60", 3, width="1 1/2")]
    return problem([stock(), stock("2x8-12", "144", 1242)], wanted, rules)


def sheet_of(given_problem, **more):
    return lay_out(given_problem, cutting.plan(given_problem), system=System.INCH, **more)


@given(problems(extras=True))
@settings(max_examples=80)
def test_every_piece_lies_on_its_board_to_scale_and_every_blank_is_drawn_once(drawn):
    try:
        result = cutting.plan(drawn)
    except NoSolution:
        assume(False)
    sheet = lay_out(drawn, result, system=System.INCH)
    stocks = {one.id: one for one in drawn.stock}
    longest = max(stocks[board.stock_id].length for board in result.plan.boards)
    along = (WIDE - 2) / longest
    across = along * sheet.times
    names = Counter()
    offcuts = Counter()
    for row, board in zip(sheet.boards, result.plan.boards, strict=True):
        of = stocks[board.stock_id]
        assert row.long == pytest.approx(of.length * along)
        assert row.high == pytest.approx(of.width * across)
        assert row.x + row.long <= row.width
        assert row.y + row.high <= row.height
        for piece in row.pieces:
            assert row.x - NEAR <= piece.x <= piece.x + piece.width <= row.x + row.long + NEAR
            assert row.y - NEAR <= piece.y <= piece.y + piece.height <= row.y + row.high + NEAR
            size = round(piece.width / along), round(piece.height / across)
            if piece.kind == "strip":
                names[piece.name.split(",")[0].split(" ", 1)[1]] += 1
            else:
                offcuts[row.number - 1, size[1], size[0]] += 1
        assert not any(_overlap(one, other) for i, one in enumerate(row.pieces) for other in row.pieces[:i])
    assert names == {one.id: one.pieces for one in drawn.blanks}
    assert offcuts == Counter((left.board, left.width, left.length) for left in result.offcuts)


def _overlap(one, other):
    return (
        min(one.x + one.width, other.x + other.width) - max(one.x, other.x) > NEAR
        and min(one.y + one.height, other.y + other.height) - max(one.y, other.y) > NEAR
    )


def test_strips_are_numbered_through_by_part(bench):
    sheet = sheet_of(bench)
    cut = [name for row in sheet.boards for step in row.steps for name, _ in step.strips]
    assert sorted(cut) == ["A1", "A2", "A3", "A4", "A5", "B1", "B2", "B3"]
    assert [(one.letter, one.part, one.pieces) for one in sheet.parts] == [
        ("A", "Leg <front> & back", 5),
        ("B", "Rail", 3),
    ]


def test_segments_follow_one_another_with_a_kerf_between(bench):
    sheet = sheet_of(bench)
    per_nm = (WIDE - 2) / inches(144) if any("2x8-12" in row.title for row in sheet.boards) else (WIDE - 2) / inches(96)
    for row in sheet.boards:
        lefts = sorted({round((p.x - row.x) / per_nm) for p in row.pieces if p.kind == "strip"})
        assert lefts[0] == pytest.approx(inches("1/2"), abs=2)
        told = [units.parse_length(step.length) for step in row.steps]
        for place, length_nm, following in zip(lefts, told, lefts[1:], strict=False):
            assert following - place == pytest.approx(length_nm + inches("1/8"), abs=4)


def test_offcuts_worth_keeping_have_names_and_the_rest_is_scrap(bench):
    sheet = sheet_of(bench)
    assert sheet.offcuts
    assert [one.name for one in sheet.offcuts] == [f"R{n}" for n in range(1, len(sheet.offcuts) + 1)]
    assert all(one.length_nm >= KEEP_LENGTH_NM and one.width_nm >= KEEP_WIDTH_NM for one in sheet.offcuts)
    told = [step.left for row in sheet.boards for step in row.steps] + [row.rest for row in sheet.boards]
    assert [left.split(",")[0] for left in sorted(filter(None, told))] == sorted(one.name for one in sheet.offcuts)


def test_the_balance_adds_up_to_the_boards(bench):
    sheet = sheet_of(bench)
    assert sum(share for _, share, _ in sheet.balance) == pytest.approx(1)
    boards = sum(inches(96 if "2x8-8" in row.title else 144) * inches("7 1/4") for row in sheet.boards)
    assert sum(area for _, _, area in sheet.balance) == boards


def test_narrow_strips_are_drawn_high_enough_to_read_on_a_narrow_page(bench):
    wide, narrow = sheet_of(bench), sheet_of(bench, width=NARROW)
    assert narrow.times > wide.times >= 1
    assert all(p.label for row in narrow.boards for p in row.pieces if p.kind == "strip")


def test_lengths_are_written_in_the_shops_units(bench):
    metric = lay_out(bench, cutting.plan(bench), system=System.METRIC)
    assert all(step.length.endswith(" mm") for row in metric.boards for step in row.steps)


def test_a_sheet_cut_first_along_its_length_is_drawn_as_it_lies():
    # Two 20 × 90 in pieces with the grain, one over the other: the cut between them runs along the sheet.
    sheets = [stock("ply", "96", 5000, width="48", thickness="3/4", either_way=True)]
    of = problem(sheets, [blank("side", "90", 2, width="20", thickness="3/4")], saw(kerf="1/8", trim="1/4", edge="1/2"))
    result = cutting.plan(of)
    segments = tuple(Segment(inches(20), ("side",)) for _ in range(2))
    crosswise = replace(result, plan=CuttingPlan((BoardCut("ply", segments, crosswise=True),)))
    walked = replay(of, crosswise)
    left = [
        Offcut(0, "ply", inches("3/4"), inches(20), inches(96) - inches("1/2") - inches(90) - inches("1/8")),
        Offcut(
            0, "ply", inches("3/4"), inches(48) - 2 * inches("1/4") - 2 * inches(20) - 2 * inches("1/8"), inches(96)
        ),
    ]
    crosswise = replace(crosswise, offcuts=(left[0], left[0], left[1]))
    assert walked.strips
    sheet = lay_out(of, crosswise, system=System.INCH, piece="sheet")
    (row,) = sheet.boards
    strips = [piece for piece in row.pieces if piece.kind == "strip"]
    assert strips[0].x == strips[1].x
    assert strips[0].y < strips[1].y
    assert all(piece.width > 4 * piece.height for piece in strips)
    assert "first cuts along its length" in row.title
    assert [step.length for step in row.steps] == ["20 in", "20 in"]


def test_letters_leave_out_those_that_read_as_figures():
    assert [letter(place) for place in (0, 7, 8, 12, 13, 23, 24, 24 + 24 * 24)] == [
        *("A", "H", "J", "N", "P", "Z", "AA", "AAA"),
    ]
    many = [letter(place) for place in range(2000)]
    assert len(set(many)) == 2000
    assert not set("".join(many)) & set("IO")


def test_a_plan_for_other_parts_is_refused(bench):
    other = problem([stock(), stock("2x8-12", "144", 1242)], [blank("Rail", "60", 4, width="1 1/2")], bench.rules)
    with pytest.raises(BadInput, match="cut as it stands"):
        lay_out(other, cutting.plan(bench), system=System.INCH)


@pytest.mark.parametrize("printed", [False, True])
def test_the_drawing_is_well_formed_told_in_words_and_its_texts_are_escaped(bench, printed):
    for row in sheet_of(bench).boards:
        drawn = ET.fromstring(board_svg(row, f"b{row.number}", printed=printed))  # noqa: S314 - our own
        assert drawn.find(f"{SVG}title").text == row.title
        assert drawn.find(f"{SVG}desc").text == describe(row)
        assert len(drawn.findall(f"{SVG}rect")) == 1 + len(row.pieces)
        assert (drawn.find(f"{SVG}style") is not None) is printed
        ids = {drawn.find(f"{SVG}title").get("id"), drawn.find(f"{SVG}desc").get("id")}
        assert ids == {drawn.get("aria-labelledby"), drawn.get("aria-describedby")}


def _printed(bench, **more):
    fields = {
        "title": "Cut sheet: a bench *of* #many",
        "project": "26-007",
        "day": date(2026, 3, 2),
        "paper": "us-letter",
        "system": System.INCH,
        "denominator": 16,
        "stocks": [StockSheet("2x8 fir", "8 boards.", sheet_of(bench)), StockSheet("2x6 fir", "", sheet_of(bench))],
    }
    return CutSheetPaper(**fields | more)


def test_the_paper_names_every_board_strip_offcut_and_share(bench):
    pages = PdfReader(io.BytesIO(cut_sheet_pdf(_printed(bench)))).pages
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    sheet = sheet_of(bench)
    assert "Cut sheet: a bench *of* #many" in text
    assert "26-007" in text
    assert "2 March 2026" in text
    for row in sheet.boards:
        assert row.title in text
        for step in row.steps:
            assert f"{step.order}. {step.length}:" in text
            assert all(f"{name} {width}" in text for name, width in step.strips)
    for one in sheet.offcuts:
        assert f"{one.name} {one.board}" in text
    for name, share, _ in sheet.balance:
        assert f"{name} {share:.1%}" in text


@pytest.mark.parametrize(("paper", "points"), [("us-letter", (792, 612)), ("a4", (841.89, 595.28))])
def test_the_paper_lies_across_in_the_size_asked_for(bench, paper, points):
    box = PdfReader(io.BytesIO(cut_sheet_pdf(_printed(bench, paper=paper)))).pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(points, abs=0.1)


def test_the_same_plan_prints_the_same_bytes(bench):
    assert cut_sheet_pdf(_printed(bench)) == cut_sheet_pdf(_printed(bench))


def _shapes(page):
    """(width, height) in points of every closed shape of straight lines on a page, through all shifts and scales."""
    found = []
    matrix, kept, points = (1, 0, 0, 1, 0, 0), [], []
    for operands, operator in page.get_contents().operations:
        match operator:
            case b"q":
                kept.append(matrix)
            case b"Q":
                matrix = kept.pop()
            case b"cm":
                matrix = _joined([float(one) for one in operands], matrix)
            case b"m":
                points = [operands]
            case b"l":
                points.append(operands)
            case b"re":
                x, y, long, high = (float(one) for one in operands)
                points = [(x, y), (x + long, y + high)]
            case b"S" | b"s" | b"f" | b"f*" | b"B" | b"b" | b"n":
                a, b, c, d, _, _ = matrix
                across = [a * float(x) + c * float(y) for x, y in points]
                down = [b * float(x) + d * float(y) for x, y in points]
                if operator != b"n" and points:
                    found.append((max(across) - min(across), max(down) - min(down)))
                points = []
    return found


def _joined(inner, outer):
    """One shift and scale after another, as PDF writes them."""
    a, b, c, d, e, f = inner
    p, q, r, s, t, u = outer
    return (a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u)


@pytest.mark.parametrize("paper", ["us-letter", "a4"])
def test_lengths_measured_on_the_paper_are_to_the_scale_that_it_states(bench, paper):
    result = cutting.plan(bench)
    pages = PdfReader(io.BytesIO(cut_sheet_pdf(_printed(bench, paper=paper)))).pages
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    told = re.findall(r"Lengths are drawn 1 to (\d+)(?:, widths (\d+) times as large)?", text)
    assert len(told) == 2  # the same sheet is printed twice
    assert told[0] == told[1]
    one_to, times = (int(one or 1) for one in told[0])
    points = 72 / units.NM_PER_INCH / one_to
    drawn = [shape for page in pages for shape in _shapes(page)]
    stocks = {one.id: one for one in bench.stock}
    due = [(stocks[board.stock_id].length, stocks[board.stock_id].width) for board in result.plan.boards]
    due += [(strip.length, strip.width) for strip in replay(bench, result).strips]
    for length, width in due * 2:
        size = length * points, width * points * times
        shape = min(drawn, key=lambda one: abs(one[0] - size[0]) + abs(one[1] - size[1]))
        assert shape == pytest.approx(size, abs=0.05)
        drawn.remove(shape)
    assert max(length for length, _ in due) * points > 0.9 * 72 * 9  # as large as the paper allows, to a whole number
