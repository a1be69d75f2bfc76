"""The drawn ranges: every position is where the numbers say."""

from __future__ import annotations

import re
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from journal.errors import BadInput
from journal.web.pictures import Histogram, Mark, range_figure, round_ticks


def drawn(edges, counts, marks=(), say=lambda value: f"{value:.0f}"):
    histogram = Histogram(np.array(edges, dtype=float), np.array(counts, dtype=float))
    return range_figure("x", "Cost", histogram, marks, say)


QUANTILES = (Mark("low", 10, "Low end"), Mark("high", 30, "High end"))


def test_a_hand_drawn_heap_stands_where_it_should():
    # From 0 to 40 over 720 units less 14 either side: 17.3 units to one; the taller bin fills the plot of 112.
    picture = drawn([0, 20, 40], [1, 2]).wide
    assert picture.base == 120
    assert picture.outline == "M14.0 120.0 V64.0 H360.0 V8.0 H706.0 V120.0 Z"


def test_bins_of_unequal_width_are_drawn_by_density():
    picture = drawn([0, 10, 40], [1, 3]).wide
    heights = re.findall(r"V([\d.]+) H", picture.outline)
    assert heights == ["8.0", "8.0"]


def test_the_darker_part_ends_at_the_first_and_last_quantile():
    picture = drawn([0, 20, 40], [1, 2], QUANTILES).wide
    low, high = (mark.x for mark in picture.marks)
    assert (low, high) == (187.0, 533.0)
    assert picture.inner.startswith(f"M{low} ")
    assert f"H{high} V{picture.base:.1f} Z" in picture.inner
    assert "H360.0" in picture.inner


def test_without_quantiles_nothing_is_darker():
    assert drawn([0, 20, 40], [1, 2], [Mark("price", 30, "Price", kind="price")]).wide.inner == ""


def test_a_price_beyond_the_heap_widens_the_axis():
    picture = drawn([0, 20, 40], [1, 2], [Mark("price", 80, "Price", kind="price")]).wide
    assert picture.marks[0].x == 706.0
    assert re.findall(r"H([\d.]+)", picture.outline)[-1] == "360.0"


def test_the_text_alternative_and_the_table_carry_the_same_numbers():
    figure = drawn([0, 20, 40], [1, 2], QUANTILES)
    assert figure.description == "Low end: 10; High end: 30."
    assert figure.rows == (("low", "10", "Low end"), ("high", "30", "High end"))


@pytest.mark.parametrize(
    ("edges", "counts"),
    [
        ([0], []),
        ([0, 0], [1]),
        ([2, 1], [1]),
        ([0, np.nan], [1]),
        ([0, 1], [-1]),
        ([0, 1], [0]),
        ([0, 1], [1, 2]),
        ([0, 1], [np.inf]),
    ],
)
def test_what_is_no_histogram_is_refused(edges, counts):
    with pytest.raises(BadInput):
        drawn(edges, counts)


ends = st.floats(-1e7, 1e7, allow_nan=False)


@given(
    low=ends,
    widths=st.lists(st.floats(1, 1e5), min_size=1, max_size=40),
    marks=st.lists(st.floats(0, 1), max_size=6),
    data=st.data(),
)
def test_everything_stays_inside_the_picture_and_no_label_covers_another(low, widths, marks, data):
    edges = low + np.concatenate(([0.0], np.cumsum(widths)))
    counts = data.draw(st.lists(st.floats(0.1, 1e3), min_size=len(widths), max_size=len(widths)))
    span = edges[-1] - edges[0]
    figure = drawn(edges, counts, [Mark(f"m{i}", edges[0] + at * span, "x") for i, at in enumerate(marks)])
    for picture in (figure.wide, figure.narrow):
        xs = [float(x) for x in re.findall(r"[MH]([\d.-]+)", picture.outline)]
        assert xs == sorted(xs)
        assert min(xs) >= 0
        assert max(xs) <= picture.width
        for tick in picture.ticks:
            assert 0 <= tick.x <= picture.width
            assert picture.base < tick.end < picture.height
        rows: dict[float, list[tuple[float, int]]] = {}
        for mark in picture.marks:
            assert 0 <= mark.x <= picture.width
            assert 0 < mark.label_y < mark.top < picture.base
            rows.setdefault(mark.label_y, []).append((mark.label_x, len(mark.text)))
        for labels in rows.values():
            # Seven units a letter is wider than any digit of a 13 px sans.
            spans = sorted((middle - 3.5 * letters, middle + 3.5 * letters) for middle, letters in labels)
            assert all(right <= left for (_, right), (left, _) in pairwise(spans))


@given(low=ends, span=st.floats(1e-3, 1e7), most=st.integers(2, 12))
def test_ticks_are_round_inside_and_not_too_many(low, span, most):
    assume(span > abs(low) * 1e-6)  # closer together than that, floats themselves are not round
    first, step = round_ticks(low, low + span, most)
    lead = step / 10 ** np.floor(np.log10(step) + 1e-9)
    assert round(lead, 6) in {1, 2, 5}
    assert first >= low - step * 1e-6
    assert first < low + step * (1 + 1e-6)
    assert span / step <= most * (1 + 1e-6)
    assert abs(first / step - round(first / step)) < 1e-6
