"""Clampings of a stack: by hand, against every other way on small stacks, and what is said when none will do."""

from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from journal import units
from journal.build.clamping import Limit, divide
from journal.build.clamping_check import faults
from journal.build.clamping_rules import ClampingRules, Stack, most_lines
from journal.errors import BadInput, NoSolution
from tests.build.benches import IN

# 15 clamps on 98 in take 7.5 min; a face of 3 × 98 in, 2.04 ft², takes 1.02 min.
RULES = ClampingRules(
    glue="slow glue",
    open_minutes=10,
    total_minutes=20,
    shares_open=False,
    spread_minutes_ft2=0.5,
    close_minutes_clamp=0.5,
    spreaders=1,
    clamps=20,
    spacing_nm=7 * IN,
    feed_kg=60,
    temp_f=70,
    min_temp_f=55,
)
TOP = Stack(
    label="top",
    strips=20,
    strip_thickness_nm=units.inches("1 7/32"),
    line_width_nm=3 * IN,
    joined_width_nm=3 * IN,
    length_nm=98 * IN,
    strip_kg=3,
    planer_width_nm=13 * IN,
)


def glued(rules=RULES, most=10, **changes):
    return divide(lambda _sections: replace(TOP, **changes), rules, most_sections=most)


def with_lines(count):
    """Rules under which just so many lines fit in."""
    return replace(RULES, total_minutes=7.5 + count * 2.0417 * 0.5 + 0.05, open_minutes=2)


def test_a_24_in_top_fits_a_13_in_planer_in_two_sections():
    # Common practice; 20 strips of 1 7/32 in are 24 3/8 in, ten of them 12 3/16.
    found = glued()
    assert found.sections == (10, 10)
    assert [(c.section, c.pieces) for c in found.clampings] == [(0, 10), (1, 10), (None, 2)]
    assert found.reasons == ("a second section because wider does not go through the planer: it takes 13 in",)
    assert found.planed


def test_it_takes_a_third_section_when_the_glue_asks_for_it():
    found = glued(with_lines(6))
    assert found.sections == (7, 7, 6)
    assert len(found.clampings) == 4
    assert found.reasons == (
        "a third section because the glue sets before the last clamp: slow glue gives 14 min at 70 °F",
    )
    assert found.clampings[0].binding == Limit.TIME


def test_it_takes_a_third_section_when_the_weight_asks_for_it():
    found = glued(replace(RULES, feed_kg=25))
    assert found.sections == (7, 7, 6)
    assert any(reason.startswith("a third section because heavier") for reason in found.reasons)


def test_without_a_planer_it_is_one_section_glued_by_stages():
    found = glued(with_lines(6), planer_width_nm=0)
    assert found.sections == (20,)
    assert [(c.pieces, c.first) for c in found.clampings] == [(6, True), (6, False), (6, False), (5, False)]
    assert not found.planed


def test_two_spreaders_halve_the_spreading_and_nothing_else():
    one, two = glued(), glued(replace(RULES, spreaders=2))
    assert two.clampings[0].spread_minutes == pytest.approx(one.clampings[0].spread_minutes / 2)
    assert two.clampings[0].close_minutes == one.clampings[0].close_minutes == pytest.approx(15 * 0.5)


def test_a_strip_too_heavy_to_feed_in_pairs_is_flattened_by_hand():
    assert not glued(strip_kg=40).planed
    assert glued(strip_kg=30).planed


def test_open_time_used_is_taken_off_the_rest_where_the_glue_says_so():
    shared = replace(RULES, open_minutes=10, total_minutes=60, shares_open=True)
    (clamping,) = glued(shared, strips=2, planer_width_nm=0).clampings
    face = clamping.spread_minutes
    assert clamping.limit_minutes == pytest.approx(face + 60 * (1 - face / 10))


@pytest.mark.parametrize(
    ("rules", "says"),
    [
        (replace(RULES, clamps=12), "15 clamps.*there are 12.*3 more clamps would do"),
        (replace(RULES, clamps=0), "there are 0.*15 more clamps would do"),
        (replace(RULES, open_minutes=0.6), "open for 36 s.*2 people spreading"),
        (replace(RULES, open_minutes=0), "open for 0 min.*slower glue"),
        (replace(RULES, temp_f=45), "45 °F, too cold.*55 °F or more"),
        (replace(RULES, total_minutes=8, open_minutes=2), "one glue line .* take 9 min.*gives 8 min"),
    ],
)
def test_what_cannot_be_glued_says_which_part_and_what_would_do(rules, says):
    with pytest.raises(NoSolution, match=rf"top: .*{says}"):
        glued(rules)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("spreaders", 0),
        ("spreaders", 5),
        ("clamps", -1),
        ("open_minutes", 30),
        ("spread_minutes_ft2", 0),
        ("close_minutes_clamp", 0),
        ("spacing_nm", 0),
        ("feed_kg", 0),
    ],
)
def test_rules_out_of_range_are_refused(field, value):
    with pytest.raises(BadInput):
        replace(RULES, **{field: value})


def test_one_strip_is_not_a_stack():
    with pytest.raises(BadInput, match="2 or more"):
        replace(TOP, strips=1)


@cache
def fewest_of_all_ways(strips, room, lines, joins):
    """Fewest clampings by trying every way: any pieces of a section at once, then any finished sections at once."""

    @cache
    def section(pieces):
        """Pieces still to be made one; a clamping of m takes m − 1 away."""
        return 0 if pieces == 1 else 1 + min(section(pieces - k) for k in range(1, min(lines, pieces - 1) + 1))

    @cache
    def joining(pieces):
        return 0 if pieces == 1 else 1 + min(joining(pieces - k) for k in range(1, min(joins, pieces - 1) + 1))

    def splits(left, most):
        """Every way to share strips over sections of two or more."""
        if left == 0:
            yield ()
        for first in range(min(left, most), 1, -1):
            yield from ((first, *rest) for rest in splits(left - first, first))

    return min(
        (sum(section(size) for size in sizes) + joining(len(sizes)) for sizes in splits(strips, room)), default=None
    )


@given(st.integers(2, 18), st.integers(2, 12), st.integers(1, 12))
def test_no_other_way_takes_fewer_clampings(strips, room, lines):
    rules = with_lines(lines)
    found = glued(rules, strips=strips, planer_width_nm=room * TOP.strip_thickness_nm)
    assert most_lines("top", TOP.line_width_nm, TOP.length_nm, rules) == lines
    best = fewest_of_all_ways(strips, room, lines, lines)
    if best is None:  # an odd strip out: no sections of two or more go through the planer
        assert not found.planed
    else:
        assert len(found.clampings) == best


RULES_AT_RANDOM = st.builds(
    lambda open_minutes, more_minutes, **fields: replace(
        RULES, open_minutes=open_minutes, total_minutes=open_minutes + more_minutes, **fields
    ),
    open_minutes=st.floats(0.2, 15),
    more_minutes=st.floats(0, 60),
    spreaders=st.integers(1, 4),
    clamps=st.integers(0, 40),
    feed_kg=st.floats(1, 120),
    shares_open=st.booleans(),
)


@settings(max_examples=150)
@given(st.integers(2, 60), st.integers(0, 40), st.integers(0, 3), RULES_AT_RANDOM)
def test_every_strip_is_glued_once_and_every_limit_kept(strips, planer, joint, rules):
    def stack(sections):
        return replace(TOP, strips=strips + joint * (sections - 1), planer_width_nm=planer * IN)

    try:
        found = divide(stack, rules, most_sections=strips)
    except NoSolution as reason:
        refused = reason
    else:
        assert faults(found, rules) == ()
        assert max(found.sections) == found.sections[0]
        assert len(found.clampings) == 1 or found.reasons
        return
    assert refused.would_do


def test_the_check_finds_what_is_wrong():
    found = glued()
    first = found.clampings[0]
    assert faults(replace(found, sections=(11, 9)), RULES)
    assert faults(replace(found, clampings=found.clampings[1:]), RULES)
    assert faults(replace(found, clampings=(replace(first, clamps=14), *found.clampings[1:])), RULES)
    assert faults(replace(found, clampings=(replace(first, spread_minutes=1.0), *found.clampings[1:])), RULES)
    assert faults(found, replace(RULES, total_minutes=12))
    assert faults(found, replace(RULES, clamps=3))
    assert faults(found, replace(RULES, feed_kg=20))
    assert faults(found, replace(RULES, temp_f=40))
    assert faults(replace(found, stack=replace(TOP, planer_width_nm=10 * IN)), RULES)


def test_four_hundred_strips_are_shared_out():
    found = glued(with_lines(5), most=200, strips=400, planer_width_nm=60 * IN)
    assert sum(found.sections) == 400
    assert faults(found, with_lines(5)) == ()
