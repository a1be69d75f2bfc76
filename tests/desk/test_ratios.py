"""What the journal teaches beside the paces, and that an estimate takes it in place of what is set."""

from datetime import date, timedelta

import pytest
from journal import reference
from journal.desk import estimate, ratios
from journal.desk.shop import Work, read_shop
from journal.pace.ratios import Kind
from journal.records.engine import reading, writing
from journal.records.queries import floor, plans, projects, purchases
from journal.records.words import PricePer, ProjectState
from journal.working import Basis
from tests import factories
from tests.desk import shop_years as years

TODAY = date(2026, 11, 25)
SQUARE_METRE = 1_000_000  # mm2


@pytest.fixture
def session(file_engine):
    with writing(file_engine) as opened:
        yield opened


def read(session, today=years.TODAY):
    return ratios.read_ratios(session, read_shop(session, today), today)


def seen(session, kind):
    return [
        (row.shares[0][0].split("\n"), row.baseline_minutes, row.minutes) for row in read(session).learned[kind].rows
    ]


def test_an_empty_journal_teaches_nothing_and_says_that_the_settings_stand(session):
    found = read(session)
    assert set(found.learned) == set(Kind)
    assert all(found.factor(kind) is None for kind in Kind)
    assert {line.said for line in ratios.lines(found)} == {"Nothing logged yet; the settings stand."}


def test_nothing_learned_changes_no_rule_and_no_range(session):
    shop = read_shop(session, years.TODAY)
    rules = shop.rules(Work())
    found = read(session)
    assert ratios.adjusted_rules(rules, found, "pva_interior", "hard_oil") == rules
    assert ratios.footing(found, "pva_interior", "hard_oil") == ratios.START


def test_glue_is_compared_with_the_table_and_the_shops_waste(session):
    made = years.finished(session, 0, adhesive="pva_interior")
    for ml in (180.0, 220.0, None):
        floor.add_glue_up(
            session,
            floor.GlueUpRow(
                project_id=made.id, on_date=years.FIRST, label="top", strips=8, area_mm2=SQUARE_METRE, glue_ml=ml
            ),
        )
    expected = 2 * reference.adhesives()["pva_interior"].spread_ml_m2 * 1.1  # two noted, waste factor as it starts
    (only,) = seen(session, Kind.GLUE)
    assert only == (["pva_interior", "pva_interior"], pytest.approx(expected), 400.0)


def test_a_first_coat_and_later_ones_are_told_apart(session):
    made = years.finished(session, 0)
    for coat, ml in ((1, 500.0), (2, 300.0), (3, 310.0)):
        floor.add_coat(
            session,
            floor.CoatRow(
                project_id=made.id, finish="hard_oil", coat=coat, area_mm2=5 * SQUARE_METRE, amount_ml=ml,
                on_date=years.FIRST,
            ),
        )  # fmt: skip
    first, later = seen(session, Kind.FINISH)
    assert (first[0], later[0]) == (["hard_oil", "first coat"], ["hard_oil", "later coats"])
    assert (first[2], later[2]) == (500.0, 610.0)
    # The plan's one leg, 3 × 5 × 34 in, has 30 in² of end grain in 574 in²; 5 m² are 53.82 ft².
    thirst = 1 + 30 / 574
    assert first[1] == pytest.approx(53.8196 * thirst / 400 * 3785.411784 * 1.1, rel=1e-4)


def bought(session, project_id, **given):
    fields = {"stock_code": "2x8 spruce", "quantity": 10, "price_cents": 11_000, "length_nm": 8 * factories.FOOT}
    line = purchases.LineRow(**fields | given)
    day = years.FIRST + timedelta(days=15)
    purchases.add_purchase(session, purchases.PurchaseRow(on_date=day, project_id=project_id, lines=(line,)))


def test_a_price_is_compared_with_the_price_book_of_the_day_it_was_agreed(session):
    made = years.finished(session, 0)
    item = factories.item(session)
    for days, cents in ((-90, 900), (-10, 1000), (5, 5000)):
        on = years.FIRST + timedelta(days=days)
        factories.price(session, item.id, cents, per=PricePer.PIECE, on_date=on, length_nm=8 * factories.FOOT)
    bought(session, made.id)
    (only,) = seen(session, Kind.PRICE)
    assert only == (["spruce-pine-fir", "2x8 spruce"], 10_000.0, 11_000.0)


def test_rejects_are_boards_looked_over_against_good_ones_and_the_share_set(session):
    made = years.finished(session, 0)
    factories.item(session)
    bought(session, made.id, used_quantity=7, rejected_quantity=2)
    bought(session, made.id)  # nothing noted of these
    (only,) = seen(session, Kind.REJECTS)
    assert only == (["dimensional", "dimensional"], pytest.approx(8 / 0.85), 10.0)


def test_lumber_is_what_was_bought_and_not_put_back_over_the_blanks(session):
    made = years.finished(session, 0)
    item = factories.item(session, thickness_nm=3 * factories.INCH // 2)
    factories.price(session, item.id, 1000, length_nm=8 * factories.FOOT)
    leg = factories.part(thickness_nm=factories.INCH, quantity=1)
    lines = [plans.OperationRow(*one) for one in years.OPERATIONS]
    factories.plan(session, made.id, parts=[leg], operations=lines, now=years.at_noon(years.FIRST), reason="one leg")
    bought(session, made.id, quantity=1, used_quantity=1, rejected_quantity=0)
    ((name, blanks, gone),) = seen(session, Kind.YIELD)
    assert name == ["dimensional", "spruce-pine-fir"]
    assert gone == pytest.approx(1.5 * 7.25 * 96 / 144)  # bd ft of an 8-ft dressed 2x8
    assert 1.5 * 5 * 34 / 144 <= blanks < 1.5 * 5.5 * 36 / 144  # the leg with its allowances


def test_rework_and_unplanned_work_are_shares_of_the_other_hours(session):
    made = years.finished(session, 0)
    day = years.FIRST + timedelta(days=25)
    years.log_minutes(session, made.id, "sand", 39, on=day, rework=True)
    years.log_minutes(session, made.id, "dry_fit", 45, on=day)
    (again,), (beside,) = seen(session, Kind.REWORK), seen(session, Kind.UNPLANNED)
    assert again[1:] == (pytest.approx(240 * (1 + 4 / 60)), 279.0)
    assert beside[1:] == (pytest.approx(195 * 1.05), 240.0)


def test_weeks_and_bench_hours_are_compared_with_the_shops_own(session):
    years.finished(session, 0, agreed_minutes=3000.0)
    (weeks,) = seen(session, Kind.WEEKS)
    assert weeks[1:] == (pytest.approx(2.0), pytest.approx(60 / 7))  # 25 h a week, as it starts
    weeks_worked = seen(session, Kind.BENCH_HOURS)  # a Sunday and the Monday after it
    assert [one[1:] for one in weeks_worked] == [(1500.0, 45.0), (1500.0, 150.0)]


def test_a_project_in_build_teaches_no_rework_and_no_yield(session):
    made = years.finished(session, 0, state=ProjectState.IN_BUILD)
    factories.item(session)
    bought(session, made.id, used_quantity=9, rejected_quantity=1)
    found = read(session)
    for kind in (Kind.REWORK, Kind.UNPLANNED, Kind.YIELD, Kind.WEEKS):
        assert not found.learned[kind].rows


@pytest.fixture(scope="module")
def demo(demo_engine):
    with reading(demo_engine) as opened:
        yield opened


def test_the_demo_shop_has_something_of_every_kind_and_nearly_all_of_it_is_used(demo):
    for line in ratios.lines(read(demo, TODAY)):
        assert line.factor is not None, line.kind
        assert line.unused <= 1  # a receipt of which every board was bad says nothing of how many are
        assert line.factor.range.p10 < line.factor.range.p90


def test_the_demo_shops_glue_and_finish_go_less_far_than_the_table(demo):
    """Made up so: 1.08 and 1.15 times the table."""
    found = read(demo, TODAY)
    for kind, truth in ((Kind.GLUE, 1.08), (Kind.FINISH, 1.15)):
        assert found.factor(kind).range.p10 < truth < found.factor(kind).range.p90
        assert found.factor(kind).range.p50 == pytest.approx(truth, abs=0.06)


@pytest.fixture(scope="module")
def two(demo):
    """The demo commission, estimated with and without what the journal teaches beside the paces."""
    project = projects.find_project(demo, "26-005")
    learned = estimate.estimate_project(demo, project.id, TODAY)
    listed, work = estimate.parts.current(demo, project.id), learned.work
    plain = estimate.estimate_parts(listed, learned.shop, learned.calibration, benches=project.benches, work=work)
    return learned.made, plain


def by_name(made):
    return {line.name: line for line in made.lines}


@pytest.mark.parametrize("name", ["Glue", "Finish"])
def test_an_estimate_takes_glue_and_finish_from_the_logs_and_says_so(two, name):
    learned, plain = (by_name(made)[name] for made in two)
    assert (learned.basis, plain.basis) == (Basis.LOGS, Basis.BOOK)
    assert 1.02 < learned.value / plain.value < 1.25
    assert " logs of " in learned.source


def test_an_estimate_takes_unplanned_work_rework_and_rejects_from_the_logs(two):
    learned, plain = two
    assert by_name(learned)["Work nobody planned"].basis is Basis.LOGS
    assert by_name(plain)["Work nobody planned"].basis is Basis.SETTING
    assert "boards looked over" in by_name(learned)["Lumber to buy"].source
    assert learned.takeoff.bills[0].reject != plain.takeoff.bills[0].reject
    again = next(task for task in learned.takeoff.tasks if task.code == "rework")
    assert "of other hours" in again.working


def test_the_range_of_the_cost_says_which_spreads_were_logged(two):
    learned, plain = (by_name(made)["Contingency"].source for made in two)
    assert "from this shop’s logs" in learned
    assert "logs" not in plain


def test_every_operation_says_what_moved_it(two):
    learned, _ = two
    assert all(operation.moved.startswith("book ") for operation in learned.operations)
    shares = [operation.share for operation in learned.by_doubt]
    assert shares == sorted(shares, reverse=True)


def test_the_same_records_are_worked_out_once(demo):
    first, again = read(demo, TODAY), read(demo, TODAY)
    assert first.same_as(again)
    assert not first.same_as(ratios.NOTHING)
