"""A project in build, read from the journal: what counts as done, what stands beside the plan, hours, money, days."""

from datetime import date, timedelta

import pytest
from journal.desk import progress as desk
from journal.errors import JournalError, MissingReference
from journal.pace.progress import State
from journal.records.engine import reading, writing
from journal.records.queries import plans, projects
from journal.records.words import ProjectState
from tests import factories
from tests.desk import shop_years as years

DAY = date(2026, 2, 2)
PLAN = (("joint_face", 300.0, 1), ("joint_edge", 200.0, 1), ("plane_thickness", 400.0, 1), ("sand", 60.0, 1),
        ("clean_up", 4.0, 0), ("rework", 10.0, 0))  # fmt: skip


@pytest.fixture
def session(file_engine):
    with writing(file_engine) as opened:
        yield opened


@pytest.fixture
def project(session):
    made = factories.project(session, state=ProjectState.IN_BUILD, agreed_on=DAY, agreed_minutes=400.0)
    factories.plan(session, made.id, operations=[plans.OperationRow(*one) for one in PLAN])
    return made


def where(session, project, **given):
    return desk.progress(session, project.id, years.TODAY, **given)


def states(found):
    return {one.piece.name: one.piece.state for one in found.ending.pieces}


def test_before_any_time_everything_is_to_come_and_rework_is_no_piece_of_work(session, project):
    found = where(session, project)
    assert set(states(found).values()) == {State.TO_COME}
    assert list(states(found)) == ["joint_face", "joint_edge", "plane_thickness", "sand", "clean_up"]
    assert (found.spent_minutes, found.ending.so_far) == (0.0, None)
    assert [step.on for step in found.history] == [years.TODAY]


def test_an_operation_is_open_until_later_work_is_logged_on_another_day(session, project):
    years.log_minutes(session, project.id, "joint_face", 40, on=DAY)
    years.log_minutes(session, project.id, "joint_edge", 20, on=DAY)
    assert states(where(session, project))["joint_face"] is State.OPEN
    years.log_minutes(session, project.id, "plane_thickness", 30, on=DAY + timedelta(days=1))
    found = states(where(session, project))
    assert (found["joint_face"], found["plane_thickness"]) == (State.DONE, State.OPEN)


def test_too_little_time_for_its_quantity_leaves_an_operation_open(session, project):
    years.log_minutes(session, project.id, "joint_face", 2, on=DAY)
    years.log_minutes(session, project.id, "sand", 30, on=DAY + timedelta(days=9))
    assert states(where(session, project))["joint_face"] is State.OPEN


def test_a_quantity_noted_as_built_or_a_word_of_the_user_says_done(session, project):
    years.log_minutes(session, project.id, "joint_face", 40, on=DAY)
    years.log_minutes(session, project.id, "sand", 40, on=DAY)
    plans.put_built(session, project.id, [plans.BuiltRow("joint_face", 280.0, 1)])
    found = states(where(session, project, done=["sand"]))
    assert (found["joint_face"], found["sand"]) == (State.DONE, State.DONE)


def test_cleaning_up_goes_alongside_and_is_not_done_by_later_work(session, project):
    years.log_minutes(session, project.id, "clean_up", 60, on=DAY)
    years.log_minutes(session, project.id, "sand", 40, on=DAY + timedelta(days=5))
    assert states(where(session, project))["clean_up"] is State.OPEN


def test_a_stage_logged_as_a_whole_is_one_piece_with_its_operations(session, project):
    years.log_minutes(session, project.id, "", 90, on=DAY, stage="milling")
    years.log_minutes(session, project.id, "joint_face", 40, on=DAY)
    found = where(session, project)
    milling = next(one.piece for one in found.ending.pieces if one.piece.name == "milling")
    assert {code for code, _ in milling.shares} == {"joint_edge", "plane_thickness"}
    assert milling.logged_minutes == 90
    years.log_minutes(session, project.id, "sand", 40, on=DAY + timedelta(days=5))
    assert states(where(session, project))["milling"] is State.DONE


def test_work_beside_the_plan_and_work_done_again_are_spent_and_told_apart(session, project):
    years.log_minutes(session, project.id, "joint_face", 40, on=DAY)
    years.log_minutes(session, project.id, "dry_fit", 25, on=DAY)
    years.log_minutes(session, project.id, "joint_face", 15, on=DAY, rework=True)
    found = where(session, project)
    assert (found.spent_minutes, found.beside_minutes, found.rework_minutes) == (80.0, 25.0, 15.0)
    assert found.without_plan == ("dry_fit",)
    assert found.minutes.p10 > 80
    assert found.left.p50 == pytest.approx(found.minutes.p50 - 80)


def test_an_operation_passed_over_is_named_and_still_to_come(session, project):
    years.log_minutes(session, project.id, "joint_face", 40, on=DAY)
    years.log_minutes(session, project.id, "sand", 40, on=DAY + timedelta(days=5))
    assert where(session, project).silent == ("joint_edge", "plane_thickness")


def test_a_slow_beginning_shows_in_the_forecast_and_in_its_history(session, project):
    usual = where(session, project).minutes.p50
    for place, (code, minutes) in enumerate((("joint_face", 200), ("joint_edge", 120), ("plane_thickness", 200))):
        years.log_minutes(session, project.id, code, minutes, on=DAY + timedelta(days=place))
    years.log_minutes(session, project.id, "sand", 20, on=DAY + timedelta(days=6))
    found = where(session, project)
    assert found.minutes.p50 > 1.5 * usual
    assert found.ending.so_far > 0.1
    assert found.over_agreed > 0.9
    assert [step.on for step in found.history][:2] == [DAY - timedelta(days=1), DAY]
    assert found.history[0].minutes.p50 == pytest.approx(usual, rel=0.05)
    assert found.history[-1].minutes == found.minutes


def test_the_history_knows_only_projects_finished_by_then(session, project):
    years.log_minutes(session, project.id, "joint_face", 40, on=DAY)
    before = where(session, project).history[0]
    late = years.finished(session, 0, minutes={"joint_face": 400, "sand": 900})
    years.log_minutes(session, late.id, "sand", 600, on=DAY + timedelta(days=10))
    assert where(session, project).history[0] == before


def test_materials_count_as_bought_or_as_planned_whichever_is_dearer(session, project):
    factories.purchase(session, project_id=project.id, freight_cents=500)
    found = where(session, project)
    assert found.bought_cents == 12_500
    assert found.materials_cents >= 12_500


def test_parts_that_cannot_be_priced_leave_the_hours(session, project):
    assert where(session, project).cost is None  # the plan's leg is of stock this journal does not know


def test_a_project_without_a_plan_and_one_that_is_not_there_are_told(session):
    bare = factories.project(session, state=ProjectState.IN_BUILD)
    with pytest.raises(JournalError, match="no plan yet"):
        where(session, bare)
    with pytest.raises(MissingReference):
        desk.progress(session, 999, years.TODAY)


@pytest.fixture(scope="module")
def demo(demo_engine):
    with reading(demo_engine) as opened:
        (running,) = projects.list_projects(opened, [ProjectState.IN_BUILD])
        return desk.progress(opened, running.project.id, date(2026, 11, 25))


def test_the_demo_shops_project_in_build_has_hours_money_and_a_day(demo):
    assert demo.spent_minutes < demo.minutes.p10 < demo.minutes.p50 < demo.minutes.p90
    assert demo.cost.p10 < demo.cost.p50 < demo.cost.p90
    assert date(2026, 11, 25) < demo.finish.early <= demo.finish.likely <= demo.finish.late
    assert demo.bought_cents > 0
    assert 0 <= demo.over_agreed <= 1


def test_its_range_narrows_as_it_is_built(demo):
    first, last = demo.history[0].minutes, demo.history[-1].minutes
    assert last.p90 / last.p10 < 0.8 * first.p90 / first.p10


def test_what_to_watch_comes_first_and_says_what_moved_it(demo):
    doubtful = demo.ending.by_doubt[0]
    assert doubtful.share == max(one.share for one in demo.ending.pieces)
    assert "this project so far" in demo.explained[doubtful.piece.name]
