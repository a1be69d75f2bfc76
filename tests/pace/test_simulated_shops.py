"""Shops drawn from the model, heavy-tailed scatter added: does the range hold the truth as often as it says?"""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from journal.pace.evidence import gather
from journal.pace.model import Task, fit
from tests.pace.shops import draw_shop, make_book, work_project

BOOK = make_book()
SHOPS = 120
NEXT = 11  # the half-year of the project to come


def forecast_one(seed, past):
    """Truth, 10th, 50th and 90th percentile and book for the total minutes of a shop's next project."""
    rng = np.random.default_rng([past, seed])
    shop = draw_shop(rng, BOOK)
    lines = [line for j in range(past) for line in work_project(shop, rng, f"P{j}", NEXT * (j + 1) // (past + 1))[0]]
    _, truth, baselines = work_project(shop, rng, "next", NEXT)
    found = fit(gather(lines, BOOK).rows, BOOK, today=date(2025, 9, 1))
    total = found.draw([Task(code, minutes) for code, minutes in baselines.items()], 2000, seed).total
    return truth, *np.quantile(total, (0.1, 0.5, 0.9)), sum(baselines.values())


@pytest.mark.slow
@pytest.mark.parametrize("past", [0, 1, 5, 30])
def test_eight_in_ten_ranges_hold_eight_in_ten_totals(past):
    truth, low, half, high, book = np.array([forecast_one(seed, past) for seed in range(SHOPS)]).T
    held = np.mean((low <= truth) & (truth <= high))
    assert 0.68 <= held <= 0.92
    if past >= 5:
        assert np.median(np.abs(half / truth - 1)) < 0.6 * np.median(np.abs(book / truth - 1))
