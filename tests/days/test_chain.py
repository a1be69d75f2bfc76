"""What fixed each start is named, from the finish back to the beginning."""

from __future__ import annotations

from hypothesis import given
from journal.days.chain import Cause, critical_chain
from journal.days.search import schedule
from journal.days.workload import Activity, After, Need, Workload
from tests.days.small import BEGIN, evenings, small_clock, small_clocks, small_loads


def chain(load, clock, begin=0):
    return critical_chain(schedule(load, clock, begin), clock)


def said(links):
    return [(link.row.activity.key, link.cause, link.by) for link in links]


def test_work_and_waits_are_told_apart():
    load = Workload(
        (
            Activity("mill", "Mill", 30),
            Activity("glue", "Glue", 20, after=(After("mill"),)),
            Activity("plane", "Plane", 10, after=(After("glue", 50, "glue hardens"),)),
        ),
        1,
    )
    links = chain(load, small_clock((0, 500)))
    assert said(links) == [("mill", Cause.BEGIN, ""), ("glue", Cause.BEFORE, "mill"), ("plane", Cause.WAIT, "glue")]
    assert (links[2].why, links[2].freed, links[2].closed) == ("glue hardens", 100, False)


def test_closed_hours_are_named_beside_what_they_follow():
    load = Workload((Activity("a", "A", 170), Activity("b", "B", 30, pauses=False, after=(After("a"),))), 1)
    links = chain(load, evenings(), BEGIN)
    assert said(links) == [("a", Cause.BEGIN, ""), ("b", Cause.BEFORE, "a")]
    assert [link.closed for link in links] == [True, True]  # it is midnight; ten minutes are too few for a glue-up


def test_somebody_busy_elsewhere_is_named():
    load = Workload((Activity("a", "A", 30), Activity("b", "B", 20)), 1)
    assert said(chain(load, small_clock((0, 500))))[-1][1:] == (Cause.PERSON, "a")
    assert len(chain(Workload(load.activities, 2), small_clock((0, 500)))) == 1


def test_clamps_in_use_are_named():
    glue = tuple(Activity(f"g{n}", "Glue", 10, needs=(Need("clamps", 6, 90),)) for n in range(2))
    links = chain(Workload(glue, 2, {"clamps": 8}), small_clock((0, 500)))
    assert [(link.cause, link.why) for link in links] == [(Cause.BEGIN, ""), (Cause.HELD, "clamps")]


def test_a_day_before_which_it_cannot_be_is_named():
    load = Workload(
        (Activity("a", "A", 30), Activity("v", "Vise", 20, after=(After("a"),), release=200, why="the vise has come")),
        1,
    )
    links = chain(load, small_clock((0, 500)))
    assert said(links) == [("v", Cause.RELEASE, "")]
    assert links[0].why == "the vise has come"


@given(small_loads(most=4), small_clocks())
def test_every_link_is_over_just_when_the_next_begins(load, clock):
    links = chain(load, clock)
    assert links[-1].row.end == max(row.end for row in schedule(load, clock, 0).rows)
    for before, link in zip((None, *links), links, strict=False):
        assert link.by == (before.row.activity.key if before else "")
        assert link.freed <= link.row.start
        if link.row.activity.minutes:
            # Between what was over and the start the shop is closed, or the hours left were too short.
            soonest = clock.reached(link.freed)
            if not link.row.activity.pauses:
                soonest = clock.fits(soonest, link.row.activity.minutes)
            assert soonest == link.row.worked
