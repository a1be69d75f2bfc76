"""A day told in the evening: the sum of each piece of work, by the difference to what was there."""

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.desk import acts, evening, taps
from journal.errors import BadInput
from journal.floor.taps import Task, What
from journal.records.engine import reading, writing
from journal.records.queries import log, logbook, plans
from journal.records.words import EntrySource
from tests import factories
from tests.desk import floor_shop as shop
from tests.desk.floor_shop import DAY, NOW, ZONE, sent


@pytest.fixture
def floor(file_engine):
    """(engine, project, first and second person)."""
    with writing(file_engine) as session:
        return file_engine, shop.in_build(session), *shop.people(session)


def milling(project):
    return Task(project, "milling", by_stage=True)


def told(task, seconds, shown=0, day=DAY):
    return evening.Told(day, task, seconds, shown)


def tell(engine, *lines, built=(), notes=None, worker_id=1, form=None):
    with writing(engine) as session:
        return evening.tell(session, lines, built, notes or {}, worker_id=worker_id, sent=form or sent())


def rows(engine):
    with reading(engine) as session:
        return logbook.entries_between(session, DAY - timedelta(days=9), DAY)


def look(engine, days=(DAY,), worker_id=1):
    with reading(engine) as session:
        return evening.evening(session, days, worker_id)


def clocked(engine, task, begin, end):
    with writing(engine) as session:
        taps.tap_now(session, [1], What.START, task, sent=sent(begin))
        taps.tap_now(session, [1], What.STOP, task, sent=sent(end))


def test_hours_by_stage_are_logged_once_however_often_the_form_is_sent(floor):
    engine, project, one, _ = floor
    form = sent()
    for _ in range(2):
        assert tell(engine, told(milling(project), 5400), form=form) == "Logged 1 h 30 min"
    (row,) = rows(engine)
    assert (row.stage, row.operation, row.seconds, row.worker_id, row.source) == (
        "milling", None, 5400, one, EntrySource.TYPED,
    )  # fmt: skip


def test_the_page_starts_from_the_clock_and_the_plan(floor):
    engine, project, *_ = floor
    clocked(engine, shop.planing(project), shop.at(9), shop.at(10, 20))
    (lines,) = look(engine).projects
    near = {stage.whole.name: stage for stage in lines.stages if stage.now}
    assert set(near) == {"Milling"}
    planing = next(line for line in near["Milling"].operations if line.task.code == "plane_thickness")
    assert (planing.seconds, planing.clocked, planing.amount.quantity, planing.unit) == ((4800,), True, 80.0, "ft")
    assert [line.task.code for line in near["Milling"].operations] == [
        "crosscut_rough", "joint_face", "plane_thickness",
    ]  # fmt: skip


def test_more_than_the_clock_has_is_added_beside_it(floor):
    engine, project, *_ = floor
    clocked(engine, shop.planing(project), shop.at(9), shop.at(10))
    tell(engine, told(shop.planing(project), 5400, shown=3600))
    assert [(row.source, row.seconds) for row in rows(engine)] == [(EntrySource.CLOCK, 3600), (EntrySource.TYPED, 1800)]
    tell(engine, told(shop.planing(project), 6300, shown=5400))
    assert [row.seconds for row in rows(engine)] == [3600, 2700]


def test_less_is_taken_from_what_was_typed_then_from_the_clock_the_last_first(floor):
    engine, project, *_ = floor
    task = shop.planing(project)
    clocked(engine, task, shop.at(9), shop.at(10))
    clocked(engine, task, shop.at(11), shop.at(12))
    tell(engine, told(task, 9000, shown=7200))
    tell(engine, told(task, 4500, shown=9000))
    assert [row.seconds for row in rows(engine)] == [3600, 900]
    with writing(engine) as session:
        acts.undo(session, acts.newest(session, NOW).id, zone=ZONE, now=NOW)
    assert [row.seconds for row in rows(engine)] == [3600, 3600, 1800]


def test_what_came_in_while_the_page_was_open_stays(floor):
    engine, project, *_ = floor
    task = shop.planing(project)
    clocked(engine, task, shop.at(9), shop.at(10))  # after the page was made: it showed nothing
    tell(engine, told(task, 1800, shown=0))
    assert sum(row.seconds for row in rows(engine)) == 5400


def test_a_line_left_as_it_was_changes_nothing(floor):
    engine, project, *_ = floor
    clocked(engine, shop.planing(project), shop.at(9), shop.at(10))
    before = rows(engine)
    assert tell(engine, told(shop.planing(project), 3600, shown=3600)) == "Nothing was changed"
    assert rows(engine) == before


def test_hours_of_another_person_done_again_set_aside_or_shared_are_left_alone(floor):
    engine, project, one, two = floor
    with writing(engine) as session:
        kept = {"project_id": project, "on_date": DAY, "operation": "plane_thickness", "seconds": 3600}
        for more in ({"worker_id": two}, {"rework": True}, {"set_aside_reason": "a class"}, {"people": 2}):
            factories.entry(session, **{"worker_id": one} | kept | more)
    before = rows(engine)
    found = look(engine)
    assert sum(line.total_seconds for stage in found.projects[0].stages for line in stage.operations) == 0
    assert len(found.beside) == 3
    tell(engine, told(shop.planing(project), 900))
    assert rows(engine)[:4] == before
    assert [row.seconds for row in rows(engine)[4:]] == [900]


def test_a_week_is_kept_at_once_each_hour_on_its_day(floor):
    engine, project, *_ = floor
    days = [DAY - timedelta(days=back) for back in range(4, -1, -1)]
    tell(engine, *(told(milling(project), 900 * (place + 1), day=day) for place, day in enumerate(days)))
    assert [(row.on_date, row.seconds) for row in rows(engine)] == [(day, 900 * (i + 1)) for i, day in enumerate(days)]
    assert look(engine, days).projects[0].stages[0].whole.seconds == (900, 1800, 2700, 3600, 4500)


@pytest.mark.parametrize(
    ("line", "why"),
    [((DAY + shop.A_DAY, 3600), "today or a day before"), ((DAY - shop.A_DAY, 86_401), "at most the 24.0 h")],
)
def test_a_day_to_come_and_a_day_too_full_are_refused_and_nothing_is_kept(floor, line, why):
    engine, project, *_ = floor
    day, seconds = line
    good = told(milling(project), 900)
    with pytest.raises(BadInput, match=why):
        tell(engine, good, told(shop.planing(project), seconds, day=day))
    assert rows(engine) == ()


def test_the_shops_own_time_belongs_to_no_project(floor):
    engine, *_ = floor
    tell(engine, told(Task(None, "shop", by_stage=True), 1800))
    assert [(row.project_id, row.stage) for row in rows(engine)] == [(None, "shop")]
    assert look(engine).shop.seconds == (1800,)


def test_a_note_hangs_on_the_longest_entry_of_the_day_and_needs_one(floor):
    engine, project, *_ = floor
    with pytest.raises(BadInput) as refusal:
        tell(engine, notes={project: "wind in the boards"})
    assert refusal.value.field == "note"
    lines = told(milling(project), 900), told(shop.planing(project), 1800)
    tell(engine, *lines, notes={project: "wind in the boards"})
    assert [(row.seconds, row.note) for row in rows(engine)] == [(900, ""), (1800, "wind in the boards")]
    assert look(engine).projects[0].note == "wind in the boards"


def test_quantities_are_noted_with_the_setups_of_the_plan_and_taken_back(floor):
    engine, project, *_ = floor
    said = tell(engine, built=[evening.ToldBuilt(project, "close_clamps", 24.0)])
    assert said == "Noted 1 quantity as built"
    with writing(engine) as session:
        assert [(row.operation, row.quantity, row.setups) for row in plans.built(session, project)] == [
            ("close_clamps", 24.0, 2)
        ]
        acts.undo(session, acts.newest(session, NOW).id, zone=ZONE, now=NOW)
        assert plans.built(session, project) == ()


@given(st.lists(st.integers(0, 40), min_size=1, max_size=5), st.integers(0, 3))
def test_the_sum_told_last_is_the_sum_logged(seed, clocked_quarters):
    """Whatever was told before and whatever the clock has; the taking away is worked out on bare entries."""
    rows, kept = [], {}
    for number in range(clocked_quarters):
        rows.append(_row(number, 900, EntrySource.CLOCK))
        kept[number] = 900
    for quarters in seed:
        have = sum(kept.values())
        steps = _Kept(kept)
        evening._move_one(steps, told(milling(1), quarters * 900, shown=have), _rows(kept, clocked_quarters), None)
        assert sum(kept.values()) == quarters * 900
        assert all(seconds > 0 for seconds in kept.values())


class _Kept:
    """Stands for the log in a sum of seconds by entry."""

    def __init__(self, kept):
        self.kept = kept

    def add(self, draft):
        self.kept[max(self.kept, default=10) + 11] = draft.seconds

    def change(self, entry_id, changes):
        self.kept[entry_id] = changes["seconds"]

    def remove(self, entry_id):
        del self.kept[entry_id]


def _row(number, seconds, source):
    return log.EntryRow(
        id=number, on_date=DAY, seconds=seconds, stage="milling", source=source, created_at=NOW, removed_at=None
    )


def _rows(kept, clocked):
    return [
        _row(number, seconds, EntrySource.CLOCK if number < clocked else EntrySource.TYPED)
        for number, seconds in sorted(kept.items())
    ]


class TestTheSameForSeveral:
    def tell(self, engine, *lines, others, form=None, notes=None):
        with writing(engine) as session:
            return evening.tell(session, lines, (), notes or {}, worker_id=1, others=others, sent=form or sent())

    def test_each_gets_the_whole_of_what_is_added_and_one_undo_takes_all_back(self, floor):
        engine, project, one, two = floor
        said = self.tell(engine, told(milling(project), 7200), others=[two])
        assert said == "Logged 2 h for each of 2"
        assert sorted((row.worker_id, row.seconds, row.people) for row in rows(engine)) == [
            (one, 7200, 1),
            (two, 7200, 1),
        ]
        with writing(engine) as session:
            acts.undo(session, acts.newest(session, NOW).id, zone=ZONE, now=NOW)
        assert rows(engine) == ()

    def test_only_what_is_added_counts_for_them_on_top_of_what_they_have(self, floor):
        engine, project, one, two = floor
        tell(engine, told(milling(project), 3600))
        tell(engine, told(milling(project), 1800), worker_id=two)
        self.tell(engine, told(milling(project), 5400, shown=3600), others=[two])
        assert {row.worker_id: row.seconds for row in rows(engine)} == {one: 5400, two: 3600}

    def test_what_is_taken_away_is_taken_from_the_one_alone(self, floor):
        engine, project, one, two = floor
        self.tell(engine, told(milling(project), 7200), others=[two])
        self.tell(engine, told(milling(project), 3600, shown=7200), others=[two])
        assert {row.worker_id: row.seconds for row in rows(engine)} == {one: 3600, two: 7200}

    def test_the_one_whose_page_it_is_gets_them_once(self, floor):
        engine, project, one, two = floor
        self.tell(engine, told(milling(project), 3600), others=[one, two, two])
        assert sorted((row.worker_id, row.seconds) for row in rows(engine)) == [(one, 3600), (two, 3600)]

    def test_nobody_of_the_bench_is_refused_and_so_is_a_day_too_full_for_the_other(self, floor):
        engine, project, _, two = floor
        with pytest.raises(BadInput, match="at the bench"):
            self.tell(engine, told(milling(project), 3600), others=[99])
        tell(engine, told(milling(project), 23 * 3600), worker_id=two)
        with pytest.raises(BadInput, match="time of bench 2"):
            self.tell(engine, told(milling(project), 2 * 3600), others=[two])
        assert [(row.worker_id, row.seconds) for row in rows(engine)] == [(two, 23 * 3600)]
