"""Looking back: what was accepted at which margin, what was promised and delivered."""

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from journal.desk import days
from journal.desk.extras import ExtraAsked, add_extra
from journal.desk.quotes_past import Answer, past
from journal.records.engine import reading, writing
from journal.records.queries import projects as project_records
from journal.records.words import ProjectState
from tests import factories
from tests.desk import promised
from tests.desk.promised import NOW, TODAY, accept, go, issue, print_extra
from tests.web.project_pages import statements


@pytest.fixture(autouse=True)
def quick_weeks(monkeypatch):
    """The weeks to promise have tests of their own, and take a second each."""
    monkeypatch.setattr(days, "promised_weeks", lambda *_: 8.5)


def look(engine):
    with reading(engine) as session:
        return past(session)


def test_nothing_asked_is_nothing_to_look_back_at(file_engine):
    promised.project(file_engine)
    found = look(file_engine)
    assert (found.asked, found.delivered, found.accepted, found.answered) == ((), (), 0, 0)
    assert [band.answered for band in found.bands] == [0, 0, 0, 0]


def test_each_project_counts_once_with_its_newest_quote_and_its_answer(file_engine):
    won, lost, late, open_, stock = (promised.project(file_engine, title=f"bench {n}") for n in range(5))
    with writing(file_engine) as session:
        for one in (won, lost, late, open_):
            issue(session, one, price_cents=500_000)
            issue(session, one, price_cents=450_000)
        accept(session, won)
        go(session, lost, "declined", reason="too dear")
        go(session, late, "lapsed")
        go(session, stock, "in_build")
    found = look(file_engine)
    answers = {one.project.id: (one.answer, one.net_cents, one.why) for one in found.asked}
    assert answers == {
        won: (Answer.ACCEPTED, 450_000, ""),
        lost: (Answer.DECLINED, 450_000, "too dear"),
        late: (Answer.LAPSED, 450_000, ""),
        open_: (Answer.OPEN, 450_000, ""),
    }
    assert (found.accepted, found.answered, found.open) == (1, 3, 1)


def test_margins_fall_into_their_bands(file_engine):
    with writing(file_engine) as session:
        for number, (price, cost) in enumerate([(100, 95), (100, 90), (100, 80), (100, 60), (100, None), (0, 10)]):
            factories.project(
                session,
                code=f"20-{number:03d}",
                state=ProjectState.CLOSED,
                agreed_price_cents=price,
                quoted_cost_cents=cost,
            )
        # Declined before the journal kept quotes: what was asked is not known, so it is in no band.
        factories.project(session, code="20-100", state=ProjectState.DECLINED)
    found = look(file_engine)
    assert [(band.low, band.high, band.accepted) for band in found.bands] == [
        (None, Fraction(1, 10), 1),
        (Fraction(1, 10), Fraction(1, 5), 1),  # the lower end belongs to its band
        (Fraction(1, 5), Fraction(3, 10), 1),
        (Fraction(3, 10), None, 1),
    ]
    assert found.accepted == 6


def test_promise_and_delivery_are_compared_with_the_extras_and_their_days(file_engine):
    made = promised.project(file_engine)
    with writing(file_engine) as session:
        row = issue(session, made, weeks=Decimal(1))
        accept(session, made)
        version = project_records.get_project(session, made).version
        asked = ExtraAsked(TODAY, "a shelf", 12_000, 2)
        add_extra(session, made, asked, print_extra, read_version=version, today=TODAY, now=NOW)
        for end in ("in_build", "delivered"):
            go(session, made, end)
    (one,) = look(file_engine).delivered
    assert (one.promised_cents, one.agreed_cents) == (row.net_cents, row.net_cents + 12_000)
    assert one.promised_on == TODAY + timedelta(days=9)
    assert one.days_late == -9


def test_jobs_from_before_the_journal_count_as_far_as_they_are_known(file_engine):
    with writing(file_engine) as session:
        factories.project(session, state=ProjectState.CLOSED, agreed_price_cents=100, delivered_on=date(2023, 5, 1))
    (one,) = look(file_engine).delivered
    assert (one.promised_cents, one.agreed_cents, one.days_late) == (100, 100, None)


def test_it_takes_as_many_statements_however_much_there_is(file_engine):
    with writing(file_engine) as session:
        factories.project(session, state=ProjectState.CLOSED, agreed_price_cents=100)
    few = statements(file_engine, lambda: look(file_engine))
    with writing(file_engine) as session:
        for _ in range(5):
            factories.project(session, state=ProjectState.CLOSED, agreed_price_cents=100)
    assert statements(file_engine, lambda: look(file_engine)) == few
