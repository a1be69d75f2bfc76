"""Hours as quoted against hours as logged."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.errors import BadInput
from journal.quote.review_hours import Quoted, compare, place

STAGES = {"rip": "milling", "plane": "milling", "spread": "glue", "clamp": "glue", "sand": "finishing"}


def quoted(code, minutes=60.0, low=40.0, high=90.0):
    return Quoted(code, STAGES[code], minutes, low, high)


LOGS = st.dictionaries(st.sampled_from([*STAGES, "milling", "glue", "deliver"]), st.floats(0, 5_000), max_size=8)
QUOTES = st.lists(st.sampled_from(list(STAGES)), unique=True).flatmap(
    lambda codes: st.tuples(
        *(st.floats(0, 1_000).map(lambda m, c=c: Quoted(c, STAGES[c], m, m * 0.7, m * 1.5)) for c in codes)
    )
)


@given(QUOTES, LOGS, st.floats(0, 500))
def test_the_lines_are_the_whole_difference(quote, logs, allowance):
    found = compare(quote, logs, STAGES, allowance_minutes=allowance)
    assert math.isclose(found.minutes, sum(logs.values()), abs_tol=1e-6)
    assert math.isclose(found.quoted_minutes, sum(one.minutes for one in quote) + allowance, abs_tol=1e-6)
    stages = found.by_stage().values()
    assert math.isclose(sum(logged for _, logged in stages), sum(logs.values()), abs_tol=1e-6)


def test_a_stage_logged_as_a_whole_stands_for_its_operations_without_time():
    found = compare([quoted("rip"), quoted("plane")], {"milling": 100.0, "rip": 50.0}, STAGES)
    pieces = {piece.name: piece for piece in found.pieces}
    assert set(pieces) == {"rip", "milling"}
    assert pieces["milling"].inside == ("plane",)
    assert pieces["milling"].quoted_minutes == 60.0


def test_surprises_come_first_and_the_costliest_foremost():
    quote = [quoted("rip"), quoted("plane"), quoted("spread"), quoted("clamp")]
    found = compare(quote, {"rip": 80.0, "plane": 95.0, "spread": 200.0, "clamp": 60.0}, STAGES)
    assert [piece.name for piece in found.pieces] == ["spread", "plane", "rip", "clamp"]
    assert (found.judged, found.surprises) == (4, 2)


def test_the_ends_of_the_range_are_inside():
    found = compare([quoted("rip"), quoted("plane")], {"rip": 40.0, "plane": 90.0}, STAGES)
    assert found.surprises == 0


def test_what_was_quoted_and_never_logged_is_no_surprise_but_is_named():
    (piece,) = compare([quoted("rip")], {}, STAGES).pieces
    assert piece.unlogged
    assert not piece.surprise
    assert piece.more_minutes == -60.0


def test_work_nobody_quoted_is_a_piece_without_a_range():
    found = compare([quoted("rip")], {"rip": 60.0, "deliver": 30.0}, STAGES, allowance_minutes=20.0)
    assert found.beside_minutes == 30.0
    assert found.quoted_minutes == 80.0
    assert not next(piece for piece in found.pieces if piece.name == "deliver").judged


@pytest.mark.parametrize("correlation", [0.0, 0.4, 1.0])
def test_the_range_of_a_stage_is_that_of_the_sum_of_its_operations(correlation):
    """Five operations drawn lognormal with one shared effect; a whole log by stage must fall inside eight times in ten."""
    random = np.random.default_rng(7)
    shared, own = random.standard_normal((100_000, 1)), random.standard_normal((100_000, 2))
    minutes = 100 * np.exp(0.25 * (math.sqrt(correlation) * shared + math.sqrt(1 - correlation) * own))
    ends = np.quantile(minutes, (0.1, 0.9), axis=0)
    quote = [
        Quoted(code, "milling", float(minutes[:, at].mean()), *map(float, ends[:, at]))
        for at, code in enumerate(("rip", "plane"))
    ]
    total = tuple(float(end) for end in np.quantile(minutes.sum(axis=1), (0.1, 0.9)))
    (piece,) = compare(quote, {"milling": 1.0}, STAGES, total=total).pieces
    held = np.mean((minutes.sum(axis=1) >= piece.low) & (minutes.sum(axis=1) <= piece.high))
    assert held == pytest.approx(0.8, abs=0.02)


def test_place_in_a_distribution():
    quantiles = (0.0, 10.0, 20.0)
    assert [place(quantiles, value) for value in (-1.0, 0.0, 5.0, 10.0, 20.0, 99.0)] == [0, 0, 0.25, 0.5, 1, 1]


def test_place_where_nothing_varies():
    assert place((5.0, 5.0), 4.0) == 0.0
    assert place((5.0, 5.0), 5.0) == 1.0


def test_a_range_the_wrong_way_round_is_refused():
    with pytest.raises(BadInput, match="range of rip"):
        quoted("rip", low=90.0, high=40.0)


def test_an_operation_quoted_twice_is_refused():
    with pytest.raises(BadInput, match="once"):
        compare([quoted("rip"), quoted("rip")], {}, STAGES)
