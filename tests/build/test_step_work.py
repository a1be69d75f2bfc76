"""The work that is left when steps were dropped and split, and what the maker's own steps add."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.build.step_edits import Edit, EditKind, apply_edits
from journal.build.step_work import OwnWork, edited_tasks, own_work
from tests.build.test_order import KEYS, PLAN, TAKEN


def edited(*edits):
    after, misfits = apply_edits(PLAN, edits)
    assert misfits == ()
    return after, {task.code: task for task in edited_tasks(TAKEN.tasks, PLAN, after)}


ASKED = {task.code: task for task in TAKEN.tasks}


def test_what_no_edit_touches_stays_as_it_was():
    _, left = edited(Edit(EditKind.NOTE, "sand", text="X"), Edit(EditKind.ADD, "own:x", text="X", minutes=5))
    assert left == ASKED


def test_a_dropped_operation_is_gone():
    _, left = edited(Edit(EditKind.DROP, "call_back"))
    assert left == {code: task for code, task in ASKED.items() if code != "call_back"}


def test_a_dropped_coat_takes_its_share_of_every_operation_in_it():
    _, left = edited(Edit(EditKind.DROP, "coat:3"))
    assert left["apply_coat"].quantity == pytest.approx(ASKED["apply_coat"].quantity * 2 / 3)
    assert left["apply_coat"].setups == 2
    assert left["scuff"].quantity == pytest.approx(ASKED["scuff"].quantity / 2)
    assert "as the steps were changed" in left["apply_coat"].working


def test_a_split_adds_the_setup_of_its_second_part():
    _, left = edited(Edit(EditKind.SPLIT, "plane_thickness", text="The rest", into="own:rest", share=0.3))
    assert left["plane_thickness"].quantity == pytest.approx(ASKED["plane_thickness"].quantity)
    assert left["plane_thickness"].setups == ASKED["plane_thickness"].setups + 1


def test_own_steps_count_as_typed():
    after, _ = edited(
        Edit(EditKind.ADD, "own:brand", after="sand", text="Burn in the mark", minutes=15, stage="finishing"),
        Edit(EditKind.ADD, "own:call", text="Call the school"),
        Edit(EditKind.SPLIT, "own:brand", text="And the number", into="own:number", share=0.4),
    )
    assert own_work(after) == (
        OwnWork("Burn in the mark", "finishing", pytest.approx(9)),
        OwnWork("And the number", "finishing", pytest.approx(6)),
    )


@given(st.lists(st.tuples(st.sampled_from([EditKind.DROP, EditKind.SPLIT]), st.sampled_from(KEYS)), max_size=6))
def test_the_tasks_left_are_those_the_steps_left_hold(drawn):
    edits = [Edit(kind, key, text="X", into=f"own:{place}") for place, (kind, key) in enumerate(drawn)]
    after, _ = apply_edits(PLAN, edits)
    works = [work for step in after.steps for work in step.works]
    left = edited_tasks(TAKEN.tasks, PLAN, after)
    assert {task.code for task in left} == {work.code for work in works}
    for task in left:
        mine = [work for work in works if work.code == task.code]
        assert task.quantity == pytest.approx(sum(work.quantity for work in mine), abs=1e-6)
        assert task.setups == sum(work.setups for work in mine)
