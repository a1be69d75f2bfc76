# ruff: noqa: S311 - benchmarks are not a package, and assert; the dice are for made-up problems
"""How long a cutting plan takes, with its bound, for 100 and for 1,000 pieces."""

from __future__ import annotations

import random
from typing import TYPE_CHECKING

import pytest
from journal.cutting import boards
from journal.cutting.problem import Blank, BoardProblem, SawRules, StockLength
from journal.cutting.verify import replay
from journal.units import inches

if TYPE_CHECKING:
    from pytest_benchmark.fixture import BenchmarkFixture

SECTIONS = {"2x6": ("5 1/2", 9), "2x8": ("7 1/4", 11), "2x10": ("9 1/4", 15), "2x12": ("11 1/4", 19)}  # width, ¢ an in
WIDTHS = ("2 1/4", "2 3/8", "2 5/8", "3 3/8", "4 1/8", "5")


def made_up(kinds: int, pieces: int) -> BoardProblem:
    """A problem of this many kinds of blank and pieces, the same every time."""
    dice = random.Random(kinds)
    stock = tuple(
        StockLength(
            f"{name}-{feet}",
            "fir",
            inches("1 1/2"),
            inches(width),
            inches(12 * feet),
            price_cents=12 * feet * cents + dice.randrange(40),
        )
        for name, (width, cents) in SECTIONS.items()
        for feet in (8, 10, 12, 14, 16)
    )
    quantities = [1] * kinds
    for _ in range(pieces - kinds):
        quantities[dice.randrange(kinds)] += 1
    blanks = tuple(
        Blank(
            f"part {number}", None, inches("1 1/4"), inches(dice.choice(WIDTHS)), inches(dice.randrange(12, 92)), count
        )
        for number, count in enumerate(quantities)
    )
    kerf = inches("1/8")
    return BoardProblem(stock, blanks, SawRules(kerf, kerf, inches("1/2"), inches("2 1/2"), inches("1/8")))


@pytest.mark.parametrize(("kinds", "pieces"), [(20, 100), (100, 1000)])
def test_plan_with_bound(benchmark: BenchmarkFixture, kinds: int, pieces: int) -> None:
    problem = made_up(kinds, pieces)
    result = benchmark(boards.plan, problem)
    assert replay(problem, result).faults == ()


def test_replay(benchmark: BenchmarkFixture) -> None:
    problem = made_up(100, 1000)
    result = boards.plan(problem)
    assert benchmark(replay, problem, result).faults == ()
