"""The shop's level over the years."""

from datetime import date

import numpy as np
from journal.pace.level import over_time
from journal.pace.model import Row
from tests.pace.shops import make_book

BOOK = make_book(4)


def rows_of(ratios, each=6):
    """Several projects a half-year, all at the same ratio; operations take turns."""
    found = []
    for place, ratio in enumerate(ratios):
        for turn in range(each):
            code = f"op_{turn % 4}"
            day = date(2021 + place // 2, 2 + 6 * (place % 2), 1 + turn)
            found.append(Row(f"P{place}-{turn}", day, BOOK[code].stage, ((code, 1.0),), 120.0, 120.0 * float(ratio)))
    return found


def test_without_logs_only_today_is_told_and_it_is_the_prior():
    (only,) = over_time((), BOOK, today=date(2026, 6, 30))
    assert only.since == date(2026, 1, 1)
    assert only.logs == 0
    assert only.ratio.p10 < 1.0 < only.ratio.p90


def test_a_shop_that_gets_quicker_is_seen_to():
    ratios = np.linspace(1.4, 0.9, 8)
    found = over_time(rows_of(ratios), BOOK, today=date(2024, 12, 1))
    middles = [one.ratio.p50 for one in found]
    assert [one.since for one in found[:3]] == [date(2021, 1, 1), date(2021, 7, 1), date(2022, 1, 1)]
    assert [one.logs for one in found] == [6] * 8
    assert middles == sorted(middles, reverse=True)
    assert middles[0] / middles[-1] > 1.25
    assert all(one.ratio.p10 < one.ratio.p50 < one.ratio.p90 for one in found)


def test_years_of_silence_widen_the_band():
    rows = rows_of([1.2, 1.0, 1.3, 1.1])
    soon, late = (over_time(rows, BOOK, today=day)[-1].ratio for day in (date(2022, 12, 1), date(2032, 12, 1)))
    assert late.p90 / late.p10 > soon.p90 / soon.p10
