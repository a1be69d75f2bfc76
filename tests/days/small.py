"""Small clocks and workloads that several tests share."""

from __future__ import annotations

from datetime import date

from hypothesis import strategies as st
from journal.days.calendar import Calendar, Clock, clock, midnight
from journal.days.hours import Span, Week
from journal.days.workload import Activity, After, Need, Workload

ALWAYS = Calendar(Week(tuple(Span(weekday, 0, 1440) for weekday in range(7))))
EVENINGS = Calendar(Week((*(Span(weekday, 1080, 1260) for weekday in range(5)), Span(5, 540, 1020))))
MONDAY = date(2026, 3, 2)
BEGIN = midnight(MONDAY, "UTC")


def always():
    return clock(ALWAYS, MONDAY)


def evenings():
    return clock(EVENINGS, MONDAY)


def small_clock(*openings):
    """A clock of a few openings."""
    return Clock.of(openings)


@st.composite
def small_clocks(draw):
    """Up to four openings that do not touch, and then a long one."""
    at, found = draw(st.integers(0, 3)), []
    for _ in range(draw(st.integers(1, 4))):
        length = draw(st.integers(3, 8))
        found.append((at, at + length))
        at += length + draw(st.integers(1, 9))
    return small_clock(*found, (at, at + 500))


@st.composite
def small_loads(draw, most=4):
    """A few short activities with waits, clamps and one or two people."""
    people = draw(st.integers(1, 2))
    activities = []
    for number in range(draw(st.integers(1, most))):
        before = draw(st.sets(st.integers(0, number - 1), max_size=2)) if number else set()
        needs = (Need("clamps", draw(st.integers(1, 2)), draw(st.integers(0, 6))),) if draw(st.booleans()) else ()
        activities.append(
            Activity(
                str(number),
                f"step {number}",
                draw(st.integers(0, 3)),
                people=draw(st.integers(1, people)),
                pauses=draw(st.booleans()),
                after=tuple(After(str(one), draw(st.integers(0, 5))) for one in sorted(before)),
                needs=needs,
                release=draw(st.sampled_from([0, 0, 7])),
            )
        )
    return Workload(tuple(activities), people, {"clamps": 2})
