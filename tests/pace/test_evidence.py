from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.pace.evidence import LogLine, gather
from journal.pace.model import BookPace

DAY = date(2026, 3, 4)
BOOK = {
    "joint_face": BookPace("joint_face", "milling", 8, 0.1, "Joint one face", "ft"),
    "plane": BookPace("plane", "milling", 6, 0.07, "Plane to thickness", "ft"),
    "spread_glue": BookPace("spread_glue", "glue_up", 4, 0.4, "Spread glue", "ft2"),
    "deliver": BookPace("deliver", "delivery", 45, 0, "Load and deliver", "trip"),
}


def line(what, quantity=100.0, minutes=None, *, project="P1", on=DAY, **more):
    return LogLine(project, on, what, quantity, minutes=minutes, **more)


def test_a_line_with_minutes_is_a_row_of_its_own():
    (row,) = gather([line("joint_face", 100, 30.0, setups=2)], BOOK).rows
    assert row.shares == (("joint_face", 1.0),)
    assert row.baseline_minutes == pytest.approx(2 * 8 + 100 * 0.1)
    assert (row.minutes, row.stage, row.logs, row.by_stage) == (30.0, "milling", 1, False)


def test_lines_of_one_project_and_operation_add_up_to_one_row_of_the_last_day():
    lines = [line("plane", 50, 20.0, on=date(2026, 3, 9)), line("plane", 30, 10.0), line("plane", 5, 9.0, project="P2")]
    first, other = gather(lines, BOOK).rows
    assert (first.minutes, first.logs, first.on) == (30.0, 2, date(2026, 3, 9))
    assert first.baseline_minutes == pytest.approx(2 * 6 + 80 * 0.07)
    assert other.project == "P2"


def test_stage_minutes_are_shared_over_the_operations_with_blank_minutes():
    lines = [
        line("joint_face", 120),
        line("plane", 200),
        line("plane", 99, 25.0),  # logged singly: not in the stage's minutes
        line("Milling", None, 40.0),
        line("milling", None, 20.0, on=date(2026, 3, 6)),
        line("spread_glue", 10),
    ]
    evidence = gather(lines, BOOK)
    single, staged = evidence.rows
    assert single.shares == (("plane", 1.0),)
    assert (staged.minutes, staged.logs, staged.by_stage, staged.on) == (60.0, 2, True, date(2026, 3, 6))
    assert staged.baseline_minutes == pytest.approx((8 + 12) + (6 + 14))
    assert dict(staged.shares) == pytest.approx({"joint_face": 0.5, "plane": 0.5})
    assert [(u.project, u.code) for u in evidence.unlogged] == [("P1", "spread_glue")]
    assert evidence.problems == ()


def test_another_projects_stage_minutes_are_not_mine():
    evidence = gather([line("plane"), line("milling", None, 60.0, project="P2")], BOOK)
    assert evidence.rows == ()
    assert len(evidence.unlogged) == 1
    (problem,) = evidence.problems
    assert problem.line == 2
    assert "60 minutes of the stage “milling” in project “P2”" in problem.message
    assert "add a line for each operation" in problem.message


def test_rework_is_kept_apart():
    lines = [line("plane", 100, 40.0), line("plane", 20, 10.0, rework=True), line("glue-up", None, 6.0, rework=True)]
    evidence = gather(lines, BOOK)
    assert len(evidence.rows) == 1
    assert evidence.rework.lines == 2
    assert evidence.rework.minutes == 16.0
    assert evidence.rework.by_stage == {"milling": 10.0, "glue_up": 6.0}
    assert evidence.rework.by_project == {"P1": 16.0}
    assert evidence.rework.ratio == pytest.approx(0.4)


def test_rework_need_not_be_counted():
    assert gather([line("plane", None, 10.0, rework=True)], BOOK).rework.minutes == 10.0


def test_lines_set_aside_teach_nothing():
    evidence = gather([line("plane", 100, 40.0), line("plane", 100, 4000.0, set_aside=True)], BOOK)
    assert evidence.rows[0].minutes == 40.0
    assert evidence.set_aside == 1
    assert evidence.problems == ()


@pytest.mark.parametrize("word", ["joint_face", "Joint Face", "joint-face", "JOINT ONE FACE", " joint  one face "])
def test_codes_and_names_are_found_without_regard_to_case_and_spacing(word):
    assert gather([line(word, 100, 30.0)], BOOK).rows[0].shares[0][0] == "joint_face"


def test_an_operation_counted_by_set_ups_alone_is_evidence():
    assert gather([line("deliver", 1, 60.0)], BOOK).rows[0].baseline_minutes == 45


@pytest.mark.parametrize(
    ("bad", "column", "says"),
    [
        (line("plane", 100, 0.0), "minutes", "above zero"),
        (line("plane", 100, -5.0), "minutes", "above zero"),
        (line("plane", 100, float("nan")), "minutes", "above zero"),
        (line("plane", 100, 3601.0), "minutes", "60 hours"),
        (line("plane", 0.0, 10.0), "quantity", "in ft, above zero"),
        (line("plane", float("inf"), 10.0), "quantity", "above zero"),
        (line("plane", None, 10.0), "quantity", "how much was done in ft"),
        (line("plane", 1e6, 10.0), "quantity", "fits 10 minutes; the book says 70,006 minutes"),
        (line("plane", 10, 10.0, setups=-1), "setups", "zero or more"),
        (line("deliver", 1, 10.0, setups=0), "setups", "1 or more"),
        (line("jointface", 10, 10.0), "operation", "near it: joint_face"),
        (line("xyzzy", 10, 10.0), "operation", "code of an operation or a stage"),
        (line("milling", 10, 10.0), "quantity", "a stage is not counted"),
        (line("milling", None), "minutes", "minutes of the stage"),
        (line("plane", 10, None, rework=True), "minutes", "the rework took"),
        (line("plane", 10, 10.0, project=" "), "project", "the project's name"),
        (line("plane", 10, 10.0, on=date(2026, 12, 1)), "date", "up to 2026-06-30"),
    ],
)
def test_a_bad_line_is_named_with_its_column_and_the_rest_is_taken(bad, column, says):
    evidence = gather([line("plane", 100, 40.0), bad], BOOK, today=date(2026, 6, 30))
    (problem,) = evidence.problems
    assert (problem.line, problem.column) == (2, column)
    assert says in problem.message
    assert len(evidence.rows) == 1


def test_lines_keep_the_place_they_have_in_their_file():
    assert gather([line("nothing", line=17)], BOOK).problems[0].line == 17


def test_a_stage_is_not_blamed_for_an_operation_that_was_refused():
    """The misspelt line is what the stage's minutes belong to: one complaint, not two."""
    problems = gather([line("plaine", 10), line("milling", None, 60.0)], BOOK).problems
    assert [problem.line for problem in problems] == [1]


def test_a_stage_is_blamed_when_the_refused_line_had_minutes_of_its_own():
    problems = gather([line("plaine", 10, 5.0), line("milling", None, 60.0)], BOOK).problems
    assert [problem.line for problem in problems] == [1, 2]


ENTRIES = st.lists(
    st.tuples(
        st.sampled_from(["P1", "P2"]),
        st.sampled_from(["joint_face", "plane", "spread_glue", "milling", "glue_up"]),
        st.floats(1, 500),
        st.one_of(st.none(), st.floats(1, 600)),
    ),
    max_size=25,
)


@given(entries=ENTRIES)
def test_every_minute_is_in_a_row_or_named_in_a_problem(entries):
    lines = []
    for project, what, quantity, minutes in entries:
        stage = what in ("milling", "glue_up")
        lines.append(line(what, None if stage else quantity, (minutes or 7.0) if stage else minutes, project=project))
    evidence = gather(lines, BOOK)
    logged = sum(entry.minutes or 0.0 for entry in lines)
    lost = sum(float(problem.message.split(" ")[0]) for problem in evidence.problems)
    assert sum(row.minutes for row in evidence.rows) + lost == pytest.approx(logged, rel=1e-4)
    for row in evidence.rows:
        assert sum(share for _, share in row.shares) == pytest.approx(1.0)
