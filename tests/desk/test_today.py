"""The floor at one moment."""

from datetime import date, timedelta

import pytest
from journal.desk import ahead, bench, next_work, taps, today
from journal.errors import BadInput
from journal.floor.taps import Task, What
from journal.records.engine import reading, writing
from journal.records.queries import plans, projects
from journal.records.words import ProjectState
from tests import factories
from tests.desk import floor_shop as shop
from tests.desk.floor_shop import DAY, NOW, ZONE, sent


@pytest.fixture
def floor(file_engine):
    """(engine, project, first and second person)."""
    with writing(file_engine) as session:
        return file_engine, shop.in_build(session), *shop.people(session)


def look(engine, now=NOW, day=DAY):
    with reading(engine) as session:
        return today.today(session, day, zone=ZONE, now=now)


def tap(engine, who, what, task, moment):
    with writing(engine) as session:
        return taps.tap_now(session, who, What(what), task, sent=sent(moment))


def test_an_empty_shop_has_nothing_and_says_so(file_engine):
    found = look(file_engine)
    assert (found.any_project, found.floor, found.running, found.quiet, found.last) == (False, (), (), (), None)


def test_what_runs_is_shown_with_who_and_how_long(floor):
    engine, project, one, two = floor
    tap(engine, [one], "start", shop.planing(project), shop.at(9))
    tap(engine, [two], "start", Task(None, "clean_up"), shop.at(9, 30))
    tap(engine, [two], "pause", Task(None, "clean_up"), shop.at(10))
    found = look(engine, now=shop.at(11))
    (running,) = found.running
    assert (running.name, running.worker, running.seconds, running.project[1]) == (
        "Plane to thickness", "bench 1", 7200, "Bench for a school",
    )  # fmt: skip
    assert [(clock.name, clock.worker) for clock in found.paused] == [("Clean up the shop", "bench 2")]
    assert found.logged_seconds == 1800


def test_next_is_what_was_begun_else_the_first_not_begun_after_the_furthest(floor):
    engine, project, *_ = floor
    assert _next(engine) == ("crosscut_rough", False)
    _log(engine, project, "crosscut_rough", 3)
    assert _next(engine) == ("crosscut_rough", True)
    _log(engine, project, "joint_face", 2)
    assert _next(engine) == ("joint_face", True)
    with writing(engine) as session:
        plans.put_built(session, project, [plans.BuiltRow("joint_face", 60.0)])
    assert _next(engine) == ("plane_thickness", False)
    with writing(engine) as session:
        codes = ("crosscut_rough", "plane_thickness", "close_clamps", "apply_coat")
        plans.put_built(session, project, [plans.BuiltRow(code, 1.0) for code in codes])
    for code in ("plane_thickness", "close_clamps", "apply_coat"):
        _log(engine, project, code, 1)
    assert _next(engine) == (None, False)


def _next(engine):
    with reading(engine) as session:
        (found,) = next_work.on_the_floor(session)
    return (found.next.code if found.next else None, found.going_on)


def _log(engine, project, code, days_ago, **given):
    with writing(engine) as session:
        day = DAY - timedelta(days=days_ago)
        factories.entry(session, project_id=project, operation=code, on_date=day, seconds=7200, **given)


def test_projects_in_build_come_before_those_agreed_and_no_others(file_engine):
    with writing(file_engine) as session:
        states = (ProjectState.ACCEPTED, ProjectState.IN_BUILD, ProjectState.QUOTED, ProjectState.CLOSED)
        for state in states:
            factories.project(session, state=state, title=state.value)
    assert [one.project.title for one in look(file_engine).floor] == ["in_build", "accepted"]


def test_what_went_into_clamps_waits_until_the_glue_says_and_the_joint_longer(floor):
    engine, project, one, _ = floor
    clamps = Task(project, "close_clamps")
    tap(engine, [one], "start", clamps, shop.at(9))
    tap(engine, [one], "stop", clamps, shop.at(9, 30))
    found = look(engine, now=shop.at(10))
    assert [(one.what, one.until) for one in found.waiting] == [
        ("in clamps", shop.at(10, 30)),  # an hour, by the class of glue in the starting book
        ("a joint from which machines stay away", shop.at(9, 30) + timedelta(hours=24)),
    ]
    tap(engine, [one], "start", Task(project, "unclamp_clean"), shop.at(10, 5))
    tap(engine, [one], "stop", Task(project, "unclamp_clean"), shop.at(10, 10))
    assert [one.what for one in look(engine, now=shop.at(10, 15)).waiting] == ["a joint from which machines stay away"]
    assert look(engine, now=shop.at(9, 31) + timedelta(hours=24), day=DAY + shop.A_DAY).waiting == ()


def test_a_coat_dries_as_long_as_its_finish_takes_at_most(floor):
    engine, project, one, _ = floor
    coat = Task(project, "apply_coat")
    tap(engine, [one], "start", coat, shop.at(9))
    tap(engine, [one], "stop", coat, shop.at(10))
    (waiting,) = look(engine, now=shop.at(11)).waiting
    assert (waiting.what, waiting.until) == ("a coat drying", shop.at(10) + timedelta(hours=24))


def test_days_without_a_log_are_those_on_which_there_usually_is_one(floor):
    engine, project, *_ = floor
    for back in range(1, 50):
        day = DAY - timedelta(days=back)
        if day.weekday() < 5 and day != date(2026, 2, 26):
            _log(engine, project, "joint_face", back)
    assert look(engine).quiet == (date(2026, 2, 26),)


def test_a_stop_that_came_too_late_is_told_with_why(floor):
    engine, project, one, _ = floor
    tap(engine, [one], "start", shop.planing(project), shop.at(9))
    tap(engine, [one], "stop", shop.planing(project), shop.at(10))
    tap(engine, [one], "stop", shop.planing(project), shop.at(11))
    (ignored,) = look(engine, now=shop.at(12)).ignored
    assert (ignored.worker, ignored.name, ignored.tap.why) == ("bench 1", "Plane to thickness", "it was stopped")
    assert look(engine, now=NOW + timedelta(days=2), day=DAY + timedelta(days=2)).ignored == ()


def test_the_first_clock_of_a_shop_makes_its_first_place_at_the_bench(file_engine):
    with writing(file_engine) as session:
        assert bench.first_place(session).label == "Bench 1"
        assert bench.first_place(session).label == "Bench 1"
        assert len(bench.places(session)) == 1
        assert bench.add_place(session, "  the   apprentice ").label == "the apprentice"
        for label in ("", "Bench 1", "x" * 61):
            with pytest.raises(BadInput):
                bench.add_place(session, label)


def test_what_may_be_started_is_the_plan_first_and_then_the_rest_of_the_book(floor):
    engine, project, *_ = floor
    with reading(engine) as session:
        found = bench.choices(session, project)
    planned = [code for stage in found.planned for code, _ in stage.operations]
    others = [code for stage in found.others for code, _ in stage.operations]
    assert planned == ["crosscut_rough", "joint_face", "plane_thickness", "close_clamps", "apply_coat"]
    assert set(planned).isdisjoint(others)
    assert "rework" not in {*planned, *others}
    assert found.next == Task(project, "crosscut_rough")


def test_a_day_that_cannot_be_met_is_in_doubt_and_one_far_away_is_not(file_engine):
    with writing(file_engine) as session:
        soon = shop.in_build(session, promised_on=DAY + shop.A_DAY, agreed_minutes=1.0)
        later = shop.in_build(session, promised_on=DAY + timedelta(days=3000), agreed_minutes=1e6)
        free = shop.in_build(session)
        bare = factories.project(session, state=ProjectState.ACCEPTED).id
    with reading(file_engine) as session:
        dues = {due.project.id: due for due in ahead.ahead(session, DAY)}
        first = ahead.ahead(session, DAY)[0].project.id
    assert first == soon
    assert (dues[soon].day_in_doubt, dues[soon].hours_in_doubt, dues[soon].over) == (True, True, 1.0)
    assert (dues[later].day_in_doubt, dues[later].hours_in_doubt, dues[later].late) == (False, False, 0.0)
    assert (dues[free].late, dues[free].over) == (None, None)
    assert (dues[bare].left_minutes, dues[bare].ready_on) == (None, None)
    assert dues[soon].left_minutes > 0
    with writing(file_engine) as session:
        row = projects.get_project(session, soon)
        draft = row.draft(promised_on=DAY + timedelta(days=3000))
        projects.change_project(session, soon, draft, read_version=row.version, now=NOW)
    with reading(file_engine) as session:
        assert {due.project.id: due for due in ahead.ahead(session, DAY)}[soon].late == 0.0
