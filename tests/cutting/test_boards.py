import dataclasses

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from journal import cutting
from journal.cutting import boards
from journal.cutting.problem import Segment
from journal.cutting.verify import replay
from journal.errors import NoSolution
from journal.units import inches
from tests.cutting.problems import blank, problem, problems, saw, stock


def test_an_eight_foot_two_by_eight_gives_two_strips_of_three_and_a_half():
    # By hand: ⅛ edge + 3½ + ⅛ kerf + 3½ = 7¼ in, the whole width; ½ + (92 + 3) + ½ = 96 in, the whole length.
    job = problem([stock()], [blank(length="92", quantity=2)], saw(kerf="1/8", trim="1/2", extra="3", edge="1/8"))
    result = cutting.plan(job)
    assert [board.segments for board in result.plan.boards] == [(Segment(inches(95), ("strip", "strip")),)]
    assert (result.status, result.cost_cents, result.shopping, result.offcuts) == ("optimal", 828, (("2x8-8", 1),), ())


def test_a_sixty_fourth_more_edge_leaves_one_strip_a_board():
    rules = saw(kerf="1/8", trim="1/2", extra="3", edge="9/64")
    result = cutting.plan(problem([stock()], [blank(length="92", quantity=2)], rules))
    assert result.shopping == (("2x8-8", 2),)
    assert [offcut.width for offcut in result.offcuts] == [inches("7 1/4") - inches("9/64") - inches("3 5/8")] * 2


@pytest.mark.parametrize(("length", "count"), [("31 7/8", 1), ("32", 2)])
def test_kerfs_decide_whether_three_pieces_come_from_ninety_six_inches(length, count):
    # By hand: 3 × 31⅞ + 2 × ⅛ = 95⅞ in; 3 × 32 + 2 × ⅛ = 96¼ in.
    job = problem([stock(width="3 1/2")], [blank(length=length, quantity=3)], saw(kerf="1/8"))
    assert cutting.plan(job).shopping == (("2x8-8", count),)


def test_a_rest_thinner_than_the_kerf_still_lets_the_last_piece_be_cut_free():
    job = problem([stock(width="3 1/2")], [blank(length="95 15/16")], saw(kerf="1/8"))
    assert cutting.plan(job).offcuts == ()


def test_the_cheaper_length_for_the_same_work_is_bought():
    # By hand: a sixteen holds both for 1,798, two eights cost 1,656.
    stocks = [stock(), stock("2x8-16", "192", 1798)]
    result = cutting.plan(problem(stocks, [blank(length="95", quantity=2, width="7")]))
    assert (result.shopping, result.cost_cents) == ((("2x8-8", 2),), 1656)


def test_two_short_boards_are_merged_into_a_cheaper_long_one():
    stocks = [stock(), stock("2x8-16", "192", 1600)]
    result = cutting.plan(problem(stocks, [blank(length="95", quantity=2, width="7")]))
    assert (result.shopping, result.status) == ((("2x8-16", 1),), "optimal")


def test_boards_on_the_rack_go_first_and_are_listed_apart():
    stocks = [stock("rack", price=0, available=1, on_hand=True), stock()]
    result = cutting.plan(problem(stocks, [blank(length="95", quantity=3, width="7")]))
    assert (result.from_rack, result.shopping) == ((("rack", 1),), (("2x8-8", 2),))
    assert result.cost_cents == result.bound_cents == 1656


def test_a_limit_of_stock_is_kept_and_the_rest_comes_from_other_boards():
    stocks = [stock(available=2), stock("2x10-8", price=2000, width="9 1/4")]
    result = cutting.plan(problem(stocks, [blank(length="95", quantity=5, width="7")]))
    assert dict(result.shopping) == {"2x8-8": 2, "2x10-8": 3}


def test_a_blank_of_a_family_that_is_not_there_is_named_with_those_that_are():
    with pytest.raises(NoSolution) as refused:
        cutting.plan(problem([stock()], [blank("other"), blank("rail", families=frozenset({"oak"}))]))
    assert refused.value.what == "blank rail"
    assert "no stock of family oak" in str(refused.value)
    assert "there is stock of fir" in str(refused.value)


def test_the_nearest_stock_is_the_one_named():
    stocks = [stock("short", "60"), stock("nearly", "94"), stock("thin", "120", thickness="3/4")]
    with pytest.raises(NoSolution, match="nearly"):
        cutting.plan(problem(stocks, [blank(length="95")]))


def test_too_few_boards_says_how_many_pieces_are_short():
    with pytest.raises(NoSolution, match="5 are wanted and the boards available yield 4 at most: 1 short"):
        cutting.plan(problem([stock(available=2)], [blank(length="95", quantity=5)]))


def test_too_little_area_over_several_blanks_is_certain():
    pieces = [blank("rail", "95", 2), blank("stile", "90", 2)]
    with pytest.raises(NoSolution, match="too few by area for rail, stile: 1 of the largest short at least"):
        cutting.plan(problem([stock(available=1, width="7")], pieces))


def test_the_same_problem_in_another_order_gives_the_same_plan():
    stocks = [stock(), stock("2x8-10", "120", 1068), stock("2x8-12", "144", 1238)]
    pieces = [blank(f"p{n}", str(20 + 7 * n), n + 1, width=str(2 + n % 3)) for n in range(7)]
    rules = saw(kerf="1/8", trim="1/2", extra="3", edge="1/8")
    assert boards.plan(problem(stocks, pieces, rules)) == boards.plan(problem(stocks[::-1], pieces[::-1], rules))


@settings(deadline=None, max_examples=150)
@given(job=problems())
def test_every_plan_can_be_cut_and_costs_its_bound_at_least(job):
    try:
        result = boards.plan(job)
    except NoSolution:
        assert any(one.available is not None for one in job.stock)
        return
    found = replay(job, result)
    assert found.faults == ()
    assert result.bound_cents <= result.cost_cents
    balance = found.balance
    assert balance.board == balance.blanks + balance.allowances + balance.kerf + balance.trims + balance.offcuts


@settings(deadline=None, max_examples=40)
@given(job=problems(limits=False), factor=st.integers(2, 7))
def test_another_unit_of_length_gives_the_same_money(job, factor):
    larger = dataclasses.replace(
        job,
        stock=tuple(_scaled(one, factor) for one in job.stock),
        blanks=tuple(_scaled(one, factor) for one in job.blanks),
        rules=dataclasses.replace(
            job.rules,
            **{one.name: factor * getattr(job.rules, one.name) for one in dataclasses.fields(job.rules)},
        ),
    )
    assert boards.plan(larger).bound_cents == boards.plan(job).bound_cents


def _scaled(one, factor):
    return dataclasses.replace(
        one, thickness=factor * one.thickness, width=factor * one.width, length=factor * one.length
    )


def test_a_plan_that_fails_its_replay_is_never_handed_out(monkeypatch):
    job = problem([stock()], [blank(quantity=3)])
    honest = boards.plan(job)
    monkeypatch.setattr(boards, "plan", lambda *_: dataclasses.replace(honest, cost_cents=honest.cost_cents - 1))
    with pytest.raises(RuntimeError, match="failed its own check"):
        cutting.plan(job)
