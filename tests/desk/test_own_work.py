"""Work the book does not know: in with a spreadsheet or by hand, logged, learned from, and out again."""

from dataclasses import replace
from datetime import date

import pytest
from journal.desk import history, incoming, own_work, paces
from journal.desk.estimate import SEED
from journal.desk.level import level
from journal.desk.starting_stock import set_up
from journal.desk.taps import name_of, require_work
from journal.errors import BadInput, Conflict, MissingReference
from journal.floor.taps import Task
from journal.pace.own import Typed
from journal.quote.throws import throw
from journal.records.engine import reading, writing
from tests import factories, journals
from tests.factories import NOW

TODAY = date(2026, 3, 2)
CODE = "own_chip_carving"
SHEET = (
    "Job,Date,Task,Qty,Unit,Hours\n"
    "2016-01,2016-03-04,Sand,90,ft2,4\n"
    "2016-01,2016-03-05,Chip carving,8,rosette,4\n"
    "2016-02,2016-05-05,chip-carving,4,rosettes,2\n"
)
CARVING = Typed("Chip carving", "finishing", "rosettes carved", "rosette", 10, 25)


@pytest.fixture
def engine(file_engine):
    set_up(file_engine, TODAY)
    return file_engine


def sent(engine, tmp_path, text=SHEET, typed=CARVING):
    """A sheet with its unknown word added as the shop's own, and how it would be taken."""
    token = history.receive(tmp_path, text, "carvers.csv")
    history.add_own(tmp_path, look(engine, tmp_path, token), "chip carving", typed)
    return look(engine, tmp_path, token)


def look(engine, tmp_path, token):
    with reading(engine) as session:
        return history.look(session, tmp_path, token, TODAY)


def take(engine, seen):
    with writing(engine) as session:
        return history.take(session, seen, now=NOW)


def learn(engine):
    with reading(engine) as session:
        return paces.learn(session, TODAY)


def test_it_comes_in_with_the_sheet_teaches_and_leaves_without_a_trace(engine, tmp_path):
    before = journals.held(engine)
    seen = sent(engine, tmp_path)
    assert seen.ready
    assert [one.code for one in seen.own] == [CODE]
    assert journals.held(engine) == before  # nothing of it is in the journal until it is taken
    row = take(engine, seen)
    taught = learn(engine)
    belief = taught.calibration.pace(CODE)
    assert (belief.logs, belief.newest) == (2, date(2016, 5, 5))
    assert {one.code for one in paces.beliefs(taught)} == {*paces.book(), CODE}
    with reading(engine) as session:
        assert level(session, TODAY)
        require_work(CODE, paces.shop_book(session), by_stage=False)
        assert name_of(Task(None, CODE), paces.shop_book(session)) == "Chip carving"
    with writing(engine) as session:
        history.undo(session, row.id)
    assert journals.held(engine) == before
    assert CODE not in learn(engine).calibration.book


def test_a_word_may_be_added_under_another_name(engine, tmp_path):
    seen = sent(engine, tmp_path, typed=replace(CARVING, name="Carve rosettes"))
    assert seen.ready
    assert [one.code for one in seen.own] == ["own_carve_rosettes"]


def test_undone_it_stays_where_other_work_speaks_of_it(engine, tmp_path):
    row = take(engine, sent(engine, tmp_path))
    with writing(engine) as session:
        project = factories.project(session)
        factories.entry(session, project_id=project.id, operation=CODE, stage=None)
        history.undo(session, row.id)
    with reading(engine) as session:
        assert [one.code for one in own_work.listed(session)] == [CODE]


def test_a_word_left_out_in_the_end_brings_no_operation(engine, tmp_path):
    seen = sent(engine, tmp_path)
    words = {"chip carving": history.LEAVE_OUT}
    history.choose(tmp_path, seen.incoming.token, replace(seen.incoming.choices, words=words))
    take(engine, look(engine, tmp_path, seen.incoming.token))
    with reading(engine) as session:
        assert own_work.listed(session) == ()


def test_rows_in_another_unit_than_the_added_one_stand_in_the_way(engine, tmp_path):
    seen = sent(engine, tmp_path, SHEET.replace("4,rosettes,2", "4,ft,2"))
    assert not seen.ready
    (problem,) = seen.problems
    assert (problem.line, "rosette" in problem.message) == (4, True)


def test_a_word_that_is_not_in_the_sheet_cannot_be_added(engine, tmp_path):
    token = history.receive(tmp_path, SHEET, "carvers.csv")
    with pytest.raises(BadInput):
        history.add_own(tmp_path, look(engine, tmp_path, token), "gilding", CARVING)
    assert incoming.get(tmp_path, token).choices.added == ()


def test_one_added_by_hand_meanwhile_is_the_one_the_sheet_means(engine, tmp_path):
    seen = sent(engine, tmp_path)
    with writing(engine) as session:
        own_work.add(session, CARVING, now=NOW)
    row = take(engine, look(engine, tmp_path, seen.incoming.token))
    with writing(engine) as session:
        history.undo(session, row.id)
        assert [one.code for one in own_work.listed(session)] == [CODE]


def test_the_same_twice_is_refused_with_what_it_is_counted_in(engine):
    with writing(engine) as session:
        own_work.add(session, CARVING, now=NOW)
        with pytest.raises(BadInput, match="counted in rosette"):
            own_work.add(session, replace(CARVING, unit="ft"), now=NOW)


def test_one_nothing_speaks_of_can_go_and_another_stays(engine):
    with writing(engine) as session:
        own_work.add(session, CARVING, now=NOW)
        own_work.add(session, replace(CARVING, name="Gilding"), now=NOW)
        project = factories.project(session)
        factories.entry(session, project_id=project.id, operation=CODE, stage=None)
        own_work.remove(session, "own_gilding")
        with pytest.raises(Conflict):
            own_work.remove(session, CODE)
        with pytest.raises(MissingReference):
            own_work.remove(session, "sand")
        assert [one.code for one in own_work.listed(session)] == [CODE]


def test_one_more_operation_changes_nobodys_luck(engine):
    """An estimate's dice are thrown for the starting book alone, so its price stays to the cent."""
    before = throw(learn(engine).calibration, seed=SEED)
    with writing(engine) as session:
        own_work.add(session, CARVING, now=NOW)
    after = throw(learn(engine).calibration, seed=SEED)
    assert CODE in after.calibration.book
    assert (after.log_ratio == before.log_ratio).all()
    assert (after.scatter == before.scatter).all()
