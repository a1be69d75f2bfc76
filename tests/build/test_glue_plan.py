"""The commission glued: sections that boards and minutes follow, names, openings, and what stands in the way."""

from dataclasses import replace

import pytest
from journal import units
from journal.build.glue_plan import glue_plan, in_sections
from journal.build.gluing import GlueKind, glue_ups
from journal.build.milling import mill
from journal.build.parts import Along, Feature
from journal.quote.takeoff import take_off
from tests.build.benches import BOOK, GLUING, IN, MILLING, RULES, bench, laminated_leg, part, top
from tests.build.test_clamping import RULES as CLAMPING
from tests.build.test_clamping import with_lines

# Lines of strips as ripped, 3 3/16 in wide, take a little longer than those of 3 in that `with_lines` counts.
TOP = mill(top(), BOOK, MILLING)
LEG = mill(laminated_leg(), BOOK, MILLING)


def plan(parts, clamping=CLAMPING):
    return glue_plan(parts, MILLING, GLUING, clamping)


def test_with_time_enough_it_is_the_simple_count():
    found = plan([TOP, LEG])
    assert found.milled == (TOP, LEG)
    assert [(u.times, u.lines, u.clamps) for u in found.ups] == [
        (u.times, u.lines, u.clamps) for u in glue_ups([TOP, LEG], GLUING)
    ]


def test_without_limits_it_is_the_simple_count_too():
    assert plan([TOP, LEG], None).ups == glue_ups([TOP, LEG], GLUING)
    assert plan([TOP, LEG], None).laminations == ()


def test_a_third_section_takes_its_joint_from_the_strips():
    found = plan([TOP], with_lines(7))
    (milled,) = found.milled
    assert milled.sections == 3
    # 24 in, 1/8 to clean the sides, 1/8 at each of two joints: 24 3/8 in.
    assert milled.strips * milled.milled_thickness_nm >= units.inches("24 3/8")
    assert milled.milled_thickness_nm > TOP.milled_thickness_nm
    assert milled.blanks == milled.strips == 20


def test_glue_ups_alike_are_counted_together_and_say_what_they_are():
    sections, last, joining = plan([mill(top(quantity=2), BOOK, MILLING)], with_lines(7)).ups
    assert (sections.label, sections.times, sections.kind) == ("top, section of 7", 4, GlueKind.SECTION)
    assert (last.label, last.times) == ("top, section of 6", 2)
    assert (joining.label, joining.times, joining.kind) == ("top, joining 3 sections", 2, GlueKind.JOIN)


def test_a_section_glued_by_stages_says_so():
    unplaned = replace(MILLING, planer_width_nm=0)
    ups = glue_plan([mill(top(), BOOK, unplaned)], unplaned, GLUING, with_lines(11)).ups
    assert [(u.label, u.kind) for u in ups] == [("top, first 11", GlueKind.SECTION), ("top, 9 more", GlueKind.ADD)]


def test_strips_asked_for_keep_sections_to_what_they_make_up():
    typed = mill(top(strips=20), BOOK, MILLING)
    assert in_sections(typed, 9, MILLING) is None
    found = plan([typed], with_lines(1))
    assert found.milled[0].strips == 20


def test_what_cannot_be_glued_keeps_its_count_and_says_why():
    found = plan([TOP, LEG], replace(CLAMPING, clamps=8))
    assert found.milled == (TOP, LEG)
    assert len(found.troubles) == 1
    assert "top" in found.troubles[0]
    assert [u.label for u in found.ups][-1] == "leg"


def test_a_leg_too_heavy_for_the_planer_is_flattened_by_hand():
    assert not plan([LEG]).milled[0].by_hand
    assert plan([LEG], replace(CLAMPING, feed_kg=2)).milled[0].by_hand


def test_glue_lines_are_net_of_openings():
    leg = mill(laminated_leg(features=(Feature("laminated joint", 2),)), BOOK, MILLING)
    rail = mill(part("rail", "1 1/4", "5", 40, quantity=4, features=(Feature("tenon", 2),)), BOOK, MILLING)
    (up,) = plan([leg, rail]).ups
    # Two openings of 5 in a leg, each leaving both sides of the inner strip open.
    gross = 2 * leg.blank_width_nm * leg.blank_length_nm
    assert gross - up.area_nm2 == pytest.approx(2 * 2 * 5 * IN * leg.blank_width_nm)


def test_boards_and_minutes_follow_the_sections():
    loose = take_off(bench(), BOOK, replace(RULES, clamping=CLAMPING))
    tight = take_off(bench(), BOOK, replace(RULES, clamping=with_lines(7)))
    assert next(m for m in tight.milled if m.slab).sections == 3
    feet = [next(t.quantity for t in taken.tasks if t.code == "flatten_by_machine") for taken in (loose, tight)]
    assert feet[1] - feet[0] == pytest.approx(units.to_feet(98 * IN) * RULES.work.section_passes)
    times = [next(t.quantity for t in taken.tasks if t.code == "dry_clamp") for taken in (loose, tight)]
    assert times[1] == times[0] + 1 == sum(up.times for up in tight.ups)


def test_a_take_off_with_too_few_clamps_still_comes_and_says_so():
    taken = take_off(bench(), BOOK, replace(RULES, clamping=replace(CLAMPING, clamps=8)))
    assert any("more clamps would do" in note for note in taken.notes)
    assert taken.ups


def test_hand_flattening_takes_the_place_of_the_planer():
    taken = take_off((top(),), BOOK, replace(RULES, clamping=replace(CLAMPING, feed_kg=1)))
    codes = {task.code: task for task in taken.tasks}
    assert "flatten_by_machine" not in codes
    assert "too wide or too heavy" in codes["flatten_panel"].working


def test_laminated_joints_bring_their_spacer_blocks_once():
    parts = (laminated_leg(features=(Feature("laminated joint", 2),)),)
    jig = next(t for t in take_off(parts, BOOK, RULES).tasks if t.code == "jig")
    assert (jig.quantity, jig.setups) == (1, 1)
    assert "8 joints" in jig.working
    own = (laminated_leg(features=(Feature("laminated joint", 2), Feature("jig", 2))),)
    assert next(t for t in take_off(own, BOOK, RULES).tasks if t.code == "jig").quantity == 2


def test_reasons_and_troubles_are_told_by_part():
    reasons = plan([TOP, LEG], with_lines(6)).reasons
    assert all(reason.startswith("top: ") for reason in reasons)
    assert any("section because the glue sets" in reason for reason in reasons)
    (trouble,) = plan([TOP, LEG], replace(CLAMPING, clamps=10)).reasons
    assert trouble.startswith("top: ")
    assert "more clamps would do" in trouble


def test_a_part_that_takes_one_strip_is_not_glued_whatever_it_was_said_to_be():
    """A filler ¾ in wide and 2 in thick, its strips to be worked out: one board on edge is enough."""
    filler = part("filler", "2", "3/4", 48, strips=0, along=Along.WIDTH)
    taken = take_off((filler,), BOOK, replace(RULES, clamping=with_lines(5)))
    (milled,) = taken.milled
    assert (milled.strips, milled.glued) == (1, False)
    assert (taken.ups, taken.gluing.laminations) == ((), ())
    assert {"spread_glue", "flatten_by_machine"}.isdisjoint(task.code for task in taken.tasks if task.quantity)
