"""How well the paces would have guessed, read from the journal: as quoted, as built, and what was known then."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from journal.desk import backtest as desk
from journal.desk.paces import book
from journal.pace.backtest import AVERAGE, BOOK, LAST, PACES, walk
from journal.records.engine import reading, writing
from journal.records.queries import imports, log, plans
from journal.records.queries.projects import ProjectDraft
from journal.records.words import EntrySource, ProjectState
from tests import factories
from tests.desk import shop_years as years


@pytest.fixture
def session(file_engine):
    with writing(file_engine) as opened:
        yield opened


def only(session):
    past, left_out = desk.finished(session, years.TODAY)
    assert not left_out
    return past[0]


def baseline(code, quantity, setups=1):
    return book()[code].baseline_minutes(setups, quantity)


def test_a_finished_project_is_tested_on_what_was_quoted(session):
    years.finished(session, 0)
    past = only(session)
    assert {task.code: task.baseline_minutes for task in past.tasks} == {
        "joint_face": baseline("joint_face", 300),
        "sand": baseline("sand", 60),
    }
    assert (past.minutes, past.planned_minutes) == (195.0, 195.0)
    assert (past.quoted_on, past.finished_on) == (years.FIRST, years.FIRST + timedelta(days=60))


def test_a_plan_changed_after_it_was_agreed_is_work_nobody_planned(session):
    made = years.finished(session, 0)
    years.change(session, made.id, "sand", 120.0, on=years.FIRST + timedelta(days=30))
    past = only(session)
    quoted = {task.code: task.baseline_minutes for task in past.tasks}["sand"]
    assert quoted == baseline("sand", 60)
    assert past.planned_minutes == pytest.approx(45 + 150 * quoted / baseline("sand", 120))
    assert past.minutes == 195.0


def test_a_plan_changed_before_it_was_agreed_is_the_one_quoted(session):
    made = years.finished(session, 0, agreed_on=years.FIRST + timedelta(days=10))
    years.change(session, made.id, "sand", 120.0, on=years.FIRST + timedelta(days=5))
    assert {task.code: task.baseline_minutes for task in only(session).tasks}["sand"] == baseline("sand", 120)


def test_a_quantity_noted_as_built_teaches_the_pace_and_not_the_quote(session):
    made = years.finished(session, 0)
    plans.put_built(session, made.id, [plans.BuiltRow("sand", 90.0, 1)])
    past = only(session)
    assert {task.code: task.baseline_minutes for task in past.tasks}["sand"] == baseline("sand", 60)
    row = next(row for row in past.rows if row.shares[0][0] == "sand")
    assert row.baseline_minutes == baseline("sand", 90)


def test_what_was_not_in_the_plan_counts_as_taken_and_not_as_planned(session):
    made = years.finished(session, 0)
    years.log_minutes(session, made.id, "dry_fit", 30, on=years.FIRST + timedelta(days=25))
    past = only(session)
    assert (past.minutes, past.planned_minutes) == (225.0, 195.0)


def test_rework_and_time_set_aside_are_left_out(session):
    made = years.finished(session, 0)
    day = years.FIRST + timedelta(days=25)
    years.log_minutes(session, made.id, "sand", 60, on=day, rework=True)
    years.log_minutes(session, made.id, "sand", 60, on=day, set_aside_reason="looked for the cat")
    assert only(session).minutes == 195.0


def test_an_operation_never_logged_is_left_out_of_the_guess(session):
    years.finished(session, 0, minutes={"sand": 150})
    assert [task.code for task in only(session).tasks] == ["sand"]


def test_a_project_still_in_build_is_no_finished_one(session):
    years.finished(session, 0, state=ProjectState.IN_BUILD)
    assert desk.finished(session, years.TODAY) == ((), ())


def test_finished_projects_that_cannot_be_tested_say_why(session):
    years.finished(session, 0, minutes={"dry_fit": 30})
    years.finished(session, 1, agreed=False, started_on=None)
    _, left_out = desk.finished(session, years.TODAY)
    assert [one.why for one in left_out] == [
        "no time logged for what was planned",
        "no day on which it was agreed, begun or asked for",
    ]


def test_a_log_dated_after_today_is_not_known_yet(session):
    made = years.finished(session, 0)
    years.log_minutes(session, made.id, "sand", 500, on=years.TODAY + timedelta(days=1))
    assert only(session).minutes == 195.0


def test_entries_of_no_time_at_all_are_left_out_with_a_reason(session):
    years.finished(session, 0, minutes={"joint_face": 0, "sand": 0})
    past, left_out = desk.finished(session, years.TODAY)
    assert past == ()
    assert left_out[0].why == "no time logged for what was planned"


def test_an_empty_journal_says_so(session):
    assert desk.backtest(session, years.TODAY).said == ("No finished project to test on yet.",)


def test_a_shop_twice_as_slow_as_the_book_beats_the_book(session):
    slow = {"joint_face": round(2 * baseline("joint_face", 300)), "sand": round(2 * baseline("sand", 60))}
    for place in range(7):
        years.finished(session, place, minutes=slow)
    found = desk.backtest(session, years.TODAY)
    assert len(found.guesses) == 7
    against_book = next(one for one in found.comparisons if one.rival == BOOK)
    assert against_book.verdict == "ahead"
    assert found.guesses[-1].minutes[50] == pytest.approx(found.guesses[-1].actual_minutes, rel=0.05)


def test_the_same_journal_is_read_once(file_engine):
    with writing(file_engine) as session:
        years.finished(session, 0)
    with reading(file_engine) as session:
        first = desk.finished(session, years.TODAY)
    with reading(file_engine) as session:
        assert desk.finished(session, years.TODAY) is first
    with writing(file_engine) as session:
        years.finished(session, 1)
    with reading(file_engine) as session:
        assert len(desk.finished(session, years.TODAY)[0]) == 2


def past_job(number, *, minutes=195, unmeasured=0):
    """A job as a spreadsheet brings it: how much was done, and the hours; never what was quoted."""
    on = years.FIRST
    measured = log.EntryDraft(on_date=on, seconds=60 * minutes, operation="sand", source=EntrySource.IMPORT)
    beside = [replace(measured, operation="dry_fit", seconds=60 * unmeasured)] if unmeasured else []
    project = ProjectDraft(
        code=number, title=number, state=ProjectState.CLOSED, started_on=on, delivered_on=on + timedelta(days=9)
    )
    return imports.PastJob(project, (plans.BuiltRow("sand", 60.0, 1),), (measured, *beside))


def take(session, *jobs):
    head = imports.ImportDraft(
        source="old.csv", sha256="0" * 64, first_on=years.FIRST, last_on=years.FIRST, rework_told=False
    )
    imports.take(session, head, jobs, now=factories.NOW)


def test_a_past_job_from_a_spreadsheet_is_tested_on_the_quantities_it_came_with(session):
    take(session, past_job("old 1"))
    past = only(session)
    assert past.as_built
    assert past.quoted_on == years.FIRST
    assert [(task.code, task.baseline_minutes) for task in past.tasks] == [("sand", baseline("sand", 60))]
    (guess,) = desk.backtest(session, years.TODAY).guesses
    assert guess.as_built


def test_of_a_past_job_only_the_time_its_quantities_account_for_is_compared(session):
    take(session, past_job("old 1", minutes=195, unmeasured=80))
    assert only(session).minutes == pytest.approx(195.0)


def test_a_past_job_tells_nothing_about_what_nobody_plans(session):
    """After three old jobs a project is guessed as if nothing had been seen of the unplanned: nothing is added for it."""
    take(session, *(past_job(f"old {place}") for place in range(3)))
    past, _ = desk.finished(session, years.TODAY)
    new = replace(past[0], code="new", quoted_on=years.TODAY, finished_on=years.TODAY + timedelta(days=1))
    planned, built = (list(walk([*past, replace(new, as_built=flag)], book()))[-1] for flag in (False, True))
    assert (planned.known, planned.as_built, built.as_built) == (3, False, True)
    assert planned.minutes == built.minutes


def test_a_project_of_our_own_without_a_plan_is_not_taken_for_a_past_job(session):
    years.finished(session, 0)
    made = factories.project(session, code="26-900", state=ProjectState.CLOSED, started_on=years.FIRST)
    plans.put_built(session, made.id, [plans.BuiltRow("sand", 60.0, 1)])
    years.log_minutes(session, made.id, "sand", 60, on=years.FIRST)
    assert [past.code for past in desk.finished(session, years.TODAY)[0]] == ["2024-01"]


def test_progress_is_told(session):
    years.finished(session, 0)
    told = []
    desk.backtest(session, years.TODAY, progress=lambda done, of: told.append((done, of)))
    assert told == [(1, 1)]


@pytest.fixture(scope="module")
def demo(demo_engine):
    with reading(demo_engine) as opened:
        return desk.backtest(opened, date(2026, 11, 25))


def test_every_delivered_project_of_the_demo_shop_is_guessed(demo):
    assert len(demo.guesses) == 18
    assert demo.left_out == ()
    assert demo.guesses[0].known == 0
    assert demo.guesses[-1].known >= 14


def test_on_the_demo_shop_the_paces_score_better_than_the_book_and_the_average(demo):
    scores = {score.name: score for score in demo.table}
    assert scores[PACES].crps_share < 0.9 * scores[BOOK].crps_share
    assert scores[PACES].crps_share < 0.9 * scores[AVERAGE].crps_share


def test_on_the_demo_shop_no_rival_is_nearer_by_more_than_luck_and_the_words_name_those_that_win(demo):
    assert "behind" not in {one.verdict for one in demo.comparisons}
    by_rival = dict(zip((BOOK, LAST, AVERAGE), demo.said[2:], strict=True))
    for one in demo.comparisons:
        assert (f"The {one.rival} wins here" in by_rival[one.rival]) is one.wins_median


def test_the_ranges_of_the_demo_shop_hold_about_what_they_say(demo):
    """Eighteen projects: eight in ten is eleven to eighteen of them nineteen times in twenty."""
    held = dict(demo.paces.held)
    assert 11 / 18 <= held[80] <= 1.0
    assert held[50] <= held[80] <= held[90]
