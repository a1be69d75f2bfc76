"""Every shipped design, at its smallest, usual and largest and in between: a plan whose quantities reconcile.

Material in = parts + milling loss + kerf + trims + offcuts; every strip is glued once; every step's precedence holds.
"""

from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from journal.build.clamping_check import faults
from journal.build.design_parts import make_parts
from journal.build.stock import Sheet
from journal.cutting.verify import replay
from journal.desk.designs import woods
from journal.desk.edited_work import steps_of
from journal.desk.shop import Work, start_shop
from journal.quote.takeoff import board_problem, take_off
from tests.build.designs import at_end, choices, shipped
from tests.build.test_order import out_of_order

WORDS = sorted(shipped())
SHOP = start_shop()
RULES = SHOP.rules(Work())


@cache
def book():
    return SHOP.book()


def check(design, chosen):
    taken = take_off(make_parts(design, chosen), book(), RULES)
    for bill in taken.bills:
        if bill.cutting is not None:
            check_material(taken, bill)
    check_glue(taken)
    check_steps(taken)


def check_material(taken, bill):
    """To the square nanometre by stock; a part is never more than the blanks it is milled from."""
    mine = [milled for milled in taken.milled if milled.stock == bill.stock]
    problem = board_problem(bill.stock, mine, RULES.milling)
    cut = replay(problem, bill.cutting)
    assert cut.faults == ()
    area = cut.balance
    assert area.board == area.blanks + area.allowances + area.kerf + area.trims + area.cut_outs + area.offcuts
    assert area.blanks == sum(m.blanks * m.blank_width_nm * m.blank_length_nm for m in mine)
    thickness = bill.stock.thickness_nm
    parts_nm3 = sum(m.pieces * m.part.volume_nm3 for m in mine)
    if isinstance(bill.stock, Sheet):
        parts_nm3 = sum(m.pieces * m.part.width_nm * m.part.length_nm * thickness for m in mine)
    milled_off = area.blanks * thickness - parts_nm3
    assert milled_off >= 0
    wasted = (area.allowances + area.kerf + area.trims + area.cut_outs + area.offcuts) * thickness
    assert area.board * thickness == parts_nm3 + milled_off + wasted
    assert sum(purchase.count - purchase.spares for purchase in bill.purchases) == len(bill.cutting.plan.boards)


def check_glue(taken):
    """Each of N strips meets the rest at N − 1 lines, and each way of gluing keeps its limits."""
    lines = {milled.part.label: 0 for milled in taken.milled if milled.glued}
    for up in taken.gluing.ups:
        lines[up.part] += up.times * up.lines
    for lamination in taken.gluing.laminations:
        (milled,) = [one for one in taken.milled if one.part.label == lamination.part]
        assert lines.pop(lamination.part) == lamination.pieces * (milled.strips - 1)
        assert milled.blanks == lamination.pieces * milled.strips
        if lamination.division is None:
            assert lamination.trouble.startswith(f"{lamination.part}: ")
        else:
            assert faults(lamination.division, RULES.clamping) == ()
            assert sum(lamination.division.sections) == milled.strips
    assert lines == {}


def check_steps(taken):
    plan = steps_of(taken, SHOP, Work())
    assert out_of_order(plan) == []
    for task in taken.tasks:
        works = [work for step in plan.steps for work in step.works if work.code == task.code]
        assert sum(work.quantity for work in works) == pytest.approx(task.quantity)
        assert sum(work.setups for work in works) == task.setups


@pytest.mark.parametrize("word", WORDS)
@pytest.mark.parametrize("end", ["low", "default", "high"])
def test_at_its_ends_a_design_gives_a_plan_that_reconciles(word, end):
    design = shipped()[word]
    check(design, at_end(design, end) if end != "default" else {})


@pytest.mark.parametrize("word", WORDS)
@settings(max_examples=20)
@given(data=st.data())
def test_anywhere_between_it_does_too(word, data):
    design = shipped()[word]
    check(design, data.draw(choices(design, ("", *woods(SHOP)))))
