"""The shelf: what is there, whose it is, what it cost; nothing is lost and nothing comes from nowhere."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.errors import BadInput
from journal.quote.shelf import Event, Kind, Used, run

BOUGHT, TAKEN, COUNTED, LEFT, OVER = Kind.BOUGHT, Kind.TAKEN, Kind.COUNTED, Kind.LEFT, Kind.OVER

projects = st.one_of(st.none(), st.integers(1, 3))
amounts = st.integers(0, 5_000)
cents = st.integers(0, 20_000)
events = st.lists(
    st.one_of(
        st.builds(Event, st.just(BOUGHT), st.integers(1, 5_000), projects, cents),
        st.builds(Event, st.just(TAKEN), amounts, projects),
        st.builds(Event, st.just(LEFT), amounts, st.integers(1, 3)),
        st.builds(Event, st.just(OVER), st.just(0), st.integers(1, 3)),
    ),
    max_size=30,
)


def test_what_was_bought_is_there_and_what_was_taken_is_not():
    found = run([Event(BOUGHT, 4_000, cents=3_000), Event(TAKEN, 1_000, 7)])
    assert (found.free, found.free_cents, found.amount) == (3_000, 2_250, 3_000)
    assert found.used[7] == Used(1_000, 750, 0)
    assert found.drawn == {7: (1_000, 750)}


def test_a_project_uses_its_own_first_and_nobody_else_does():
    bought = [Event(BOUGHT, 1_000, cents=1_000), Event(BOUGHT, 500, 7, 800)]
    found = run([*bought, Event(TAKEN, 600, 7), Event(TAKEN, 100, 8)])
    assert found.used[7] == Used(600, 800 + 100, 0)
    assert (found.free, found.own, found.drawn) == (800, {}, {7: (100, 100), 8: (100, 100)})


def test_what_a_project_has_left_is_free_once_it_is_over():
    found = run([Event(BOUGHT, 500, 7, 800), Event(TAKEN, 200, 7), Event(OVER, project_id=7)])
    assert (found.free, found.free_cents, found.own) == (300, 480, {})


def test_what_a_project_says_is_left_leaves_no_more_and_draws_on_nobody_else():
    bought = [Event(BOUGHT, 1_000, cents=1_000), Event(BOUGHT, 400, 7, 800), Event(TAKEN, 300, 7)]
    found = run([*bought, Event(LEFT, 40, 7), Event(OVER, project_id=7)])
    assert (found.free, found.free_cents) == (1_040, 1_080)
    assert (found.used[7], found.drawn) == (Used(360, 720, 0), {})
    assert run([*bought, Event(LEFT, 400, 7)]).own == {7: (100, 200)}


def test_more_than_is_there_is_said_to_be_beyond_it_and_costs_nothing():
    found = run([Event(BOUGHT, 100, cents=99), Event(TAKEN, 250, 7), Event(BOUGHT, 40, cents=10)])
    assert found.used[7] == Used(100, 99, 150)
    assert (found.free, found.free_cents) == (40, 10)


def test_a_count_puts_it_right_and_its_cost_too():
    bought = [Event(BOUGHT, 1_000, cents=500), Event(BOUGHT, 400, 7, 300)]
    less = run([*bought, Event(COUNTED, 600)])
    assert (less.free, less.free_cents, less.own) == (200, 100, {7: (400, 300)})
    much_less = run([*bought, Event(COUNTED, 100)])
    assert (much_less.free, much_less.own) == (0, {7: (100, 75)})
    more = run([*bought, Event(COUNTED, 2_000)])
    assert (more.free, more.free_cents) == (1_600, 800)


def test_what_was_never_bought_is_worth_what_the_price_book_says():
    assert run([Event(COUNTED, 600, cents=900)]).free_cents == 900
    assert run([Event(COUNTED, 0, cents=0)]).free == 0


@given(events)
def test_amounts_and_cents_that_came_in_went_out_or_are_left(given_events):
    found = run(given_events)
    came = [one for one in given_events if one.kind is BOUGHT]
    assert found.amount + sum(used.amount for used in found.used.values()) == sum(one.amount for one in came)
    assert found.cents + sum(used.cents for used in found.used.values()) == sum(one.cents for one in came)
    taken = sum(one.amount for one in given_events if one.kind is TAKEN)
    assert taken <= sum(used.amount + used.beyond for used in found.used.values())


@given(events, amounts)
def test_after_a_count_so_much_is_there(before, counted):
    found = run([*before, Event(COUNTED, counted, cents=5)])
    assert found.amount == counted
    assert min(found.free, found.free_cents, *(min(one) for one in found.own.values()), 0) == 0


@pytest.mark.parametrize("wrong", [{"amount": -1}, {"cents": -1}])
def test_less_than_nothing_is_refused(wrong):
    with pytest.raises(BadInput):
        Event(BOUGHT, **wrong)


@pytest.mark.parametrize("kind", [LEFT, OVER])
def test_only_a_project_can_be_over(kind):
    with pytest.raises(BadInput):
        Event(kind)
