"""The far tail of the normal, where an operation has taken longer than it ever should."""

import math
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.pace.normal import beyond, log_above


@given(st.floats(-8, 36))
def test_the_log_of_the_share_above(z):
    exact = math.log(0.5 * math.erfc(z / math.sqrt(2)))
    assert log_above(np.array(z)) == pytest.approx(exact, abs=2e-6)


@given(st.floats(-6, 6), st.floats(1e-6, 1))
def test_a_share_of_the_part_above_lies_that_far_out(z, share):
    found = float(beyond(np.array(z), np.array(share)))
    above = NormalDist().cdf(-z) * share
    assert found >= z - 1e-9
    assert NormalDist().cdf(-found) == pytest.approx(above, rel=1e-4, abs=1e-12)


@given(st.floats(37, 1000), st.floats(1e-6, 1))
def test_even_further_out_it_stays_finite_and_above(z, share):
    found = float(beyond(np.array(z), np.array(share)))
    assert z <= found <= z + 1
    assert math.isfinite(float(log_above(np.array(z))))
