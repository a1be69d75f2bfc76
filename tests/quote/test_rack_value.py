"""What wood on the rack cost: nothing is lost on the way, and the two ways differ as they should."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.errors import BadInput
from journal.quote.rack_value import Flow, Method, run


@st.composite
def histories(draw):
    """Wood coming and going, never more going than is there."""
    flows, there = [], 0
    for _ in range(draw(st.integers(1, 25))):
        if there and draw(st.booleans()):
            volume = draw(st.integers(1, there))
            flows.append(Flow(volume))
            there -= volume
        else:
            volume = draw(st.integers(1, 10**21))
            flows.append(Flow(volume, draw(st.integers(0, 10**7))))
            there += volume
    return flows


@given(histories(), st.sampled_from(Method))
def test_what_came_in_is_what_went_out_and_what_is_left(flows, method):
    found = run(flows, method)
    assert sum(flow.cents or 0 for flow in flows) == sum(found.outs) + found.left_cents
    assert found.left_nm3 == sum(flow.volume_nm3 * (1 if flow.cents is not None else -1) for flow in flows)
    assert min([found.left_cents, *found.outs]) >= 0
    if not found.left_nm3:
        assert found.left_cents == 0


@given(histories())
def test_with_nothing_taken_both_ways_are_the_same(flows):
    ins = [flow for flow in flows if flow.cents is not None]
    assert run(ins, Method.AVERAGE) == run(ins, Method.FIRST_IN)


def test_first_in_goes_out_first_and_the_average_is_in_between():
    flows = [Flow(10, 1_000), Flow(10, 3_000), Flow(10), Flow(5)]
    assert run(flows, Method.FIRST_IN).outs == (1_000, 1_500)
    assert run(flows, Method.AVERAGE).outs == (2_000, 1_000)


def test_a_part_of_a_layer_leaves_its_last_cent_behind():
    found = run([Flow(3, 100), Flow(1), Flow(1), Flow(1)], Method.FIRST_IN)
    assert found.outs == (33, 34, 33)


def test_more_than_is_there_cannot_go():
    with pytest.raises(BadInput):
        run([Flow(3, 100), Flow(4)], Method.AVERAGE)


@pytest.mark.parametrize("given", [(0, 1), (1, -1)])
def test_a_flow_that_is_none_is_refused(given):
    with pytest.raises(BadInput):
        Flow(*given)
