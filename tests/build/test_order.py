"""Steps in order, with what each waits for; and what the maker changed in them."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.build.order import StepInput, step_plan, with_minutes
from journal.build.parts import Feature
from journal.build.spacers import blocks
from journal.build.step import Step, StepPlan, in_order, waiting_hours
from journal.build.step_edits import Edit, EditKind, apply_edits
from journal.build.steps import Task
from journal.build.waits import Wait, WaitRules
from journal.errors import BadInput
from journal.quote.takeoff import take_off
from journal.working import Spread
from tests.build.benches import BOOK, MILLING, RULES, bench, laminated_leg, part, rough, sheet, top
from tests.build.test_clamping import with_lines

WAITS = WaitRules(
    rest_wet_days=21,
    rest_dry_days=7,
    rest_between_days=5,
    clamp_hours=1,
    machine_after_hours=24,
    recoat_hours=18,
    cure_hours=24,
)
HOLES = (Feature("hole", count=20),)
JOINTED = (*bench(), laminated_leg(label="post", features=(Feature("laminated joint", 1),)))


SIX_LINES = with_lines(7)  # of strips as ripped, a little wider than those it counts


def planned(parts=JOINTED, clamps=20, clamping=SIX_LINES, **changes):
    taken = take_off(parts, BOOK, replace(RULES, clamping=clamping))
    values = {
        "tasks": taken.tasks,
        "gluing": taken.gluing,
        "stocks": [bill.stock for bill in taken.bills],
        "blocks": blocks(taken.milled, MILLING),
        "minutes": {
            t.code: Spread(0.8 * t.baseline_minutes, t.baseline_minutes, 1.5 * t.baseline_minutes) for t in taken.tasks
        },
        "waits": WAITS,
        "clamps": clamps,
        "glue_cautions": ("adhesive",),
        "finish_cautions": ("finish", "rags"),
    }
    return taken, step_plan(StepInput(**{**values, **changes}))


TAKEN, PLAN = planned()
KEYS = [step.key for step in PLAN.steps]


def out_of_order(plan):
    """Steps that come before something they need; an independent look at the order."""
    seen = set()
    wrong = []
    for step in plan.steps:
        wrong += [step.key] * (not set(step.after) <= seen)
        seen.add(step.key)
    return wrong


def needs(plan, key):
    """Everything a step comes after, however far back."""
    found, open_keys = set(), [key]
    while open_keys:
        for before in plan.find(open_keys.pop()).after:
            if before not in found:
                found.add(before)
                open_keys.append(before)
    return found


def test_every_step_comes_after_what_it_needs():
    assert out_of_order(PLAN) == []
    assert len(set(KEYS)) == len(KEYS)


def test_no_minute_and_no_quantity_is_lost_or_done_twice():
    for task in TAKEN.tasks:
        works = [work for step in PLAN.steps for work in step.works if work.code == task.code]
        assert sum(work.quantity for work in works) == pytest.approx(task.quantity)
        assert sum(work.setups for work in works) == task.setups
    assert sum(step.minutes.p50 for step in PLAN.steps) == pytest.approx(sum(t.baseline_minutes for t in TAKEN.tasks))
    assert sum(step.minutes.p90 for step in PLAN.steps) == pytest.approx(
        1.5 * sum(t.baseline_minutes for t in TAKEN.tasks)
    )


def test_wood_rests_before_milling_and_between_millings():
    assert PLAN.find("crosscut_rough").wait.hours == 21 * 24
    assert PLAN.find("mill_again").wait.hours == 5 * 24
    hardwood = planned((part("leg", "1 1/2", "3", 30, stock="8/4 sugar maple"),), stocks=[rough()])[1]
    assert hardwood.find("crosscut_rough").wait.hours == 7 * 24


def test_sheets_alone_rest_for_nothing():
    panels = planned((part("shelf", "3/4", "20", 58, stock="3/4 plywood"),), stocks=[sheet()])[1]
    assert panels.find("crosscut_rough") is None
    assert all(step.wait is None or step.key.startswith(("coat", "wrap")) for step in panels.steps)


def test_a_section_is_glued_unclamped_planed_and_then_joined():
    section, joining = "glue:top:section:1", "glue:top:join:1"
    assert PLAN.find("unclamp:top:section:1").after == (section,)
    assert PLAN.find("unclamp:top:section:1").wait.hours == 2  # two alike, 15 clamps each of 20: one after the other
    assert "unclamp:top:section:1" in PLAN.find("flatten_by_machine").after
    assert PLAN.find("flatten_by_machine").wait.hours == 23
    assert "flatten_by_machine" in needs(PLAN, joining)
    assert PLAN.find("trim_slab").after == ("unclamp:top:join:1",)
    assert PLAN.find("trim_slab").wait.hours == 23


def test_more_clamps_save_rounds():
    wide = planned(clamps=30)[1]
    assert wide.find("unclamp:top:section:1").wait.hours == 1


def test_a_section_added_to_waits_for_its_first_stage():
    unplaned = replace(MILLING, planer_width_nm=0)
    taken = take_off((top(),), BOOK, replace(RULES, milling=unplaned, clamping=with_lines(11)))
    plan = planned((top(),), tasks=taken.tasks, gluing=taken.gluing)[1]
    assert plan.find("glue:top:section:2").after == ("unclamp:top:section:1",)


def test_spacer_blocks_are_made_before_the_glue():
    jig = PLAN.find("jig")
    assert jig.title == "Make jigs and spacer blocks" or not blocks(TAKEN.milled, MILLING)
    assert all("jig" in needs(PLAN, key) for key in KEYS if key.startswith("glue:"))


def test_coats_follow_each_other_with_their_waits():
    first, second, third = (PLAN.find(f"coat:{number}") for number in (1, 2, 3))
    assert (first.wait, second.wait.hours, second.after) == (None, 18, ("coat:1",))
    assert [work.code for work in first.works] == ["apply_coat", "wipe_off"]
    assert [work.code for work in third.works] == ["scuff", "apply_coat", "wipe_off"]
    assert PLAN.find("wrap").wait.hours == 24


def test_like_cuts_are_one_step():
    tenons = [step for step in PLAN.steps if any(work.code == "cut_tenon" for work in step.works)]
    assert len(tenons) == 1


def test_each_caution_is_said_once_and_oil_reminds_of_the_rags():
    assert len(set(PLAN.cautions)) == len(PLAN.cautions)
    assert {"manual", "jointer", "planer", "saw", "adhesive", "rags", "wet_wood", "tipping"} <= set(PLAN.cautions)
    assert PLAN.oily == ("coat:1", "coat:2", "coat:3")
    assert planned(finish_cautions=("finish",))[1].oily == ()


def test_what_goes_on_all_along_waits_for_nothing():
    assert {step.key for step in PLAN.steps if step.anytime} == {"turn_over", "sharpen", "clean_up", "rework"}
    assert all(not step.after for step in PLAN.steps if step.anytime)


def test_an_operation_without_a_place_is_refused():
    with pytest.raises(BadInput, match="steam_bend"):
        planned(tasks=[Task("steam_bend", 1, 1, "")])


@given(st.integers(40, 110), st.integers(16, 32), st.integers(1, 9), st.integers(12, 60))
def test_whatever_the_size_the_order_holds_and_keys_stay(length, width, lines, clamps):
    changed = (top(length=length, width=str(width), features=HOLES), *JOINTED[1:])
    taken, plan = planned(changed, clamps=clamps, clamping=with_lines(lines))
    assert out_of_order(plan) == []
    singles = {key for key in KEYS if ":" not in key}
    assert singles - {"flatten_panel", "flatten_by_machine"} <= {step.key for step in plan.steps}
    for task in taken.tasks:
        works = [work for step in plan.steps for work in step.works if work.code == task.code]
        assert sum(work.quantity for work in works) == pytest.approx(task.quantity)


def test_steps_that_wait_for_each_other_are_refused():
    one, two = Step("a", "A", "shop", after=("b",)), Step("b", "B", "shop", after=("a",))
    with pytest.raises(BadInput, match="ring"):
        in_order([one, two])
    with pytest.raises(BadInput, match="in the plan"):
        in_order([one])
    with pytest.raises(BadInput, match="key of its own"):
        in_order([two, two])


# What the maker changed


def test_edits_hold_when_a_dimension_changes():
    edits = (
        Edit(EditKind.NOTE, "bore_large", text="start at the vise end"),
        Edit(EditKind.ADD, "own:brand", after="sand", text="Burn in the mark", minutes=15),
        Edit(EditKind.DROP, "call_back"),
    )
    longer = planned((top(length=80, features=HOLES), *JOINTED[1:]))[1]
    for plan in (PLAN, longer):
        changed, misfits = apply_edits(plan, edits)
        assert misfits == ()
        assert changed.find("bore_large").notes[-1] == "start at the vise end"
        assert changed.find("own:brand").minutes.p50 == 15
        assert changed.find("call_back") is None
        assert out_of_order(changed) == []


def test_a_dropped_step_hands_on_what_it_came_after_and_its_wait():
    changed, _ = apply_edits(PLAN, [Edit(EditKind.DROP, "unclamp:top:join:1")])
    assert changed.find("trim_slab").after == ("glue:top:join:1",)
    assert changed.find("trim_slab").wait.hours == 24
    assert out_of_order(changed) == []


def test_an_edit_of_a_step_that_is_gone_is_handed_back():
    edits = [Edit(EditKind.DROP, "plug"), Edit(EditKind.ADD, "own:x", after="plug", text="X")]
    changed, misfits = apply_edits(PLAN, edits)
    assert changed == PLAN
    assert [misfit.edit for misfit in misfits] == edits


def test_a_move_that_keeps_the_order_is_done_and_one_that_does_not_is_handed_back():
    moved, misfits = apply_edits(PLAN, [Edit(EditKind.MOVE, "cut_panel", after="fetch_stock")])
    assert misfits == ()
    keys = [step.key for step in moved.steps]
    assert keys[keys.index("fetch_stock") + 1] == "cut_panel"
    assert out_of_order(moved) == []
    changed, misfits = apply_edits(PLAN, [Edit(EditKind.MOVE, "sand", after="drawings")])
    assert changed == PLAN
    assert "which it needs" in misfits[0].why
    _, misfits = apply_edits(PLAN, [Edit(EditKind.MOVE, "drawings", after="sand")])
    assert "which needs it" in misfits[0].why


def test_the_same_addition_twice_does_not_fit():
    add = Edit(EditKind.ADD, "own:x", text="X")
    changed, misfits = apply_edits(PLAN, [add, add])
    assert changed.steps[0].key == "own:x"
    assert "already" in misfits[0].why


def split(key="sand", **more):
    return Edit(EditKind.SPLIT, key, **{"text": "The rest of it", "into": "own:rest", "share": 0.25} | more)


def test_a_split_step_is_two_that_follow_each_other_and_hold_the_same_work():
    changed, misfits = apply_edits(PLAN, [split()])
    assert misfits == ()
    whole, first, second = PLAN.find("sand"), changed.find("sand"), changed.find("own:rest")
    assert (second.after, second.wait, second.cautions) == (("sand",), None, whole.cautions)
    (before,), (kept,), (off,) = whole.works, first.works, second.works
    assert off.quantity == pytest.approx(before.quantity / 4)
    assert kept.quantity + off.quantity == pytest.approx(before.quantity)
    assert kept.setups + off.setups == before.setups  # three grits: some are set up for either part
    assert changed.find("coat:1").after == ("own:rest",)
    assert out_of_order(changed) == []


def test_what_was_set_up_once_is_set_up_once_for_each_part():
    changed, _ = apply_edits(PLAN, [split("plane_thickness")])
    assert [work.setups for key in ("plane_thickness", "own:rest") for work in changed.find(key).works] == [1, 1]


def test_a_part_that_is_split_off_can_be_split_again_and_noted():
    edits = [split(), split("own:rest", into="own:last"), Edit(EditKind.NOTE, "own:last", text="by hand")]
    changed, misfits = apply_edits(PLAN, edits)
    assert misfits == ()
    assert changed.find("own:last").notes == ("by hand",)
    assert changed.find("coat:1").after == ("own:last",)


def test_a_split_of_a_step_that_is_gone_and_the_same_split_twice_do_not_fit():
    changed, misfits = apply_edits(PLAN, [split("plug"), split(), split()])
    assert [misfit.place for misfit in misfits] == [0, 2]
    assert changed.find("own:rest")


def test_minutes_follow_what_the_steps_hold():
    spread = {"sand": Spread(40, 80, 160), "coat": Spread(1, 1, 1)}
    changed, _ = apply_edits(PLAN, [split(), Edit(EditKind.ADD, "own:x", after="sand", text="X", minutes=15)])
    timed = with_minutes(changed, spread)
    parts = [timed.find(key).minutes for key in ("sand", "own:rest")]
    assert sum(part.p50 for part in parts) == pytest.approx(80)
    assert sum(part.p90 for part in parts) == pytest.approx(160)
    assert timed.find("own:x").minutes.p50 == 15
    assert timed.find("drawings").minutes.p50 == 0  # no minutes are known of it


def test_the_clock_cannot_be_shortened_below_the_longest_chain_of_waits():
    """Three weeks, then five days, clamps, a day for the glue line, clamps again and a day, two coats, a day to harden."""
    chain, key = 0.0, "wrap"
    while key:
        step = PLAN.find(key)
        chain += step.wait.hours if step.wait else 0.0
        key = step.after[0] if step.after else ""
    assert waiting_hours(PLAN) >= chain > 26 * 24
    assert waiting_hours(StepPlan(())) == 0
    two = [Step("a", "A", "shop", wait=Wait(5, "x")), Step("b", "B", "shop", wait=Wait(3, "x"), after=("a",))]
    assert waiting_hours(StepPlan((*two, Step("c", "C", "shop", wait=Wait(6, "x"))))) == 8


@pytest.mark.parametrize(
    "given",
    [
        {"kind": EditKind.SPLIT, "key": "sand", "text": "X"},
        {"kind": EditKind.SPLIT, "key": "sand", "text": " ", "into": "own:x"},
        {"kind": EditKind.SPLIT, "key": "sand", "text": "X", "into": "own:x", "share": 1.0},
        {"kind": EditKind.ADD, "key": "own:x", "text": "X", "stage": "somewhere"},
        {"kind": EditKind.ADD, "key": "sand", "text": "X"},
        {"kind": EditKind.ADD, "key": "own:x"},
        {"kind": EditKind.NOTE, "key": "sand", "text": " "},
        {"kind": EditKind.ADD, "key": "own:x", "text": "X", "minutes": -1},
    ],
)
def test_edits_that_say_nothing_are_refused(given):
    with pytest.raises(BadInput):
        Edit(**given)


@given(st.lists(st.tuples(st.sampled_from(EditKind), st.sampled_from(KEYS), st.sampled_from(["", *KEYS])), max_size=8))
def test_whatever_is_changed_the_order_holds(drawn):
    edits = [
        Edit(kind, f"own:{key}" if kind is EditKind.ADD else key, after=after, text="X", into=f"own:of:{key}")
        for kind, key, after in drawn
    ]
    changed, misfits = apply_edits(PLAN, edits)
    assert out_of_order(changed) == []
    assert isinstance(changed, StepPlan)
    assert len(misfits) <= len(edits)
