"""Each kind of unfinished business by itself: found, gone once mended, and kept with its reason once accepted."""

from datetime import UTC, date, datetime

import pytest
from journal import reference
from journal.desk import closing, parts, payments, projects, quantities, rack_moves, taps
from journal.desk.closing import Loose
from journal.desk.payments import Paid
from journal.desk.rack_moves import Added
from journal.desk.starting_stock import set_up
from journal.floor.stretches import derive
from journal.floor.taps import What
from journal.records.engine import reading, writing
from journal.records.queries import floor, gluing, log, purchases
from journal.records.queries import projects as project_records
from journal.records.queries import rack as rack_records
from journal.records.queries import taps as tap_records
from journal.records.words import ProjectState
from journal.units import inches
from tests.desk import floor_shop
from tests.desk.floor_shop import NOW, planing, sent

TODAY = date(2026, 3, 2)
LATER = datetime(2026, 3, 2, 21, tzinfo=UTC)
WOOD = "2x6 fir"
LIST = f"label,qty,thickness,width,length,stock\nLeg,4,1 1/4,5,30,{WOOD}"


@pytest.fixture
def shop(file_engine):
    """(engine, project): delivered, with nothing open."""
    set_up(file_engine, TODAY)
    with writing(file_engine) as session:
        project_id = projects.begin(session, projects.Asked(title="Bench"), now=NOW).id
        parts.take_list(session, project_id, LIST, source="x", now=NOW)
        change(session, project_id, state=ProjectState.DELIVERED, coats=0, agreed_price_cents=0)
        for stage in reference.stages():
            log.add_entry(session, entry(project_id, stage=stage), now=NOW)
    return file_engine, project_id


def entry(project_id, **what):
    return log.EntryDraft(project_id=project_id, on_date=TODAY, seconds=60, **what)


def change(session, project_id, **columns):
    row = project_records.get_project(session, project_id)
    project_records.change_project(session, project_id, row.draft(**columns), read_version=row.version, now=NOW)


def leave_clock(session, project_id):
    (who,) = floor_shop.people(session, "bench 1")
    taps.tap_now(session, [who], What.START, planing(project_id), sent=sent(NOW))


def stop_clock(session, project_id):
    (stretch,) = derive(row.event for row in tap_records.newest_windows(session)).running
    taps.tap_now(session, [stretch.person], What.STOP, planing(project_id), sent=sent(LATER))
    quantities.say(session, project_id, "plane_thickness", 10.0)


def take_hours_away(session, project_id):
    for row in log.entries(session, project_id=project_id):
        log.remove_entry(session, row.id, why="wrong job", now=NOW)


def log_hours(session, project_id):
    for stage in reference.stages():
        log.add_entry(session, entry(project_id, stage=stage), now=NOW)


def leave_a_stage_out(session, project_id):
    (row,) = [one for one in log.entries(session, project_id=project_id) if one.stage == "milling"]
    log.remove_entry(session, row.id, why="wrong job", now=NOW)


def log_the_stage(session, project_id):
    log.add_entry(session, entry(project_id, stage="milling"), now=NOW)


def plan_boards(session, project_id):
    rack_moves.add(session, Added(WOOD, 2, inches(96)), today=TODAY, now=NOW)
    first = min(board.id for board in rack_records.boards(session))
    rack_moves.plan_for(session, first, 2, project_id, today=TODAY, now=NOW)


def free_boards(session, project_id):
    first = min(board.id for board in rack_records.boards(session) if board.project_id == project_id)
    rack_moves.plan_for(session, first, 2, None, today=TODAY, now=NOW)


def buy(session, project_id):
    line = purchases.LineRow(stock_code=WOOD, quantity=2, price_cents=1_000)
    purchases.add_purchase(session, purchases.PurchaseRow(on_date=TODAY, project_id=project_id, lines=(line,)))


def count_what_is_left(session, project_id):
    (receipt,) = purchases.purchases(session, project_id=project_id)
    purchases.set_fate(session, receipt.lines[0].id, 1.0, 0.0)


def work_beside_the_plan(session, project_id):
    log.add_entry(session, entry(project_id, operation="drive_screw"), now=NOW)


def note_how_much(session, project_id):
    quantities.say(session, project_id, "drive_screw", 8.0)


def begin_glue_up(session, project_id):
    clock = gluing.ClockDraft(
        project_id=project_id,
        label="Leg",
        adhesive="pva_interior",
        temperature_c=20.0,
        strips=2,
        line_area_mm2=1_000,
        clamps=4,
        open_seconds=300,
        assembly_seconds=600,
        workers="1",
        started_at=NOW,
    )
    gluing.add_clock(session, clock)


def clamp_it(session, project_id):
    (row,) = [one for one in gluing.running_clocks(session) if one.project_id == project_id]
    gluing.change_clock(session, row.id, {"spread_at": NOW, "clamped_at": LATER})


def plan_a_coat(session, project_id):
    change(session, project_id, coats=1)


def log_a_coat(session, project_id):
    told = {"finish": "hard_oil", "coat": 1, "area_mm2": 1_000, "amount_ml": 5, "on_date": TODAY}
    floor.add_coat(session, floor.CoatRow(project_id=project_id, **told))


def agree_a_price(session, project_id):
    change(session, project_id, agreed_price_cents=5_000)


def pay_it(session, project_id):
    payments.pay(session, project_id, Paid(TODAY, 5_000), seen=0, today=TODAY, now=NOW)


CASES = {
    Loose.CLOCKS: (leave_clock, stop_clock),
    Loose.NO_HOURS: (take_hours_away, log_hours),
    Loose.STAGES: (leave_a_stage_out, log_the_stage),
    Loose.BOARDS: (plan_boards, free_boards),
    Loose.LEFT: (buy, count_what_is_left),
    Loose.QUANTITIES: (work_beside_the_plan, note_how_much),
    Loose.GLUE_UPS: (begin_glue_up, clamp_it),
    Loose.COATS: (plan_a_coat, log_a_coat),
    Loose.BALANCE: (agree_a_price, pay_it),
}


def ends(shop):
    with reading(shop[0]) as session:
        return {end.what: end for end in closing.closing(session, shop[1], TODAY).ends}


def do(shop, errand):
    with writing(shop[0]) as session:
        errand(session, shop[1])


def test_a_tidy_job_has_none(shop):
    assert ends(shop) == {}


def test_every_kind_has_its_case():
    assert set(CASES) == set(Loose)


@pytest.mark.parametrize("what", Loose)
def test_it_is_found_alone_and_gone_once_it_is_mended(shop, what):
    leave, mend = CASES[what]
    do(shop, leave)
    assert set(ends(shop)) == {what}
    do(shop, mend)
    assert ends(shop) == {}


@pytest.mark.parametrize("what", Loose)
def test_accepted_it_stays_with_its_reason_and_moment_and_the_job_closes(shop, what):
    do(shop, CASES[what][0])
    with writing(shop[0]) as session:
        closing.accept(session, shop[1], what.value, "left so", today=TODAY, now=LATER)
    (end,) = ends(shop).values()
    assert (end.accepted, end.accepted_at) == ("left so", LATER)
    with writing(shop[0]) as session:
        version = project_records.get_project(session, shop[1]).version
        closing.close(session, shop[1], read_version=version, today=TODAY, now=LATER)
    assert ends(shop)[what].accepted == "left so"
