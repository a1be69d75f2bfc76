"""Edits of a plan's steps, stacks and moisture readings: kept, taken back, put again."""

from dataclasses import asdict, replace
from datetime import timedelta

import pytest
from journal.build.step_edits import EditKind as BuildEditKind
from journal.errors import BadInput, MissingReference
from journal.records.queries import building
from journal.records.queries.building import EditDraft, ReadingDraft
from journal.records.words import EditKind
from tests import factories
from tests.factories import NOW, TODAY

NOTE = EditDraft(kind=EditKind.NOTE, step_key="sand", step_title="Sand", text="start at the vise end")
WET = ReadingDraft(on_date=TODAY, moisture_pct=14.5, place="third board")


@pytest.fixture
def project(session):
    return factories.project(session).id


def test_the_words_are_those_of_the_build_room():
    assert {kind.value for kind in EditKind} == {kind.value for kind in BuildEditKind}


def test_edits_come_back_as_kept_in_the_order_they_were_made(session, project, statements):
    split = EditDraft(kind=EditKind.SPLIT, step_key="sand", text="The rest", share=0.25, into_key="own:1")
    rows = [building.add_edit(session, project, draft, now=NOW) for draft in (NOTE, split)]
    building.add_edit(session, factories.project(session).id, NOTE, now=NOW)
    with statements() as seen:
        found = building.edits(session, project)
    assert found == tuple(rows)
    assert len(seen) == 1
    kept = {name: value for name, value in asdict(found[1]).items() if name in asdict(split)}
    assert kept == asdict(split)


def test_an_edit_taken_back_holds_no_more_and_can_be_put_again_in_its_place(session, project):
    first, second = (building.add_edit(session, project, NOTE, now=NOW) for _ in range(2))
    back = building.take_back_edit(session, project, first.id, NOW)
    assert back.taken_back_at == NOW
    assert building.edits(session, project) == (second,)
    assert building.get_edit(session, project, first.id) == back
    building.take_back_edit(session, project, first.id, None)
    assert building.edits(session, project) == (first, second)


def test_too_many_edits_are_refused(session, project, monkeypatch):
    monkeypatch.setattr(building, "MOST_EDITS", 1)
    building.add_edit(session, project, NOTE, now=NOW)
    with pytest.raises(BadInput, match="at most 1"):
        building.add_edit(session, project, NOTE, now=NOW)


def test_what_is_another_projects_is_not_found(session, project):
    other = factories.project(session).id
    edit = building.add_edit(session, other, NOTE, now=NOW)
    reading = building.add_reading(session, other, WET, now=NOW)
    with pytest.raises(MissingReference, match="change of a step"):
        building.take_back_edit(session, project, edit.id, NOW)
    with pytest.raises(MissingReference, match="moisture reading"):
        building.get_reading(session, project, reading.id)
    with pytest.raises(MissingReference):
        building.add_reading(session, 999, WET, now=NOW)


@pytest.mark.parametrize("changes", [{"step_key": " "}, {"minutes": -1}])
def test_edits_that_make_no_sense_are_refused(changes):
    with pytest.raises(BadInput):
        replace(NOTE, **changes)


def test_readings_come_back_oldest_first(session, project):
    late = building.add_reading(session, project, WET, now=NOW)
    early = building.add_reading(session, project, replace(WET, on_date=TODAY - timedelta(days=3)), now=NOW)
    gone = building.add_reading(session, project, WET, now=NOW)
    building.take_back_reading(session, project, gone.id, NOW)
    assert building.readings(session, project) == (early, late)


@pytest.mark.parametrize("pct", [-0.1, 100.1, float("nan")])
def test_no_wood_holds_so_much_water(pct):
    with pytest.raises(BadInput, match="0 to 100"):
        replace(WET, moisture_pct=pct)


def test_a_stack_has_one_day_and_the_last_said_holds(session, project):
    assert building.stacked_on(session, project) is None
    for day in (TODAY, TODAY - timedelta(days=8)):
        building.put_stack(session, project, day)
    assert building.stacked_on(session, project) == TODAY - timedelta(days=8)
