"""Schedules: as good as trying everything on small cases, sound on large ones, never better than their bound."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from journal.days.bound import lower_bound
from journal.days.place import Scheme
from journal.days.profile import Profile
from journal.days.search import by_rule, schedule
from journal.days.verify import faults
from journal.days.workload import Activity, After, Need, Workload
from journal.errors import BadInput, NoSolution
from tests.days.small import BEGIN, EVENINGS, evenings, small_clock, small_clocks, small_loads

FAR = 400


def all_starts(load, clock, begin):
    """The finish of the best of all schedules, found by trying every start of every activity."""
    best = None
    horizon = sum(one.minutes for one in load.activities) + 30
    for starts in itertools.product(range(horizon), repeat=len(load.activities)):
        finish = _finish(load, clock, begin, starts)
        if finish is not None and (best is None or finish < best):
            best = finish
    return best


def _finish(load, clock, begin, starts):
    """When a choice of working times ends; None when it breaks a rule."""
    ends, people, held = {}, {}, {}
    for one, worked in zip(load.activities, starts, strict=True):
        start, end = clock.start(worked), clock.end(worked + one.minutes)
        ready = max([one.release, begin, *(ends[before.key] + before.wait for before in one.after)])
        if not one.minutes:
            ends[one.key] = ready
            if worked:
                return None  # a moment has no choice: it is tried once
            continue
        if start < ready or (not one.pauses and clock.left(worked) < one.minutes):
            return None
        ends[one.key] = end
        for minute in range(worked, worked + one.minutes):
            people[minute] = people.get(minute, 0) + one.people
        for need in one.needs:
            for minute in range(start, end + need.kept):
                held[minute] = held.get(minute, 0) + need.amount
    if any(taken > load.people for taken in people.values()) or any(taken > 2 for taken in held.values()):
        return None
    return max(ends.values())


@settings(max_examples=25)
@given(small_loads(most=3).filter(lambda load: sum(one.minutes for one in load.activities) <= 6), small_clocks())
def test_small_workloads_end_when_the_best_of_all_schedules_ends(load, clock):
    begin = min(clock.opens) - 1
    found = schedule(load, clock, begin)
    best = all_starts(load, clock, begin)
    assert found.finish == best
    assert found.bound <= best


@given(small_loads(most=4), small_clocks(), st.permutations(range(4)))
def test_no_order_ends_before_the_bound(load, clock, shuffled):
    scheme = Scheme(load, clock, 0)
    found = schedule(load, clock, 0)
    waiting = [at for at in shuffled if at < len(load.activities)]
    order = []
    while waiting:
        at = next(at for at in waiting if {before for before, _ in scheme.rows[at].after} <= set(order))
        order.append(at)
        waiting.remove(at)
    placed = scheme.place(order)
    # A bound that starts from far behind says nothing that a better schedule belies.
    assert lower_bound(scheme, replace(placed, finish=placed.finish + 60)) <= found.finish <= placed.finish


def commission(count, people=1):
    """A bench like those of the trade: milling, glue-ups with clamps, joinery, coats."""
    made = []
    for number in range(count):
        made += [
            Activity(f"mill{number}", "mill", 100 + 10 * number, needs=(Need("planer"),)),
            Activity(
                f"glue{number}",
                "glue",
                40,
                pauses=False,
                after=(After(f"mill{number}"),),
                needs=(Need("clamps", 8, 240),),
            ),
            Activity(f"flat{number}", "flatten", 55, after=(After(f"glue{number}", 1440, "glue"),)),
        ]
    ends = tuple(After(f"flat{number}") for number in range(count))
    made.append(Activity("assemble", "assemble", 120, pauses=False, after=ends))
    made.append(Activity("coat", "coat", 90, after=(After("assemble", 600),)))
    return Workload(tuple(made), people, {"clamps": 20, "planer": 1})


@pytest.mark.parametrize(("count", "people"), [(1, 1), (6, 1), (6, 2), (19, 1), (19, 3)])
def test_a_large_schedule_keeps_every_rule_and_is_no_worse_than_the_rule(count, people):
    load = commission(count, people)
    found = schedule(load, evenings(), BEGIN)
    assert faults(found, EVENINGS) == ()
    assert found.bound <= found.finish <= by_rule(load, evenings(), BEGIN).finish
    assert found.status == ("optimal" if found.bound == found.finish else "feasible")


def test_the_same_seed_gives_the_same_schedule():
    load = commission(6)
    assert schedule(load, evenings(), BEGIN, seed=3) == schedule(load, evenings(), BEGIN, seed=3)


def test_one_more_person_never_makes_the_best_small_schedule_longer():
    load = commission(2)
    two = schedule(replace(load, people=2), evenings(), BEGIN)
    assert two.finish <= schedule(load, evenings(), BEGIN).finish


def test_what_goes_first_takes_the_people_whatever_it_costs_the_rest():
    other = Activity("other", "another job", 400)
    load = commission(1)
    both = replace(
        load,
        activities=(other, *load.activities),
        finish=frozenset(one.key for one in load.activities),
        first=("other",),
    )
    found = schedule(both, evenings(), BEGIN)
    assert found.find("other").stretches[0][0] == evenings().start(0)
    assert found.find("mill0").worked == 400
    assert found.finish > schedule(load, evenings(), BEGIN).finish
    assert faults(found, EVENINGS) == ()


def test_waits_are_filled_with_other_work():
    load = Workload(
        (
            Activity("glue", "glue", 30, pauses=False),
            Activity("loose", "unclamp", 10, after=(After("glue", 60),)),
            Activity("sand", "sand", 60),
        ),
        1,
    )
    found = schedule(load, small_clock((0, 200)), 0)
    assert [row.start for row in found.rows] == [0, 90, 30]
    assert (found.finish, found.status) == (100, "optimal")


def test_clamps_are_held_until_they_may_be_taken_off():
    glue = [Activity(f"g{n}", "glue", 10, pauses=False, needs=(Need("clamps", 6, 100),)) for n in range(2)]
    found = schedule(Workload(tuple(glue), 2, {"clamps": 10}), small_clock((0, 1000)), 0)
    assert sorted(row.start for row in found.rows) == [0, 110]
    assert schedule(Workload(tuple(glue), 2, {"clamps": 12}), small_clock((0, 1000)), 0).finish == 10


def test_two_people_in_a_one_person_shop_are_refused_with_the_fix():
    with pytest.raises(
        NoSolution, match=r"Carry: it takes 2 people at once, and the shop has 1; set the people under Shop"
    ):
        Workload((Activity("carry", "Carry", 10, people=2),), 1)


def test_more_clamps_than_there_are_are_refused():
    with pytest.raises(NoSolution, match="12 × clamps"):
        Workload((Activity("glue", "Glue", 10, needs=(Need("clamps", 12),)),), 1, {"clamps": 8})


def test_a_glue_up_longer_than_any_opening_is_refused_with_the_fix():
    load = Workload((Activity("glue", "Glue up Top", 500, pauses=False),), 1)
    with pytest.raises(
        NoSolution, match=r"Glue up Top: it takes 500 minutes without a break.*480 at most; give one day"
    ):
        schedule(load, evenings(), BEGIN)


def test_work_of_twenty_years_is_refused():
    with pytest.raises(NoSolution, match="10 years"):
        schedule(Workload((Activity("long", "Long", 20 * 52 * 23 * 60),), 1), evenings(), BEGIN)


@pytest.mark.parametrize(
    "activities",
    [
        (Activity("a", "A", 1), Activity("a", "A again", 1)),
        (Activity("a", "A", 1, after=(After("b"),)), Activity("b", "B", 1)),
    ],
)
def test_keys_used_twice_and_rings_are_refused(activities):
    with pytest.raises(BadInput):
        Workload(activities, 1)


def test_what_goes_first_may_not_come_after_what_does_not():
    with pytest.raises(BadInput, match="taken first too"):
        Workload((Activity("a", "A", 1), Activity("b", "B", 1, after=(After("a"),))), 1, first=("b",))


@pytest.mark.parametrize(
    "make",
    [
        lambda: Activity("a", "A", -1),
        lambda: Activity("a", "A", 1, people=-1),
        lambda: After("a", -1),
        lambda: Need("clamps", -1),
        lambda: Need("clamps", 1, -1),
        lambda: Workload((), 0),
    ],
)
def test_what_cannot_be_is_refused(make):
    with pytest.raises(BadInput):
        make()


@given(
    st.lists(st.tuples(st.integers(0, 20), st.integers(1, 6), st.integers(1, 2)), max_size=8),
    st.integers(0, 30),
    st.integers(1, 6),
)
def test_free_room_is_found_where_a_walk_minute_by_minute_finds_it(taken, start, length):
    profile, minutes = Profile(3), [0] * 200
    for since, long, amount in taken:
        if all(minutes[at] + amount <= 3 for at in range(since, since + long)):
            profile.take(since, since + long, amount)
            for at in range(since, since + long):
                minutes[at] += amount
    for amount in (1, 2, 3):
        walked = next(at for at in range(start, 150) if all(minutes[m] + amount <= 3 for m in range(at, at + length)))
        assert profile.free_from(start, length, amount) == walked
