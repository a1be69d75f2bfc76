"""Logs that are hardly logs: one entry, no minutes, a week in one line, tomorrow's, unknown work, a hundred thousand."""

from datetime import timedelta

import numpy as np
import pytest
from journal.pace.evidence import LogLine, gather
from journal.pace.model import fit
from journal.pace.suspects import suspects
from tests.pace.shops import TODAY, make_book

BOOK = make_book()


def line(code="op_0", minutes=60.0, project="A", **given):
    return LogLine(project, **{"on": TODAY, "what": code, "quantity": 100.0, "minutes": minutes} | given)


def ratio(lines, code="op_0"):
    return fit(gather(lines, BOOK, today=TODAY).rows, BOOK, today=TODAY).pace(code).ratio


def test_a_log_of_one_entry_moves_its_operation_a_little_and_stays_unsure():
    book_minutes = BOOK["op_0"].baseline_minutes(1, 100)
    before, after = ratio([]), ratio([line(minutes=3 * book_minutes)])
    assert before.p50 < after.p50 < 3
    assert after.p90 / after.p10 > 1.5


def test_a_log_without_minutes_teaches_nothing_and_says_why_line_by_line():
    found = gather([line(minutes=0.0), line("op_1", minutes=0.0)], BOOK, today=TODAY)
    assert found.rows == ()
    assert [problem.column for problem in found.problems] == ["minutes", "minutes"]
    assert "above zero" in found.problems[0].message


def test_forty_hours_in_one_line_are_taken_and_asked_about():
    """It may be two people's week. Sixty-one hours are a slip of the pen."""
    usual = [line(code, 60.0, project=f"P{n}") for n in range(6) for code in BOOK]
    found = gather([*usual, line(minutes=40 * 60.0)], BOOK, today=TODAY)
    assert not found.problems
    (only,) = suspects(found.rows)
    assert (only.row.project, only.row.minutes) == ("A", 2400.0)
    assert (only.times, only.fellows, only.alike) == (pytest.approx(40.0), 6, True)
    assert gather([line(minutes=61 * 60.0)], BOOK, today=TODAY).problems[0].column == "minutes"


def test_an_entry_is_measured_by_its_own_kind_where_that_is_known():
    """A shop ten times as slow at one operation is slow at it, not mistaken."""
    slow = [line("op_0", 600.0, project=f"P{n}") for n in range(5)]
    rest = [line("op_1", 60.0, project=f"P{n}") for n in range(5)]
    assert suspects(gather([*slow, *rest], BOOK).rows) == ()
    lone = gather([line("op_2", 3000.0), *rest], BOOK).rows
    assert [(one.alike, one.fellows) for one in suspects(lone)] == [(False, 5)]


def test_three_entries_are_too_few_to_suspect_one():
    assert suspects(gather([line(minutes=m, project=str(m)) for m in (10.0, 60.0, 3000.0)], BOOK).rows) == ()


def test_tomorrow_and_unknown_work_are_named_and_the_rest_is_used():
    tomorrow, unknown = line(on=TODAY + timedelta(days=1)), line("juggling")
    found = gather([line(), tomorrow, unknown], BOOK, today=TODAY)
    assert len(found.rows) == 1
    assert [(problem.line, problem.column) for problem in found.problems] == [(2, "date"), (3, "operation")]


def test_a_hundred_thousand_lines_are_gathered_and_learned():
    rng = np.random.default_rng(3)
    codes, minutes = list(BOOK), rng.uniform(20, 200, 100_000).tolist()
    lines = [line(codes[n % 9], spent, project=f"P{n // 200}") for n, spent in enumerate(minutes)]
    found = gather(lines, BOOK, today=TODAY)
    assert sum(row.logs for row in found.rows) == 100_000
    assert fit(found.rows, BOOK, today=TODAY).projects == 500
