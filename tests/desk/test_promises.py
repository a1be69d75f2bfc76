"""Moves from state to state, what follows from them, what takes them back; extras."""

import json
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from journal import units
from journal.desk import days, extras, promises
from journal.desk.extras import ExtraAsked
from journal.desk.promises import Told, life_of
from journal.errors import BadInput, Conflict, JournalError, MissingReference, NoSolution
from journal.quote.terms import TaxRounding
from journal.records.engine import reading, writing
from journal.records.queries import money as money_records
from journal.records.queries import projects as project_records
from journal.records.queries import quotes as quote_records
from journal.records.queries.money import ExtraDraft
from journal.records.words import DepositFate, ProjectState
from tests.desk import promised
from tests.desk.promised import NOW, TODAY, accept, go, issue, print_extra
from tests.web.project_pages import statements


@pytest.fixture(autouse=True)
def quick_weeks(monkeypatch):
    """The weeks to promise have tests of their own, and take a second each."""
    monkeypatch.setattr(days, "promised_weeks", lambda *_: 8.5)


@pytest.fixture
def made(file_engine):
    return promised.project(file_engine)


@pytest.fixture
def session(file_engine, made):  # noqa: ARG001 - the project must be there first
    with writing(file_engine) as opened:
        yield opened


def project_of(session, project_id):
    return project_records.get_project(session, project_id)


def extra(session, project_id, net_cents, days=0, what="a shelf", **given):
    version = project_of(session, project_id).version
    asked = ExtraAsked(given.pop("on", TODAY), what, net_cents, days)
    return extras.add_extra(session, project_id, asked, print_extra, read_version=version, today=TODAY, now=NOW)


def undo(session, project_id):
    version = project_of(session, project_id).version
    return promises.undo(session, project_id, read_version=version, today=TODAY, now=NOW)


class TestMoves:
    def test_accepting_makes_the_quote_what_was_agreed(self, session, made):
        quote = issue(session, made, weeks=Decimal("9.5"))
        accept(session, made)
        project = project_of(session, made)
        assert project.state is ProjectState.ACCEPTED
        assert (project.agreed_on, project.agreed_price_cents) == (TODAY, quote.net_cents)
        assert (project.agreed_minutes, project.quoted_cost_cents) == (quote.minutes, quote.cost_cents)
        assert project.promised_on == TODAY + timedelta(days=67)  # 9½ weeks are 66½ days

    def test_the_dates_follow_from_the_moves(self, session, made):
        issue(session, made)
        for end in ("accepted", "in_build", "delivered", "closed"):
            accept(session, made) if end == "accepted" else go(session, made, end)
        project = project_of(session, made)
        assert (project.agreed_on, project.started_on, project.delivered_on) == (TODAY, TODAY, TODAY)
        assert project.state is ProjectState.CLOSED

    def test_a_hold_and_back_starts_nothing_anew(self, session, made):
        issue(session, made)
        accept(session, made)
        go(session, made, "in_build")
        go(session, made, "on_hold", reason="no oak to be had")
        assert {step.end for step in life_of(session, made).steps} == {ProjectState.IN_BUILD, ProjectState.CANCELLED}
        go(session, made, "in_build")
        assert project_of(session, made).started_on == TODAY

    def test_a_price_agreed_by_word_needs_no_quote(self, session, made):
        go(session, made, "accepted", price_cents=400_000, promised_on=date(2026, 6, 1))
        project = project_of(session, made)
        assert (project.agreed_price_cents, project.promised_on) == (400_000, date(2026, 6, 1))
        assert project.agreed_minutes > 0
        assert project.quoted_cost_cents > 0
        assert life_of(session, made).agreed.quote is None

    def test_without_a_quote_a_price_must_be_said(self, session, made):
        with pytest.raises(BadInput, match="agreed price"):
            go(session, made, "accepted")

    def test_only_the_newest_quote_can_be_accepted(self, session, made):
        old, new = issue(session, made), issue(session, made)
        with pytest.raises(BadInput, match=new.number):
            go(session, made, "accepted", quote_id=old.id)
        accept(session, made)
        assert life_of(session, made).agreed.quote.id == new.id

    def test_a_damaged_quote_cannot_be_accepted(self, session, made):
        issue(session, made)
        session.connection().exec_driver_sql("UPDATE quotes SET payload = '{}'")
        session.expire_all()
        with pytest.raises(JournalError, match="damaged"):
            accept(session, made)

    def test_a_bench_for_stock_is_agreed_with_nobody_until_it_is_sold(self, session, made):
        go(session, made, "in_build")
        go(session, made, "stock")
        assert life_of(session, made).agreed is None
        go(session, made, "delivered", price_cents=300_000)
        project = project_of(session, made)
        assert (project.agreed_price_cents, project.delivered_on) == (300_000, TODAY)

    def test_declining_keeps_why(self, session, made):
        issue(session, made)
        with pytest.raises(BadInput, match="why"):
            go(session, made, "declined", reason="  ")
        go(session, made, "declined", reason="too dear")
        assert life_of(session, made).moves[-1].reason == "too dear"

    def test_cancelling_says_what_becomes_of_the_deposit(self, session, made):
        issue(session, made)
        accept(session, made)
        with pytest.raises(BadInput, match="deposit"):
            go(session, made, "cancelled", reason="moved away")
        go(session, made, "cancelled", reason="moved away", deposit=DepositFate.KEPT)
        assert life_of(session, made).moves[-1].deposit is DepositFate.KEPT

    def test_a_day_to_come_or_before_what_came_before_is_refused(self, session, made):
        issue(session, made)
        for on in (TODAY + timedelta(days=1), TODAY - timedelta(days=1)):
            with pytest.raises(BadInput, match="on:"):
                go(session, made, "declined", reason="no", on=on)

    @pytest.mark.parametrize("promised_on", [TODAY - timedelta(days=1), date(2046, 3, 2)])
    def test_a_promise_before_the_agreement_or_for_twenty_years_is_refused(self, promised_on):
        with pytest.raises(BadInput, match="promised for"):
            Told(on=TODAY, promised_on=promised_on)

    def test_the_second_of_two_tabs_changes_nothing(self, file_engine, made):
        with writing(file_engine) as session:
            issue(session, made)
        with reading(file_engine) as session:
            seen = life_of(session, made)
        accepts, declines = Told(on=TODAY, quote_id=seen.open.id), Told(on=TODAY, reason="too dear")
        version = seen.project.version
        with writing(file_engine) as session:
            promises.move(session, made, ProjectState.ACCEPTED, accepts, read_version=version, today=TODAY, now=NOW)
        with pytest.raises(Conflict), writing(file_engine) as session:
            promises.move(session, made, ProjectState.DECLINED, declines, read_version=version, today=TODAY, now=NOW)
        with reading(file_engine) as session:
            after = life_of(session, made)
        assert after.project.state is ProjectState.ACCEPTED
        assert [move.to_state for move in after.moves] == ["quoted", "accepted"]

    def test_the_life_of_a_project_takes_as_many_statements_however_long_it_is(self, file_engine, made):
        def look():
            with reading(file_engine) as session:
                life_of(session, made)

        short = statements(file_engine, look)
        with writing(file_engine) as session:
            issue(session, made)
            issue(session, made)
            accept(session, made)
            extra(session, made, 100)
        assert statements(file_engine, look) == short


class TestUndo:
    def test_the_project_says_again_what_it_said_before(self, session, made):
        issue(session, made)
        before = project_of(session, made)
        accept(session, made)
        go(session, made, "in_build")
        undo(session, made)
        undo(session, made)
        after = project_of(session, made)
        assert after.draft() == before.draft()
        assert life_of(session, made).agreed is None
        assert len(life_of(session, made).moves) == 5  # what was is still told

    def test_what_was_agreed_meanwhile_stays(self, session, made):
        issue(session, made)
        accept(session, made)
        go(session, made, "in_build")
        extra(session, made, 10_000, days=3)
        price, promised_on = project_of(session, made).agreed_price_cents, project_of(session, made).promised_on
        undo(session, made)
        assert project_of(session, made).state is ProjectState.ACCEPTED
        assert (project_of(session, made).agreed_price_cents, project_of(session, made).promised_on) == (
            *(price, promised_on),
        )

    def test_an_agreement_with_extras_on_it_stays(self, session, made):
        issue(session, made)
        accept(session, made)
        extra(session, made, 10_000)
        with pytest.raises(NoSolution, match="extras"):
            undo(session, made)

    def test_with_nothing_to_take_back_it_says_so(self, session, made):
        with pytest.raises(NoSolution, match="none is kept"):
            undo(session, made)

    def test_from_an_old_page_nothing_is_taken_back(self, session, made):
        issue(session, made)
        with pytest.raises(Conflict):
            promises.undo(session, made, read_version=1, today=TODAY, now=NOW)


class TestExtras:
    @given(changes=st.lists(st.integers(-200_000, 400_000), max_size=5), rounding=st.sampled_from(TaxRounding))
    @settings(max_examples=8, suppress_health_check=[HealthCheck.function_scoped_fixture])
    def test_agreed_is_the_quote_and_its_extras(self, file_engine, changes, rounding):
        made = promised.project(file_engine)
        with writing(file_engine) as session:
            row = issue(session, made, tax_rate=Fraction("0.08875"), rounding=rounding)
            accept(session, made)
            net, taken = row.net_cents, []
            for change in changes:
                if net + change < 0:
                    with pytest.raises(BadInput):
                        extra(session, made, change)
                    continue
                taken.append(extra(session, made, change))
                net += change
            agreed = life_of(session, made).agreed
        assert agreed.now_net_cents == net == project_price(file_engine, made)
        assert agreed.total_cents == row.total_cents + sum(one.total_cents for one in taken)
        if rounding is TaxRounding.INVOICE:
            assert agreed.now_tax_cents == units.percent_of(net, Fraction("0.08875"))

    def test_the_promised_day_moves_with_them(self, session, made):
        issue(session, made, weeks=Decimal(4))
        accept(session, made)
        extra(session, made, 5_000, days=5)
        extra(session, made, -2_000, days=-2)
        assert project_of(session, made).promised_on == TODAY + timedelta(days=28 + 3)

    def test_its_paper_says_what_it_came_to_and_stays_so_whatever_the_shop_becomes(self, session, made):
        issue(session, made)
        accept(session, made)
        before, promised_on = life_of(session, made).agreed.total_cents, project_of(session, made).promised_on
        first, second = extra(session, made, 5_000, days=5), extra(session, made, -2_000)
        assert (first.number, second.number) == ("X26-001", "X26-002")
        paper = extras.paper_of(session, made, first.id)
        said = json.loads(paper.pdf)
        assert said == json.loads(paper.payload)
        assert (said["before_cents"], said["after_cents"]) == (before, before + first.total_cents)
        assert said["promised_on"] == (promised_on + timedelta(days=5)).isoformat()
        assert json.loads(extras.paper_of(session, made, second.id).pdf)["before_cents"] == said["after_cents"]
        session.connection().exec_driver_sql("UPDATE shop SET name = 'Another', currency = 'EUR'")
        session.expire_all()
        assert extras.paper_of(session, made, first.id) == paper
        assert [one.number for one in life_of(session, made).agreed.extras] == ["X26-001", "X26-002"]

    @pytest.mark.parametrize(
        "harm",
        [
            "UPDATE extra_papers SET pdf = substr(pdf, 2)",
            "UPDATE extra_papers SET payload = replace(payload, 'a shelf', 'two shelves')",
        ],
    )
    def test_a_damaged_paper_is_not_sent(self, session, made, harm):
        issue(session, made)
        accept(session, made)
        row = extra(session, made, 5_000)
        session.connection().exec_driver_sql(harm)
        session.expire_all()
        with pytest.raises(JournalError, match="X26-001 is damaged"):
            extras.paper_of(session, made, row.id)

    def test_one_from_before_there_was_paper_has_none_and_says_so(self, session, made):
        draft = ExtraDraft(on_date=TODAY, what="a shelf", net_cents=500, tax_cents=0, days=0)
        old = money_records.add_extra(session, made, draft, NOW)
        assert old.number == ""
        with pytest.raises(MissingReference):
            extras.paper_of(session, made, old.id)

    def test_nothing_agreed_is_nothing_to_add_to(self, session, made):
        with pytest.raises(BadInput, match="agreed"):
            extra(session, made, 100)

    def test_from_an_old_page_nothing_is_added(self, session, made):
        issue(session, made)
        accept(session, made)
        asked = ExtraAsked(TODAY, "a shelf", 100)
        with pytest.raises(Conflict):
            extras.add_extra(session, made, asked, print_extra, read_version=1, today=TODAY, now=NOW)

    @pytest.mark.parametrize("given", [{"what": " "}, {"net_cents": 10**13}, {"days": 4000}, {"what": "x" * 10_001}])
    def test_nonsense_is_refused(self, given):
        with pytest.raises(BadInput):
            ExtraAsked(**{"on": TODAY, "what": "a shelf", "net_cents": 1, "days": 0} | given)

    def test_a_job_from_before_the_journal_can_have_them(self, session, made):
        before = project_of(session, made)
        draft = before.draft(state=ProjectState.IN_BUILD, agreed_price_cents=462_500, agreed_on=date(2026, 1, 5))
        project_records.change_project(session, made, draft, read_version=before.version, now=NOW)
        extra(session, made, 10_000)
        agreed = life_of(session, made).agreed
        assert (agreed.net_cents, agreed.now_net_cents, agreed.on) == (462_500, 472_500, date(2026, 1, 5))


def project_price(engine, project_id):
    with reading(engine) as session:
        return project_of(session, project_id).agreed_price_cents


def test_a_quote_once_agreed_takes_no_other(session, made):
    issue(session, made)
    accept(session, made)
    with pytest.raises(BadInput, match="extra"):
        issue(session, made)
    go(session, made, "on_hold", reason="waiting")
    with pytest.raises(BadInput, match="extra"):
        issue(session, made)
    assert len(quote_records.quotes(session, made)) == 1
