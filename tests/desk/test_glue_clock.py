"""A glue-up told to the clock: its limits, its record, its time, and the way back."""

from datetime import timedelta

import pytest
from journal.desk import acts, glue_clock, glue_told
from journal.desk.today import settings_now, today
from journal.errors import BadInput, Conflict, MissingReference, NoSolution
from journal.records.engine import reading, writing
from journal.records.queries import floor, log
from tests.desk import floor_shop
from tests.desk.floor_shop import NOW, ZONE, sent
from tests.web.project_pages import TODAY, open_shop, project

LEG = "Leg"


@pytest.fixture
def shop(file_engine, tmp_path):
    """(engine, project, id of the one at the bench)."""
    open_shop(file_engine, tmp_path)
    made = project(file_engine)
    with writing(file_engine) as session:
        (who,) = floor_shop.people(session, "bench 1")
    return file_engine, made, who


def begin(shop, celsius=20.0, now=NOW, **given):
    engine, made, who = shop
    with writing(engine) as session:
        return glue_clock.begin(session, made, LEG, celsius, [who], sent=sent(now, **given))


def tell(shop, errand, clock_id, now, **given):
    with writing(shop[0]) as session:
        return errand(session, clock_id, sent=sent(now, **given))


def look(shop, clock_id):
    with reading(shop[0]) as session:
        return glue_clock.running(session, clock_id, settings_now(session))


def kept(shop):
    with reading(shop[0]) as session:
        return floor.glue_ups(session), log.entries(session)


def undo(shop, now):
    with writing(shop[0]) as session:
        return acts.undo(session, acts.newest(session, now).id, zone=ZONE, now=now)


def minutes(count):
    return NOW + timedelta(minutes=count)


def test_a_glue_up_logs_itself_with_its_own_times(shop):
    clock_id = begin(shop)
    tell(shop, glue_clock.lay, clock_id, minutes(2))
    tell(shop, glue_clock.lay, clock_id, minutes(3))  # a leg has three strips: the spreading ends
    tell(shop, glue_clock.clamped, clock_id, minutes(9))
    (glued,), entries = kept(shop)
    assert (glued.strips, glued.spread_seconds, glued.assembly_seconds) == (3, 180, 540)
    assert glued.clamped_at == minutes(9)
    assert [(one.operation, one.seconds, one.source.value) for one in entries] == [
        ("spread_glue", 180, "clock"),
        ("close_clamps", 360, "clock"),
    ]
    run = look(shop, clock_id)
    assert glued.area_mm2 == run.clock.line_area_mm2 * 2


def test_the_glue_gives_less_when_it_is_warm(shop):
    engine, made, _ = shop
    with reading(engine) as session:
        cool, warm = (glue_clock.ready(session, made, LEG, TODAY, celsius) for celsius in (20.0, 32.0))
    assert warm.limit_minutes < cool.limit_minutes
    assert warm.open_minutes < cool.open_minutes


def test_clamps_stay_on_twice_as_long_at_ten_degrees_celsius_less(shop):
    with reading(shop[0]) as session:
        air = settings_now(session)
    at_70f, _ = glue_clock.waits("pva_interior", NOW, (70 - 32) / 1.8, air)
    at_52f, _ = glue_clock.waits("pva_interior", NOW, (52 - 32) / 1.8, air)
    assert at_70f - NOW == timedelta(hours=1)
    # Twice as long for each 18 °F colder: rule of thumb, common practice.
    assert (at_52f - NOW).total_seconds() == pytest.approx(2 * 3600)


def test_late_by_so_much_is_said_and_the_record_keeps_the_real_time(shop):
    clock_id = begin(shop)
    limit = look(shop, clock_id).clock.assembly_seconds
    end = NOW + timedelta(seconds=limit + 75)
    tell(shop, glue_clock.clamped, clock_id, end)
    assert look(shop, clock_id).late_seconds(end + timedelta(hours=1)) == pytest.approx(75)
    assert kept(shop)[0][0].assembly_seconds == limit + 75


def test_each_face_open_too_long_is_counted(shop):
    clock_id = begin(shop)
    open_time = timedelta(seconds=look(shop, clock_id).clock.open_seconds)
    second = NOW + open_time + timedelta(seconds=1)
    tell(shop, glue_clock.lay, clock_id, second)
    third = second + open_time
    assert look(shop, clock_id).skinned(third) == 1  # the third strip's face lies open exactly as long as it may
    assert look(shop, clock_id).skinned(third + timedelta(seconds=1)) == 2


def test_each_tap_is_taken_back_by_itself(shop):
    clock_id = begin(shop)
    tell(shop, glue_clock.lay, clock_id, minutes(1))
    tell(shop, glue_clock.lay, clock_id, minutes(2))
    tell(shop, glue_clock.clamped, clock_id, minutes(8))
    undo(shop, minutes(9))
    run = look(shop, clock_id)
    assert (kept(shop)[0], run.clock.clamped_at, run.clock.spread_at) == ((), None, minutes(2))
    tell(shop, glue_clock.clamped, clock_id, minutes(10))  # the right moment instead
    assert kept(shop)[0][0].assembly_seconds == 600
    assert [one.seconds for one in kept(shop)[1]] == [120, 480]


def test_the_last_strip_taken_back_lets_the_spreading_go_on(shop):
    clock_id = begin(shop)
    tell(shop, glue_clock.lay, clock_id, minutes(1))
    tell(shop, glue_clock.lay, clock_id, minutes(2))
    undo(shop, minutes(3))
    run = look(shop, clock_id)
    assert (run.strips_on, run.clock.spread_at) == (2, None)


def test_a_form_sent_twice_counts_once(shop):
    first = begin(shop, key="the-same-form")
    assert begin(shop, key="the-same-form") == first
    for _ in range(2):
        tell(shop, glue_clock.lay, first, minutes(1), key="one-strip-form")
    assert look(shop, first).strips_on == 2
    for _ in range(2):
        tell(shop, glue_clock.clamped, first, minutes(5), key="last-clamp-form")
    assert len(kept(shop)[0]) == 1


def test_two_clocks_of_one_glue_up_do_not_run_at_once(shop):
    begin(shop)
    with pytest.raises(Conflict):
        begin(shop, now=minutes(1))


def test_strips_glue_and_times_are_put_right_and_the_way_back_is_kept(shop):
    clock_id = begin(shop)
    tell(shop, glue_clock.clamped, clock_id, minutes(9))
    with writing(shop[0]) as session:
        told = glue_told.Told(strips=5, glue_ml=240.0, spread_seconds=200, assembly_seconds=500, clamps=6)
        (row,) = floor.glue_ups(session)
        glue_told.tell(session, clock_id, told, seen=glue_told.stamp(row), sent=sent(minutes(12)))
    (glued,), _ = kept(shop)
    line = look(shop, clock_id).clock.line_area_mm2
    assert (glued.strips, glued.glue_ml, glued.area_mm2, glued.clamps) == (5, 240.0, 4 * line, 6)
    undo(shop, minutes(13))
    assert (kept(shop)[0][0].strips, kept(shop)[0][0].glue_ml) == (3, None)


def test_today_says_until_when_it_is_in_clamps_once_and_names_it(shop):
    clock_id = begin(shop)
    tell(shop, glue_clock.all_on, clock_id, minutes(2))
    engine, made, _ = shop
    with reading(engine) as session:
        assert [one.clock.label for one in today(session, floor_shop.DAY, zone=ZONE, now=minutes(3)).gluing] == [LEG]
    tell(shop, glue_clock.clamped, clock_id, minutes(8))
    with writing(engine) as session:
        from journal.records.tables import Project  # noqa: PLC0415 - only here a state is forced
        from journal.records.words import ProjectState  # noqa: PLC0415

        session.get_one(Project, made).state = ProjectState.IN_BUILD
    run = look(shop, clock_id)
    with reading(engine) as session:
        found = today(session, floor_shop.DAY, zone=ZONE, now=minutes(10))
    assert found.gluing == ()
    assert [(one.what, one.until) for one in found.waiting] == [
        ("in clamps: Leg", run.unclamp_at),
        ("not to be machined: Leg", run.machine_at),
    ]


@pytest.mark.parametrize(("celsius", "refusal"), [(2.0, NoSolution), (-40.0, BadInput), (90.0, BadInput)])
def test_too_cold_and_impossible_temperatures_start_nothing(shop, celsius, refusal):
    with pytest.raises(refusal):
        begin(shop, celsius)
    assert kept(shop) == ((), ())


def test_a_glue_up_that_the_plan_has_not_is_refused_with_those_it_has(shop):
    engine, made, _ = shop
    with reading(engine) as session, pytest.raises(MissingReference, match=LEG):
        glue_clock.ready(session, made, "Shelf", TODAY)


def test_the_last_clamp_cannot_come_before_the_last_strip():
    with pytest.raises(BadInput):
        glue_told.Told(strips=3, glue_ml=None, spread_seconds=300, assembly_seconds=200, clamps=None)
