"""Boards of the rack: whatever is done and taken back, the moves of each board add up to whether it is there."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from journal.errors import BadInput, Conflict, MissingReference
from journal.records.engine import reading, writing
from journal.records.queries import purchases, rack, rack_flow
from journal.records.queries.rack import ActDraft, BoardDraft, Change, LineFate
from journal.records.tables import RackMove
from journal.records.words import RackMoveKind
from sqlalchemy import select
from tests import factories

FEET_8 = 8 * factories.FOOT
STEPS = st.lists(
    st.tuples(st.sampled_from(["put", "plan", "draw", "off", "back", "note", "undo"]), st.integers(0, 30)), max_size=25
)


def board(**given):
    fields = {
        "stock_code": "2x8 spruce",
        "thickness_nm": factories.INCH,
        "width_nm": 5 * factories.INCH,
        "length_nm": FEET_8,
        "cost_cents": 700,
        "since": factories.TODAY,
    }
    return BoardDraft(**fields | given)


def do(session, **given):
    return rack.record(session, ActDraft(**{"said": "done", "on_date": factories.TODAY} | given), now=factories.NOW)


def put(session, count=1, **given):
    do(session, new=[(board(**given), RackMoveKind.COUNTED)] * count)
    return [one.id for one in rack.boards(session)][-count:]


def undo(session, act_id):
    return rack.undo(session, act_id, on_date=factories.TODAY, now=factories.NOW)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=25)
@given(STEPS)
def test_the_moves_of_every_board_add_up_to_whether_it_is_there(file_engine, steps):
    with writing(file_engine) as session:
        project = factories.project(session)
        acts = []
        for step, which in steps:
            there = rack.boards(session)
            one = there[which % len(there)] if there else None
            try:
                if step == "put":
                    acts.append(do(session, new=[(board(), RackMoveKind.BOUGHT)]))
                elif step == "undo" and acts:
                    undo(session, acts[which % len(acts)].id)
                elif one and step in CHANGES:
                    kind, values = CHANGES[step]
                    values = values | ({"project_id": project.id} if step in ("plan", "draw") else {})
                    acts.append(do(session, changes=[Change(one.id, kind, values)], project_id=project.id))
            except Conflict:
                continue  # taken back already, or something was done with it since
        by_moves = rack_flow.on_hand_by_moves(session)
        there = {one.id for one in rack.boards(session)}
        assert set(by_moves.values()) <= {0, 1}
        assert {board_id for board_id, total in by_moves.items() if total} == there
        costs = rack_flow.cost_moves(session)
        assert sum(move.change for move in costs) == len(there)
        session.rollback()


CHANGES = {
    "plan": (RackMoveKind.PLANNED, {}),
    "draw": (RackMoveKind.DRAWN, {"there": False}),
    "off": (RackMoveKind.WRITTEN_OFF, {"there": False, "project_id": None}),
    "back": (RackMoveKind.FREED, {"project_id": None}),
    "note": (RackMoveKind.NOTED, {"note": "straight"}),
}


def test_what_was_done_is_put_back_and_stays_written_down(engine):
    with writing(engine) as session:
        (one,) = put(session)
        project = factories.project(session)
        act = do(session, changes=[Change(one, RackMoveKind.PLANNED, {"project_id": project.id})])
        undo(session, act.id)
    with reading(engine) as session:
        (row,) = rack.boards(session)
        assert row.project_id is None
        story = rack.moves_of(session, one)
        assert [move.kind for _, move in story] == [RackMoveKind.COUNTED, RackMoveKind.PLANNED, RackMoveKind.UNDONE]
        assert [done.undone for done, _ in story] == [False, True, False]


def test_what_was_taken_back_is_not_taken_back_again_nor_out_of_order(engine):
    with writing(engine) as session:
        (one,) = put(session)
        project = factories.project(session)
        planned = do(session, changes=[Change(one, RackMoveKind.PLANNED, {"project_id": project.id})])
        drawn = do(session, changes=[Change(one, RackMoveKind.FREED, {"project_id": None})])
        with pytest.raises(Conflict):
            undo(session, planned.id)
        undo(session, drawn.id)
        undo(session, planned.id)
        for act_id in (planned.id, drawn.id):
            with pytest.raises(Conflict):
                undo(session, act_id)
        with pytest.raises(MissingReference):
            undo(session, 999)


def test_an_older_state_is_a_conflict_and_leaves_no_move(engine):
    with writing(engine) as session:
        (one,) = put(session)
        do(session, changes=[Change(one, RackMoveKind.NOTED, {"note": "a"}, version=1)])
    with pytest.raises(Conflict), writing(engine) as session:
        do(session, changes=[Change(one, RackMoveKind.NOTED, {"note": "b"}, version=1)])
    with reading(engine) as session:
        assert len(list(session.scalars(select(RackMove).where(RackMove.kind == RackMoveKind.NOTED)))) == 1


def test_what_became_of_a_line_goes_with_the_act_and_comes_back(engine):
    with writing(engine) as session:
        kept = factories.purchase(session)
        line = kept.lines[0].id
        act = do(session, fates=[LineFate(line, 7.0, 2.0)])
        told = purchases.get_purchase(session, kept.id).lines[0]
        assert (told.used_quantity, told.rejected_quantity) == (7.0, 2.0)
        undo(session, act.id)
        assert purchases.get_purchase(session, kept.id) == kept
        with pytest.raises(BadInput):
            do(session, fates=[LineFate(line, 9.0, 2.0)])


def test_a_receipt_taken_back_counts_no_more_until_that_is_taken_back(engine):
    with writing(engine) as session:
        kept = factories.purchase(session)
        act = do(session, voided_id=kept.id)
        assert purchases.purchases(session) == ()
        assert purchases.get_purchase(session, kept.id).voided_at == factories.NOW
        undo(session, act.id)
        assert purchases.purchases(session) == (kept,)


def test_a_project_may_be_cut_from_what_is_free_and_what_is_its_own(engine):
    with writing(engine) as session:
        mine, other = factories.project(session), factories.project(session)
        free, planned, drawn, others, gone = put(session, 5)
        for number, kind, values in (
            (planned, RackMoveKind.PLANNED, {"project_id": mine.id}),
            (drawn, RackMoveKind.DRAWN, {"project_id": mine.id, "there": False}),
            (others, RackMoveKind.PLANNED, {"project_id": other.id}),
            (gone, RackMoveKind.WRITTEN_OFF, {"project_id": None, "there": False}),
        ):
            do(session, changes=[Change(number, kind, values)])
        assert [one.id for one in rack.for_project(session, mine.id)] == [free, planned, drawn]


@pytest.mark.parametrize(
    "given", [{"stock_code": " "}, {"width_nm": 0}, {"cost_cents": -1}, {"cut_outs": ((5, 5, "knot"),)}]
)
def test_a_board_that_makes_no_sense_is_refused(given):
    with pytest.raises(BadInput):
        board(**given)


def test_only_what_may_change_changes(engine):
    with writing(engine) as session:
        (one,) = put(session)
        with pytest.raises(BadInput):
            do(session, changes=[Change(one, RackMoveKind.NOTED, {"cost_cents": 1})])
