"""Which state may follow which."""

from itertools import pairwise

import pytest
from journal.desk.life import AGREED, MAY_QUOTE, STEPS, Ask, step_to, steps_from
from journal.errors import BadInput
from journal.records.words import ProjectState


def ends(state, held_from=None):
    return {step.end for step in steps_from(state, held_from)}


def test_the_straight_way_leads_from_enquiry_to_closed():
    way = ["quoted", "accepted", "in_build", "delivered", "closed"]
    for start, end in pairwise(way):
        assert step_to(ProjectState(start), ProjectState(end)).end == end


def test_a_move_is_listed_once_and_leads_somewhere_else():
    pairs = [(step.start, step.end) for step in STEPS]
    assert len(pairs) == len(set(pairs))
    assert all(start is not end for start, end in pairs)


def test_every_state_can_be_left_and_reached():
    assert {step.start for step in STEPS} == set(ProjectState)
    # Only issuing a quote makes a project quoted, so no move but the one back from hold leads there.
    assert {step.end for step in STEPS} == set(ProjectState)
    assert [step.start for step in STEPS if step.end is ProjectState.QUOTED] == [ProjectState.ON_HOLD]


def test_from_anywhere_there_is_a_way_to_an_end():
    reached = {ProjectState.CLOSED, ProjectState.DECLINED}
    for _ in ProjectState:
        reached |= {step.start for step in STEPS if step.end in reached}
    assert reached == set(ProjectState)


@pytest.mark.parametrize(
    ("start", "end"),
    [
        ("enquiry", "delivered"),
        ("declined", "in_build"),
        ("closed", "in_build"),
        ("delivered", "accepted"),
        ("cancelled", "accepted"),
        ("in_build", "declined"),
        ("accepted", "quoted"),
    ],
)
def test_what_makes_no_sense_is_refused_naming_what_does(start, end):
    with pytest.raises(BadInput, match="one of"):
        step_to(ProjectState(start), ProjectState(end))


def test_what_was_put_on_hold_goes_back_to_where_it_was():
    held = ProjectState.ON_HOLD
    assert ends(held, ProjectState.IN_BUILD) == {ProjectState.IN_BUILD, ProjectState.CANCELLED}
    assert ends(held, ProjectState.QUOTED) == {ProjectState.QUOTED, ProjectState.DECLINED}
    assert ends(held) > ends(held, ProjectState.ACCEPTED)  # not known: the maker says it


def test_why_and_the_deposit_are_asked_where_they_matter():
    assert all(Ask.WHY in step.asks for step in STEPS if step.end in ("declined", "cancelled", "on_hold"))
    assert all(Ask.DEPOSIT in step.asks for step in STEPS if step.end == "cancelled")
    agreeing = [step for step in STEPS if step.end == "accepted" and step.start != "on_hold"]
    assert all(step.asks == (Ask.AGREED,) for step in agreeing)


def test_at_most_one_move_is_the_usual_one_and_it_stands_first():
    for state in set(ProjectState) - {ProjectState.ON_HOLD}:
        usual = [step.usual for step in steps_from(state)]
        assert sum(usual) <= 1
        assert usual == sorted(usual, reverse=True)


def test_a_quote_is_for_what_is_not_agreed():
    assert not {ProjectState.ACCEPTED, ProjectState.IN_BUILD, ProjectState.DELIVERED} & set(MAY_QUOTE)
    assert set(AGREED) & set(MAY_QUOTE) <= {ProjectState.ON_HOLD}
