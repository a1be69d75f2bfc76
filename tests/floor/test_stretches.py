"""Stretches from taps: worked examples of each rule, then what must hold whatever is tapped."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.errors import BadInput
from journal.floor.stretches import derive
from journal.floor.taps import Key, Outcome, Tap, Task, What

MORNING = datetime(2026, 3, 2, 9, tzinfo=UTC)
PLANING, SAWING = Task(1, "plane_thickness"), Task(1, "rip_final")


def at(minutes):
    return MORNING + timedelta(minutes=minutes)


def tap(sequence, what, task, minutes, *, person=1, device=1):
    return Tap(Key(device, sequence), person, What(what), task, at(minutes))


def told(derived):
    """(task, minutes) of every stretch that has ended."""
    return [(one.task, one.seconds(one.end) / 60) for one in derived.stretches if one.end]


def test_a_start_and_a_stop_make_a_stretch():
    derived = derive([tap(1, "start", PLANING, 0), tap(2, "stop", PLANING, 45)])
    assert told(derived) == [(PLANING, 45)]
    assert derived.running == ()
    assert [effect.outcome for effect in derived.effects.values()] == [Outcome.OPENED, Outcome.CLOSED]


def test_starting_something_else_stops_what_ran():
    derived = derive([tap(1, "start", PLANING, 0), tap(2, "start", SAWING, 30)])
    assert told(derived) == [(PLANING, 30)]
    (running,) = derived.running
    assert (running.task, running.seconds(at(50))) == (SAWING, 20 * 60)


def test_a_pause_is_nobodys_time():
    taps = [tap(1, "start", PLANING, 0), tap(2, "pause", PLANING, 20), tap(3, "resume", PLANING, 50)]
    assert told(derive([*taps, tap(4, "stop", PLANING, 60)])) == [(PLANING, 20), (PLANING, 10)]
    assert derive(taps[:2]).paused == {1: PLANING}
    assert derive(taps).paused == {}


def test_starting_what_is_paused_resumes_it():
    derived = derive([tap(1, "start", PLANING, 0), tap(2, "pause", PLANING, 20), tap(3, "start", PLANING, 50)])
    assert told(derived) == [(PLANING, 20)]
    assert [one.start for one in derived.running] == [at(50)]


def test_two_people_work_on_different_things_and_together_on_one():
    apart = derive([tap(1, "start", PLANING, 0), tap(2, "start", SAWING, 10, person=2)])
    assert {(one.person, one.task) for one in apart.running} == {(1, PLANING), (2, SAWING)}
    together = [tap(1, "start", PLANING, 0), tap(2, "start", PLANING, 0, person=2)]
    ended = derive([*together, tap(3, "stop", PLANING, 60), tap(4, "stop", PLANING, 60, person=2)])
    assert told(ended) == [(PLANING, 60), (PLANING, 60)]


def test_of_two_stops_the_earlier_counts_and_the_later_says_so():
    taps = [tap(1, "start", PLANING, 0), tap(2, "stop", PLANING, 65)]
    derived = derive([*taps, tap(1, "stop", PLANING, 60, device=2)])
    assert told(derived) == [(PLANING, 60)]
    late = derived.effects[Key(1, 2)]
    assert (late.outcome, late.why, late.since) == (Outcome.NOTHING, "it was stopped", at(60))


def test_a_stop_of_what_something_else_replaced_does_not_stop_that():
    taps = [tap(1, "start", PLANING, 0), tap(1, "start", SAWING, 30, device=2), tap(2, "stop", PLANING, 45)]
    derived = derive(taps)
    assert [one.task for one in derived.running] == [SAWING]
    assert derived.effects[Key(1, 2)].why == "something else was started"


@pytest.mark.parametrize("what", ["stop", "pause", "resume"])
def test_without_a_start_nothing_happens(what):
    derived = derive([tap(1, what, PLANING, 0)])
    assert derived.stretches == ()
    assert derived.effects[Key(1, 1)].why == "it was not running"


def test_a_stretch_over_the_change_of_the_clocks_is_what_passed():
    before, after = "2026-03-08T01:30:00-05:00", "2026-03-08T03:30:00-04:00"  # the clocks went forward at two
    start = Tap(Key(1, 1), 1, What.START, PLANING, datetime.fromisoformat(before))
    stop = Tap(Key(1, 2), 1, What.STOP, PLANING, datetime.fromisoformat(after))
    assert told(derive([start, stop])) == [(PLANING, 60)]


def test_a_moment_without_a_zone_is_refused():
    with pytest.raises(BadInput, match="zone"):
        Tap(Key(1, 1), 1, What.START, PLANING, datetime(2026, 3, 2, 9))  # noqa: DTZ001


def test_one_count_of_a_device_is_one_tap():
    with pytest.raises(BadInput, match="each count of a device once"):
        derive([tap(1, "start", PLANING, 0), tap(1, "stop", PLANING, 5)])


WORK = st.sampled_from([PLANING, SAWING, Task(2, "milling", by_stage=True), Task(None, "clean_up")])


@st.composite
def days(draw):
    """Any taps at all of two people from two devices, some in the same minute."""
    listed = draw(
        st.lists(
            st.tuples(st.sampled_from(list(What)), WORK, st.integers(0, 600), st.integers(1, 2), st.integers(1, 2)),
            max_size=30,
        )
    )
    return [
        tap(sequence, what, task, minutes, person=person, device=device)
        for sequence, (what, task, minutes, person, device) in enumerate(listed)
    ]


@given(days(), st.randoms(use_true_random=False))
def test_the_order_of_arrival_does_not_matter(taps, dice):
    shuffled = list(taps)
    dice.shuffle(shuffled)
    assert derive(shuffled) == derive(taps)


@given(days())
def test_taps_that_arrive_twice_change_nothing(taps):
    assert derive([*taps, *taps]) == derive(taps)


@given(days())
def test_one_persons_stretches_never_overlap_and_their_sum_is_the_time_at_work(taps):
    now = at(700)
    for person in (1, 2):
        mine = [one for one in derive(taps).stretches if one.person == person]
        minutes = {minute for one in mine for minute in range(_minute(one.start), _minute(one.end or now))}
        assert len(minutes) * 60 == sum(one.seconds(now) for one in mine)
        assert all(one.end is None or one.end >= one.start for one in mine)
        assert sum(one.end is None for one in mine) <= 1


@given(days())
def test_every_tap_has_an_effect_and_every_stretch_its_taps(taps):
    derived = derive(taps)
    assert set(derived.effects) == {one.key for one in taps}
    opened = {key for key, effect in derived.effects.items() if effect.outcome is Outcome.OPENED}
    assert {one.opened_by for one in derived.stretches} == opened


@given(days(), st.integers(0, 29))
def test_what_follows_a_start_that_opened_does_not_depend_on_what_was_before(taps, place):
    """So that a late tap is worked in from the last such start, not from the first tap ever."""
    whole = derive(taps)
    starts = sorted(
        (one for one in taps if one.what is What.START and whole.effects[one.key].outcome is Outcome.OPENED),
        key=lambda one: one.order,
    )
    if not starts:
        return
    from_here = starts[place % len(starts)]
    later = [one for one in taps if one.person == from_here.person and one.order >= from_here.order]
    tail = derive(later)
    opened = {one.key for one in later}
    assert tail.stretches == tuple(one for one in whole.stretches if one.opened_by in opened)
    assert {key: effect.outcome for key, effect in tail.effects.items()} == {
        key: whole.effects[key].outcome for key in opened
    }


def _minute(moment):
    return round((moment - MORNING).total_seconds() / 60)
