"""Coats told: what went on, on how much, in which air; corrected, taken out, and when the next may follow."""

from dataclasses import replace
from datetime import time, timedelta

import pytest
from journal.desk import acts, coating
from journal.desk.today import settings_now
from journal.errors import BadInput, Conflict, MissingReference
from journal.records.engine import reading, writing
from journal.records.queries import floor
from tests.desk.floor_shop import NOW, ZONE, sent
from tests.web.project_pages import TODAY, open_shop, project

COAT = coating.Wanted(finish="hard_oil", coat=1, on_date=TODAY, amount_ml=250.0, at=time(14), temperature_c=21.0)


@pytest.fixture
def shop(file_engine, tmp_path):
    """(engine, project)."""
    open_shop(file_engine, tmp_path)
    return file_engine, project(file_engine)


def put(shop, wanted=COAT, **given):
    with writing(shop[0]) as session:
        return coating.put(session, shop[1], wanted, sent=sent(**given))


def coats(shop):
    with reading(shop[0]) as session:
        return floor.coats(session)


def undo(shop):
    with writing(shop[0]) as session:
        acts.undo(session, acts.newest(session, NOW).id, zone=ZONE, now=NOW)


def page(shop):
    with reading(shop[0]) as session:
        return coating.page(session, shop[1], TODAY)


def test_a_coat_is_kept_on_all_of_the_plan_s_surface_unless_parts_are_named(shop):
    put(shop)
    put(shop, replace(COAT, coat=2, parts=("Leg",)))
    whole, legs = coats(shop)
    areas = {part.label: part.area_nm2 for part in page(shop).parts}
    assert whole.area_mm2 == round(sum(areas.values()) / 10**12)
    assert (legs.area_mm2, legs.parts) == (round(areas["Leg"] / 10**12), "Leg")
    # Four legs of 3½ × 5 × 31 in, all faces: 4 × 2 × (3½ × 5 + 3½ × 31 + 5 × 31) in², worked by hand.
    assert areas["Leg"] / 25_400_000**2 == pytest.approx(4 * 2 * (17.5 + 108.5 + 155))
    assert whole.at.astimezone(ZONE).time() == time(14)


def test_the_amount_is_also_read_from_the_container_before_and_after(shop):
    put(shop, replace(COAT, amount_ml=None, before_ml=900.0, after_ml=640.0))
    assert coats(shop)[0].amount_ml == pytest.approx(260.0)


@pytest.mark.parametrize(
    "wrong",
    [
        {"amount_ml": None},
        {"amount_ml": None, "before_ml": 900.0},
        {"amount_ml": None, "before_ml": 900.0, "after_ml": 900.0},
        {"amount_ml": None, "before_ml": 500.0, "after_ml": 900.0},
        {"before_ml": 900.0, "after_ml": 500.0},
        {"on_date": TODAY + timedelta(days=1)},
        {"at": time(23, 59)},
    ],
)
def test_nothing_used_both_ways_and_the_future_are_refused(shop, wrong):
    with pytest.raises(BadInput):
        put(shop, replace(COAT, **wrong))
    assert coats(shop) == ()


@pytest.mark.parametrize(
    "wrong", [{"coat": 0}, {"coat": 21}, {"finish": "tar"}, {"humidity_pct": 101.0}, {"temperature_c": 200.0}]
)
def test_what_no_coat_can_be_is_refused_at_once(wrong):
    with pytest.raises(BadInput):
        replace(COAT, **wrong)


def test_a_part_that_is_not_there_is_refused_with_those_that_are(shop):
    with pytest.raises(MissingReference, match="Leg"):
        put(shop, replace(COAT, parts=("Vise",)))


def test_without_a_plan_an_area_must_be_said(file_engine, tmp_path):
    open_shop(file_engine, tmp_path)
    bare = (file_engine, project(file_engine, listed=""))
    with pytest.raises(BadInput, match="area"):
        put(bare)
    put(bare, replace(COAT, area_mm2=1_500_000))
    assert coats(bare)[0].area_mm2 == 1_500_000


def test_a_correction_keeps_the_way_back(shop):
    put(shop)
    before = coats(shop)[0]
    with writing(shop[0]) as session:
        coating.correct(
            session, before.id, replace(COAT, amount_ml=300.0, at=time(13)), seen=coating.stamp(before), sent=sent()
        )
    assert coats(shop)[0].amount_ml == 300.0
    undo(shop)
    assert coats(shop)[0] == before


def test_a_coat_taken_out_counts_no_more_and_undo_counts_it_again(shop):
    put(shop)
    (row,) = coats(shop)
    with writing(shop[0]) as session:
        coating.remove(session, row.id, sent=sent())
    assert coats(shop) == ()
    with writing(shop[0]) as session, pytest.raises(Conflict):
        coating.correct(session, row.id, COAT, seen=coating.stamp(row), sent=sent())
    undo(shop)
    assert coats(shop) == (row,)


def test_undoing_a_new_coat_takes_it_out(shop):
    put(shop)
    undo(shop)
    assert coats(shop) == ()


def test_a_form_sent_twice_is_one_coat(shop):
    put(shop, key="the-same-form")
    put(shop, key="the-same-form")
    assert len(coats(shop)) == 1


def test_the_next_coat_waits_longer_in_cold_and_damp(shop):
    with reading(shop[0]) as session:
        air = settings_now(session)
    # Hard oil: 12 to 24 h; twice as long for each 18 °F colder, a quarter longer for each ten points over 50 %
    # (rules of thumb, common practice).
    assert coating.wait_hours("hard_oil", (70 - 32) / 1.8, 50.0, air) == pytest.approx((12, 24))
    assert coating.wait_hours("hard_oil", (52 - 32) / 1.8, 70.0, air) == pytest.approx((12 * 3, 24 * 3))
    put(shop, replace(COAT, humidity_pct=50.0, temperature_c=25.0))
    quick, slow = coating.next_from(coats(shop)[0], air)
    assert (quick - coats(shop)[0].at, slow - coats(shop)[0].at) == (timedelta(hours=12), timedelta(hours=24))


def test_when_the_next_may_follow_is_not_known_without_a_time_of_day(shop):
    put(shop, replace(COAT, at=None))
    with reading(shop[0]) as session:
        assert coating.next_from(coats(shop)[0], settings_now(session)) is None
