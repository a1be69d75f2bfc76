"""The bound where prices fall with the number bought."""

from math import inf

from hypothesis import given, settings
from journal import cutting
from journal.cutting.bound import independent_parts
from journal.cutting.clock import Clock
from journal.cutting.master import Master, converge
from journal.cutting.model import make_model
from journal.cutting.pricing import Pricer
from journal.cutting.problem import Search
from journal.cutting.tiers import parted_bound, tiers_of
from tests.cutting.problems import blank, least_cost, problem, problems, stock

ENDLESS = Clock(None)


def master_of(job):
    (blanks, stocks), *others = independent_parts(job)
    assert not others
    model = make_model(job, blanks, stocks)
    master = Master(model, Pricer(model))
    assert converge(master, ENDLESS)
    return master


def test_too_few_boards_for_the_lower_price_are_charged_the_higher_one():
    # By hand: four boards at 828, the price falls to 700 from nine on: 3,312, and the lowest price alone would say 2,800.
    job = problem([stock(breaks=((9, 700),))], [blank(length="96", quantity=4, width="7")])
    result = cutting.plan(job)
    assert (result.cost_cents, result.bound_cents, result.status, result.bound_kind) == (
        3312,
        3312,
        "optimal",
        "solver",
    )
    assert result.certified_cents == 2800


def test_a_lower_price_in_one_of_two_stocks_is_not_taken_for_both():
    # By hand: six pieces, a board of either kind holds one; six of one kind are 6 × 90, three of each 6 × 100.
    stocks = [stock("a", price=100, breaks=((6, 90),)), stock("b", price=100, breaks=((6, 80),), available=5)]
    result = cutting.plan(problem(stocks, [blank(length="96", quantity=6, width="7")]), Search(seconds=5))
    assert (result.cost_cents, result.status) == (540, "optimal")


def test_tiers_follow_one_another_without_a_gap():
    master = master_of(problem([stock(breaks=((3, 700), (8, 650)))], [blank(quantity=3)]))
    found = tiers_of(master.model, 0)
    assert [(one.least, one.most, one.cents) for one in found] == [(0, 2, 828), (3, 7, 700), (8, inf, 650)]


def test_the_programme_is_the_same_afterwards():
    master = master_of(problem([stock(breaks=((9, 700),))], [blank(length="96", quantity=4, width="7")]))
    before = master.objective
    assert parted_bound(master, 10**9, ENDLESS) > before
    assert master.objective == before


def test_with_no_time_it_claims_no_more_than_the_lowest_prices_bear():
    master = master_of(problem([stock(breaks=((9, 700),))], [blank(length="96", quantity=4, width="7")]))
    assert parted_bound(master, 10**9, Clock(1e-9, lambda: True)) <= master.objective


@settings(deadline=None, max_examples=40)
@given(job=problems(most_blanks=3, most_pieces=3, most_stock=3, extras=True))
def test_the_bound_is_at_least_the_lowest_prices_one_and_at_most_the_least_cost(job):
    for blanks, stocks in independent_parts(job):
        if not stocks:
            continue
        model = make_model(job, blanks, stocks)
        pricer = Pricer(model)
        master = Master(model, pricer)
        if not converge(master, ENDLESS) or master.short() > 0 or sum(model.demand) > 5 or not pricer.exact:
            continue
        least = least_cost(problem(stocks, blanks, job.rules))
        bound = parted_bound(master, 10**12, ENDLESS)
        assert bound >= master.objective - 1e-6
        assert least is None or bound <= least + sum(model.demand) / model.scale + 1e-6
