"""What was done last, of all sections in one list, and what each of them lets be taken back."""

from datetime import time, timedelta
from io import BytesIO

import pytest
from journal import units
from journal.desk import acts, lately, logging, moisture, parts, photos, promises, rack_moves, taps
from journal.desk.lately import Back, Place
from journal.desk.log_view import stamp
from journal.desk.promises import Told
from journal.desk.rack_moves import Added
from journal.errors import Conflict
from journal.floor.taps import Task, What
from journal.records.engine import reading, writing
from journal.records.queries import acts as act_records
from journal.records.queries import logbook, notes
from journal.records.queries import projects as project_records
from journal.records.queries.building import ReadingDraft
from journal.records.queries.notes import NoteDraft
from journal.records.words import ProjectState
from tests import factories
from tests.desk import floor_shop, photo_files, promised
from tests.desk.floor_shop import DAY, NOW, ZONE, sent

DOLLARS = units.currency("USD")


@pytest.fixture
def floor(file_engine):
    """(engine, project in build, first and second person)."""
    with writing(file_engine) as session:
        return file_engine, floor_shop.in_build(session), *floor_shop.people(session)


def listed(engine, **more):
    with reading(engine) as session:
        return lately.lately(session, DOLLARS, **more)


def of(engine, place):
    return [one for one in listed(engine) if one.place is place]


def log_hour(engine, project, worker, minutes=0):
    wish = logging.Wanted(Task(project, "joint_face"), DAY, 3600, start=time(9), worker_id=worker)
    with writing(engine) as session:
        logging.add(session, wish, sent=sent(NOW + timedelta(minutes=minutes)))


def correct(engine, project, seconds, minutes):
    with writing(engine) as session:
        (row,) = logbook.entries_between(session, DAY, DAY)
        wish = logging.Wanted(Task(project, "joint_face"), DAY, seconds, worker_id=row.worker_id)
        at = sent(NOW + timedelta(minutes=minutes))
        logging.correct(session, row.id, wish, seen=stamp(row), why="", sent=at)


def test_nothing_was_done_in_an_empty_journal(file_engine):
    assert listed(file_engine) == ()


def test_hours_stand_with_project_person_and_way_back(floor):
    engine, project, one, _ = floor
    log_hour(engine, project, one)
    (done,) = of(engine, Place.LOG)
    assert (done.said, done.project.id, done.who) == ("Logged 1 h of Joint one face", project, ("bench 1",))
    assert (done.way.back, done.gone, done.why_not) == (Back.ACT, False, "")


def test_a_tap_for_two_names_both(floor):
    engine, project, one, two = floor
    with writing(engine) as session:
        taps.tap_now(session, (one, two), What.START, Task(project, "joint_face"), sent=sent())
    (done,) = of(engine, Place.LOG)
    assert done.who == ("bench 1", "bench 2")


def test_what_was_corrected_later_waits_for_the_correction(floor):
    engine, project, one, _ = floor
    log_hour(engine, project, one)
    correct(engine, project, 7200, minutes=5)
    later, first = of(engine, Place.LOG)
    assert later.way is not None
    assert first.way is None
    assert "take that back first" in first.why_not
    with reading(engine) as session:
        number = min(act.id for act in lately.records.acts(session, 9))
    with pytest.raises(Conflict, match="take that back first"), writing(engine) as session:
        acts.undo(session, number, zone=ZONE, now=NOW)
    with writing(engine) as session:
        acts.undo(session, later.way.id, zone=ZONE, now=NOW)
    later, first = of(engine, Place.LOG)
    assert (later.gone, later.way) == (True, None)
    assert first.way is not None


def test_what_was_changed_past_the_list_says_so(floor):
    engine, project, one, _ = floor
    log_hour(engine, project, one)
    correct(engine, project, 7200, minutes=5)
    with writing(engine) as session:
        (row,) = logbook.entries_between(session, DAY, DAY)
        from journal.records.queries.log import change_entry  # noqa: PLC0415 - as a tap that came late does

        change_entry(session, row.id, {"seconds": 60}, why="a tap came late", now=NOW)
    later, _ = of(engine, Place.LOG)
    assert later.way is None
    assert "changed since" in later.why_not
    with pytest.raises(Conflict), writing(engine) as session:
        acts.undo(session, max(act.id for act in lately.records.acts(session, 9)), zone=ZONE, now=NOW)


def test_boards_go_back_until_something_was_done_with_them(file_engine):
    promised.project(file_engine)
    with writing(file_engine) as session:
        added = Added("2x8 fir", 2, units.feet(8))
        put = rack_moves.add(session, added, today=DAY, now=NOW)
    (done,) = of(file_engine, Place.RACK)
    assert (done.way.back, done.way.id) == (Back.RACK, put.id)
    with writing(file_engine) as session:
        rack_moves.write_off(session, 1, 1, "split", today=DAY, now=NOW + timedelta(minutes=1))
    off, done = of(file_engine, Place.RACK)
    assert done.way is None
    assert "later with a board" in done.why_not
    with writing(file_engine) as session:
        rack_moves.undo(session, off.way.id, today=DAY, now=NOW + timedelta(minutes=2))
    off, done = of(file_engine, Place.RACK)  # what took it back is no line of its own
    assert off.gone
    assert done.way is not None


def test_only_the_last_step_of_a_project_goes_back(file_engine):
    made = promised.project(file_engine)

    def step(end, minute, **told):
        with writing(file_engine) as session:
            version = project_records.get_project(session, made).version
            at = promised.NOW + timedelta(minutes=minute)
            promises.move(
                session, made, end, Told(on=promised.TODAY, **told), read_version=version, today=promised.TODAY, now=at
            )

    step(ProjectState.ON_HOLD, 1, reason="no room")
    step(ProjectState.ENQUIRY, 2)
    last, first = of(file_engine, Place.LIFE)
    with reading(file_engine) as session:
        assert (last.way.id, last.way.version) == (made, project_records.get_project(session, made).version)
    assert (first.said, first.typed, first.way) == ("From enquiry to on hold", "no room", None)
    assert "later step" in first.why_not


def test_work_that_began_a_project_is_one_line(file_engine):
    with writing(file_engine) as session:
        row = factories.project(session, state=ProjectState.ACCEPTED)
        (one,) = floor_shop.people(session, "bench 1")
        taps.tap_now(session, (one,), What.START, Task(row.id, "joint_face"), sent=sent())
    (done,) = listed(file_engine)
    assert done.place is Place.LOG
    assert done.said.endswith("in build")
    assert done.project.id == row.id


def test_part_lists_go_back_from_the_newest(file_engine):
    made = promised.project(file_engine)
    (only,) = of(file_engine, Place.PARTS)
    assert (only.way, "first list" in only.why_not) == (None, True)
    with writing(file_engine) as session:
        again = promised.LIST.replace("Leg,4", "Leg,6")
        parts.take_list(session, made, again, source="a paste", now=promised.NOW + timedelta(minutes=1))
    new, old = of(file_engine, Place.PARTS)
    assert (new.way.back, new.way.version) == (Back.PARTS, 2)
    assert (old.way, bool(old.why_not)) == (None, True)
    with writing(file_engine) as session:
        parts.undo(session, made, now=promised.NOW + timedelta(minutes=2))
    assert len(parts_of(file_engine, made)) == 2
    assert of(file_engine, Place.PARTS)[0].way.version == 3


def parts_of(engine, project):
    with reading(engine) as session:
        return parts.current(session, project)


def test_a_reading_goes_back_and_money_does_not(file_engine):
    made = promised.project(file_engine)
    today = promised.TODAY
    with writing(file_engine) as session:
        draft = ReadingDraft(on_date=today, moisture_pct=9.5, place="top board")
        kept = moisture.note_reading(session, made, draft, today=today, now=promised.NOW)
    (done,) = of(file_engine, Place.PLAN)
    assert (done.said, done.typed, done.way.id) == ("Moisture of 9.5 % noted", "top board", kept.id)
    with writing(file_engine) as session:
        moisture.take_back(session, made, kept.id, now=promised.NOW)
    assert of(file_engine, Place.PLAN)[0].gone


def test_a_quote_says_why_it_has_no_way_back(file_engine):
    made = promised.project(file_engine)
    with writing(file_engine) as session:
        promised.issue(session, made)
    (done,) = of(file_engine, Place.QUOTE)
    assert done.said.startswith("Quote ")
    assert "$" in done.said
    assert (done.way, "newer quote" in done.why_not) == (None, True)


def test_the_newest_stand_first_and_no_more_than_asked_for(floor):
    engine, project, one, _ = floor
    for minute in range(4):
        log_hour(engine, project, one, minute)
    found = listed(engine, most=3)
    assert [row.at for row in found] == sorted((row.at for row in found), reverse=True)
    assert len(found) == 3
    assert found[0].at == NOW + timedelta(minutes=3)


def test_a_photo_stands_with_its_receipt_or_with_the_project_of_its_note(file_engine, tmp_path):
    drawn = photos.draw(BytesIO(photo_files.saved(photo_files.board(40, 30, 1))), "board.jpg")
    stored = photos.store(tmp_path, [drawn])
    with writing(file_engine) as session:
        receipt, made = factories.purchase(session).id, floor_shop.in_build(session)
        photos.add_to_purchase(session, stored, receipt, sent=sent())
        note = notes.add_note(session, NoteDraft(project_id=made, text="tear-out", day=DAY), now=NOW)
        steps = photos.hang_on_note(session, stored, note.id, now=NOW)
        act_records.add_act(session, "a-photo-of-a-note", "A photo is kept", steps, now=NOW + timedelta(minutes=1))
    (on_note,), (on_receipt,) = of(file_engine, Place.NOTES), of(file_engine, Place.RACK)
    assert (on_note.project.id, on_note.way is not None) == (made, True)
    assert (on_receipt.project, on_receipt.way is not None) == (None, True)
    with writing(file_engine) as session:
        acts.undo(session, on_note.way.id, zone=ZONE, now=NOW + timedelta(minutes=2))
    assert of(file_engine, Place.NOTES)[0].gone
