"""Whatever is logged, bought, added and given back, the lines of a review are the whole difference, to the cent."""

import contextlib
import json
import math
from datetime import UTC, date, datetime

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from journal.desk import across, parts, projects
from journal.desk.review import review
from journal.desk.review_materials import reckoned
from journal.desk.starting_stock import set_up
from journal.records.engine import writing
from journal.records.queries import estimates, log, money, purchases, workers
from journal.records.queries import projects as project_records
from journal.records.words import PaymentKind, ProjectState
from tests.desk.test_review import KEPT

TODAY = date(2026, 4, 1)
NOW = datetime(2026, 2, 1, 12, tzinfo=UTC)
PRICE = 75_000
LIST = "label,qty,thickness,width,length,stock\nLeg,4,1 1/4,5,30,2x6 fir"
WORK = (
    {"operation": "plane_thickness"},
    {"operation": "spread_glue"},
    {"operation": "drive_screw"},
    {"stage": "milling"},
)
STOCKS = ("2x6 fir", "2x8 fir", "8/4 hard maple", "vise", "a thing nobody stocks")

ENTRIES = st.lists(
    st.tuples(st.sampled_from(WORK), st.integers(1, 400_000), st.integers(1, 4), st.booleans(), st.booleans()),
    max_size=8,
)
LINES = st.lists(
    st.tuples(
        st.sampled_from(STOCKS),
        st.integers(1, 2_000).map(lambda quarters: quarters / 4),
        st.integers(0, 10**6),
        st.one_of(st.none(), st.tuples(st.sampled_from((0, 0.25, 0.5, 1)), st.sampled_from((0, 0.5, 1)))),
    ),
    max_size=5,
)
EXTRAS = st.lists(st.integers(-80_000, 10**6), max_size=3)
PAYMENTS = st.lists(st.tuples(st.sampled_from(PaymentKind), st.integers(1, 10**7)), max_size=3)


class UndoneError(Exception):
    """Takes back what an example wrote."""


@pytest.fixture
def job(file_engine):
    """(engine, project): delivered at 750.00, with an estimate kept; nothing is worked out anew for it."""
    set_up(file_engine, TODAY)
    with writing(file_engine) as session:
        row = projects.begin(session, projects.Asked(title="Any job"), now=NOW)
        parts.take_list(session, row.id, LIST, source="x", now=NOW)
        row = project_records.get_project(session, row.id)
        told = {"state": ProjectState.DELIVERED, "agreed_on": date(2026, 2, 2), "agreed_price_cents": PRICE}
        project_records.change_project(session, row.id, row.draft(**told), read_version=row.version, now=NOW)
        workers.save_worker(session, workers.WorkerRow(id=0, label="hired hand", wage_cents_per_hour=3_333))
        estimates.add_estimate(session, row.id, 1, json.dumps(KEPT), reason="as agreed", tool_version="0", now=NOW)
        return file_engine, row.id


def write(session, project_id, entries, lines, extras, paid):
    (hired,) = [one.id for one in workers.workers(session) if one.wage_cents_per_hour == 3_333]
    for work, seconds, people, again, by_hand in entries:
        told = {"people": people, "rework": again, "worker_id": hired if by_hand else None}
        draft = log.EntryDraft(project_id=project_id, on_date=date(2026, 3, 1), seconds=seconds, **work, **told)
        log.add_entry(session, draft, now=NOW)
    bought = tuple(line(*one) for one in lines)
    if bought:
        receipt = purchases.PurchaseRow(
            on_date=date(2026, 2, 21), project_id=project_id, freight_cents=1_234, tax_cents=777, lines=bought
        )
        purchases.add_purchase(session, receipt)
    for cents in extras:
        draft = money.ExtraDraft(on_date=date(2026, 3, 2), what="a shelf", net_cents=cents, tax_cents=0, days=0)
        money.add_extra(session, project_id, draft, NOW)
    for number, (kind, cents) in enumerate(paid):
        draft = money.PaymentDraft(
            number=f"R{number}", on_date=TODAY, kind=kind, currency="USD", cents=cents, how="", note="", payload="{}"
        )
        money.add_payment(session, project_id, draft, tool_version="0", now=NOW)


def line(code, quantity, cents, fate):
    used, rejected = (None, None) if fate is None else (quantity * fate[0], quantity * (1 - fate[0]) * fate[1])
    return purchases.LineRow(
        stock_code=code, quantity=quantity, price_cents=cents, used_quantity=used, rejected_quantity=rejected
    )


def check(session, project_id, paid):
    found = review(session, project_id, TODAY)
    steps = found.money.bridge
    assert steps.expected_cents + sum(step.cents for step in steps.steps) == steps.made_cents
    assert steps.made_cents == PRICE - found.money.cost_cents  # what is on record has the extras in it
    assert 0 <= found.money.place <= 1
    logged = sum(row.minutes for row in log.log_lines(session, project_id=project_id))
    assert found.hours.minutes + found.rework_minutes == pytest.approx(logged)
    (one,) = across.jobs(session, TODAY)
    assert one.cost_cents == found.money.cost_cents
    assert one.paid_cents == sum(cents if kind is PaymentKind.PAYMENT else -cents for kind, cents in paid)
    for by in across.By:
        (group,) = across.grouped([one], by)
        told = (group.margin, group.minutes_per_foot, group.rework, group.overrun)
        assert all(figure is None or math.isfinite(figure) for figure in told)
    materials = reckoned(session, project_id, TODAY)
    for wood in (*materials.woods, *([materials.whole] if materials.whole else ())):
        assert all(share is None or (math.isfinite(share) and share <= 1) for share in (wood.waste, wood.planned_waste))


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(ENTRIES, LINES, EXTRAS, PAYMENTS)
def test_lines_add_up_whatever_happened(job, entries, lines, extras, paid):
    engine, project_id = job
    with contextlib.suppress(UndoneError), writing(engine) as session:
        write(session, project_id, entries, lines, extras, paid)
        check(session, project_id, paid)
        raise UndoneError
