"""Options: changes put on a part list, and what they change, line by line, on the same luck."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.build.parts import Feature
from journal.errors import BadInput
from journal.quote.options import Changes, changed_parts, compare, dearer
from tests.build.benches import bench, part
from tests.quote.commissions import RATES, SUPPLIES, make, takeoff

LISTED = tuple(replace(one, uid=f"u{at}") for at, one in enumerate(bench()))
UIDS = tuple(one.uid for one in LISTED)
SHELF = replace(LISTED[0], label="An odd shelf", uid="", quantity=1)
BASE = make()

changes = st.builds(
    Changes,
    left_out=st.frozensets(st.sampled_from((*UIDS[1:], "gone"))),
    features=st.dictionaries(st.sampled_from(UIDS), st.sampled_from([(), (Feature("hole", 3),)])),
    stocks=st.dictionaries(st.sampled_from([one.stock for one in LISTED]), st.sampled_from(["oak", "elm"])),
    added=st.sampled_from([(), (SHELF,)]),
)


def test_without_changes_a_list_is_what_it_was():
    assert changed_parts(LISTED, Changes()) == LISTED
    assert Changes().nothing
    assert not Changes(coats=0).nothing


def test_parts_are_swapped_left_out_fitted_otherwise_and_added():
    first, second, *others = LISTED
    asked = Changes(
        stocks={first.stock: "8/4 elm"},
        left_out=frozenset({second.uid}),
        features={first.uid: (Feature("hole", 3),)},
        added=(SHELF,),
    )
    found = changed_parts(LISTED, asked)
    assert (found[0].stock, found[0].features, found[0].uid) == ("8/4 elm", (Feature("hole", 3),), first.uid)
    assert [one.label for one in found] == [first.label, *(one.label for one in others), "An odd shelf"]
    assert all(one.stock != first.stock for one in found[:-1])


@given(changes)
def test_put_on_a_second_time_they_do_nothing_more(asked):
    once = changed_parts(LISTED, asked)
    assert changed_parts(once, asked) == once


def test_changes_of_parts_that_are_gone_have_no_effect():
    gone = Changes(left_out=frozenset({"gone"}), features={"gone": ()}, stocks={"a stock nobody has": "oak"})
    assert changed_parts(LISTED, gone) == LISTED


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"benches": 0}, "benches"),
        ({"benches": 1_001}, "benches"),
        ({"coats": -1}, "coats"),
        ({"coats": 21}, "coats"),
        ({"stocks": {"2x6": "2x8", "2x8": "oak"}}, "stock"),
    ],
)
def test_changes_that_make_no_sense_are_refused(wrong, field):
    with pytest.raises(BadInput) as refused:
        Changes(**wrong)
    assert refused.value.field == field


def test_something_must_be_left_to_build():
    with pytest.raises(BadInput, match="at least one part"):
        changed_parts(LISTED, Changes(left_out=frozenset(UIDS)))


def test_an_option_that_is_the_same_differs_in_nothing_in_no_draw():
    same = make()
    assert np.array_equal(same.cost_draws, BASE.cost_draws)
    found = dearer(BASE, same)
    assert (found.mean, found.spread.p10, found.spread.p90, found.chance) == (0, 0, 0, 0)
    assert not any(line.differs for line in compare(BASE, [same]))


def test_dearer_finish_is_dearer_in_every_draw():
    other = make(supplies=replace(SUPPLIES, finish=replace(SUPPLIES.finish, price_cents=6_400)))
    found = dearer(BASE, other)
    assert found.chance == 1
    assert 0 < found.spread.p10 < found.mean < found.spread.p90


def test_one_part_more_moves_the_cost_by_far_less_than_its_own_range():
    """Without common draws the difference of two costs would scatter more than either cost."""
    more = make(takeoff((*bench(), part(label="One more"))))
    found, own = dearer(BASE, more), BASE.cost.at(0.9) - BASE.cost.at(0.1)
    assert found.spread.p90 - found.spread.p10 < own / 3
    apart = make(takeoff((*bench(), part(label="One more"))), seed=8)
    by_luck = np.quantile(apart.cost_draws - BASE.cost_draws, (0.1, 0.9))
    assert by_luck[1] - by_luck[0] > own


def test_options_thrown_otherwise_are_not_compared():
    with pytest.raises(BadInput):
        dearer(BASE, make(seed=8))


def test_the_money_lines_add_up_to_the_price_in_every_column():
    others = [make(takeoff(benches=2)), None, make(rates=replace(RATES, margin=0.3))]
    lines = compare(BASE, others)
    money = [line for line in lines if line.unit == "cents"]
    *parts, price = money
    assert price.name == "Price"
    for column, made in enumerate([BASE, *others]):
        if made is None:
            assert all(line.values[column] is None for line in lines)
        else:
            assert sum(line.values[column] for line in parts) == price.values[column] == made.price_cents


def test_differences_are_against_the_project():
    twice = make(takeoff(benches=2))
    price = next(line for line in compare(BASE, [twice, None]) if line.name == "Price")
    assert price.differences == (twice.price_cents - BASE.price_cents, None)
    assert price.differs


def test_a_finish_by_another_name_stays_on_its_line():
    other = make(supplies=replace(SUPPLIES, finish=replace(SUPPLIES.finish, code="varnish, litre", price_cents=9_900)))
    names = [line.name for line in compare(BASE, [other])]
    assert names.count("Finish") == 1
    assert len(names) == len(set(names))


def test_a_line_that_only_an_option_has_is_nothing_in_the_project():
    fitted = make(takeoff((*bench(), part(label="Jaw", features=(Feature("vise", 1),)))))
    bare = make(takeoff([replace(one, features=()) for one in bench()]))
    hardware = next(line for line in compare(bare, [fitted]) if line.name == "Hardware")
    assert hardware.values[0] == 0
    assert hardware.differences[0] >= 12_900
