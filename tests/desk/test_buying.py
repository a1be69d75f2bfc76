"""What a project buys: the list, alternatives, what was there, receipts; plans kept, stale, repriced, damaged."""

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from journal import cutting, units
from journal.cutting.verify import replay
from journal.desk import at_the_yard, buying, cutting_plans, estimate, parts, plan_text, prices, shelf
from journal.desk.at_the_yard import Bought, Receipt
from journal.desk.cutting_plans import Standing
from journal.desk.starting_stock import set_up
from journal.errors import BadInput, Conflict, JournalError, MissingReference, NoSolution
from journal.records.engine import reading, writing
from journal.records.queries import cutting as cutting_records
from journal.records.queries import purchases, stock
from journal.records.queries.purchases import LineRow
from journal.records.tables import CuttingPlan
from journal.records.words import CuttingStatus
from sqlalchemy import event, update
from tests import factories
from tests.cutting.problems import NO_WASTE, blank, problem
from tests.cutting.problems import stock as board

TODAY = date(2026, 3, 2)
NOW = datetime(2026, 3, 2, 12, tzinfo=UTC)
SHEET = "3/4 birch plywood (18 mm)"
LIST = """label,qty,thickness,width,length,stock,strips,faces,features
Top,1,3 1/4,22,72,2x8 fir,auto along width,all,12 holes
Leg,4,3 1/2,5,31,2x6 fir,3 along thickness,all,2 laminated joints; 1 vise
Shelf,1,18 mm,20,50,18 mm birch plywood,1,all,
Chop,1,1 1/2,6,20,8/4 hard maple,1,all,
"""


@pytest.fixture
def shop(file_engine):
    set_up(file_engine, TODAY)
    return file_engine


@pytest.fixture
def made(shop):
    with writing(shop) as session:
        row = factories.project(session)
        parts.take_list(session, row.id, LIST, source="a paste", now=NOW)
        return row.id


def listed(engine, project_id, today=TODAY):
    with reading(engine) as session:
        return buying.shopping(session, project_id, today)


def plan_of(engine, project_id, code="2x8 fir"):
    return next(plan for plan in listed(engine, project_id).plans if plan.lot.stock.code == code)


def line_of(found, code, length=None):
    return next(
        line for line in found.lines if line.stock == code and (length is None or line.length_nm == units.feet(length))
    )


def keep(engine, project_id, code="2x8 fir"):
    with writing(engine) as session:
        plan = cutting_plans.one_in_force(session, project_id, code, TODAY)
        return cutting_plans.keep(session, project_id, plan, now=NOW)


def buy(engine, project_id, *lines, **given):
    stamp = given.pop("stamp", None)
    with writing(engine) as session:
        receipt = Receipt(tuple(Bought(*line) for line in lines), **given)
        return at_the_yard.buy(session, project_id, receipt, today=TODAY, now=NOW, stamp=stamp)


def plan_with(engine, project_id, there, **given):
    with writing(engine) as session:
        return at_the_yard.plan_with(session, project_id, there, today=TODAY, now=NOW, **given)


class TestList:
    def test_boards_and_sheets_are_those_of_the_estimate(self, shop, made):
        with reading(shop) as session:
            bills = estimate.estimate_project(session, made, TODAY).made.takeoff.bills
        found = listed(shop, made)
        for bill in bills:
            lines = [line for line in found.lines if line.stock == bill.stock.code]
            assert sum(line.cents for line in lines) == bill.cents
            due = {(p.offer.length_nm, p.count, p.spares) for p in bill.purchases}
            if due:
                assert {(line.length_nm, line.needed, line.spares) for line in lines} == due
            else:
                assert [line.needed for line in lines] == [bill.board_feet]

    def test_everything_has_its_unit_price_and_age(self, shop, made):
        found = listed(shop, made)
        assert {line.stock: line.unit for line in found.lines} == {
            "2x8 fir": "board",
            "2x6 fir": "board",
            SHEET: "sheet",
            "8/4 hard maple": "bd ft",
            **{line.stock: line.unit for line in found.lines if line.unit in ("container", "piece")},
        }
        assert {line.unit for line in found.lines} >= {"container", "piece"}
        assert all(line.priced_on is None and line.stale for line in found.lines)
        assert found.cents == sum(line.cents for line in found.lines)

    def test_a_price_seen_lately_is_not_old_and_one_of_last_year_is(self, shop, made):
        with writing(shop) as session:
            item = stock.find_item(session, "2x8 fir")
            for line in listed(shop, made).lines:
                if line.stock == "2x8 fir":
                    prices.see_price(session, item.id, 900, length_nm=line.length_nm, on=TODAY, today=TODAY)
        assert {line.stale for line in listed(shop, made).lines if line.stock == "2x8 fir"} == {False}
        later = listed(shop, made, date(2026, 12, 1))
        assert {line.stale for line in later.lines if line.stock == "2x8 fir"} == {True}

    def test_trips_go_by_supplier_the_dearest_first(self, shop, made):
        with writing(shop) as session:
            item = stock.find_item(session, "8/4 hard maple")
            stock.save_item(session, replace(item, supplier="the dealer"))
        found = listed(shop, made)
        trips = found.by_supplier()
        assert dict(trips)["the dealer"] == (line_of(found, "8/4 hard maple"),)
        sums = [sum(line.cents for line in lines) for _, lines in trips]
        assert sums == sorted(sums, reverse=True)
        assert sum(sums) == found.cents

    def test_what_is_on_the_shelf_is_not_bought(self, shop, made):
        found = listed(shop, made)
        glue = next(line for line in found.lines if line.unit == "container")
        assert glue.left >= 1
        assert line_of(found, "vise").needed == 4
        lines = tuple(
            LineRow(stock_code=code, quantity=count, price_cents=100) for code, count in ((glue.stock, 90), ("vise", 3))
        )
        with writing(shop) as session:
            kept = factories.purchase(session, lines=lines)
        again = listed(shop, made)
        assert line_of(again, glue.stock).left == 0
        assert "on the shelf" in line_of(again, glue.stock).more
        assert (line_of(again, "vise").left, line_of(again, "vise").more) == (1, "4 wanted, 3 on the shelf")
        with writing(shop) as session:
            purchases.void(session, kept.id, at=factories.NOW)
        assert [(line.stock, line.left) for line in listed(shop, made).lines] == [
            (line.stock, line.left) for line in found.lines
        ]

    def test_what_was_taken_off_the_shelf_is_not_bought_again(self, shop, made):
        with writing(shop) as session:
            factories.purchase(session, lines=(LineRow(stock_code="vise", quantity=3, price_cents=100),))
            vise = stock.find_item(session, "vise").id
            shelf.take(session, vise, 2, made, "", today=TODAY, now=factories.NOW)
        line = line_of(listed(shop, made), "vise")
        assert (line.left, line.more) == (1, "4 wanted, 2 taken there, 1 on the shelf")

    def test_more_parts_and_receipts_take_no_more_statements(self, shop, made):
        def statements():
            seen = []
            event.listen(shop, "before_cursor_execute", note := lambda *a: seen.append(a[2]))
            listed(shop, made)
            event.remove(shop, "before_cursor_execute", note)
            return len(seen)

        listed(shop, made)
        keep(shop, made)
        one = line_of(listed(shop, made), "8/4 hard maple")
        buy(shop, made, (one.key, 1.0, one.price_cents))
        before = statements()
        keep(shop, made, "2x6 fir")
        buy(shop, made, (one.key, 1.0, one.price_cents))
        buy(shop, made, (one.key, 1.0, one.price_cents))
        assert statements() <= before

    def test_without_parts_there_is_no_list(self, shop):
        with writing(shop) as session:
            empty = factories.project(session).id
        with pytest.raises(JournalError, match="part"):
            listed(shop, empty)


class TestNeeds:
    """Spares: as the estimate, unless they are not there."""

    def needs(self, limits, wanted=9, reject=0.25):
        lengths = [
            board("8", "96", 800, available=limits.get(8)),
            board("10", "120", 1200, available=limits.get(10)),
            board("12", "144", 1500, available=limits.get(12)),
        ]
        of = problem(lengths, [blank(length="96", quantity=wanted, width="7")], NO_WASTE)
        return cutting_plans.needs(of, cutting.plan(of), reject)

    def test_with_plenty_there_the_spares_are_of_the_length_bought(self):
        # 9 boards ÷ (1 − ¼) = 12 to buy.
        assert [(n.length_nm, n.count, n.spares) for n in self.needs({}).lengths] == [(units.inches(96), 12, 3)]

    def test_spares_that_are_not_there_are_of_the_next_longer_length(self):
        found = self.needs({8: 10})
        assert [(n.length_nm, n.count, n.spares) for n in found.lengths] == [
            (units.inches(96), 10, 1),
            (units.inches(120), 2, 2),
        ]
        assert found.short == 0

    def test_spares_that_cannot_be_had_are_said(self):
        assert self.needs({8: 10, 10: 1, 12: 0}).short == 1


class TestKept:
    def test_a_plan_made_at_once_is_new_until_it_is_kept(self, shop, made):
        assert plan_of(shop, made).standing is Standing.NEW
        row = keep(shop, made)
        plan = plan_of(shop, made)
        assert (plan.standing, plan.row) == (Standing.KEPT, row)
        assert (row.plan_version, row.cost_cents, row.ended) == (1, plan.result.cost_cents, "quick")
        assert replay(plan.problem, plan.result).faults == ()

    def test_other_parts_make_it_stale_and_the_list_is_for_the_new_ones(self, shop, made):
        keep(shop, made)
        before = plan_of(shop, made)
        with writing(shop) as session:
            parts.take_list(session, made, LIST.replace("22,72", "24,84"), source="a paste", now=NOW)
        plan = plan_of(shop, made)
        assert plan.standing is Standing.STALE
        assert plan.result != before.result
        assert plan.result == plan.lot.quick
        assert plan_of(shop, made, "2x6 fir").standing is Standing.NEW

    def test_the_same_parts_again_make_it_good_again(self, shop, made):
        keep(shop, made)
        for text in (LIST.replace("22,72", "24,84"), LIST):
            with writing(shop) as session:
                parts.take_list(session, made, text, source="a paste", now=NOW)
        assert plan_of(shop, made).standing is Standing.KEPT

    def test_other_prices_leave_the_cuts_and_count_at_todays_price(self, shop, made):
        keep(shop, made)
        before = plan_of(shop, made)
        with writing(shop) as session:
            item = stock.find_item(session, "2x8 fir")
            for need in before.needs.lengths:
                prices.see_price(session, item.id, 5000, length_nm=need.length_nm, on=TODAY, today=TODAY)
        plan = plan_of(shop, made)
        assert (plan.standing, plan.result) == (Standing.REPRICED, before.result)
        assert plan.cents == 5000 * sum(need.count for need in plan.needs.lengths)
        assert {line.price_cents for line in listed(shop, made).lines if line.stock == "2x8 fir"} == {5000}

    def test_a_damaged_one_is_said_and_never_used(self, shop, made):
        keep(shop, made)
        with shop.begin() as connection:
            connection.execute(update(CuttingPlan).values(payload=CuttingPlan.payload + " "))
        assert plan_of(shop, made).standing is Standing.DAMAGED

    def test_one_of_another_version_of_the_program_is_not_used_either(self, shop, made):
        row = keep(shop, made)
        with writing(shop) as session:
            draft = cutting_records.CuttingDraft(
                payload="{}", status=CuttingStatus.FEASIBLE, cost_cents=1, bound_cents=1
            )
            cutting_records.end_search(session, row.id, draft)
        assert plan_of(shop, made).standing is Standing.DAMAGED

    def test_nothing_is_cut_from_a_stock_that_is_not_in_it(self, shop, made):
        with reading(shop) as session, pytest.raises(MissingReference, match="2x10"):
            cutting_plans.one_in_force(session, made, "2x10 fir", TODAY)


class TestText:
    def test_a_plan_comes_back_as_it_was(self, shop, made):
        for plan in listed(shop, made).plans:
            assert plan_text.from_text(plan_text.to_text(plan.problem, plan.result)) == (plan.problem, plan.result)

    def test_its_digest_is_of_what_is_cut_whatever_it_costs(self, shop, made):
        asked = plan_of(shop, made).problem
        dearer = replace(asked, stock=tuple(replace(one, price_cents=1, available=3) for one in asked.stock[1:]))
        more = replace(asked, blanks=(replace(asked.blanks[0], quantity=1),))
        assert plan_text.problem_digest(dearer) == plan_text.problem_digest(asked)
        assert plan_text.problem_digest(more) != plan_text.problem_digest(asked)

    @pytest.mark.parametrize("text", ["", "[]", "{}", '{"problem": {}, "result": {}}', '{"problem": 1, "result": 2}'])
    def test_any_other_text_is_refused(self, text):
        with pytest.raises(BadInput, match="cutting plan"):
            plan_text.from_text(text)


class TestWithout:
    def test_each_length_is_really_planned_without(self, shop, made):
        plan = plan_of(shop, made, "2x6 fir")
        tried = cutting_plans.without_each(plan)
        assert [one.length_nm for one in tried] == [need.length_nm for need in plan.needs.lengths]
        for one in tried:
            lengths = [stock for stock in plan.problem.stock if stock.length != one.length_nm]
            other = replace(plan.problem, stock=tuple(lengths))
            needs = cutting_plans.needs(other, cutting.plan(other), plan.lot.reject)
            price = {stock.length: stock.price_cents for stock in lengths}
            cents = sum(need.count * price[need.length_nm] for need in needs.lengths)
            assert one.more_cents == cents - plan.cents
            assert one.instead == needs.lengths

    def test_a_sheet_has_no_other_size(self, shop, made):
        (only,) = cutting_plans.without_each(plan_of(shop, made, SHEET))
        assert only.why_not
        assert only.instead == ()


class TestAtTheYard:
    def there(self, shop, made, count):
        nm = plan_of(shop, made).needs.lengths[0].length_nm
        return nm, {"2x8 fir": {nm: count}}

    def test_a_length_that_is_not_there_is_planned_around_and_kept(self, shop, made):
        before = plan_of(shop, made)
        nm, there = self.there(shop, made, 0)
        (done,) = plan_with(shop, made, there)
        plan = plan_of(shop, made)
        assert plan.standing is Standing.KEPT
        assert nm not in {need.length_nm for need in plan.needs.lengths}
        assert done.more_cents == plan.cents - before.cents
        assert plan.there == {nm: 0}
        assert plan_of(shop, made, "2x6 fir").standing is Standing.NEW

    def test_those_that_are_there_are_used_up_to_their_number(self, shop, made):
        nm, there = self.there(shop, made, 2)
        plan_with(shop, made, there)
        assert sum(need.count for need in plan_of(shop, made).needs.lengths if need.length_nm == nm) <= 2

    def test_those_bought_already_count_beside_those_still_there(self, shop, made):
        line = line_of(listed(shop, made), "2x8 fir")
        buy(shop, made, (line.key, 3.0, line.price_cents))
        nm, there = self.there(shop, made, 0)
        plan_with(shop, made, there)
        assert plan_of(shop, made).there == {nm: 3}

    def test_nothing_new_changes_nothing(self, shop, made):
        assert plan_with(shop, made, {"2x8 fir": {}}) == ()
        assert plan_of(shop, made).standing is Standing.NEW

    def test_too_little_of_everything_is_refused_and_nothing_is_kept(self, shop, made):
        lengths = {stock.length: 0 for stock in plan_of(shop, made).problem.stock}
        with pytest.raises(NoSolution):
            plan_with(shop, made, {"2x8 fir": lengths})
        assert plan_of(shop, made).standing is Standing.NEW


class TestReceipt:
    def test_it_is_kept_with_its_lines_and_the_list_gets_shorter(self, shop, made):
        found = listed(shop, made)
        line, maple = line_of(found, "2x8 fir"), line_of(found, "8/4 hard maple")
        buy(
            shop,
            made,
            (line.key, 2.0, line.price_cents),
            (maple.key, 1.5, maple.price_cents),
            supplier="the yard",
            tax_cents=150,
        )
        with reading(shop) as session:
            (kept,) = purchases.purchases(session, project_id=made)
        assert (kept.supplier, kept.tax_cents, kept.on_date) == ("the yard", 150, TODAY)
        assert [
            (one.stock_code, one.quantity, one.length_nm, one.board_feet, one.price_cents) for one in kept.lines
        ] == [
            ("2x8 fir", 2.0, line.length_nm, None, 2 * line.price_cents),
            ("8/4 hard maple", 1.0, None, 1.5, units.round_half_up(1.5 * maple.price_cents)),
        ]
        after = listed(shop, made)
        assert line_of(after, "2x8 fir").left == line.left - 2
        assert line_of(after, "8/4 hard maple").left == pytest.approx(maple.left - 1.5)

    def test_the_plan_bought_for_is_kept_with_it(self, shop, made):
        line = line_of(listed(shop, made), "2x8 fir")
        buy(shop, made, (line.key, line.left, line.price_cents))
        assert plan_of(shop, made).standing is Standing.KEPT
        assert plan_of(shop, made, "2x6 fir").standing is Standing.NEW

    def test_another_price_goes_into_the_book(self, shop, made):
        line = line_of(listed(shop, made), "2x8 fir")
        buy(shop, made, (line.key, 1.0, line.price_cents + 125), supplier="the yard")
        after = line_of(listed(shop, made), "2x8 fir")
        assert (after.price_cents, after.priced_on, after.supplier) == (line.price_cents + 125, TODAY, "the yard")

    def test_the_same_price_adds_none(self, shop, made):
        line = line_of(listed(shop, made), "2x8 fir")
        with reading(shop) as session:
            before = prices.history(session, stock.find_item(session, "2x8 fir").id)
        buy(shop, made, (line.key, 1.0, line.price_cents))
        with reading(shop) as session:
            assert prices.history(session, stock.find_item(session, "2x8 fir").id) == before

    def test_longer_boards_bought_to_no_use_stand_in_for_shorter_ones(self, shop, made):
        shorter, longest = (line for line in listed(shop, made).lines if line.stock == "2x8 fir")
        buy(shop, made, (longest.key, longest.needed + 2, longest.price_cents))
        after = [line for line in listed(shop, made).lines if line.stock == "2x8 fir"]
        assert [(line.bought, line.stood_in) for line in after] == [(0, 2), (longest.needed + 2, 0)]
        assert [line.left for line in after] == [shorter.left - 2, 0]

    def test_a_length_that_no_plan_asked_for_is_told_and_stands_in_too(self, shop, made):
        shorter, _ = (line for line in listed(shop, made).lines if line.stock == "2x8 fir")
        with writing(shop) as session:
            bought = purchases.LineRow(
                stock_code="2x8 fir", quantity=1, price_cents=3000, length_nm=shorter.length_nm + units.feet(1)
            )
            factories.purchase(session, project_id=made, lines=(bought,))
        found = listed(shop, made)
        assert line_of(found, "2x8 fir").left == shorter.left - 1
        assert found.extra == (("2x8 fir", shorter.length_nm + units.feet(1), 1.0),)

    def test_a_shorter_board_stands_in_for_nothing(self, shop, made):
        line = line_of(listed(shop, made), "2x8 fir")
        with writing(shop) as session:
            bought = purchases.LineRow(stock_code="2x8 fir", quantity=2, price_cents=3, length_nm=units.feet(2))
            factories.purchase(session, project_id=made, lines=(bought,))
        assert line_of(listed(shop, made), "2x8 fir").left == line.left

    def test_from_an_old_page_nothing_is_bought_twice(self, shop, made):
        found = listed(shop, made)
        line = line_of(found, "2x8 fir")
        buy(shop, made, (line.key, 1.0, line.price_cents), stamp=found.stamp)
        with pytest.raises(Conflict):
            buy(shop, made, (line.key, 1.0, line.price_cents), stamp=found.stamp)
        with pytest.raises(Conflict):
            plan_with(shop, made, {"2x8 fir": {line.length_nm: 0}}, stamp=found.stamp)
        with reading(shop) as session:
            assert len(purchases.purchases(session, project_id=made)) == 1

    def test_what_is_not_on_the_list_is_refused(self, shop, made):
        with pytest.raises(BadInput, match="on the list"):
            buy(shop, made, ("999-0", 1.0, 100))
        with pytest.raises(BadInput, match="ticked"):
            buy(shop, made)
        with pytest.raises(BadInput, match="over 0"):
            buy(shop, made, ("1-0", 0.0, 100))


class TestPaper:
    def test_it_goes_with_the_units_until_the_shop_chooses(self, shop):
        with reading(shop) as session:
            assert buying.paper(session) == "us-letter"
        with writing(shop) as session:
            buying.choose_paper(session, "a4")
        with reading(shop) as session:
            assert buying.paper(session) == "a4"

    def test_another_is_refused(self, shop):
        with writing(shop) as session, pytest.raises(BadInput, match="Letter or A4"):
            buying.choose_paper(session, "napkin")
