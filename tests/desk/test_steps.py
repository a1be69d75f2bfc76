"""Steps changed by hand: kept, taken back, counted in hours and price, and outliving a changed dimension."""

from dataclasses import replace

import pytest
from journal import units
from journal.desk import days_work, parts, progress, steps
from journal.desk.estimate import estimate_project
from journal.desk.plan import build_plan
from journal.errors import BadInput, MissingReference
from journal.records.engine import writing
from journal.records.queries import building, plans, projects
from journal.records.queries.building import EditDraft
from journal.records.words import EditKind, ProjectState
from journal.working import Basis
from tests import factories, journals
from tests.build.benches import bench, top
from tests.factories import NOW, TODAY


@pytest.fixture
def session(tmp_path, empty_journal):
    path = tmp_path / "journal.db"
    engine = journals.copied(empty_journal, path)
    with writing(engine) as opened:
        yield opened
    journals.removed(engine)


def listed(first=None):
    found = [replace(part, stock="2x8 Douglas-fir" if "2x8" in part.stock else part.stock) for part in bench()]
    return [first or found[0], *found[1:]]


@pytest.fixture
def project_id(session):
    project = factories.project(session)
    parts.keep(session, project.id, listed(), reason="first list", now=NOW)
    return project.id


def change(session, project_id, kind, key="sand", **more):
    return steps.change(session, project_id, EditDraft(kind=EditKind(kind), step_key=key, **more), today=TODAY, now=NOW)


def plan(session, project_id):
    return build_plan(session, project_id, TODAY)


def made(session, project_id):
    return estimate_project(session, project_id, TODAY).made


def operations(session, project_id):
    return {row.code: row for row in plans.latest_plan(session, project_id).operations}


def test_a_dropped_step_leaves_plan_hours_price_and_the_operations_that_are_logged_against(session, project_id):
    before = made(session, project_id)
    row = change(session, project_id, "drop")
    assert (row.step_title, steps.say(row)) == ("Sand", "dropped Sand")
    after = made(session, project_id)
    assert plan(session, project_id).steps.find("sand") is None
    assert "sand" not in {operation.code for operation in after.operations}
    assert after.hours.at(0.5) < before.hours.at(0.5)
    assert after.price_cents < before.price_cents
    assert after.takeoff.bills == before.takeoff.bills
    assert "sand" not in operations(session, project_id)
    assert plans.latest_plan(session, project_id).reason == "steps changed: dropped Sand"


def test_taking_it_back_brings_all_of_it_back_and_it_can_be_put_again(session, project_id):
    before, asked = made(session, project_id), operations(session, project_id)
    row = change(session, project_id, "drop")
    steps.take_back(session, project_id, row.id, now=NOW)
    assert made(session, project_id).price_cents == before.price_cents
    assert operations(session, project_id) == asked
    steps.put_again(session, project_id, row.id, now=NOW)
    assert "sand" not in operations(session, project_id)
    assert building.edits(session, project_id) == (row,)


def test_an_own_step_adds_its_minutes_as_typed(session, project_id):
    before = made(session, project_id)
    change(session, project_id, "add", "own:", after_key="sand", text="Burn in the mark", minutes=90, stage="finishing")
    after = made(session, project_id)
    (line,) = [line for line in after.lines if line.name == "Burn in the mark"]
    assert (line.value, line.unit, line.basis) == (90, "min", Basis.TYPED)
    assert 1.5 < after.hours.at(0.5) - before.hours.at(0.5) < 2.0  # and its part of the work nobody planned
    (wage_before,), (wage_after,) = (
        [line.value for line in one.costs if line.name == "Wage"] for one in (before, after)
    )
    assert wage_after > wage_before
    assert sum(line.value for line in after.costs if line.unit == "cents") == after.price_cents
    step = plan(session, project_id).steps.find(building.edits(session, project_id)[0].step_key)
    assert (step.minutes.p10, step.minutes.p90) == (90, 90)


def test_the_minutes_of_the_steps_are_those_of_the_estimate(session, project_id):
    for kind, more in (("drop", {}), ("split", {"key": "assemble", "text": "The rest", "share": 0.4})):
        change(session, project_id, kind, **more)
    found, expected = plan(session, project_id), made(session, project_id)
    assert sum(step.minutes.p50 for step in found.steps.steps) == pytest.approx(
        sum(operation.minutes.p50 for operation in expected.operations)
    )
    assert operations(session, project_id)["assemble"].setups == 1 + next(
        task.setups for task in expected.takeoff.asked if task.code == "assemble"
    )


def test_notes_and_moves_change_no_operations_and_make_no_version(session, project_id):
    version = plans.latest_plan(session, project_id).version
    change(session, project_id, "note", text="start at the vise end")
    change(session, project_id, "move", "cut_panel", after_key="fetch_stock")
    assert plans.latest_plan(session, project_id).version == version
    found = plan(session, project_id).steps
    keys = [step.key for step in found.steps]
    assert keys.index("cut_panel") == keys.index("fetch_stock") + 1
    assert found.find("sand").notes[-1] == "start at the vise end"


def test_edits_outlive_a_changed_dimension_and_say_where_they_fit_no_more(session, project_id):
    change(session, project_id, "note", text="start at the vise end")
    holes = change(session, project_id, "note", "bore_large", text="from both faces")
    shorter = top(length=80, stock="2x8 Douglas-fir")  # and without its holes
    parts.keep(session, project_id, listed(shorter), reason="shorter", now=NOW)
    found = plan(session, project_id)
    assert found.steps.find("sand").notes[-1] == "start at the vise end"
    assert [(one.edit, one.why) for one in found.no_fit] == [(holes, "this step is not in the plan any more")]
    assert holes not in found.edits
    steps.take_back(session, project_id, holes.id, now=NOW)
    assert plan(session, project_id).no_fit == ()


def test_a_changed_part_list_keeps_the_operations_as_the_steps_were_changed(session, project_id):
    change(session, project_id, "drop")
    parts.keep(session, project_id, listed(top(length=80, stock="2x8 Douglas-fir")), reason="shorter", now=NOW)
    assert "sand" not in operations(session, project_id)


def test_undoing_a_part_list_passes_over_changed_steps(session, project_id):
    parts.keep(session, project_id, listed(top(length=80, stock="2x8 Douglas-fir")), reason="shorter", now=NOW)
    change(session, project_id, "drop")
    parts.undo(session, project_id, now=NOW)
    assert parts.current(session, project_id)[0].length_nm == units.inches(96)
    assert "sand" not in operations(session, project_id)
    parts.undo(session, project_id, now=NOW)
    assert parts.current(session, project_id)[0].length_nm == units.inches(80)


def test_what_breaks_the_order_of_work_is_refused_and_not_kept(session, project_id):
    with pytest.raises(BadInput, match="which it needs"):
        change(session, project_id, "move", after_key="drawings")
    with pytest.raises(BadInput, match="what is to be done, or noted"):
        change(session, project_id, "note", text="  ")
    with pytest.raises(MissingReference, match="step"):
        change(session, project_id, "drop", "plug")
    assert building.edits(session, project_id) == ()


def test_a_project_without_parts_has_no_steps_to_change(session):
    empty = factories.project(session)
    with pytest.raises(BadInput, match="part list"):
        change(session, empty.id, "drop")


def in_build(session, project_id, own_stage="finishing", minutes=600.0):
    """The project in build, some of it done, with a step of the maker's own."""
    row = change(
        session, project_id, "add", key="own", after_key="sand", text="Carve", minutes=minutes, stage=own_stage
    )
    project = projects.get_project(session, project_id)
    begun = project.draft(state=ProjectState.IN_BUILD, agreed_on=TODAY, agreed_minutes=4_000.0)
    projects.change_project(session, project_id, begun, read_version=project.version, now=NOW)
    return row


def left(session, project_id):
    """Minutes still to come, as Ahead and other projects' Days have them."""
    project = projects.get_project(session, project_id)
    return progress.remaining(session, [project], TODAY)[project_id]


def test_own_steps_of_a_project_in_build_are_still_to_come_wherever_that_is_told(session, project_id):
    row = in_build(session, project_id)
    typed = made(session, project_id).takeoff.own_minutes
    held = left(session, project_id)
    where = progress.progress(session, project_id, TODAY)
    assert (typed, held.own_minutes, where.own_left) == (600.0, 600.0, 600.0)
    steps.take_back(session, project_id, row.id, now=NOW)
    without = left(session, project_id)
    assert without.own_minutes == 0
    more = held.minutes - without.minutes  # the same in every draw: typed, and the allowance of all that is to come
    assert more.min() == pytest.approx(more.max())
    assert more.min() >= typed
    assert progress.progress(session, project_id, TODAY).left.p50 == pytest.approx(where.left.p50 - more.min())


def test_an_own_step_is_over_with_its_stage(session, project_id):
    in_build(session, project_id, own_stage="milling")
    factories.entry(session, project_id=project_id, operation="joint_face")
    assert left(session, project_id).own_minutes == 600.0
    factories.entry(session, project_id=project_id, operation="sand")
    held = left(session, project_id)
    assert held.own_minutes == 0
    assert "milling" in held.over
    assert "finishing" not in held.over


def test_in_the_days_of_a_project_in_build_an_own_step_stands_with_the_minutes_typed(session, project_id):
    in_build(session, project_id)
    factories.entry(session, project_id=project_id, operation="joint_face")
    held = left(session, project_id)
    found = days_work.left_of_build(held, len(held.minutes))
    assert sum(found.draws.values()) == pytest.approx(held.minutes - 600.0)


def test_an_own_step_that_lost_its_place_counts_nowhere(session, project_id):
    in_build(session, project_id)
    change(session, project_id, "drop")
    assert made(session, project_id).takeoff.own_minutes == left(session, project_id).own_minutes
