"""A finished job held against its promise."""

import json
from dataclasses import replace
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
from journal.desk import across, parts, projects, review_promise
from journal.desk.review import review
from journal.desk.shop import read_shop
from journal.desk.starting_stock import set_up
from journal.quote.review import Cause
from journal.records.engine import reading, writing
from journal.records.queries import estimates, log, money, purchases, shop, stock, workers
from journal.records.queries import projects as project_records
from journal.records.words import FINISHED, PricePer, ProjectState, StockForm
from journal.units import inches
from tests.desk import promised as quoted

AGREED, TODAY = date(2026, 2, 2), date(2026, 4, 1)
NOW = datetime(2026, 2, 1, 12, tzinfo=UTC)


def line(name, value, unit):
    return {"name": name, "value": value, "unit": unit, "working": "", "basis": "setting", "source": ""}


# 84.00 of material, ten hours at 30.00 and 10.00 overhead, 14.40 for the planer: 360 min of it run 0.8 of the time.
KEPT = {
    "estimate": {
        "currency": "USD",
        "price_cents": 70_000,
        "lines": [
            line("Hours", 600, "min"),
            line("Milling", 360, "min"),
            line("Plane to thickness", 360, "min"),
            line("Glue-up", 180, "min"),
            line("Spread glue", 180, "min"),
            line("Shop", 60, "min"),
            line("Rework", 60, "min"),
            line("Work nobody planned", 0, "min"),
            line("Materials", 8_400, "cents"),
            line("Boards and sheets", 8_000, "cents"),
            line("plain fir", 8_000, "cents"),
            line("Abrasives, blades, rags", 400, "cents"),
            line("Wage", 30_000, "cents"),
            line("Overhead", 10_000, "cents"),
            line("Machines", 1_440, "cents"),
            line("thickness planer", 1_440, "cents"),
            line("Contingency", 10_000, "cents"),
            line("Margin", 10_160, "cents"),
        ],
        "operations": [
            {"code": "plane_thickness", "minutes": {"p10": 300, "p50": 350, "p90": 430}},
            {"code": "spread_glue", "minutes": {"p10": 120, "p50": 170, "p90": 240}},
            {"code": "rework", "minutes": {"p10": 20, "p50": 50, "p90": 110}},
        ],
    },
    "cost_quantiles_cents": [40_000, 50_000, 60_000],
    "hours_quantiles": [8.0, 10.0, 12.0],
}


def begun(session, **changes):
    row = projects.begin(session, projects.Asked(title="Bench by hand"), now=NOW)
    parts.take_list(
        session, row.id, "label,qty,thickness,width,length,stock\nLeg,4,1 1/4,5,30,2x6 fir", source="x", now=NOW
    )
    row = project_records.get_project(session, row.id)
    told = {
        "state": ProjectState.DELIVERED,
        "coats": 0,
        "agreed_on": AGREED,
        "delivered_on": date(2026, 3, 12),
        "promised_on": date(2026, 3, 9),
        "agreed_price_cents": 75_000,
    }
    return project_records.change_project(
        session, row.id, row.draft(**told | changes), read_version=row.version, now=NOW
    )


def stocked(session):
    item = stock.save_item(
        session,
        stock.ItemRow(
            code="plain fir",
            form=StockForm.DIMENSIONAL,
            species="Douglas-fir",
            nominal="2x8",
            thickness_nm=inches("1 1/2"),
            width_nm=inches("7 1/4"),
            length_nm=inches(96),
        ),
    )
    stock.add_price(
        session, stock.PriceRow(item_id=item.id, price_cents=1_000, per=PricePer.PIECE, on_date=date(2026, 1, 1))
    )
    stock.add_price(
        session, stock.PriceRow(item_id=item.id, price_cents=1_200, per=PricePer.PIECE, on_date=date(2026, 2, 20))
    )


def entry(project, minutes, operation, worker=None, **more):
    return log.EntryDraft(
        project_id=project,
        on_date=date(2026, 3, 1),
        seconds=minutes * 60,
        operation=operation,
        worker_id=worker,
        **more,
    )


@pytest.fixture
def by_hand(file_engine):
    set_up(file_engine, TODAY)
    with writing(file_engine) as session:
        row = shop.get_shop(session)
        shop.save_shop(session, replace(row, wage_cents_per_hour=3_000))
        stocked(session)
        project = begun(session)
        estimates.add_estimate(session, project.id, 1, json.dumps(KEPT), reason="as agreed", tool_version="0", now=NOW)
        hired = workers.save_worker(session, workers.WorkerRow(id=0, label="hired hand", wage_cents_per_hour=3_300))
        purchases.add_purchase(
            session,
            purchases.PurchaseRow(
                on_date=date(2026, 2, 21),
                project_id=project.id,
                freight_cents=600,
                lines=(
                    purchases.LineRow(
                        stock_code="plain fir", quantity=12, price_cents=12_000, used_quantity=9, rejected_quantity=1
                    ),
                ),
            ),
        )
        log.add_entry(session, entry(project.id, 450, "plane_thickness", hired.id), now=NOW)
        log.add_entry(session, entry(project.id, 150, "spread_glue"), now=NOW)
        log.add_entry(session, entry(project.id, 30, "plane_thickness", rework=True, note="a split board"), now=NOW)
        money.add_extra(
            session,
            project.id,
            money.ExtraDraft(on_date=AGREED, what="a second row of holes", net_cents=5_000, tax_cents=0, days=0),
            NOW,
        )
    with reading(file_engine) as session:
        yield review(session, project.id, TODAY)


def test_a_job_worked_out_on_paper(by_hand):
    """Agreed 700.00, extras 50.00. Quoted: material 84.00, 9 h of work and 1 h of rework at 30.00 + 10.00, machines 14.40.

    Expected 700 − 84 − 270 − 90 − 14.40 − 40 = 201.60.
    Boards: twelve for 120.00 with 6.00 freight; nine used, one rejected, two to the rack, so 10/12 of 126.00 = 105.00,
        worth 10 × 10.00 = 100.00 by the book of the day agreed: quantity 80 − 100 = −20.00, price −5.00.
    Rags: nothing noted, as quoted.
    Hours: 450 + 150 = 600 min against 540, at 0.50 a minute: −30.00. Paid 7.5 h × 33.00 + 2.5 h × 30.00 = 322.50
        against 300.00: rate −22.50. Overhead 600 min at 1/6 a minute = 100.00 against 90.00: −10.00.
    Machines: 480 min, rework too, × 0.8 at 0.05 a minute = 19.20 against 14.40: −4.80.
    Rework: half an hour at 30.00 + 10.00 = 20.00 against 40.00: +20.00.
    201.60 + 50 − 20 − 5 − 30 − 22.50 − 10 − 4.80 + 20 = 179.30.
    """
    found = by_hand.money.bridge
    assert found.expected_cents == 20_160
    assert {step.cause: step.cents for step in found.by_cause} == {
        Cause.EXTRAS: 5_000,
        Cause.QUANTITY: -2_000,
        Cause.PRICE: -500,
        Cause.HOURS: -3_000,
        Cause.RATE: -2_250,
        Cause.OVERHEAD: -1_000,
        Cause.MACHINES: -480,
        Cause.REWORK: 2_000,
    }
    assert found.made_cents == 17_930


def test_earned_an_hour_on_paper(by_hand):
    """By the quote (700 − 84 − 100 − 14.40) ÷ 10 h = 50.16; made (750 − 109 − 100 − 5 − 19.20) ÷ 10.5 h = 49.22."""
    assert by_hand.money.expected.cents_per_hour == 5_016
    assert by_hand.money.made.cents_per_hour == 4_922


def test_leftovers_are_not_the_jobs(by_hand):
    (boards,) = [one for one in by_hand.money.materials.lines if one.code == "plain fir"]
    assert (boards.used, boards.left, boards.cents, boards.at_book_cents) == (10, 2, 10_500, 10_000)
    assert by_hand.money.materials.assumed == ("Abrasives, blades, rags",)


def test_where_the_cost_fell_in_the_quoted_distribution(by_hand):
    """570.70 lies 70.7 of the way from the middle to the end of 400, 500, 600: 0.5 + 0.707 ÷ 2."""
    assert by_hand.money.cost_cents == 57_070
    assert by_hand.money.place == pytest.approx(0.8535)


def test_operations_against_the_ranges_as_quoted(by_hand):
    pieces = {piece.name: piece for piece in by_hand.hours.pieces}
    assert (pieces["plane_thickness"].low, pieces["plane_thickness"].high) == (300, 430)
    assert pieces["plane_thickness"].surprise
    assert not pieces["spread_glue"].surprise
    assert by_hand.hours.pieces[0].name == "plane_thickness"
    assert by_hand.rework_minutes == 30
    assert by_hand.promised.kept


def test_days_late(by_hand):
    assert by_hand.days.late == 3


DEMO_DAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def demo_reviews(demo_engine):
    with reading(demo_engine) as session:
        finished = [one.project for one in project_records.list_projects(session, FINISHED)]
        return {project.id: review(session, project.id, DEMO_DAY) for project in finished}


def test_every_finished_project_of_the_demo_cost_the_same_across_jobs(demo_engine, demo_reviews):
    with reading(demo_engine) as session:
        found = {job.project_id: job.cost_cents for job in across.jobs(session, DEMO_DAY)}
    assert found == {project_id: one.money.cost_cents for project_id, one in demo_reviews.items()}
    assert min(found.values()) > 0


@pytest.mark.usefixtures("by_hand")
def test_across_jobs_takes_the_rates_of_the_estimate_that_was_kept(file_engine):
    with reading(file_engine) as session:
        (job,) = across.jobs(session, TODAY)
    assert (job.cost_cents, job.minutes, job.rework_minutes) == (57_070, 630, 30)


def test_a_later_wage_changes_what_it_cost_on_both_pages_alike(file_engine, by_hand):
    with writing(file_engine) as session:
        row = shop.get_shop(session)
        shop.save_shop(session, replace(row, wage_cents_per_hour=4_000, overhead_cents_per_hour=9_900))
    with reading(file_engine) as session:
        (job,) = across.jobs(session, TODAY)
        found = review(session, by_hand.project.id, TODAY).money
    # 2.5 h of glue and half an hour done again at the shop's wage; the overhead stays the quote's.
    assert job.cost_cents == found.cost_cents == 57_070 + 3 * 1_000


def test_what_nobody_noted_nor_quoted_counts_on_neither_side(file_engine):
    """No receipt, no quote: boards and glue are left out of what was expected and of what it cost."""
    set_up(file_engine, TODAY)
    with writing(file_engine) as session:
        stocked(session)
        project = begun(session)
        log.add_entry(session, entry(project.id, 60, "spread_glue"), now=NOW)
    with reading(file_engine) as session:
        found = review(session, project.id, TODAY)
        (job,) = across.jobs(session, TODAY)
    money = found.money
    assert not found.promised.kept
    assert "Boards and sheets" in money.materials.left_out
    assert money.materials.cents == 0
    left_out = sum(found.promised.materials[group] for group in money.materials.left_out)
    assert left_out > 0
    assert money.bridge.expected_cents == 75_000 - found.promised.lines_cents + left_out
    assert {step.name for step in money.bridge.steps if step.cause is Cause.QUANTITY and step.cents} <= {
        "Abrasives, blades, rags"
    }
    assert job.cost_cents == money.cost_cents


def test_abrasives_count_as_the_shops_share_where_no_quote_was_kept(file_engine):
    set_up(file_engine, TODAY)
    with writing(file_engine) as session:
        stocked(session)
        project = begun(session)
        lines = (purchases.LineRow(stock_code="plain fir", quantity=10, price_cents=10_000, used_quantity=8),)
        purchases.add_purchase(
            session, purchases.PurchaseRow(on_date=date(2026, 2, 21), project_id=project.id, lines=lines)
        )
    with reading(file_engine) as session:
        used = review(session, project.id, TODAY).money.materials
        share = read_shop(session, TODAY).allowances["consumables_share"]
    assert used.by_share
    assert used.cents == 8_000 + round(8_000 * share)


def test_every_delivered_project_of_the_demo_adds_up(demo_engine, demo_reviews):
    with reading(demo_engine) as session:
        finished = [one.project for one in project_records.list_projects(session, FINISHED)]
        assert len(finished) >= 15
        for project in finished:
            found = demo_reviews[project.id]
            steps = found.money.bridge
            assert steps.expected_cents + sum(step.cents for step in steps.steps) == steps.made_cents, project.code
            assert steps.expected_cents == project.agreed_price_cents - project.quoted_cost_cents, project.code
            logged = sum(row.minutes for row in log.log_lines(session, project_id=project.id))
            assert found.hours.minutes + found.rework_minutes == pytest.approx(logged), project.code
            assert steps.made_cents == project.agreed_price_cents - found.money.cost_cents, project.code


def test_nothing_logged_and_no_price(file_engine):
    set_up(file_engine, TODAY)
    with writing(file_engine) as session:
        project = begun(session, agreed_price_cents=None, delivered_on=None)
    with reading(file_engine) as session:
        found = review(session, project.id, TODAY)
    assert not found.priced
    assert found.money.made.cents_per_hour is None
    assert found.money.bridge.of(Cause.RATE) == 0
    assert all(piece.unlogged for piece in found.hours.pieces if piece.quoted_minutes)
    assert found.days.late is None


def test_a_project_without_parts_has_hours_and_no_money(file_engine):
    set_up(file_engine, TODAY)
    with writing(file_engine) as session:
        row = projects.begin(session, projects.Asked(title="Bare"), now=NOW)
        log.add_entry(session, entry(row.id, 60, "spread_glue"), now=NOW)
    with reading(file_engine) as session:
        found = review(session, row.id, TODAY)
    assert found.money is None
    assert found.hours.minutes == 60


def built_by_word(engine, asked_on=quoted.TODAY, **told):
    """The id of a project agreed by word, built and delivered."""
    project_id = quoted.project(engine)
    with writing(engine) as session:
        row = project_records.get_project(session, project_id)
        earlier = row.draft(enquired_on=asked_on)
        project_records.change_project(session, project_id, earlier, read_version=row.version, now=NOW)
        quoted.go(session, project_id, "accepted", **told)
        quoted.go(session, project_id, "in_build")
        quoted.go(session, project_id, "delivered")
    return project_id


def test_a_word_keeps_an_estimate_so_that_prices_of_later_change_nothing(file_engine):
    project_id = built_by_word(file_engine, price_cents=500_000)
    with writing(file_engine) as session:
        row = project_records.get_project(session, project_id)
        before = review(session, project_id, quoted.TODAY).promised
        (item,) = [one.item for one in stock.stock_items(session, quoted.TODAY) if one.item.code == "2x8 fir"]
        dearer = stock.PriceRow(item_id=item.id, price_cents=99_900, per=PricePer.PIECE, on_date=quoted.TODAY)
        stock.add_price(session, dearer)
        home = shop.get_shop(session)
        shop.save_shop(session, replace(home, wage_cents_per_hour=9 * home.wage_cents_per_hour))
    with reading(file_engine) as session:
        after = review(session, project_id, quoted.TODAY)
        (job,) = across.jobs(session, quoted.TODAY)
    assert before.kept
    assert after.promised == before
    assert after.promised.lines_cents == row.quoted_cost_cents
    assert after.promised.minutes == pytest.approx(row.agreed_minutes)
    assert after.money.bridge.of(Cause.BESIDE) == 0
    assert job.cost_cents == after.money.cost_cents


def test_a_word_told_a_month_late_keeps_what_was_known_when_it_was_entered(file_engine):
    project_id = built_by_word(file_engine, price_cents=500_000, on=AGREED, asked_on=AGREED)
    with reading(file_engine) as session:
        found = review(session, project_id, quoted.TODAY)
        (job,) = across.jobs(session, quoted.TODAY)
    assert found.promised.kept
    assert found.promised.prices_on == quoted.TODAY
    assert job.cost_cents == found.money.cost_cents


def test_a_word_on_parts_without_a_price_is_agreed_all_the_same(file_engine):
    bare = "label,qty,thickness,width,length,stock\nLeg,4,1 1/4,5,30,ironwood"
    project_id = quoted.project(file_engine, listed=bare)
    with writing(file_engine) as session:
        quoted.go(session, project_id, "accepted", price_cents=500_000)
    with reading(file_engine) as session:
        assert estimates.given(session, project_id) == ()
        assert project_records.get_project(session, project_id).agreed_minutes is None


def test_an_accepted_quote_is_the_promise_to_the_cent(file_engine):
    project_id = quoted.project(file_engine)
    with writing(file_engine) as session:
        quote = quoted.issue(session, project_id)
        quoted.accept(session, project_id)
        quoted.go(session, project_id, "in_build")
        quoted.go(session, project_id, "delivered")
    with reading(file_engine) as session:
        found = review(session, project_id, quoted.TODAY)
    assert found.promised.kept
    assert quote.number in found.promised.source
    assert found.promised.lines_cents == quote.cost_cents
    assert found.promised.minutes == pytest.approx(quote.minutes)
    work = sum(one.minutes for one in found.promised.operations)
    whole = work + found.promised.rework_minutes + found.promised.allowance_minutes
    assert whole == pytest.approx(quote.minutes, abs=0.5)
    assert found.money.bridge.expected_cents == quote.net_cents - quote.cost_cents
    with reading(file_engine) as session:
        (job,) = across.jobs(session, quoted.TODAY)
    assert job.cost_cents == found.money.cost_cents
    assert found.money.materials.assumed


@pytest.mark.parametrize(("zone", "counts"), [("America/Los_Angeles", True), ("UTC", False)])
def test_what_was_kept_on_the_evening_of_the_agreement_counts_by_the_clock_of_the_shop(zone, counts):
    kept = datetime(2026, 3, 3, 4, tzinfo=UTC)
    assert review_promise._in_time(kept, date(2026, 3, 2), None, ZoneInfo(zone)) is counts
