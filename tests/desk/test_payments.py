"""Money in: what is due, what was paid, what is still owed; receipts that stay what they were."""

from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from journal.desk import days, payments, promises
from journal.desk.extras import ExtraAsked, add_extra
from journal.desk.payments import Paid, money_of
from journal.errors import BadInput, Conflict, JournalError, MissingReference
from journal.quote.terms import Stage
from journal.records.engine import reading, writing
from journal.records.queries import projects as project_records
from journal.records.queries.shop import get_shop, save_shop
from journal.records.words import DepositFate, PaymentKind, ProjectState
from tests.desk import promised
from tests.desk.promised import NOW, TODAY, accept, go, issue, print_extra


@pytest.fixture(autouse=True)
def quick_weeks(monkeypatch):
    """The weeks to promise have tests of their own, and take a second each."""
    monkeypatch.setattr(days, "promised_weeks", lambda *_: 8.5)


@pytest.fixture
def made(file_engine):
    """A project agreed at 1,000.00 and 100.00 tax: half first, a quarter on the way."""
    project_id = promised.project(file_engine)
    with writing(file_engine) as session:
        terms = {"tax_rate": Fraction(1, 10), "deposit": Fraction(1, 2), "stages": (Stage("half way", Fraction(1, 4)),)}
        issue(session, project_id, price_cents=100_000, client="A school", **terms)
        accept(session, project_id)
    return project_id


@pytest.fixture
def session(file_engine, made):  # noqa: ARG001 - the project must be there first
    with writing(file_engine) as opened:
        yield opened


def pay(session, project_id, cents, kind=PaymentKind.PAYMENT, **given):
    meant = given.pop("meant", True)
    seen = given.pop("seen", len(money_of(session, project_id).payments))
    paid = Paid(**{"on": TODAY, "cents": cents, "kind": kind} | given)
    return payments.pay(session, project_id, paid, seen=seen, today=TODAY, now=NOW, meant=meant)


def extra(session, project_id, cents):
    version = project_records.get_project(session, project_id).version
    asked = ExtraAsked(TODAY, "a shelf", cents)
    add_extra(session, project_id, asked, print_extra, read_version=version, today=TODAY, now=NOW)


def dues(session, project_id):
    return [(due.when, due.cents, due.paid_cents) for due in money_of(session, project_id).dues]


def test_what_is_paid_fills_the_payments_in_their_order(session, made):
    assert dues(session, made) == [
        ("Deposit, on acceptance", 55_000, 0),
        ("half way", 27_500, 0),
        ("Balance, before unloading", 27_500, 0),
    ]
    pay(session, made, 60_000)
    money = money_of(session, made)
    assert dues(session, made) == [
        ("Deposit, on acceptance", 55_000, 55_000),
        ("half way", 27_500, 5_000),
        ("Balance, before unloading", 27_500, 0),
    ]
    assert (money.owed_cents, money.over_cents) == (50_000, 0)
    assert (money.next_due.when, money.next_due.left_cents) == ("half way", 22_500)


def test_extras_are_due_with_the_rest_and_what_they_take_away_comes_off_the_end(session, made):
    extra(session, made, 10_000)
    assert dues(session, made)[-1] == ("Extras", 11_000, 0)
    extra(session, made, -50_000)
    # 110,000 + 11,000 − 55,000: the balance is gone, and of the half-way payment 11,000 are left.
    assert [(when, cents) for when, cents, _ in dues(session, made)] == [
        ("Deposit, on acceptance", 55_000),
        ("half way", 11_000),
    ]


def test_paid_too_much_is_to_be_given_back(session, made):
    pay(session, made, 120_000)
    money = money_of(session, made)
    assert (money.owed_cents, money.over_cents, money.next_due) == (0, 10_000, None)
    pay(session, made, 10_000, PaymentKind.REFUND)
    assert money_of(session, made).over_cents == 0


@pytest.mark.parametrize(("fate", "owed", "over"), [(DepositFate.KEPT, 0, 0), (DepositFate.RETURNED, 0, 55_000)])
def test_a_cancelled_project_owes_nothing_and_its_deposit_is_kept_or_given_back(session, made, fate, owed, over):
    pay(session, made, 55_000)
    go(session, made, "cancelled", reason="moved away", deposit=fate)
    money = money_of(session, made)
    assert (money.owed_cents, money.over_cents, money.fate) == (owed, over, fate)


@given(
    amounts=st.lists(st.tuples(st.integers(1, 200_000), st.booleans()), max_size=6),
    extras=st.lists(st.integers(-30_000, 30_000), max_size=3),
)
@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_dues_add_up_to_what_is_asked_and_hold_what_was_paid(file_engine, made, amounts, extras):
    with writing(file_engine) as session:
        for cents in extras:
            if promises.agreed(session, made).now_net_cents + cents >= 0:
                extra(session, made, cents)
        for cents, back in amounts:
            if not back or money_of(session, made).paid_cents >= cents:
                pay(session, made, cents, PaymentKind.REFUND if back else PaymentKind.PAYMENT)
        money = money_of(session, made)
    assert sum(due.cents for due in money.dues) == money.asked_cents == money.agreed.total_cents
    assert sum(due.paid_cents for due in money.dues) == min(money.paid_cents, money.asked_cents)
    assert sum(due.left_cents for due in money.dues) == money.owed_cents
    assert money.owed_cents - money.over_cents == money.asked_cents - money.paid_cents


class TestRefused:
    def test_a_form_sent_twice_pays_once(self, session, made):
        pay(session, made, 55_000, seen=0)
        with pytest.raises(Conflict):
            pay(session, made, 55_000, seen=0)
        assert money_of(session, made).paid_cents == 55_000

    def test_more_than_was_paid_is_not_given_back(self, session, made):
        pay(session, made, 100)
        with pytest.raises(BadInput, match="not more given back"):
            pay(session, made, 101, PaymentKind.REFUND)

    @pytest.mark.parametrize("on", [TODAY + timedelta(days=1), date(1999, 1, 1)])
    def test_a_day_to_come_or_long_past_is_no_day_of_payment(self, session, made, on):
        with pytest.raises(BadInput, match="on:"):
            pay(session, made, 100, on=on)

    def test_more_than_is_owed_is_kept_only_when_it_is_meant(self, session, made):
        pay(session, made, 10_000, meant=False)
        with pytest.raises(payments.MoreThanOwed) as asked:
            pay(session, made, 100_001, meant=False)
        assert asked.value.more_cents == 1
        pay(session, made, 100_000, meant=False)
        pay(session, made, 20_000, PaymentKind.REFUND, meant=False)
        assert money_of(session, made).paid_cents == 90_000

    def test_nothing_agreed_is_nothing_to_pay(self, file_engine):
        bare = promised.project(file_engine)
        with writing(file_engine) as session, pytest.raises(BadInput, match="accept it first"):
            pay(session, bare, 100)

    @pytest.mark.parametrize("given", [{"cents": 0}, {"cents": 10**13}, {"how": "x" * 61}, {"note": "x" * 10_001}])
    def test_nonsense_is_refused(self, given):
        with pytest.raises(BadInput):
            Paid(**{"on": TODAY, "cents": 1} | given)


class TestReceipt:
    def test_says_what_was_paid_for_what_and_what_is_owed(self, session, made):
        row = pay(session, made, 55_000, how="cheque", note="with thanks")
        said = payments.receipt(session, made, row.id)
        quote = money_of(session, made).agreed.quote
        assert (said["number"], said["cents"], said["how"], said["note"]) == (
            "R26-001",
            55_000,
            "cheque",
            "with thanks",
        )
        assert (said["asked_cents"], said["paid_cents"], said["owed_cents"]) == (110_000, 55_000, 55_000)
        assert (said["client"], said["quote"]) == ("A school", quote.number)

    def test_stays_what_it_was_when_the_shop_is_called_otherwise(self, session, made):
        row = pay(session, made, 55_000)
        before = payments.receipt(session, made, row.id)
        save_shop(session, replace(get_shop(session), name="Another name", currency="EUR"))
        pay(session, made, 1_000)
        assert payments.receipt(session, made, row.id) == before

    def test_of_another_project_or_damaged_it_is_not_shown(self, file_engine, made):
        with writing(file_engine) as session:
            row = pay(session, made, 100)
        other = promised.project(file_engine)
        with reading(file_engine) as session, pytest.raises(MissingReference):
            payments.receipt(session, other, row.id)
        with file_engine.begin() as connection:
            connection.exec_driver_sql("UPDATE payments SET payload = '{}'")
        with reading(file_engine) as session, pytest.raises(JournalError, match="damaged"):
            payments.receipt(session, made, row.id)


def test_a_job_from_before_the_journal_can_be_paid(file_engine):
    old = promised.project(file_engine)
    with writing(file_engine) as session:
        row = project_records.get_project(session, old)
        draft = row.draft(state=ProjectState.IN_BUILD, agreed_price_cents=100_001)
        project_records.change_project(session, old, draft, read_version=row.version, now=NOW)
        assert dues(session, old) == [("Deposit", 50_001, 0), ("Balance", 50_000, 0)]
        pay(session, old, 50_001)
        assert money_of(session, old).owed_cents == 50_000
