"""What the rack teaches: wood drawn from it counts as taken, offcuts that came back do not."""

import pytest
from journal.desk.ratio_records import observe
from journal.desk.shop import read_shop
from journal.pace.ratios import Kind
from journal.records.engine import writing
from journal.records.queries import plans, rack
from journal.records.queries.rack import ActDraft, BoardDraft, Change
from journal.records.words import RackMoveKind
from tests import factories
from tests.desk import shop_years as years

EIGHT_FEET = 1.5 * 7.25 * 96 / 144  # board feet of an 8-ft dressed 2x8


@pytest.fixture
def session(file_engine):
    with writing(file_engine) as opened:
        yield opened


@pytest.fixture
def made(session):
    project = years.finished(session, 0)
    item = factories.item(session)
    factories.price(session, item.id, 1000, length_nm=8 * factories.FOOT)
    leg = factories.part(thickness_nm=factories.INCH, quantity=1)
    lines = [plans.OperationRow(*one) for one in years.OPERATIONS]
    factories.plan(session, project.id, parts=[leg], operations=lines, now=years.at_noon(years.FIRST), reason="one leg")
    return project.id


def board(length_nm, **given):
    sizes = {"thickness_nm": 3 * factories.INCH // 2, "width_nm": 29 * factories.INCH // 4, "length_nm": length_nm}
    return BoardDraft(stock_code="2x8 spruce", cost_cents=900, since=years.FIRST, **sizes, **given)


def do(session, **given):
    fields = {"said": "done", "on_date": years.FIRST}
    return rack.record(session, ActDraft(**fields | given), now=factories.NOW)


def gone(session):
    """Board feet a project is seen to have used."""
    found = observe(session, read_shop(session, years.TODAY), years.TODAY, None)[Kind.YIELD]
    return [one.actual for one in found]


def test_what_a_project_drew_less_the_offcuts_it_left_is_what_it_took(session, made):
    do(session, new=[(board(8 * factories.FOOT), RackMoveKind.COUNTED)] * 3)
    first, second, third = rack.boards(session)
    drawn = {"there": False, "project_id": made}
    changes = [Change(one.id, RackMoveKind.DRAWN, drawn) for one in (first, second)]
    do(session, changes=changes, project_id=made)
    lost = {"there": False, "project_id": None}
    do(session, changes=[Change(third.id, RackMoveKind.WRITTEN_OFF, lost)])
    assert gone(session) == [pytest.approx(2 * EIGHT_FEET)]
    act = do(session, new=[(board(2 * factories.FOOT, offcut=True), RackMoveKind.RETURNED)], project_id=made)
    assert gone(session) == [pytest.approx(1.75 * EIGHT_FEET)]
    rack.undo(session, act.id, on_date=years.FIRST, now=factories.NOW)
    assert gone(session) == [pytest.approx(2 * EIGHT_FEET)]


def test_boards_bought_over_the_rack_are_counted_once(session, made):
    kept = factories.purchase(session, project_id=made, on_date=years.FIRST)
    line = kept.lines[0].id
    came = board(8 * factories.FOOT, purchase_line_id=line, project_id=made)
    do(session, new=[(came, RackMoveKind.BOUGHT)], project_id=made, purchase_id=kept.id)
    (one,) = rack.boards(session)
    fate = rack.LineFate(line, 1.0, 0.0)
    drawn = {"there": False, "project_id": made}
    do(session, changes=[Change(one.id, RackMoveKind.DRAWN, drawn)], fates=[fate], project_id=made)
    assert gone(session) == [pytest.approx(EIGHT_FEET)]
