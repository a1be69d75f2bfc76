"""A quote: filled in from the estimate, issued once, and from then on only read."""

import json
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from journal import units
from journal.desk import days, parts, quote_content, quote_texts, quoting
from journal.desk.estimate import estimate_project
from journal.desk.quote_content import Asked
from journal.errors import BadInput, Conflict, JournalError, MissingReference
from journal.quote.terms import Stage, TaxRounding
from journal.records.engine import reading, writing
from journal.records.queries import plans
from journal.records.queries import quotes as quote_records
from journal.records.queries.shop import SettingRow, get_shop, put_setting, save_shop
from journal.records.tables import StockPrice
from sqlalchemy import update
from tests import factories
from tests.desk import promised
from tests.desk.promised import NOW, PRESS, TODAY, issue


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


def kept(engine, project_id, quote_id):
    """All of a quote as it is stored and shown."""
    with reading(engine) as session:
        shown = quoting.shown(session, project_id, quote_id)
        return shown.row, shown.content, shown.faults, quoting.paper_of(session, project_id, quote_id)


class TestDraft:
    def test_is_filled_in_from_the_estimate_and_the_shop(self, session, made):
        save_shop(session, replace(get_shop(session), tax_ppm=88_750, deposit_bp=4_000))
        draft = quoting.begin(session, made, TODAY)
        assert draft.asked.price_cents == estimate_project(session, made, TODAY).made.price_cents
        assert (draft.asked.tax_rate, draft.asked.deposit) == (Fraction("0.08875"), Fraction(2, 5))
        assert draft.asked.valid_until == TODAY + timedelta(days=30)
        assert draft.asked.title == "Bench for a print room"
        assert draft.asked.weeks == Decimal("8.5")

    @pytest.mark.parametrize(
        ("said", "offered"), [(None, None), (4.2, Decimal("4.5")), (9.0, Decimal(9)), (900.0, None)]
    )
    def test_the_weeks_to_promise_are_the_calendars_in_halves(self, session, made, monkeypatch, said, offered):
        monkeypatch.setattr(days, "promised_weeks", lambda *_: said)
        assert quoting.suggested_weeks(session, made, TODAY) == offered

    def test_the_next_one_says_again_what_the_last_one_said(self, session, made):
        said = {"client": "A school\n1 High Street", "terms": "Cash.", "deposit": Fraction(1, 4)}
        stages = (Stage("half way", Fraction(1, 4)),)
        issue(session, made, **said, stages=stages, price_cents=1)
        asked = quoting.begin(session, made, TODAY).asked
        assert {name: getattr(asked, name) for name in said} == said
        assert asked.stages == stages
        assert asked.price_cents == estimate_project(session, made, TODAY).made.price_cents

    def test_what_the_client_gets_is_written_from_the_parts_and_names_the_hardware_in_the_price(self, file_engine):
        made = promised.designed(file_engine, {"depth": 26 * units.NM_PER_INCH})
        with writing(file_engine) as session:
            said = quoting.begin(session, made, TODAY).asked.description.splitlines()
        assert said[0] == "Slab bench, 72 in long, 26 in deep, 34 in high."
        assert said[1].startswith("Wood: ")
        assert [line.partition(":")[0] for line in said[2:4]] == ["Top", "Legs, 4"]
        assert said[-1] == "Hardware: 1 vise."
        with reading(file_engine) as session:
            found = estimate_project(session, made, TODAY)
        assert found.made.costs[0].parts[3].parts[0].value > 0  # and it is paid for
        assert said[-2] == f"{found.shop.finish(found.work).name}, {found.shop.rules(found.work).finish.coats} coats."

    def test_a_changed_part_changes_the_description_until_it_is_issued(self, session, made):
        before = quoting.begin(session, made, TODAY)
        assert "22 × 72 in" in before.asked.description
        parts.take_list(session, made, promised.LIST.replace(",22,72,", ",24,80,"), source="a paste", now=NOW)
        with pytest.raises(Conflict):
            quoting.issue(session, made, before.asked, PRESS, seen=before.seen, today=TODAY, now=NOW)
        after = quoting.begin(session, made, TODAY)
        assert "24 × 80 in" in after.asked.description
        assert json.loads(issue(session, made).payload)["description"] == after.asked.description

    def test_the_next_one_writes_the_description_anew_unless_the_maker_did(self, session, made):
        issue(session, made)
        wider = promised.LIST.replace(",22,72,", ",24,80,")
        parts.take_list(session, made, wider, source="a paste", now=NOW)
        assert "24 × 80 in" in quoting.begin(session, made, TODAY).asked.description
        issue(session, made, description="A bench for the print room.")
        parts.take_list(session, made, promised.LIST, source="a paste", now=NOW)
        asked = quoting.begin(session, made, TODAY).asked
        assert asked.description == "A bench for the print room."
        assert "22 × 72 in" in asked.described

    def test_an_empty_description_and_hardware_in_and_out_at_once_are_doubted(self, file_engine):
        made = promised.designed(file_engine)
        with reading(file_engine) as session:
            asked, found = quoting.begin(session, made, TODAY).asked, estimate_project(session, made, TODAY)
        assert quoting.doubts(asked.description, asked.excluded, found) == ()
        (empty,) = quoting.doubts(" \n", asked.excluded, found)
        assert empty.startswith("The description is empty")
        (crossed,) = quoting.doubts("A bench.", "Vises and other hardware not named above.", found)
        assert crossed.endswith("“Vises and other hardware not named above”, and the price has a vise in it.")

    def test_texts_put_on_every_quote_stand_on_the_next_projects(self, file_engine, made):
        with writing(file_engine) as session:
            asked = quoting.begin(session, made, TODAY).asked
            ours = {"terms": "Cash on the nail.", "rounding": TaxRounding.LINE, "balance_when": "in thirty days"}
            quoting.keep_texts(session, replace(asked, **ours))
        other = promised.project(file_engine)
        with reading(file_engine) as read:
            found = quoting.begin(read, other, TODAY).asked
        assert {name: getattr(found, name) for name in ours} == ours

    def test_texts_kept_before_payments_had_a_day_say_none(self, session):
        older = {"included": "All.", "excluded": "", "terms": "The balance before unloading.", "rounding": "line"}
        put_setting(session, SettingRow(quote_texts.SETTING, json.dumps(older), ""))
        found = quote_texts.quote_texts(session)
        assert (found.terms, found.deposit_when, found.balance_when) == (older["terms"], "", "")

    def test_without_parts_or_with_such_as_cannot_be_made_it_says_so(self, file_engine):
        bare = promised.project(file_engine, listed="")
        odd = promised.project(file_engine, listed=promised.LIST.replace("2x6 fir", "4x12 bog oak"))
        with reading(file_engine) as session:
            assert quoting.begin(session, bare, TODAY).troubles == ()
            assert quoting.begin(session, bare, TODAY).asked is None
            assert quoting.begin(session, odd, TODAY).troubles[0].labels == ("Leg",)


class TestIssue:
    def test_holds_all_it_showed_and_all_it_rested_on(self, session, made):
        row = issue(session, made, client="A school", tax_rate=Fraction("0.0625"), weeks=Decimal(9))
        content, found = json.loads(row.payload), estimate_project(session, made, TODAY)
        assert content["client"] == "A school"
        assert content["shop"]["name"] == found.shop.row.name
        assert content["kept"]["estimate"]["price_cents"] == found.made.price_cents
        assert sum(line["cents"] for line in content["costs"]) == found.made.price_cents
        assert len(content["kept"]["estimate"]["lines"]) == len(found.made.lines)
        assert content["sums"]["total_cents"] == row.net_cents + row.tax_cents
        assert row.tax_cents == quote_content.add_up(quote_content.terms_of(content)).tax_cents
        assert (row.promised_days, row.minutes) == (63, found.made.quantities[-1].value)
        assert row.plan_version == plans.latest_plan(session, made).version

    def test_the_paper_is_printed_from_the_same_content(self, session, made):
        row = issue(session, made)
        draft, content = json.loads(quoting.paper_of(session, made, row.id).pdf)
        assert not draft
        assert content == json.loads(row.payload)

    def test_an_older_form_of_the_text_still_agrees_with_itself_and_says_no_more_than_it_did(self, session, made):
        content = json.loads(issue(session, made, deposit=Fraction(1, 2)).payload)
        now = [due.when for due in quote_content.dues_of(content)]
        older = {k: v for k, v in content.items() if k not in ("described", "deposit_when", "balance_when")} | {
            "form": 1
        }
        assert now == ["Deposit, on acceptance", "Balance, before unloading"]
        assert [due.when for due in quote_content.dues_of(older)] == ["Deposit", "Balance"]
        assert quote_content.add_up(quote_content.terms_of(older)) == quote_content.add_up(
            quote_content.terms_of(content)
        )
        assert [quote_content.described_by_hand(one) for one in (content, older)] == [False, True]
        assert not quote_content.described_by_hand(older | {"description": ""})

    def test_a_new_one_takes_the_place_of_the_last(self, session, made):
        first, second = issue(session, made), issue(session, made)
        assert json.loads(second.payload)["replaces"] == first.number
        assert quoting.shown(session, made, first.id).newer.number == second.number
        assert quoting.shown(session, made, second.id).newer is None

    def test_materials_and_work_apart_add_up_to_the_price(self, session, made):
        content = json.loads(issue(session, made, price_cents=123_457, breakdown=True).payload)
        assert [item["text"] for item in content["items"]] == ["Materials and hardware", "Work in the shop"]
        assert sum(item["cents"] for item in content["items"]) == 123_457

    def test_an_estimate_that_changed_since_it_was_seen_is_not_issued(self, session, made):
        draft = quoting.begin(session, made, TODAY)
        session.execute(update(StockPrice).values(price_cents=StockPrice.price_cents * 2))
        with pytest.raises(Conflict):
            quoting.issue(session, made, draft.asked, PRESS, seen=draft.seen, today=TODAY, now=NOW)
        assert quote_records.quotes(session, made) == ()

    def test_if_the_press_fails_nothing_is_kept(self, file_engine, made):
        class Jammed(promised.PlainPress):
            def print(self, content, *, draft):  # noqa: ARG002 - as a press is asked
                raise RuntimeError("out of paper")

        with reading(file_engine) as session:
            draft = quoting.begin(session, made, TODAY)
        with pytest.raises(RuntimeError), writing(file_engine) as session:
            quoting.issue(session, made, draft.asked, Jammed(), seen=draft.seen, today=TODAY, now=NOW)
        with reading(file_engine) as session:
            assert quoting.begin(session, made, TODAY).life.quotes == ()
            assert quoting.begin(session, made, TODAY).life.moves == ()

    def test_a_preview_keeps_nothing(self, session, made):
        asked = quoting.begin(session, made, TODAY).asked
        draft, content = json.loads(quoting.preview(session, made, asked, PRESS, today=TODAY))
        assert draft
        assert content["number"] == ""
        assert quote_records.quotes(session, made) == ()

    def test_what_is_not_a_quote_of_the_project_is_named(self, file_engine, made):
        with writing(file_engine) as session:
            row = issue(session, made)
        other = promised.project(file_engine)
        with reading(file_engine) as read, pytest.raises(MissingReference):
            quoting.shown(read, other, row.id)


class TestDrawing:
    def test_a_design_is_drawn_and_its_drawing_kept(self, file_engine):
        made = promised.designed(file_engine)
        with writing(file_engine) as session:
            assert quoting.begin(session, made, TODAY).drawing
            content = json.loads(issue(session, made).payload)
            assert content["drawing"] == {"svg": "<svg>3 views of Slab bench in inch</svg>", "words": "a bench"}
            assert json.loads(issue(session, made, drawing=False).payload)["drawing"] is None

    def test_parts_changed_since_have_no_drawing_of_another_bench(self, file_engine):
        made = promised.designed(file_engine)
        with writing(file_engine) as session:
            listed = parts.current(session, made)
            longer = [replace(listed[0], length_nm=listed[0].length_nm * 2), *listed[1:]]
            parts.keep(session, made, longer, reason="longer", now=NOW)
            assert not quoting.begin(session, made, TODAY).drawing
            assert json.loads(issue(session, made, drawing=True).payload)["drawing"] is None


class TestFrozen:
    @given(
        factor=st.integers(2, 5),
        hours=st.integers(1, 40),
        wage=st.integers(1_000, 9_000),
        tax=st.integers(0, 200_000),
    )
    @settings(max_examples=4, suppress_health_check=[HealthCheck.function_scoped_fixture])
    def test_a_quote_stays_what_it_was_whatever_happens_after(self, file_engine, factor, hours, wage, tax):
        made = promised.designed(file_engine)
        with writing(file_engine) as session:
            row = issue(session, made, client="A school", tax_rate=Fraction("0.0625"), deposit=Fraction("0.3333"))
        before = kept(file_engine, made, row.id)
        with writing(file_engine) as session:
            session.execute(update(StockPrice).values(price_cents=StockPrice.price_cents * factor))
            now = get_shop(session)
            save_shop(session, replace(now, name="Other", letterhead="x", wage_cents_per_hour=wage, tax_ppm=tax))
            factories.entry(session, project_id=made, seconds=3_600 * hours, on_date=TODAY)
            parts.take_list(session, made, promised.LIST, source="another list", now=NOW)
        with writing(file_engine) as session:
            newer = issue(session, made)
        assert kept(file_engine, made, row.id) == before
        assert before[2] == ()
        assert newer.net_cents != row.net_cents

    def test_sums_worked_out_again_must_be_those_it_says(self, file_engine, made):
        with writing(file_engine) as session:
            row = issue(session, made)
            content = json.loads(row.payload)
            content["sums"]["total_cents"] += 1
            forged = replace(row, payload=json.dumps(content))
            assert quote_content.faults(row) == ()
            assert quote_content.faults(forged) == ("its sums, worked out again, are others",)
            assert quote_content.faults(replace(row, net_cents=1))[0].startswith("the list of quotes says other")

    def test_damage_shows_and_a_damaged_paper_is_not_sent(self, file_engine, made):
        with writing(file_engine) as session:
            row = issue(session, made)
        with file_engine.begin() as connection:
            connection.exec_driver_sql("UPDATE quotes SET payload = replace(payload, 'print room', 'ballroom')")
            connection.exec_driver_sql("UPDATE quotes SET pdf = substr(pdf, 2)")
        with reading(file_engine) as session:
            shown = quoting.shown(session, made, row.id)
            assert shown.faults == ("its text does not fit its checksum",)
            assert shown.content is None
            with pytest.raises(JournalError, match="damaged"):
                quoting.paper_of(session, made, row.id)
            assert quoting.begin(session, made, TODAY).asked.title == "Bench for a print room"


class TestAsked:
    @pytest.mark.parametrize(
        ("field", "given"),
        [
            ("title", {"title": " "}),
            ("title", {"title": "x" * 201}),
            ("client", {"client": "x" * 10_001}),
            ("price", {"price_cents": 0}),
            ("price", {"price_cents": 10**13}),
            ("discount", {"discount_cents": 101}),
            ("weeks", {"weeks": Decimal(0)}),
            ("weeks", {"weeks": Decimal(1040)}),  # twenty years
            ("weeks", {"weeks": Decimal("0.3")}),
            ("sales tax", {"tax_rate": Fraction(1, 3)}),
            ("deposit", {"deposit": Fraction(1, 3)}),
        ],
    )
    def test_what_cannot_be_promised_is_refused(self, field, given):
        with pytest.raises(BadInput) as refused:
            Asked(**{"title": "Bench", "client": "", "price_cents": 100, "valid_until": TODAY} | given)
        assert refused.value.field == field

    @pytest.mark.parametrize("until", [TODAY - timedelta(days=1), date(2046, 1, 1)])
    def test_a_quote_no_longer_valid_or_valid_for_decades_is_refused(self, until):
        with pytest.raises(BadInput, match="valid until"):
            Asked(title="Bench", client="", price_cents=1, valid_until=until).check_days(TODAY)


def test_a_currency_without_cents_is_quoted_without_them(file_engine):
    made = promised.project(file_engine)
    with writing(file_engine) as session:
        save_shop(session, replace(get_shop(session), currency="JPY", tax_ppm=100_000, rounding_cents=100))
        content = json.loads(issue(session, made, price_cents=464_999).payload)
    assert content["shop"]["currency"] == "JPY"
    assert content["sums"]["tax_cents"] == 46_500
