"""Sums as they are written: whoever works one out again from the figures shown comes to the figure shown."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.working import chance_text, reads_right


def times_more(first, share):
    return first * (1 + share)


def apart(text):
    return float(text.rstrip("%")) / (100 if text.endswith("%") else 1)


@pytest.mark.parametrize(
    ("first", "share", "written"),
    [
        (147.5, 0.0014, ("147.5", "0.14%", "147.7")),
        (100.0, 0.05, ("100.0", "5%", "105.0")),
        (86.0, 0.0, ("86.0", "0%", "86.0")),
        (12.0, 0.0004, ("12.0", "0.04%", "12.0")),
    ],
)
def test_by_hand(first, share, written):
    assert reads_right(first, share, times_more(first, share), times_more) == written


@given(st.floats(0.1, 5_000), st.one_of(st.just(0.0), st.floats(0.00001, 0.6)))
def test_it_reads_right_or_says_all_it_has_and_a_share_is_never_written_as_nought(first, share):
    said = reads_right(first, share, times_more(first, share), times_more)
    places = len(said[2].split(".")[1])
    again = round(times_more(apart(said[0]), round(apart(said[1]), 7)), places)
    assert again == pytest.approx(apart(said[2]), abs=1e-9) or (places == 3 and len(said[1].split(".")[-1]) == 4)
    assert apart(said[1]) > 0 or share < 0.000005


@given(st.floats(0, 1))
def test_a_chance_is_never_quite_none_or_certain(share):
    said = chance_text(share)
    assert said not in ("0 %", "100 %")
    assert abs(float(said.removeprefix("under ").removeprefix("over ").removesuffix(" %")) / 100 - share) <= 0.0101
