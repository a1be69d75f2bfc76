"""Which operations bring the doubt, and how much of it logs would take away."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.errors import BadInput, MissingReference
from journal.pace.doubt import doubts
from journal.pace.model import BookPace, Row, Task, fit
from journal.pace.priors import Fixed, Level, Priors

TODAY = date(2026, 6, 30)
BOOK = {code: BookPace(code, stage, 0.0, 1.0) for code, stage in (("a", "one"), ("b", "one"), ("c", "two"))}


def rows(code, count):
    stage = BOOK[code].stage
    return [Row(f"P{n}", TODAY - timedelta(days=n), stage, ((code, 1.0),), 120.0, 130.0) for n in range(count)]


def found(calibration, **minutes):
    return {one.code: one for one in doubts(calibration, [Task(code, spent) for code, spent in minutes.items()])}


def test_shares_add_up_to_one_and_the_most_comes_first():
    listed = doubts(fit((), BOOK, today=TODAY), [Task("a", 30.0), Task("b", 300.0), Task("c", 100.0)])
    assert sum(one.share for one in listed) == pytest.approx(1.0)
    assert [one.code for one in listed] == ["b", "c", "a"]


def test_what_was_never_logged_leaves_more_to_learn():
    after = found(fit(rows("a", 40), BOOK, today=TODAY), a=200.0, c=200.0)
    assert after["c"].to_learn > 3 * after["a"].to_learn
    assert after["c"].share > after["a"].share


def test_logs_take_the_doubt_away_that_was_to_be_learnt():
    few, many = (found(fit(rows("a", count), BOOK, today=TODAY), a=200.0)["a"].to_learn for count in (2, 60))
    assert many < 0.5 * few


def test_nothing_is_to_be_learnt_where_only_luck_is_left():
    """With level, drift, stage and operation known for certain, a pace is the book's; what varies is luck."""
    sure = Priors(
        level=Level(0.0, 0.0), drift=Fixed(0.0), stage=Fixed(0.0), operation=Fixed(0.0), project=Fixed(0.2),
        entry=Fixed(0.3),
    )  # fmt: skip
    assert found(fit((), BOOK, today=TODAY, priors=sure), a=60.0)["a"].to_learn == pytest.approx(0.0, abs=1e-9)


def test_all_is_to_be_learnt_where_luck_is_ruled_out():
    """One lognormal pace and next to no scatter: the variance of the total is that of the pace (law of total variance)."""
    tame = Priors(
        level=Level(0.0, 0.0), drift=Fixed(0.0), stage=Fixed(0.0), operation=Fixed(0.3), project=Fixed(0.0),
        entry=Fixed(1e-4),
    )  # fmt: skip
    assert found(fit((), BOOK, today=TODAY, priors=tame), a=60.0)["a"].to_learn == pytest.approx(1.0, abs=0.06)


@given(st.lists(st.floats(1.0, 1e4), min_size=1, max_size=3))
def test_what_is_to_learn_is_never_more_than_the_doubt(minutes):
    calibration = fit(rows("a", 3), BOOK, today=TODAY)
    for one in doubts(calibration, [Task(code, spent) for code, spent in zip(BOOK, minutes, strict=False)], draws=400):
        assert 0.0 <= one.to_learn <= max(one.share, 0.0)


def test_no_work_no_doubt():
    assert doubts(fit((), BOOK, today=TODAY), []) == ()


def test_bad_work_is_refused():
    calibration = fit((), BOOK, today=TODAY)
    with pytest.raises(MissingReference, match="juggling"):
        doubts(calibration, [Task("juggling", 1.0)])
    with pytest.raises(BadInput, match="once"):
        doubts(calibration, [Task("a", 1.0), Task("a", 2.0)])
