"""The search and its bounds against trying everything, on problems small enough for that."""

from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st
from journal import cutting
from journal.cutting.problem import Search
from journal.errors import NoSolution
from tests.cutting.problems import fillings, least_cost, problems

THOROUGH = Search(seconds=20)
TINY = problems(most_blanks=4, most_pieces=5, most_stock=2)
# Price breaks, cut-outs, sheets cut either way, blanks that may be turned, spares, boards on hand, all in small numbers.
TINY_WITH_EXTRAS = problems(most_blanks=3, most_pieces=3, most_stock=3, extras=True).filter(
    lambda job: sum(one.pieces for one in job.blanks) <= 5
)


def found(job, search=None):
    try:
        return cutting.plan(job, search)
    except NoSolution:
        return None


@settings(deadline=None, max_examples=60)
@given(job=TINY)
def test_the_search_reaches_the_least_cost(job):
    result = found(job, THOROUGH)
    assert (result and result.cost_cents) == least_cost(job)


@settings(deadline=None, max_examples=40)
@given(job=TINY_WITH_EXTRAS)
def test_the_search_reaches_the_least_cost_with_everything_stock_can_have(job):
    result = found(job, THOROUGH)
    assert (result and result.cost_cents) == least_cost(job)
    assert result is None or result.status == "optimal"


@settings(deadline=None, max_examples=40)
@given(job=st.one_of(TINY, TINY_WITH_EXTRAS))
def test_the_quick_plan_costs_no_less_and_its_bound_is_no_more(job):
    result, least = found(job), least_cost(job)
    if result is None:
        assert least is None or any(one.available is not None for one in job.stock)
        return
    assert least is not None
    assert result.bound_cents <= least <= result.cost_cents
    assert result.status == "feasible" or result.cost_cents == least


@settings(deadline=None, max_examples=60)
@given(job=st.one_of(TINY, TINY_WITH_EXTRAS))
def test_the_certificate_bears_a_bound_when_every_filling_is_weighed(job):
    # cost >= worth of all pieces - limits x what a board may hold beyond its price; nothing without a limit holds more.
    result = found(job)
    if result is None:
        return
    pieces = [one for one in job.blanks for _ in range(one.pieces)]
    worth = {name: Fraction(one, result.certificate.scale) for name, one in result.certificate.worth}
    borne = sum(worth[piece.id] for piece in pieces)
    for stock in job.stock:
        held = [sum(worth[pieces[number].id] for number in chosen) for chosen in fillings(job, pieces)[stock.id]]
        reached = [price for least, price in stock.breaks if stock.available is None or least <= stock.available]
        lowest = min([stock.price_cents, *reached])
        excess = max(0, max(held, default=0) - lowest)
        assert stock.available is not None or excess == 0
        borne -= (stock.available or 0) * excess
    assert borne <= least_cost(job)
