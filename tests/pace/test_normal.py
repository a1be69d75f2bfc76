from __future__ import annotations

from statistics import NormalDist

import numpy as np
import pytest
from journal.pace.normal import mixture_quantile, normal_cdf


def test_the_distribution_agrees_with_the_standard_library():
    z = np.linspace(-6, 6, 777)
    assert normal_cdf(z) == pytest.approx([NormalDist().cdf(value) for value in z], abs=4e-8)


@pytest.mark.parametrize("share", [0.01, 0.1, 0.5, 0.9, 0.99])
def test_the_quantile_of_one_normal_is_its_own(share):
    found = mixture_quantile(np.ones(1), np.array([[3.0, -1.0]]), np.array([[2.0, 0.5]]), share)
    z = NormalDist().inv_cdf(share)
    assert found == pytest.approx([3 + 2 * z, -1 + 0.5 * z], abs=1e-5)


def test_the_median_of_two_far_apart_normals_lies_where_their_shares_say():
    # 0.8 of N(0, 1) and 0.2 of N(100, 1): half of all is 0.625 of the first
    found = mixture_quantile(np.array([0.8, 0.2]), np.array([[0.0], [100.0]]), np.ones((2, 1)), 0.5)
    assert found[0] == pytest.approx(NormalDist().inv_cdf(0.625), abs=1e-5)


def test_a_certain_component_is_allowed():
    assert mixture_quantile(np.ones(1), np.array([[4.0]]), np.zeros((1, 1)), 0.9)[0] == pytest.approx(4.0)
