import dataclasses

import pytest
from journal import cutting
from journal.cutting.panels import sheet_problem
from journal.cutting.problem import Search
from journal.cutting.verify import replay
from journal.errors import BadInput, NoSolution
from journal.units import inches
from tests.cutting.problems import blank, stock

SHEET = stock("ply", "96", 6000, width="48", thickness="3/4", family="plywood")


def panel(name="panel", length="24", quantity=1, *, width="24", **more):
    made = blank(name, length, quantity, width=width, thickness="3/4", families=frozenset({"plywood"}))
    return dataclasses.replace(made, **more)


def sheets(blanks, *, stocks=(SHEET,), kerf="1/8", trim="0"):
    return sheet_problem(stocks, blanks, kerf=inches(kerf), edge_trim=inches(trim))


def count(job):
    return len(cutting.plan(job, Search(seconds=10)).plan.boards)


@pytest.mark.parametrize(("width", "expected"), [("23 15/16", 1), ("24", 2)])
def test_the_kerf_decides_how_many_fit_a_sheet(width, expected):
    # By hand: 2 × 23 15/16 + ⅛ = 48 in; 4 × 23 29/32 + 3 × ⅛ = 96 in.
    assert count(sheets([panel(length="23 29/32", width=width, quantity=8)])) == expected


def test_the_other_way_to_cut_first_is_found():
    # By hand: cut first along the sheet, strips of 30 and 18 in; the 18-in strip gives lengths of 40 and 56 in, the other
    # 96 in, which no crosscut first allows.
    pieces = [panel("long", "96", width="30"), panel("a", "40", width="18"), panel("b", "56", width="18")]
    result = cutting.plan(sheets(pieces, kerf="0"))
    assert (len(result.plan.boards), result.plan.boards[0].crosswise, result.status) == (1, True, "optimal")


@pytest.mark.parametrize(("may_turn", "expected"), [(True, 1), (False, 2)])
def test_a_blank_without_grain_is_turned_when_that_saves_a_sheet(may_turn, expected):
    # By hand: two of 48 × 60 in and 36 in left for one of 36 × 48 in only when it is turned.
    pieces = [panel("a", "60", width="48"), panel("b", "48", width="36", may_turn=may_turn)]
    assert count(sheets(pieces, kerf="0")) == expected


def test_edges_are_trimmed_on_all_four_sides():
    # By hand: ½ in off each edge leaves 95 × 47 in.
    assert count(sheets([panel(length="95", width="47")], trim="1/2")) == 1
    with pytest.raises(NoSolution, match="too wide"):
        cutting.plan(sheets([panel(length="95", width="47 1/16")], trim="1/2"))


def test_an_offcut_piece_goes_first_and_is_listed_apart():
    piece = stock("piece", "40", 0, width="30", thickness="3/4", family="plywood", available=1, on_hand=True)
    # By hand: with ⅛ in kerfs a sheet gives one across and three along, the piece one.
    result = cutting.plan(sheets([panel(quantity=7)], stocks=(SHEET, piece)))
    assert (result.from_rack, result.shopping) == ((("piece", 1),), (("ply", 2),))


def test_strips_lie_inside_the_sheet_and_apart_from_each_other():
    pieces = [panel(f"p{n}", 11 + 5 * n, 3, width=9 + 4 * (n % 4), may_turn=n % 2 == 0) for n in range(6)]
    job = sheets(pieces, trim="1/4")
    plan = cutting.plan(job)
    strips = replay(job, plan).strips
    low, high = inches("1/4"), {False: inches("95 3/4"), True: inches("47 3/4")}
    for strip in strips:
        # Along the first cuts' direction both edges are trimmed; across it both trims are taken off the first edge.
        crosswise = plan.plan.boards[strip.board].crosswise
        along, length, across, width = strip.along, strip.length, strip.across, strip.width
        if crosswise:
            along, length, across, width = across, width, along, length
        assert low <= along <= along + length <= high[crosswise]
        assert 2 * low <= across <= across + width <= inches(96 if crosswise else 48)
    for number, one in enumerate(strips):
        for other in strips[:number]:
            if one.board == other.board:
                apart = (
                    max(one.along, other.along) - min(one.along + one.length, other.along + other.length),
                    max(one.across, other.across) - min(one.across + one.width, other.across + other.width),
                )
                assert max(apart) >= inches("1/8")


def test_a_cut_out_on_a_sheet_is_refused():
    with pytest.raises(BadInput, match="cut-outs"):
        sheets([panel()], stocks=(dataclasses.replace(SHEET, cut_outs=((0, inches(9)),)),))
