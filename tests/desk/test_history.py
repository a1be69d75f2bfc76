"""A spreadsheet of another shop: in by the preview, out by undo, without a trace."""

import io
from dataclasses import replace
from datetime import date

import pytest
from journal.desk import history, incoming, paces
from journal.desk.ratio_records import observe
from journal.desk.shop import read_shop
from journal.desk.starting_stock import set_up
from journal.errors import BadInput, BadRows, MissingReference
from journal.pace.columns import LEAVE_OUT
from journal.pace.ratios import Kind
from journal.records.engine import reading, writing
from journal.records.queries import log, projects
from journal.records.queries.imports import EditedSince
from journal.records.words import ProjectState
from journal.units import System
from openpyxl import Workbook
from tests import factories, journals
from tests.factories import NOW

TODAY = date(2026, 3, 2)
HEADS = "Job,Name,Date,Task,Qty,Unit,Hours,Redone,Note\n"
OTHER_SHOP = HEADS + (
    "2016-01,Bench for a school,2016-03-04,Joint one face,600,ft,2,,\n"
    "2016-01,Bench for a school,2016-03-05,Plane to thickness,200,m,1:10,,\n"
    "2016-01,Bench for a school,2016-03-09,Spread glue,40,ft2,,,\n"
    "2016-01,Bench for a school,2016-03-09,Set and close clamps,60,clamps,,,\n"
    "2016-01,Bench for a school,2016-03-09,Glue-up,,,2.5,,two evenings\n"
    "2016-02,Outfeed table,2016-05-01,Sanding,90,,4,,\n"
    "2016-02,Outfeed table,2016-05-02,Sanding,,,1.5,yes,dust in it\n"
    "2016-02,Outfeed table,2016-05-03,Shop meeting,,,1,,\n"
)
DECIDED = {"sanding": "sand", "shop meeting": LEAVE_OUT}


@pytest.fixture
def engine(file_engine):
    set_up(file_engine, TODAY)
    return file_engine


def send(tmp_path, text=OTHER_SHOP, name="other shop.csv", **choices):
    token = history.receive(tmp_path, text, name)
    history.choose(tmp_path, token, replace(incoming.get(tmp_path, token).choices, **{"words": DECIDED} | choices))
    return token


def look(engine, tmp_path, token, **given):
    with reading(engine) as session:
        return history.look(session, tmp_path, token, TODAY, **given)


def take(engine, seen):
    with writing(engine) as session:
        return history.take(session, seen, now=NOW)


def test_in_by_the_preview_and_out_by_undo_without_a_trace(engine, tmp_path):
    with writing(engine) as session:
        row = factories.project(session, state=ProjectState.DELIVERED)
        factories.plan(session, row.id)
        factories.entry(session, project_id=row.id)
    before = journals.held(engine)
    seen = look(engine, tmp_path, send(tmp_path))
    assert seen.ready
    taken = take(engine, seen)
    assert journals.held(engine) != before
    with writing(engine) as session:
        assert history.undo(session, taken.id) == taken
    assert journals.held(engine) == before


def test_looking_changes_nothing(engine, tmp_path):
    before = journals.held(engine)
    look(engine, tmp_path, send(tmp_path))
    assert journals.held(engine) == before


def test_jobs_come_in_closed_with_their_hours_and_what_was_built(engine, tmp_path):
    taken = take(engine, look(engine, tmp_path, send(tmp_path)))
    assert (taken.projects, taken.entries, taken.quantities, taken.rework_told) == (2, 5, 5, True)
    with reading(engine) as session:
        row = projects.find_project(session, "2016-01")
        assert (row.title, row.state) == ("Bench for a school", ProjectState.CLOSED)
        assert (row.started_on, row.delivered_on) == (date(2016, 3, 4), date(2016, 3, 9))
        amounts = {line.operation: line.quantity for line in log.operation_quantities(session, project_id=row.id)}
        hours = {one.stage or one.operation: one.seconds for one in log.entries(session, project_id=row.id)}
    assert amounts["plane_thickness"] == pytest.approx(200 / 0.3048)
    assert hours == {"joint_face": 7200, "plane_thickness": 4200, "glue_up": 9000}


def test_the_paces_learn_from_it_what_the_preview_said(engine, tmp_path):
    seen = look(engine, tmp_path, send(tmp_path))
    take(engine, seen)
    with reading(engine) as session:
        taught = paces.learn(session, TODAY)
    assert seen.lessons == len(taught.evidence.rows) == 4
    assert {row.project for row in taught.evidence.rows} == {"2016-01", "2016-02"}
    assert taught.evidence.rework.minutes == 90
    assert seen.against["sand"].minutes == 240
    assert seen.against["sand"].book_minutes == pytest.approx(paces.book()["sand"].baseline_minutes(1, 90))


def test_a_workbook_holds_the_same(engine, tmp_path):
    book = Workbook()
    for line in OTHER_SHOP.splitlines():
        book.active.append([float(cell) if cell.isdigit() else cell for cell in line.split(",")])
    content = io.BytesIO()
    book.save(content)
    from_book = look(engine, tmp_path, send(tmp_path, content.getvalue(), "other shop.xlsx"))
    from_text = look(engine, tmp_path, send(tmp_path))
    assert from_book.history.jobs == from_text.history.jobs


def test_undecided_words_stand_in_the_way(engine, tmp_path):
    seen = look(engine, tmp_path, send(tmp_path, words={}))
    assert (seen.undecided, seen.ready) == (2, False)
    before = journals.held(engine)
    with pytest.raises(BadRows, match="nobody has said what “Sanding” is"):
        take(engine, seen)
    assert journals.held(engine) == before


def test_one_bad_row_and_nothing_comes_in(engine, tmp_path):
    seen = look(engine, tmp_path, send(tmp_path, OTHER_SHOP + "2016-03,,2099-01-01,Sand,1,,1,,\n"))
    before = journals.held(engine)
    with pytest.raises(BadRows, match=r"line 10, Date: read “2099-01-01”"):
        take(engine, seen)
    assert journals.held(engine) == before


def test_columns_that_are_not_told_stand_in_the_way(engine, tmp_path):
    seen = look(engine, tmp_path, history.receive(tmp_path, "wood,price\noak,5\n", "prices.csv"))
    assert (seen.history, seen.ready) == (None, False)
    with pytest.raises(BadRows, match="nothing in it to take"):
        take(engine, seen)


def test_a_number_the_journal_has_already_is_refused_and_a_prefix_helps(engine, tmp_path):
    with writing(engine) as session:
        factories.project(session, code="2016-01")
    seen = look(engine, tmp_path, send(tmp_path))
    assert [str(problem) for problem in seen.problems] == [
        "line 2, Job: “2016-01” is in the journal already; put something before the numbers, or take these rows out"
    ]
    assert look(engine, tmp_path, send(tmp_path, prefix="old ")).ready


def test_the_same_sheet_twice_is_noticed(engine, tmp_path):
    take(engine, look(engine, tmp_path, send(tmp_path)))
    again = look(engine, tmp_path, send(tmp_path))
    assert all("came with an earlier sheet" in problem.message for problem in again.problems)
    assert len(again.problems) == 2


def test_a_number_taken_between_looking_and_taking_is_noticed(engine, tmp_path):
    seen = look(engine, tmp_path, send(tmp_path))
    with writing(engine) as session:
        factories.project(session, code="2016-02")
    with pytest.raises(BadRows, match="2016-02"):
        take(engine, seen)


def test_hours_with_nothing_to_measure_them_by_are_kept_and_said(engine, tmp_path):
    text = HEADS + "A,,2016-01-02,Sand,,,2,,\nA,,2016-01-02,Milling,,,3,,\nA,,2016-01-02,Resaw,50,,1,,\n"
    seen = look(engine, tmp_path, send(tmp_path, text))
    assert seen.ready
    assert {one.what for one in seen.unused} == {"sand", "milling"}
    assert (take(engine, seen).entries, seen.lessons) == (3, 1)


def test_a_quantity_a_thousand_times_off_is_a_slip_to_mend(engine, tmp_path):
    text = HEADS + "A,,2016-01-02,Sand,90000,ft2,0.5,,\n"
    seen = look(engine, tmp_path, send(tmp_path, text))
    (problem,) = seen.problems
    assert (problem.line, problem.column) == (2, "Qty")
    assert "sand of A" in problem.message


def test_a_shop_in_millimetres_writes_the_day_first(engine, tmp_path):
    text = HEADS + "A,,3/4/2016,Sand,9,,1,,\n"
    token = send(tmp_path, text)
    assert look(engine, tmp_path, token, system=System.METRIC).history.jobs[0].first_on == date(2016, 4, 3)
    assert look(engine, tmp_path, token).history.jobs[0].first_on == date(2016, 3, 4)


def test_it_tells_nothing_of_what_such_a_sheet_cannot_know(engine, tmp_path):
    silent = OTHER_SHOP.replace("Redone", "Wood").replace(",yes,", ",oak,")
    seen = look(engine, tmp_path, send(tmp_path, silent))
    assert seen.ready
    take(engine, seen)
    with reading(engine) as session:
        found = observe(session, read_shop(session, TODAY), TODAY, paces.learn(session, TODAY))
    # No rework was told of, days may stand for whole projects, and what was quoted is not in it.
    assert {kind: found[kind] for kind in (Kind.REWORK, Kind.BENCH_HOURS, Kind.UNPLANNED)} == {
        Kind.REWORK: (),
        Kind.BENCH_HOURS: (),
        Kind.UNPLANNED: (),
    }


def test_a_sheet_that_told_of_rework_is_heard(engine, tmp_path):
    take(engine, look(engine, tmp_path, send(tmp_path)))
    with reading(engine) as session:
        found = observe(session, read_shop(session, TODAY), TODAY, paces.learn(session, TODAY))
    assert {one.project: one.actual for one in found[Kind.REWORK]} == {"2016-01": 340.0, "2016-02": 330.0}


def test_edited_it_stays(engine, tmp_path):
    taken = take(engine, look(engine, tmp_path, send(tmp_path)))
    with writing(engine) as session:
        row = projects.find_project(session, "2016-02")
        entry = log.entries(session, project_id=row.id)[0]
        log.change_entry(session, entry.id, {"seconds": 60}, why="slip", now=NOW)
    with pytest.raises(EditedSince, match="2016-02"), writing(engine) as session:
        history.undo(session, taken.id)
    with reading(engine) as session:
        assert history.taken(session) == (taken,)


def test_what_is_no_table_is_refused_when_it_is_sent(tmp_path):
    for content in (b"\xff\xd8\xff\xe0 a picture \x00", b"", b"\xd0\xcf\x11\xe0 old"):
        with pytest.raises(BadInput):
            history.receive(tmp_path, content, "what.bin")
    assert not (tmp_path / incoming.FOLDER).exists()


def test_a_sheet_that_waits_no_longer_is_missing(engine, tmp_path):
    with pytest.raises(MissingReference):
        look(engine, tmp_path, "a" * 32)


@pytest.mark.slow
def test_a_hundred_thousand_rows_come_in_and_go_out(engine, tmp_path):
    rows = [
        f"P{project},,20{10 + project % 15}-{1 + day % 12:02d}-{1 + day % 28:02d},Sand,{20 + day},ft2,{0.5 + day / 40:.2f},,\n"
        for project in range(1000)
        for day in range(100)
    ]
    before = journals.held(engine)
    seen = look(engine, tmp_path, send(tmp_path, HEADS + "".join(rows)))
    assert seen.ready
    taken = take(engine, seen)
    assert (taken.projects, taken.entries) == (1000, 100_000)
    with writing(engine) as session:
        history.undo(session, taken.id)
    assert journals.held(engine) == before
