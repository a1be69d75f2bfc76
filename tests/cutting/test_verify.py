import ast
import dataclasses
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from journal.cutting import boards, certify, verify
from journal.cutting.problem import CuttingPlan
from journal.cutting.verify import Balance, replay
from journal.errors import NoSolution
from journal.units import inches
from tests.cutting.problems import blank, problem, problems, saw, stock

RULES = saw(kerf="1/8", trim="1/2", extra="3", edge="1/8")


@pytest.fixture
def job():
    stocks = [stock(), stock("2x8-16", "192", 1798), stock("oak-8", family="oak"), stock("thin-8", thickness="1")]
    return problem(stocks, [blank("leg", "31", 5), blank("rail", "52", 3, width="2")], RULES)


@pytest.fixture
def result(job):
    return boards.plan(job)


def with_board(result, place, **changes):
    cut = list(result.plan.boards)
    cut[place] = dataclasses.replace(cut[place], **changes)
    return dataclasses.replace(result, plan=CuttingPlan(tuple(cut)))


def with_segment(result, **changes):
    first, *others = result.plan.boards[0].segments
    return with_board(result, 0, segments=(dataclasses.replace(first, **changes), *others))


def faults(job, result):
    return "; ".join(replay(job, result).faults)


def test_the_plan_as_made_has_no_fault(job, result):
    assert faults(job, result) == ""


def test_the_areas_of_one_board_worked_by_hand():
    # 96 × 7¼ in board, ½ in trims, one segment of 40 + 3 in, one strip of 3½ in, ⅛ in kerfs and edge allowance.
    job = problem([stock()], [blank(length="40")], RULES)
    unit = inches("1/8") ** 2  # all sizes below in eighths of an inch
    expected = Balance(
        board=768 * 58 * unit,
        blanks=320 * 28 * unit,
        allowances=(24 * 28 + 344 * 1) * unit,  # the segment's 3 in on the strip, the edge allowance along it
        kerf=(58 + 344) * unit,  # one crosscut, one rip
        trims=2 * 4 * 58 * unit,
        offcuts=((768 - 8 - 344 - 1) * 58 + 344 * (58 - 1 - 28 - 1)) * unit,
    )
    found = replay(job, boards.plan(job))
    assert found.balance == expected
    assert found.boards == (expected,)


def test_strips_are_placed_with_trim_kerf_and_edge_between():
    job = problem([stock()], [blank(length="40", quantity=4)], RULES)
    strips = replay(job, boards.plan(job)).strips
    corners = [(strip.along, strip.across) for strip in strips]
    first, second = inches("1/2"), inches("1/2") + inches("43 1/8")
    low, high = inches("1/8"), inches("3 3/4")
    assert corners == [(first, low), (first, high), (second, low), (second, high)]


def test_a_dropped_strip_is_found(job, result):
    segment = result.plan.boards[0].segments[0]
    assert "cut, " in faults(job, with_segment(result, blanks=segment.blanks[:-1]))


def test_a_dropped_board_is_found(job, result):
    shorter = dataclasses.replace(result, plan=CuttingPlan(result.plan.boards[1:]))
    assert "wanted" in faults(job, shorter)


def test_a_strip_too_many_passes_the_edge(job, result):
    segment = result.plan.boards[0].segments[0]
    assert "pass the edge" in faults(job, with_segment(result, blanks=segment.blanks * 3))


def test_a_longer_segment_is_found(job, result):
    segment = result.plan.boards[0].segments[0]
    assert "should be" in faults(job, with_segment(result, length=segment.length + 1))


def test_a_segment_too_many_passes_the_far_trim(job, result):
    segments = result.plan.boards[0].segments
    assert "pass the far trim" in faults(job, with_board(result, 0, segments=segments * 4))


def test_another_stock_is_found_by_family_thickness_and_cost(job, result):
    assert "may not come from oak" in faults(job, with_board(result, 0, stock_id="oak-8"))
    assert "thicker than the board" in faults(job, with_board(result, 0, stock_id="thin-8"))
    used = result.plan.boards[0].stock_id
    other = "2x8-16" if used == "2x8-8" else "2x8-8"
    assert "boards cost" in faults(job, with_board(result, 0, stock_id=other))
    assert "no stock ash" in faults(job, with_board(result, 0, stock_id="ash"))


def test_an_unknown_blank_and_an_empty_segment_are_found(job, result):
    assert "no blank knob" in faults(job, with_segment(result, blanks=("knob",)))
    assert "without strips" in faults(job, with_segment(result, blanks=()))
    assert "has no segments" in faults(job, with_board(result, 0, segments=()))


def test_more_boards_than_there_are_is_found(job, result):
    limited = dataclasses.replace(job, stock=tuple(dataclasses.replace(one, available=0) for one in job.stock))
    assert "0 available" in faults(limited, result)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"cost_cents": 1}, "boards cost"),
        ({"shopping": ()}, "shopping list"),
        ({"from_rack": (("2x8-8", 1),)}, "list from the rack"),
        ({"offcuts": ()}, "offcuts listed"),
        ({"gap": 0.5}, "gap does not follow"),
        ({"certified_cents": 10**6}, "certificate bears"),
        ({"certified_cents": 10**6}, "certified bound is above"),
        ({"bound_kind": "solver"}, "bound is not solver"),
        ({"bound_cents": 10**7}, "bound is above the cost"),
    ],
)
def test_a_wrong_figure_beside_the_plan_is_found(job, result, changes, words):
    assert words in faults(job, dataclasses.replace(result, **changes))


def test_optimal_may_be_said_only_when_the_bound_meets_the_cost(job, result):
    other = "feasible" if result.status == "optimal" else "optimal"
    assert f"status {other}" in faults(job, dataclasses.replace(result, status=other))


def test_a_segment_on_a_stretch_that_is_not_there_is_found(job, result):
    assert "stretch that is not there" in faults(job, with_segment(result, stretch=1))


def test_segments_moved_to_the_shorter_stretch_pass_its_end():
    # By hand: a knot from 40 to 42 in leaves stretches of 40 and 54 in.
    knotty = stock("rack", cut_outs=((inches(40), inches(42)),), available=1, on_hand=True)
    job = problem([knotty], [blank("long", "50", width="7"), blank("short", "38", width="7")])
    result = boards.plan(job)
    swapped = sorted(
        (dataclasses.replace(one, stretch=1 - one.stretch) for one in result.plan.boards[0].segments),
        key=lambda one: one.stretch,
    )
    assert f"pass the far trim by {inches(10)}" in faults(job, with_board(result, 0, segments=tuple(swapped)))


def test_a_blank_turned_against_its_grain_is_found(job, result):
    assert "may not be turned" in faults(job, with_segment(result, turned=(0,)))


def test_a_board_cut_crosswise_that_is_no_sheet_is_found(job, result):
    assert "no sheet to be cut crosswise" in faults(job, with_board(result, 0, crosswise=True))


def test_a_board_too_long_to_carry_is_found(job, result):
    carried = dataclasses.replace(job, longest=inches(90))
    assert "longer than can be carried" in faults(carried, result)


def test_a_wider_kerf_than_planned_with_is_found():
    # By hand: two strips of 3½ in with ⅛ in edge and kerf are 7¼ in, the whole width.
    job = problem([stock()], [blank(length="92", quantity=2)], RULES)
    wider = dataclasses.replace(job, rules=dataclasses.replace(RULES, kerf_rip=RULES.kerf_rip + 1))
    assert "pass the edge by 1" in faults(wider, boards.plan(job))


@settings(deadline=None, max_examples=80)
@given(job=problems(extras=True), data=st.data())
def test_a_cut_shifted_by_one_unit_is_found(job, data):
    try:
        result = boards.plan(job)
    except NoSolution:
        return
    place = data.draw(st.integers(0, len(result.plan.boards) - 1))
    segments = list(result.plan.boards[place].segments)
    number = data.draw(st.integers(0, len(segments) - 1))
    shifted = segments[number].length + data.draw(st.sampled_from([-1, 1]))
    segments[number] = dataclasses.replace(segments[number], length=shifted)
    assert "should be" in faults(job, with_board(result, place, segments=tuple(segments)))


@settings(deadline=None, max_examples=80)
@given(job=problems(extras=True))
def test_material_in_is_material_out_on_every_board_to_the_unit(job):
    try:
        result = boards.plan(job)
    except NoSolution:
        return
    found = replay(job, result)
    stocks = {one.id: one for one in job.stock}
    for cut, one in zip(result.plan.boards, found.boards, strict=True):
        assert one.board == stocks[cut.stock_id].length * stocks[cut.stock_id].width
        assert one.board == one.blanks + one.allowances + one.kerf + one.trims + one.cut_outs + one.offcuts
        assert min(one.blanks, one.allowances, one.kerf, one.trims, one.cut_outs, one.offcuts) >= 0
    assert found.balance.blanks == sum(one.length * one.width * one.pieces for one in job.blanks)


@settings(deadline=None, max_examples=80)
@given(job=problems(), data=st.data())
def test_any_strip_taken_out_or_put_in_twice_is_found(job, data):
    try:
        result = boards.plan(job)
    except NoSolution:
        return
    place = data.draw(st.integers(0, len(result.plan.boards) - 1))
    board = result.plan.boards[place]
    number = data.draw(st.integers(0, len(board.segments) - 1))
    names = board.segments[number].blanks
    changed = names[1:] if data.draw(st.booleans()) else (*names, names[-1])
    segments = list(board.segments)
    segments[number] = dataclasses.replace(segments[number], blanks=changed)
    assert replay(job, with_board(result, place, segments=tuple(segments))).faults


@pytest.mark.parametrize(
    ("module", "allowed"), [(verify, {"answer", "certify", "problem"}), (certify, {"answer", "problem"})]
)
def test_the_replay_imports_nothing_of_the_search(module, allowed):
    tree = ast.parse(Path(module.__file__).read_text(encoding="utf-8"))
    modules = {node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    ours = {name.removeprefix("journal.cutting.") for name in modules if name.startswith("journal")}
    assert ours <= allowed
    assert not any(isinstance(node, ast.Import) for node in ast.walk(tree))
