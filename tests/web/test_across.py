"""The page over all finished jobs, and its tables as CSV."""

import csv
from dataclasses import replace
from datetime import date
from io import StringIO

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal.desk import across
from journal.desk.across import By, Job
from journal.desk.shop import read_shop
from journal.records.engine import reading, writing
from journal.records.queries import log, purchases
from journal.records.queries import projects as project_records
from journal.records.queries.shop import get_shop, save_shop
from journal.records.words import ProjectState
from journal.web.across.picture import scatter
from tests.web.project_pages import NOW, TODAY, open_shop, project, soup, statements, text


@pytest.fixture
def client(file_engine, tmp_path):
    return open_shop(file_engine, tmp_path)


def delivered(engine, hours=10, work=None, **told):
    made = project(engine, **{key: told.pop(key) for key in ("title",) if key in told})
    with writing(engine) as session:
        if hours:
            draft = log.EntryDraft(project_id=made, on_date=TODAY, seconds=hours * 3600, **work or {"stage": "milling"})
            log.add_entry(session, draft, now=NOW)
        row = project_records.get_project(session, made)
        full = {
            "state": ProjectState.DELIVERED,
            "delivered_on": TODAY,
            "agreed_price_cents": 400_000,
            "agreed_minutes": 480,
        }
        draft = row.draft(**full | told)
        project_records.change_project(session, made, draft, read_version=row.version, now=NOW)
    return made


def jobs(engine):
    with reading(engine) as session:
        return across.jobs(session, TODAY)


@pytest.mark.usefixtures("client")
def test_a_job_by_hand(file_engine):
    """Ten hours at wage and overhead without a machine, two of ten boards for 100.00 left over: 80.00; six feet of bench.

    Abrasives, blades and rags at the shop's share of the 80.00.
    """
    made = delivered(file_engine, work={"operation": "spread_glue"}, promised_on=date(2026, 2, 27))
    with writing(file_engine) as session:
        line = purchases.LineRow(stock_code="2x8 fir", quantity=10, price_cents=10_000, used_quantity=8)
        purchases.add_purchase(session, purchases.PurchaseRow(on_date=TODAY, project_id=made, lines=(line,)))
        row = get_shop(session)
        an_hour = row.wage_cents_per_hour + row.overhead_cents_per_hour
    (job,) = jobs(file_engine)
    with reading(file_engine) as session:
        share = read_shop(session, TODAY).allowances["consumables_share"]
    assert job.cost_cents == 8_000 + round(8_000 * share) + 10 * an_hour
    assert job.feet == pytest.approx(6)
    assert job.wood == "Douglas-fir"
    assert job.days_late == 3
    (group,) = across.grouped([job], By.YEAR)
    assert group.name == "2026"
    assert group.margin == pytest.approx((400_000 - job.cost_cents) / 400_000)
    assert group.minutes_per_foot == pytest.approx(100)
    assert group.overrun == pytest.approx(0.25)


@pytest.mark.usefixtures("client")
def test_groups_add_up_to_all_jobs(file_engine):
    for hours, word in ((5, "slab-bench"), (8, "slab-bench"), (0, None)):
        delivered(file_engine, hours, design_word=word)
    found = jobs(file_engine)
    for by in By:
        groups = across.grouped(found, by)
        assert sum(group.jobs for group in groups) == 3
        assert sum(group.price_cents for group in groups) == 1_200_000
        assert sum(group.profit_cents for group in groups) == sum(job.price_cents - job.cost_cents for job in found)


def test_nothing_known_is_a_dash_not_a_number(client, file_engine):
    delivered(file_engine, hours=0, agreed_price_cents=None, agreed_minutes=None, delivered_on=None)
    (group,) = across.grouped(jobs(file_engine), By.CLIENT)
    assert (group.margin, group.minutes_per_foot, group.rework, group.overrun, group.days_late) == (None,) * 5
    page = soup(client.get("/across"))
    heads = [{text(head) for head in table.select("thead th")} for table in page.select("table")]
    assert all("Price before tax" in head and "Price" not in head for head in heads)
    assert all("Paid in, with tax" in head for head in heads[:-1])
    words = text(page.main).lower().split()
    assert "nan" not in words
    assert "none" not in words


def test_a_currency_without_cents_and_a_job_at_a_loss(client, file_engine):
    delivered(file_engine, hours=900, agreed_price_cents=1)
    with writing(file_engine) as session:
        save_shop(session, replace(get_shop(session), currency="JPY"))
    words = text(soup(client.get("/across/")).main)
    assert "−¥" in words
    assert {"nan", "inf", "none"}.isdisjoint(words.lower().split())
    (line,) = rows(client.get("/across/jobs.csv"))
    assert int(line["cost_cents"]) > int(line["price_cents"]) == 1


def test_filters_narrow_every_table(client, file_engine):
    delivered(file_engine, design_word="slab-bench")
    delivered(file_engine)
    page = soup(client.get("/across?design=slab-bench"))
    assert text(page.select("table")[0].select_one("tbody th")) == "slab-bench"
    assert len(page.select("table")[-1].select("tbody tr")) == 1
    assert text(soup(client.get("/across?design=-")).select("table")[0].select_one("tbody th")) == "not said"
    assert "No finished job is of all that" in client.get("/across?design=nothing").get_data(as_text=True)


def test_before_the_first_job_it_says_so(client):
    assert "No finished job yet" in client.get("/across").get_data(as_text=True)


def rows(answer):
    assert answer.status_code == 200
    return list(csv.DictReader(StringIO(answer.get_data(as_text=True))))


def test_a_cell_that_looks_like_a_formula_is_none_in_the_csv(client, file_engine):
    delivered(file_engine, title="=HYPERLINK(1)", promised_on=date(2026, 3, 9))
    (line,) = rows(client.get("/across/jobs.csv"))
    assert line["title"] == "'=HYPERLINK(1)"
    assert line["days_late"] == "-7"
    assert line["price_cents"] == "400000"


def test_every_table_comes_as_csv_with_its_filters(client, file_engine):
    delivered(file_engine, design_word="slab-bench")
    delivered(file_engine)
    for by in By:
        assert sum(int(line["jobs"]) for line in rows(client.get(f"/across/{by.value}.csv"))) == 2
    assert len(rows(client.get("/across/jobs.csv?design=slab-bench"))) == 1
    assert client.get("/across/prices.csv").status_code == 404


def test_statements_do_not_grow_with_the_jobs(client, file_engine):
    delivered(file_engine)
    client.get("/across")  # what stays worked out is worked out
    delivered(file_engine)
    before = statements(file_engine, lambda: client.get("/across"))
    for _ in range(3):
        delivered(file_engine)
    assert statements(file_engine, lambda: client.get("/across")) == before


def job(quoted, took):
    return Job(1, "26-001", "", "", "", "", "", None, None, 0, took, 0.0, quoted, None, 0)


def test_a_job_that_took_what_was_agreed_stands_on_the_line():
    picture = scatter([job(600.0, 600.0)])
    (dot,) = picture.dots
    along = (dot.x - picture.left) / (picture.right - picture.left)
    assert (picture.base - dot.y) / (picture.base - picture.top) == pytest.approx(along, abs=0.002)
    assert not dot.over
    assert picture.said.startswith("0 of 1")


@given(st.lists(st.tuples(st.floats(0.02, 1e5), st.floats(0.02, 1e5)), min_size=1, max_size=8))
def test_dots_stay_inside_the_axes_and_above_the_line_where_more_was_taken(pairs):
    picture = scatter([job(quoted * 60, took * 60) for quoted, took in pairs])
    for dot, (quoted, took) in zip(picture.dots, pairs, strict=True):
        assert picture.left <= dot.x <= picture.right
        assert picture.top <= dot.y <= picture.base
        right = (dot.x - picture.left) / (picture.right - picture.left)
        up = (picture.base - dot.y) / (picture.base - picture.top)
        assert (up - right) * (took - quoted) >= -0.002 * abs(took - quoted)
    heights = [tick.y for tick in picture.ticks]
    assert heights == sorted(heights, reverse=True)


def test_a_third_over_stands_as_far_from_the_line_in_a_small_job_as_in_a_large_one():
    picture = scatter([job(600, 800), job(6_000, 8_000)])
    small, large = (
        (picture.base - dot.y) / (picture.base - picture.top) - (dot.x - picture.left) / (picture.right - picture.left)
        for dot in picture.dots
    )
    assert small == pytest.approx(large, abs=0.002)
    assert small > 0.05


def test_no_hours_no_picture():
    assert scatter([]) is None


@pytest.mark.usefixtures("client")
def test_what_is_written_after_a_look_counts_in_the_next_one(file_engine):
    """Hours and all the rest are kept apart, each until something it was read from is written."""
    made = delivered(file_engine, work={"operation": "spread_glue"})
    before = jobs(file_engine)[0].cost_cents
    with writing(file_engine) as session:
        line = purchases.LineRow(stock_code="2x8 fir", quantity=10, price_cents=10_000, used_quantity=10)
        purchases.add_purchase(session, purchases.PurchaseRow(on_date=TODAY, project_id=made, lines=(line,)))
    bought = jobs(file_engine)[0].cost_cents
    assert bought >= before + 10_000
    with writing(file_engine) as session:
        draft = log.EntryDraft(project_id=made, on_date=TODAY, seconds=3600, operation="spread_glue")
        log.add_entry(session, draft, now=NOW)
        row = get_shop(session)
        an_hour = row.wage_cents_per_hour + row.overhead_cents_per_hour
    assert jobs(file_engine)[0].cost_cents == bought + an_hour
