"""A project in build: done is fixed, open is what it has taken and more, the rest follows this project's own pace."""

import math
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from journal.errors import BadInput, MissingReference
from journal.pace import integrate
from journal.pace.model import Task, fit
from journal.pace.progress import Piece, State, forecast
from tests.pace.pasts import CODES, steady
from tests.pace.shops import TODAY, make_book

BOOK = make_book(4)
STAGES = dict(zip(CODES, ("milling", "glue_up", "finishing", "milling"), strict=True))
PAST = tuple(row for place in range(8) for row in steady(f"P{place}", 30 + place, ratio=1.0 + 0.1 * (place % 3)).rows)


def piece(code, state=State.TO_COME, logged=0.0, baseline=60.0):
    on = TODAY - timedelta(days=3) if logged else None
    return Piece(code, STAGES[code], ((code, 1.0),), baseline, state, logged, on)


def end(*pieces, **given):
    return forecast(PAST, "now", pieces, BOOK, today=TODAY, **given)


def untouched():
    return tuple(piece(code) for code in CODES)


def test_before_it_is_begun_it_is_a_new_project():
    found = end(*untouched(), draws=20_000)
    fitted = fit(PAST, BOOK, today=TODAY)
    expected = np.quantile(fitted.draw([Task(code, 60.0) for code in CODES], 20_000).total, (0.1, 0.5, 0.9))
    assert [found.minutes.p10, found.minutes.p50, found.minutes.p90] == pytest.approx(expected, rel=0.02)
    assert found.so_far is None
    assert found.spent_minutes == 0


def test_what_is_done_is_fixed_and_the_range_narrows():
    done = (piece(CODES[0], State.DONE, 66.0), piece(CODES[1], State.DONE, 66.0), *untouched()[2:])
    found, before = end(*done), end(*untouched())
    assert (found.pieces[0].minutes.p10, found.pieces[0].minutes.p90) == (66.0, 66.0)
    assert found.pieces[0].share == 0.0
    assert found.minutes.p90 - found.minutes.p10 < 0.8 * (before.minutes.p90 - before.minutes.p10)
    assert found.spent_minutes == 132.0
    assert found.left.p50 == pytest.approx(found.minutes.p50 - 132.0)


def test_all_done_leaves_nothing_in_doubt():
    found = end(*(piece(code, State.DONE, 70.0) for code in CODES))
    assert (found.minutes.p10, found.minutes.p90, found.left.p50) == (280.0, 280.0, 0.0)
    assert {one.share for one in found.pieces} == {0.0}


@pytest.mark.parametrize(("times", "sign"), [(2.0, 1), (0.5, -1)])
def test_a_project_that_goes_badly_so_far_is_expected_to_go_on_so(times, sign):
    usual = end(*(piece(code, State.DONE, 66.0) for code in CODES[:3]), piece(CODES[3]))
    found = end(*(piece(code, State.DONE, 66.0 * times) for code in CODES[:3]), piece(CODES[3]))
    assert sign * (found.left.p50 - usual.left.p50) > 0
    assert sign * found.so_far > 0.05


def test_an_open_operation_takes_more_than_it_has():
    for logged in (5.0, 60.0, 300.0, 5000.0):
        found = end(piece(CODES[0], State.OPEN, logged), *untouched()[1:])
        assert found.pieces[0].minutes.p10 > logged
        assert math.isfinite(found.minutes.p90)


def test_five_minutes_in_tell_nothing_and_twice_the_usual_tells_on_the_rest():
    before = end(*untouched(), draws=20_000)
    begun = end(piece(CODES[0], State.OPEN, 5.0), *untouched()[1:], draws=20_000)
    over = end(piece(CODES[0], State.OPEN, 130.0), *untouched()[1:], draws=20_000)
    assert begun.minutes.p50 == pytest.approx(before.minutes.p50, rel=0.02)
    assert over.pieces[1].minutes.p50 > 1.03 * before.pieces[1].minutes.p50


def test_an_open_operation_is_the_prediction_cut_off_at_what_it_has_taken():
    """By brute force: draws of a new project in which the operation takes longer than logged."""
    fitted = fit(PAST, BOOK, today=TODAY)
    drawn = fitted.draw([Task(code, 60.0) for code in CODES], 400_000, 3).minutes
    kept = drawn[drawn[:, 0] > 75.0]
    found = end(piece(CODES[0], State.OPEN, 75.0), *untouched()[1:], draws=40_000)
    expected = np.quantile(kept.sum(axis=1), (0.1, 0.5, 0.9))
    assert [found.minutes.p10, found.minutes.p50, found.minutes.p90] == pytest.approx(expected, rel=0.02)
    assert found.pieces[0].minutes.p50 == pytest.approx(np.median(kept[:, 0]), rel=0.02)


def test_a_stage_logged_as_one_is_one_piece():
    shares = ((CODES[0], 0.5), (CODES[3], 0.5))
    milling = Piece("milling", "milling", shares, 120.0, State.DONE, 130.0, TODAY)
    found = end(milling, piece(CODES[1]), piece(CODES[2]))
    assert found.pieces[0].minutes.p50 == 130.0
    assert found.so_far is not None
    still = replace(milling, state=State.OPEN, logged_minutes=90.0)
    assert end(still, piece(CODES[1])).pieces[0].minutes.p10 > 90.0


def test_the_shares_of_doubt_add_up_and_the_largest_comes_first():
    found = end(piece(CODES[0], baseline=600.0), *untouched()[1:])
    assert sum(one.share for one in found.pieces) == pytest.approx(1.0)
    assert found.by_doubt[0].piece.name == CODES[0]


def test_the_same_state_gives_the_same_forecast():
    opened = (piece(CODES[0], State.OPEN, 50.0), *untouched()[1:])
    assert end(*opened).minutes == end(*opened).minutes


def test_a_quicker_calibration_gives_nearly_the_same_forecast():
    opened = (piece(CODES[0], State.OPEN, 50.0), *untouched()[1:])
    quick, thorough = end(*opened, integrator=integrate.QUICK).minutes, end(*opened).minutes
    assert (quick.p10, quick.p50, quick.p90) == pytest.approx((thorough.p10, thorough.p50, thorough.p90), rel=0.03)


def test_bad_work_is_refused():
    with pytest.raises(BadInput, match="plan"):
        end()
    with pytest.raises(BadInput, match="op_0"):
        end(piece("op_0"), piece("op_0"))
    with pytest.raises(BadInput, match="other projects"):
        forecast(PAST, "P3", untouched(), BOOK, today=TODAY)
    with pytest.raises(MissingReference, match="juggling"):
        end(Piece("juggling", "milling", (("juggling", 1.0),), 60.0))


@pytest.mark.parametrize(
    "changed",
    [
        {"baseline_minutes": 0.0},
        {"logged_minutes": -1.0},
        {"logged_minutes": 5.0},
        {"state": State.OPEN},
        {"state": State.DONE, "logged_minutes": 5.0},
    ],
)
def test_a_piece_whose_minutes_and_state_disagree_is_refused(changed):
    with pytest.raises(BadInput, match="op_0"):
        replace(piece("op_0"), **changed)
