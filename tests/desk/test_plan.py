"""The build plan of a project: joined from the estimate's own take-off, and what would change."""

from dataclasses import replace
from datetime import timedelta

import pytest
from journal import units
from journal.build.handling import Box, Stairs, Way
from journal.build.moisture import Readiness
from journal.build.movement import Direction
from journal.desk import moisture, parts
from journal.desk.estimate import estimate_project
from journal.desk.glue_pace import FEWEST_CLOCKED, GluePace
from journal.desk.plan import build_plan, capacities, way_in
from journal.desk.shop import read_shop, start_shop
from journal.desk.what_if import Change, changed, what_if
from journal.errors import BadInput, MissingReference
from journal.records.engine import writing
from journal.records.queries import floor, projects
from journal.records.queries import shop as shop_records
from journal.records.queries.building import ReadingDraft
from journal.records.queries.shop import SettingRow
from journal.records.words import ProjectState
from tests import factories, journals
from tests.build.benches import bench
from tests.factories import NOW, TODAY

IN = units.NM_PER_INCH


@pytest.fixture
def session(tmp_path, empty_journal):
    path = tmp_path / "journal.db"
    engine = journals.copied(empty_journal, path)
    with writing(engine) as opened:
        yield opened
    journals.removed(engine)


@pytest.fixture
def project_id(session):
    project = factories.project(session)
    listed = [replace(part, stock="2x8 Douglas-fir" if "2x8" in part.stock else part.stock) for part in bench()]
    kept = parts.keep(session, project.id, listed, reason="first list", now=NOW)
    assert kept.trouble == ""
    return project.id


def put(session, key, value, unit):
    shop_records.put_setting(session, SettingRow(key, value, unit))


def test_the_plan_is_about_the_bench_that_is_priced(session, project_id):
    plan = build_plan(session, project_id, TODAY)
    made = estimate_project(session, project_id, TODAY).made
    assert plan.gluing == made.takeoff.gluing
    glued = sum(work.quantity for step in plan.steps.steps for work in step.works if work.code == "dry_clamp")
    assert glued == sum(up.times for up in made.takeoff.ups)
    minutes = sum(operation.minutes.p50 for operation in made.operations)
    assert sum(step.minutes.p50 for step in plan.steps.steps) == pytest.approx(minutes)


def test_everything_is_joined(session, project_id):
    plan = build_plan(session, project_id, TODAY)
    assert {route.part for route in plan.routes} == {milled.part.label for milled in plan.gluing.milled}
    (moving,) = plan.moving
    assert moving.movement.direction is Direction.RADIAL
    assert moving.movement.change_nm < 0  # the client's room is drier
    assert plan.shop_emc_pct == pytest.approx(8.46, abs=0.01)
    assert plan.client_emc_pct < plan.shop_emc_pct
    assert plan.moves[-1].what == "The finished bench"
    assert plan.moves[-1].weight_kg == pytest.approx(plan.found.made.takeoff.weight_kg, rel=0.05)
    assert plan.moves[-1].way in (Way.CART, Way.HOIST)
    assert {one.part for one in plan.pressing} == {"top", "leg"}
    assert plan.troubles == ()


def test_each_caution_comes_once_with_its_steps(session, project_id):
    uses = build_plan(session, project_id, TODAY).cautions
    assert len({use.caution.key for use in uses}) == len(uses)
    assert all(use.steps and use.caution.source for use in uses)
    assert "rags" in {use.caution.key for use in uses}  # the usual finish is a drying oil


def test_without_readings_the_usual_rest_stands(session, project_id):
    stack = build_plan(session, project_id, TODAY).stack
    assert stack.ready_on == TODAY + timedelta(days=21)
    assert stack.advice.readiness is Readiness.REST


def test_readings_move_the_day_and_the_rest_in_the_steps(session, project_id):
    put(session, "rest_wet_days", "30", "days")
    stacked = TODAY - timedelta(days=10)
    for days, pct in ((0, 15.0), (5, 11.5), (5, 12.3), (10, 10.3)):
        read = ReadingDraft(on_date=stacked + timedelta(days=days), moisture_pct=pct, place="third board")
        moisture.note_reading(session, project_id, read, today=TODAY, now=NOW)
    plan = build_plan(session, project_id, TODAY)
    assert [(one.days, one.moisture_pct) for one in plan.stack.daily] == [
        (0, 15.0),
        (5, pytest.approx(11.9)),
        (10, 10.3),
    ]
    assert TODAY - timedelta(days=2) <= plan.stack.ready_on <= TODAY + timedelta(days=4)
    left = max(0, (plan.stack.ready_on - TODAY).days) * 24
    wait = plan.steps.find("crosscut_rough").wait
    assert (wait.hours if wait else 0) == left
    assert plan.stack.early_on <= plan.stack.ready_on <= plan.stack.late_on


def test_a_cold_shop_is_told_what_would_do(session, project_id):
    put(session, "shop_temp", "45", "F")
    troubles = build_plan(session, project_id, TODAY).troubles
    assert any("too cold to glue" in trouble for trouble in troubles)
    assert any("finish" in trouble.lower() or "varnish" in trouble.lower() for trouble in troubles)


def test_too_few_clamps_are_a_trouble_of_the_plan_and_of_the_price(session, project_id):
    put(session, "clamps_on_hand", "5", "count")
    plan = build_plan(session, project_id, TODAY)
    assert any(trouble.startswith("top:") and "more clamps" in trouble for trouble in plan.troubles)
    assert set(plan.gluing.troubles) <= set(plan.found.made.takeoff.notes)


def test_a_door_and_stairs_as_typed(session, project_id):
    plan = build_plan(session, project_id, TODAY)
    box = Box(96 * IN, 24 * IN, 34 * IN)
    whole, top = way_in(plan, bench=box, door_nm=(30 * IN, 80 * IN), stairs=Stairs(36 * IN, 78 * IN, 36 * IN))
    assert (whole.what, whole.through_door, whole.up_stairs) == ("The finished bench", True, False)
    assert (top.what, top.through_door) == ("top", True)
    assert way_in(plan)[0].through_door is None


def test_usual_machines_stand_in_until_the_shop_lists_its_own():
    usual = capacities(start_shop())
    assert usual["jointer"].width_nm == 6 * IN
    wide = changed(start_shop(), Change(planer_nm=20 * IN))
    assert capacities(wide)["thickness planer"].width_nm == 20 * IN
    assert capacities(wide)["jointer"].width_nm == 6 * IN
    assert "thickness planer" not in capacities(changed(start_shop(), Change(planer_nm=0)))


# What if


def test_nothing_changed_changes_nothing(session, project_id):
    found = what_if(session, project_id, TODAY, Change())
    assert found.before == found.after
    assert (found.clampings_saved, found.minutes_saved) == (0, 0)
    assert found.possible


@pytest.mark.parametrize("change", [Change(adhesive="pva_slow"), Change(hands=1)])
def test_a_slower_glue_or_another_pair_of_hands_saves_clampings(session, project_id, change):
    found = what_if(session, project_id, TODAY, change)
    assert found.before.sections["top"] > found.after.sections["top"]
    assert found.clampings_saved > 0
    assert found.minutes_saved > 0
    assert any("the glue sets" in reason for reason in found.before.reasons["top"])


def test_a_wider_planer_saves_nothing_where_the_glue_is_the_limit(session, project_id):
    found = what_if(session, project_id, TODAY, Change(planer_nm=30 * IN))
    assert found.clampings_saved == 0
    both = what_if(session, project_id, TODAY, Change(planer_nm=30 * IN, adhesive="epoxy", hands=1))
    assert both.after.sections["top"] == 1


def test_no_planer_is_flattened_by_hand(session, project_id):
    found = what_if(session, project_id, TODAY, Change(planer_nm=0))
    assert found.minutes_saved < 0


def test_four_more_clamps_make_possible_what_was_not(session, project_id):
    put(session, "clamps_on_hand", "12", "count")
    found = what_if(session, project_id, TODAY, Change(clamps=4))
    assert found.before.troubles
    assert found.possible
    assert not what_if(session, project_id, TODAY, Change(clamps=-4)).possible


@pytest.mark.parametrize(
    "fields", [{"clamps": 1000}, {"hands": -1}, {"hands": 9}, {"planer_nm": -1}, {"planer_nm": units.feet(11)}]
)
def test_changes_nobody_makes_are_refused(fields):
    with pytest.raises(BadInput):
        Change(**fields)


def test_an_unknown_glue_is_refused():
    with pytest.raises(MissingReference):
        Change(adhesive="bubble gum")


# How fast this shop glues


def clock(session, project_id, count, **given):
    fields = {
        "on_date": TODAY - timedelta(days=30),
        "label": "top",
        "strips": 8,
        "area_mm2": round(10 * 304.8**2),
        "spread_seconds": 300,
        "assembly_seconds": 660,
        "clamps": 12,
    }
    for _ in range(count):
        floor.add_glue_up(session, floor.GlueUpRow(project_id=project_id, **fields | given))


def finish(session, project_id):
    project = projects.get_project(session, project_id)
    draft = projects.ProjectDraft(
        code=project.code,
        title=project.title,
        client_kind=project.client_kind,
        benches=project.benches,
        state=ProjectState.DELIVERED,
    )
    return projects.add_project(session, replace(draft, code="20-001"), NOW).id


def test_the_clock_of_finished_projects_sets_the_pace(session, project_id):
    done = finish(session, project_id)
    clock(session, done, FEWEST_CLOCKED)
    pace = read_shop(session, TODAY).glue_pace
    assert pace.glue_ups == FEWEST_CLOCKED
    assert pace.spread_minutes_ft2 == pytest.approx(0.5)
    assert pace.close_minutes_clamp == pytest.approx(0.5)


def test_few_or_small_glue_ups_and_those_of_a_project_in_build_teach_nothing(session, project_id):
    done = finish(session, project_id)
    clock(session, done, FEWEST_CLOCKED - 1)
    clock(session, project_id, 10)
    clock(session, done, 10, strips=2)
    clock(session, done, 10, on_date=TODAY)
    assert read_shop(session, TODAY).glue_pace == GluePace.of_the_book()


def test_two_who_spread_are_each_half_as_fast_as_both():
    totals = floor.ClockedTotals(10, round(100 * 304.8**2), 100, 60 * 30, 60 * 60)
    assert GluePace.of_the_clock(totals, 2).spread_minutes_ft2 == pytest.approx(0.6)
    assert GluePace.of_the_clock(totals, 2).close_minutes_clamp == pytest.approx(0.6)
