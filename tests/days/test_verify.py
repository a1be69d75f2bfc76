"""The replay finds every rule that is broken."""

from __future__ import annotations

from dataclasses import replace

import pytest
from journal.days.calendar import Calendar, DaysOff
from journal.days.search import schedule
from journal.days.verify import faults
from journal.days.workload import Activity, After, Need, Workload
from tests.days.small import BEGIN, EVENINGS, MONDAY, evenings

LOAD = Workload(
    (
        Activity("mill", "Mill", 200),
        Activity("glue", "Glue", 30, pauses=False, after=(After("mill"),), needs=(Need("clamps", 6, 60),)),
        Activity("plane", "Plane", 20, after=(After("glue", 1440),), release=BEGIN + 1),
    ),
    1,
    {"clamps": 8},
)


@pytest.fixture
def sound():
    return schedule(LOAD, evenings(), BEGIN)


def moved(found, key, by, **row):
    def shifted(one):
        stretches = tuple((since + by, until + by) for since, until in one.stretches)
        return replace(one, **({"start": one.start + by, "end": one.end + by, "stretches": stretches} | row))

    return replace(found, rows=tuple(shifted(one) if one.activity.key == key else one for one in found.rows))


def test_a_sound_schedule_has_no_fault(sound):
    assert faults(sound, EVENINGS) == ()


@pytest.mark.parametrize(
    ("key", "by", "fault"),
    [
        ("mill", -1, "Mill goes on while the shop is closed"),
        ("mill", -1080 * 2, "Mill starts before it may"),
        ("glue", -1, "Glue starts too soon after mill"),
        ("glue", 1, "Plane starts too soon after glue"),
        ("plane", 600, "Plane goes on while the shop is closed"),
        ("plane", 5, "the finish is not the last end that counts"),
    ],
)
def test_what_is_moved_breaks_its_rule(sound, key, by, fault):
    assert fault in faults(moved(sound, key, by), EVENINGS)


def test_too_little_work_is_found(sound):
    assert "Plane is not given its 20 minutes" in faults(
        moved(sound, "plane", 0, stretches=((sound.rows[2].start, sound.rows[2].start + 19),)), EVENINGS
    )


def test_pausing_in_open_hours_and_interrupting_a_glue_up_are_found(sound):
    glue = sound.rows[1]
    halves = ((glue.start, glue.start + 10), (glue.start + 15, glue.start + 35))
    found = faults(moved(sound, "glue", 0, stretches=halves, end=glue.start + 35), EVENINGS)
    assert "Glue is interrupted" in found
    assert "Glue pauses while the shop is open" in found


def test_too_few_people_and_clamps_are_found(sound):
    fewer = replace(sound, load=replace(LOAD, activities=tuple(replace(one, after=()) for one in LOAD.activities)))
    at_once = moved(fewer, "glue", sound.rows[0].start - sound.rows[1].start)
    assert "more people are at work than the shop has" in faults(at_once, EVENINGS)
    assert "more clamps are in use than there are" in faults(
        replace(sound, load=replace(LOAD, activities=(), there={"clamps": 5})), EVENINGS
    )


def test_days_off_are_days_without_hours(sound):
    closed = Calendar(EVENINGS.week, (DaysOff(MONDAY, MONDAY),))
    assert "Mill goes on while the shop is closed" in faults(sound, closed)


def test_a_finish_before_its_bound_is_found(sound):
    assert "it ends before its own bound" in faults(replace(sound, bound=sound.finish + 1), EVENINGS)


def test_a_moment_that_lasts_is_found():
    found = schedule(Workload((Activity("there", "There", 0),), 1), evenings(), BEGIN)
    assert faults(found, EVENINGS) == ()
    assert "There takes no time, and yet it ends later than it starts" in faults(
        moved(found, "there", 0, end=found.rows[0].end + 5), EVENINGS
    )
