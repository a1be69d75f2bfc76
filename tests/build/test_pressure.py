"""Clamp pressure, both ways."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.build.pressure import clamps_for, pressure_psi
from journal.errors import BadInput
from tests.build.benches import IN


@given(st.integers(50, 3000), st.integers(1, 400), st.integers(1, 12), st.integers(6, 200))
def test_so_many_clamps_give_the_pressure_and_one_fewer_does_not(force, psi, width, length):
    count = clamps_for(psi, width * IN, length * IN, force)
    assert count * force >= psi * width * length * (1 - 1e-9)
    assert (count - 1) * force < psi * width * length


@pytest.mark.parametrize(("force", "spacing", "width"), [(0, 7, 3), (1000, 0, 3), (1000, 7, 0)])
def test_nothing_presses_on_nothing(force, spacing, width):
    with pytest.raises(BadInput):
        pressure_psi(force, spacing * IN, width * IN)


def test_no_pressure_needs_no_count():
    with pytest.raises(BadInput):
        clamps_for(0, 3 * IN, 96 * IN, 1000)
