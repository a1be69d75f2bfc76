"""Closing a job: loose ends, accepted or mended, and its lessons."""

from datetime import UTC, date, datetime

import pytest
from journal import reference
from journal.desk import closing as desk
from journal.desk import parts, projects
from journal.desk.closing import Loose
from journal.desk.starting_stock import set_up
from journal.errors import BadInput, Conflict, MissingReference
from journal.records.engine import reading, writing
from journal.records.queries import floor, log, purchases
from journal.records.queries import projects as project_records
from journal.records.words import ProjectState

TODAY = date(2026, 3, 2)
NOW = datetime(2026, 3, 2, 12, tzinfo=UTC)
LIST = "label,qty,thickness,width,length,stock\nLeg,4,1 1/4,5,30,{stock}"


def delivered(engine, stock="2x6 fir", design=None, **changes):
    with writing(engine) as session:
        row = projects.begin(session, projects.Asked(title="Bench"), now=NOW)
        parts.take_list(session, row.id, LIST.format(stock=stock), source="x", now=NOW)
        row = project_records.get_project(session, row.id)
        told = {"state": ProjectState.DELIVERED, "coats": 1, "design_word": design, "agreed_price_cents": 5_000}
        project_records.change_project(session, row.id, row.draft(**told | changes), read_version=row.version, now=NOW)
        return row.id


def log_each_stage(session, project_id):
    for stage in reference.stages():
        log.add_entry(session, log.EntryDraft(project_id=project_id, on_date=TODAY, seconds=60, stage=stage), now=NOW)


@pytest.fixture
def shop(file_engine):
    set_up(file_engine, TODAY)
    return file_engine


def ends(engine, project_id):
    with reading(engine) as session:
        return {end.what: end for end in desk.closing(session, project_id, TODAY).ends}


def test_what_is_missing_is_listed(shop):
    project_id = delivered(shop)
    with writing(shop) as session:
        line = purchases.LineRow(stock_code="2x6 fir", quantity=2, price_cents=1_000)
        purchases.add_purchase(session, purchases.PurchaseRow(on_date=TODAY, project_id=project_id, lines=(line,)))
    found = ends(shop, project_id)
    assert set(found) == {Loose.NO_HOURS, Loose.LEFT, Loose.COATS, Loose.BALANCE}
    assert found[Loose.BALANCE].cents == 5_000


def test_mending_ties_a_loose_end(shop):
    project_id = delivered(shop)
    with writing(shop) as session:
        log_each_stage(session, project_id)
        coat = floor.CoatRow(
            project_id=project_id, finish="hard_oil", coat=1, area_mm2=1_000, amount_ml=5, on_date=TODAY
        )
        floor.add_coat(session, coat)
    assert set(ends(shop, project_id)) == {Loose.BALANCE}


def close(engine, project_id, version=None):
    with writing(engine) as session:
        read = version or project_records.get_project(session, project_id).version
        desk.close(session, project_id, read_version=read, today=TODAY, now=NOW)


def test_it_closes_once_every_end_is_accepted_with_a_reason(shop):
    project_id = delivered(shop)
    with pytest.raises(BadInput, match="3 loose ends"):
        close(shop, project_id)
    for end in ends(shop, project_id):
        with writing(shop) as session:
            desk.accept(session, project_id, end.value, "it was long ago", today=TODAY, now=NOW)
    assert {end.accepted for end in ends(shop, project_id).values()} == {"it was long ago"}
    close(shop, project_id)
    with reading(shop) as session:
        assert project_records.get_project(session, project_id).state is ProjectState.CLOSED


def test_another_tab_is_noticed(shop):
    project_id = delivered(shop, coats=0, agreed_price_cents=0)
    with writing(shop) as session:
        log_each_stage(session, project_id)
    with pytest.raises(Conflict):
        close(shop, project_id, version=1)


@pytest.mark.parametrize(("what", "reason"), [("coats", " "), ("coats", "x" * 2_001), ("weather", "it rained")])
def test_what_cannot_be_accepted_is_refused(shop, what, reason):
    project_id = delivered(shop)
    with pytest.raises(BadInput), writing(shop) as session:
        desk.accept(session, project_id, what, reason, today=TODAY, now=NOW)


def test_accepting_twice_is_a_conflict(shop):
    project_id = delivered(shop)
    for expected in (None, Conflict):
        with writing(shop) as session:
            if expected:
                with pytest.raises(expected):
                    desk.accept(session, project_id, "coats", "oiled by the client", today=TODAY, now=NOW)
            else:
                desk.accept(session, project_id, "coats", "oiled by the client", today=TODAY, now=NOW)


def like(engine, project_id):
    with reading(engine) as session:
        return [row.text for row in desk.lessons_like(session, project_id)]


def test_a_lesson_shows_on_the_next_of_the_same_design_or_wood_only(shop):
    first = delivered(shop, stock="2x6 fir", design="slab-bench")
    with writing(shop) as session:
        desk.learn(session, first, "  Order one board more.  ", now=NOW)
    assert like(shop, delivered(shop, stock="2x8 fir")) == ["Order one board more."]
    assert like(shop, delivered(shop, stock="2x6 spruce", design="slab-bench")) == ["Order one board more."]
    assert like(shop, delivered(shop, stock="2x6 spruce")) == []
    assert like(shop, first) == []


def test_a_lesson_taken_out_shows_no_more(shop):
    first, second = delivered(shop), delivered(shop)
    with writing(shop) as session:
        desk.learn(session, first, "Order one board more.", now=NOW)
        (lesson,) = desk.closing(session, first, TODAY).lessons
        with pytest.raises(MissingReference):
            desk.forget(session, second, lesson.id, now=NOW)
        desk.forget(session, first, lesson.id, now=NOW)
    assert like(shop, second) == []


def test_an_empty_lesson_is_refused(shop):
    project_id = delivered(shop)
    with pytest.raises(BadInput, match="lesson"), writing(shop) as session:
        desk.learn(session, project_id, " ", now=NOW)
