"""Quotes, moves, extras and payments as they are kept, on both databases."""

from datetime import timedelta

import pytest
from journal.errors import BadInput, MissingReference
from journal.records.engine import reading, writing
from journal.records.queries import money, moves, quotes
from journal.records.words import DepositFate, PaymentKind, ProjectState
from sqlalchemy import text
from tests import factories

PAYLOAD = '{"number":"Q26-001","title":"½ × 7¼ in שלום 🪵"}'
PDF = b"%PDF-1.7\x00\xff\n"


def quote(session, project_id, number="Q26-001", **given):
    fields = {
        "number": number,
        "issued_on": factories.TODAY,
        "valid_until": factories.TODAY + timedelta(days=30),
        "currency": "USD",
        "net_cents": 462_500,
        "tax_cents": 28_906,
        "cost_cents": 373_265,
        "minutes": 3660.0,
        "promised_days": 63,
        "plan_version": 1,
        "payload": PAYLOAD,
        "pdf": PDF,
    }
    draft = quotes.QuoteDraft(**fields | given)
    return quotes.add_quote(session, project_id, draft, tool_version="0.1.0", now=factories.NOW)


def move(session, project_id, start, end, **given):
    fields = {"on_date": factories.TODAY, "from_state": start, "to_state": end, "before": {}}
    return moves.add_move(session, project_id, moves.MoveDraft(**fields | given), factories.NOW)


def payment(session, project_id, number="R26-001", **given):
    fields = {
        "number": number,
        "on_date": factories.TODAY,
        "kind": PaymentKind.PAYMENT,
        "currency": "USD",
        "cents": 100,
        "how": "cash",
        "note": "",
        "payload": '{"number":"R26-001"}',
    }
    draft = money.PaymentDraft(**fields | given)
    return money.add_payment(session, project_id, draft, tool_version="0.1.0", now=factories.NOW)


@pytest.fixture
def project(session):
    made = factories.project(session)
    factories.plan(session, made.id)
    return made.id


class TestQuotes:
    def test_text_and_paper_come_back_to_the_byte(self, engine):
        with writing(engine) as session:
            made = factories.project(session)
            factories.plan(session, made.id)
            kept = quote(session, made.id)
        with reading(engine) as session:
            found, paper = quotes.get_quote(session, kept.id), quotes.get_paper(session, kept.id)
        assert found == kept
        assert (found.payload, found.damaged) == (PAYLOAD, False)
        assert (paper.number, paper.pdf, paper.damaged) == ("Q26-001", PDF, False)

    def test_damage_to_either_shows(self, engine):
        with writing(engine) as session:
            made = factories.project(session)
            factories.plan(session, made.id)
            first, second = quote(session, made.id), quote(session, made.id, "Q26-002")
        with engine.begin() as connection:
            connection.execute(text("UPDATE quotes SET payload = '{}' WHERE id = :id"), {"id": first.id})
            connection.execute(text("UPDATE quotes SET pdf = :pdf WHERE id = :id"), {"pdf": b"%PDF", "id": second.id})
        with reading(engine) as session:
            assert quotes.get_quote(session, first.id).damaged
            assert not quotes.get_paper(session, first.id).damaged
            assert quotes.get_paper(session, second.id).damaged
            assert not quotes.get_quote(session, second.id).damaged

    def test_lists_are_newest_first_and_read_no_text_and_no_paper(self, session, project, statements):
        for number in ("Q26-001", "Q26-002"):
            quote(session, project, number)
        session.expire_all()
        with statements() as seen:
            found = quotes.quotes(session, project)
        assert [head.number for head in found] == ["Q26-002", "Q26-001"]
        assert found[0].total_cents == 491_406
        assert len(seen) == 1
        assert "payload" not in seen[0]
        assert "pdf" not in seen[0]
        assert [head.number for head in quotes.all_quotes(session)] == ["Q26-001", "Q26-002"]

    def test_numbers_run_through_a_year_in_a_series_of_their_own(self, session, project):
        assert quotes.next_number(session, 2026) == "Q26-001"
        for number in ("Q26-001", "Q26-009", "Q26-old", "Q25-077"):
            quote(session, project, number)
        assert quotes.next_number(session, 2026) == "Q26-010"
        assert quotes.next_number(session, 2027) == "Q27-001"

    def test_what_is_not_there_is_named(self, session, project):
        with pytest.raises(MissingReference, match="99"):
            quotes.get_quote(session, 99)
        with pytest.raises(MissingReference, match="plan version"):
            quote(session, project, plan_version=7)

    @pytest.mark.parametrize("given", [{"number": " "}, {"net_cents": -1}, {"payload": " "}, {"promised_days": -1}])
    def test_nonsense_is_refused(self, session, project, given):
        with pytest.raises(BadInput):
            quote(session, project, **given)


class TestMoves:
    def test_a_move_comes_back_as_it_was_kept(self, session, project):
        kept = move(
            session,
            project,
            ProjectState.ACCEPTED,
            ProjectState.CANCELLED,
            reason="moved away",
            deposit=DepositFate.KEPT,
            before={"agreed_on": "2026-03-01", "agreed_price_cents": None},
        )
        assert moves.moves(session, project) == (kept,)

    def test_what_a_later_one_took_back_stands_no_more(self, session, project):
        first = move(session, project, ProjectState.ENQUIRY, ProjectState.ACCEPTED, net_cents=100, tax_cents=5)
        second = move(session, project, ProjectState.ACCEPTED, ProjectState.IN_BUILD)
        assert moves.agreement(moves.moves(session, project)) == first
        assert first.total_cents == 105
        back = move(session, project, ProjectState.IN_BUILD, ProjectState.ACCEPTED, undoes_id=second.id)
        assert moves.standing(moves.moves(session, project)) == (first,)
        move(session, project, ProjectState.ACCEPTED, ProjectState.ENQUIRY, undoes_id=first.id)
        assert moves.standing(moves.moves(session, project)) == ()
        assert moves.acceptances(session) == {}
        assert back.total_cents is None

    def test_the_newest_reason_of_a_state_is_told(self, session, project):
        move(session, project, ProjectState.ENQUIRY, ProjectState.DECLINED, reason="too dear")
        move(session, project, ProjectState.DECLINED, ProjectState.ENQUIRY)
        move(session, project, ProjectState.ENQUIRY, ProjectState.DECLINED, reason="too late")
        assert moves.reasons(session, ProjectState.DECLINED) == {project: "too late"}


class TestMoney:
    def test_an_extra_comes_back_and_damage_to_it_shows(self, engine):
        draft = money.ExtraDraft(on_date=factories.TODAY, what="a shelf", net_cents=-500, tax_cents=-31, days=-2)
        with writing(engine) as session:
            made = factories.project(session)
            kept = money.add_extra(session, made.id, draft, factories.NOW)
        assert kept.total_cents == -531
        with reading(engine) as session:
            assert money.extras(session, made.id) == (kept,)
            assert not kept.damaged
        with engine.begin() as connection:
            connection.exec_driver_sql("UPDATE extras SET net_cents = 0")
        with reading(engine) as session:
            assert money.extras(session, made.id)[0].damaged

    def test_a_payment_comes_back_and_damage_to_its_receipt_shows(self, engine):
        with writing(engine) as session:
            made = factories.project(session)
            kept = payment(session, made.id)
            back = payment(session, made.id, "R26-002", kind=PaymentKind.REFUND)
        assert (kept.in_cents, back.in_cents) == (100, -100)
        with engine.begin() as connection:
            connection.execute(text("UPDATE payments SET payload = '{}' WHERE id = :id"), {"id": back.id})
        with reading(engine) as session:
            assert money.payments(session, made.id)[0] == kept
            assert money.get_payment(session, back.id).damaged

    def test_receipts_have_a_series_of_their_own(self, session, project):
        payment(session, project, "R26-041")
        assert money.next_receipt(session, 2026) == "R26-042"
        assert money.next_receipt(session, 2027) == "R27-001"

    @pytest.mark.parametrize("given", [{"cents": 0}, {"number": ""}, {"payload": ""}, {"kind": "gift"}])
    def test_nonsense_is_refused(self, session, project, given):
        with pytest.raises(BadInput):
            payment(session, project, **given)

    def test_a_payment_that_is_not_there_is_named(self, session):
        with pytest.raises(MissingReference, match="7"):
            money.get_payment(session, 7)
