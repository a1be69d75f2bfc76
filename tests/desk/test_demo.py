import csv
import math
import runpy
import shutil
import subprocess
import sys
from collections import Counter
from datetime import UTC, date, datetime
from types import SimpleNamespace

import pytest
from journal import reference
from journal.build.part_list import looks_like_formula, read
from journal.desk import demo_files, demo_promises, paces, parts, payments, promises, quotes_past, quoting
from journal.desk.demo import demo_commission_path, load_demo, open_demo
from journal.desk.estimate import estimate_project
from journal.errors import BadInput, BadRows, JournalError
from journal.places import folder
from journal.quote.risk import Range
from journal.records.engine import open_engine, reading, writing
from journal.records.queries import floor, log, projects, purchases, stock
from journal.records.words import EntrySource, ProjectState
from tests import factories, journals
from tests.desk import promised

TODAY = date(2026, 11, 25)
NOW = datetime(2026, 11, 25, 18, tzinfo=UTC)
SEED = folder("seed_data")
MOST_MINUTES_A_DAY = 10 * 60


@pytest.fixture
def session(demo_engine):
    with reading(demo_engine) as opened:
        yield opened


@pytest.fixture
def empty_session(tmp_path, empty_journal):
    path = tmp_path / "journal.db"
    engine = journals.copied(empty_journal, path)
    with writing(engine) as opened:
        yield opened
    journals.removed(engine)


@pytest.fixture(scope="module")
def truth():
    """The dice and the truth the demo shop's log was drawn from."""
    return SimpleNamespace(**runpy.run_path(str(SEED / "demo_truth.py")))


@pytest.fixture
def taught(session):
    return paces.learn(session, TODAY)


def _tables():
    return sorted(SEED.glob("*.csv"))


def test_three_years_of_a_shop_are_there(session):
    states = Counter(counts.project.state for counts in projects.list_projects(session))
    assert states[ProjectState.CLOSED] + states[ProjectState.DELIVERED] == 18
    assert states[ProjectState.IN_BUILD] == 1
    assert states[ProjectState.ENQUIRY] == 2


@pytest.fixture
def another(demo_journal, tmp_path):
    """A copy of the demo shop of a test's own."""
    engine = journals.copied(demo_journal, tmp_path / "journal.db")
    yield engine
    journals.removed(engine)


def test_what_was_asked_for_last_is_quoted_by_the_ordinary_errand_and_one_is_past_its_date(another):
    with writing(another) as session:
        demo_promises.issue_quotes(session, promised.PRESS)
    with reading(another) as session:
        asked = projects.all_projects(session, (ProjectState.ENQUIRY, ProjectState.QUOTED))
        lives = {project.code: promises.life_of(session, project.id) for project in asked}
        shown = {code: quoting.shown(session, life.project.id, life.open.id) for code, life in lives.items()}
        made = estimate_project(session, lives["26-005"].project.id, shown["26-005"].row.issued_on).made
    assert {life.project.state for life in lives.values()} == {ProjectState.QUOTED}
    assert {code: len(life.quotes) for code, life in lives.items()} == {"26-005": 1, "26-006": 1}
    assert [one.faults for one in shown.values()] == [(), ()]
    assert {code: one.row.valid_until < TODAY for code, one in shown.items()} == {"26-005": False, "26-006": True}
    assert (shown["26-005"].row.net_cents, shown["26-005"].row.cost_cents) == (made.price_cents, made.expected_cents)
    assert all(one.content["described"] and one.content["client"] for one in shown.values())


@journals.needs_file
def test_the_demo_is_found_again_in_its_folder_and_no_other_journal_is_taken_for_it(demo_journal, tmp_path):
    there, other = tmp_path / "there", tmp_path / "other"
    for folder_of in (there, other):
        folder_of.mkdir()
        shutil.copyfile(demo_journal, folder_of / "journal.db")
    engine, _, commission = open_demo(there, now=NOW)
    with reading(engine) as session:
        assert projects.get_project(session, commission).code == "26-005"
    engine.dispose()
    engine = open_engine(other / "journal.db")
    with writing(engine) as session:
        row = projects.find_project(session, "26-005")
        projects.change_project(session, row.id, row.draft(code="mine"), read_version=row.version, now=NOW)
    engine.dispose()
    with pytest.raises(JournalError, match="a journal of its own"):
        open_demo(other, now=NOW)


def test_says_what_was_put_in(empty_session):
    loaded = load_demo(empty_session, now=NOW)
    listed = projects.list_projects(empty_session)
    assert loaded.projects == len(listed)
    assert loaded.entries == len(log.entries(empty_session))
    asked = [counts.project.code for counts in listed if counts.project.state is ProjectState.ENQUIRY]
    assert projects.get_project(empty_session, loaded.commission_project_id).code == min(asked)


def test_a_journal_with_projects_is_left_as_it_is(empty_session):
    factories.project(empty_session)
    with pytest.raises(JournalError, match="another data folder"):
        load_demo(empty_session, now=NOW)
    assert len(projects.list_projects(empty_session)) == 1
    assert not log.entries(empty_session)


def test_stock_that_is_there_already_is_taken_over(empty_session):
    kept = factories.item(empty_session, code="2x8 fir", species="Douglas-fir")
    load_demo(empty_session, now=NOW)
    assert stock.find_item(empty_session, "2x8 fir").id == kept.id
    assert len(stock.price_history(empty_session, kept.id)) > 12


def test_everything_delivered_can_be_learned_from(taught):
    assert taught.evidence.problems == ()
    assert len(taught.evidence.rows) > 100
    assert 1 <= taught.evidence.set_aside <= 2  # one piece of work, perhaps over two evenings
    assert taught.calibration.projects == 18


def test_some_jobs_are_logged_by_operation_some_by_stage_some_by_both(taught):
    by_stage: dict[str, set[bool]] = {}
    for row in taught.evidence.rows:
        by_stage.setdefault(row.project, set()).add(row.by_stage)
    kinds = Counter(frozenset(kind) for kind in by_stage.values())
    assert kinds[frozenset({False})] == 7
    assert kinds[frozenset({True})] + kinds[frozenset({True, False})] == 11
    assert kinds[frozenset({True, False})] >= 3


def test_the_two_remakes_cost_time_and_boards(session, taught):
    assert {"23-003", "25-003"} <= set(taught.evidence.rework.by_project)
    assert 0.005 < taught.evidence.rework.ratio < 0.10
    notes = [
        receipt.note for receipt in purchases.purchases(session) if "again" in receipt.note or "short" in receipt.note
    ]
    assert len(notes) == 2


def test_what_was_logged_by_operation_is_in_the_plan(session):
    planned = {(row.project_code, row.operation) for row in log.operation_quantities(session)}
    finished = {project for project, _ in planned}
    logged = {
        (row.project_code, row.what)
        for row in log.log_lines(session)
        if row.project_code in finished and not row.by_stage and not row.rework
    }
    assert logged <= planned


def test_paces_come_nearer_to_the_truth_than_the_book_is(taught, truth):
    learned = [belief for belief in taught.calibration.paces() if belief.logs >= 5]
    true = {belief.code: math.log(truth.ratio_on(belief.code, TODAY)) for belief in learned}
    off = [belief for belief in learned if abs(true[belief.code]) > 0.15]
    nearer = [b for b in off if abs(math.log(b.ratio.p50) - true[b.code]) < abs(true[b.code])]
    assert len(nearer) >= 0.9 * len(off)
    inside = [b for b in learned if math.log(b.ratio.p10) <= true[b.code] <= math.log(b.ratio.p90)]
    assert len(inside) >= 0.6 * len(learned)


@pytest.mark.parametrize("code", ["sand", "apply_coat", "scuff", "wipe_off"])
def test_finishing_is_found_to_be_much_slower_than_the_book(taught, truth, code):
    ratio = taught.calibration.pace(code).ratio
    assert ratio.p50 > 1.2
    assert ratio.p10 / 1.1 <= truth.ratio_on(code, TODAY) <= ratio.p90 * 1.1


def test_milling_is_found_to_be_faster_than_the_book(taught):
    assert taught.calibration.pace("joint_face").ratio.p90 < 1
    assert taught.calibration.pace("joint_face").ratio.p50 < 0.9


def test_the_commission_can_be_estimated_and_is_believable(session):
    code = min(c.project.code for c in projects.list_projects(session, [ProjectState.ENQUIRY]))
    found = estimate_project(session, projects.find_project(session, code).id, TODAY)
    made, benches = found.made, found.project.benches
    hours = Range.of(made.hours)
    materials = next(line for line in made.costs if line.name == "Materials")
    assert benches == 2
    assert made.missing == ()
    # What a bench builder would expect of a heavy 7-ft bench; common practice.
    assert 45 <= hours.p50 / benches <= 80
    assert 350_00 <= materials.value / benches <= 900_00
    assert 3_000_00 <= made.price_cents / benches <= 6_000_00
    assert 1.2 < hours.p90 / hours.p10 < 2.5


def test_the_list_a_client_brings_is_the_commission_in_the_journal(session):
    code = min(c.project.code for c in projects.list_projects(session, [ProjectState.ENQUIRY]))
    kept = parts.current(session, projects.find_project(session, code).id)
    brought = read(demo_commission_path().read_bytes()).taken()
    assert [(p.label, p.quantity, p.thickness_nm, p.width_nm, p.length_nm, p.features) for p in brought] == [
        (p.label, p.quantity, p.thickness_nm, p.width_nm, p.length_nm, p.features) for p in kept
    ]
    assert any(part.laminated for part in kept)
    words = {feature.word for part in kept for feature in part.features}
    assert {"laminated joint", "tenon", "hole", "vise", "screw", "bolt"} <= words


def test_nobody_works_more_than_a_day_has(session):
    spent: Counter[tuple[int, date]] = Counter()
    for entry in log.entries(session):
        if entry.worker_id is not None:
            spent[entry.worker_id, entry.on_date] += entry.seconds / 60
    assert max(spent.values()) <= MOST_MINUTES_A_DAY


def test_work_falls_between_the_enquiry_and_the_delivery(session):
    by_id = {counts.project.id: counts.project for counts in projects.list_projects(session)}
    for entry in log.entries(session):
        if entry.project_id is None:
            continue
        project = by_id[entry.project_id]
        assert entry.on_date >= project.started_on > project.enquired_on
        if entry.operation != "call_back" and project.delivered_on:
            assert entry.on_date <= project.delivered_on
        assert entry.source is EntrySource.DEMO
    delivered = [project.delivered_on for project in by_id.values() if project.delivered_on]
    assert date(2023, 10, 1) <= min(delivered) <= max(delivered) <= date(2026, 10, 31)


def test_coats_glue_ups_and_receipts_of_every_delivered_job(session):
    done = {
        counts.project.id for counts in projects.list_projects(session, [ProjectState.CLOSED, ProjectState.DELIVERED])
    }
    assert done <= {coat.project_id for coat in floor.coats(session)}
    assert done <= {glue_up.project_id for glue_up in floor.glue_ups(session)}
    assert done <= {receipt.project_id for receipt in purchases.purchases(session)}
    assert any(receipt.project_id is None for receipt in purchases.purchases(session))


def test_every_job_was_promised_agreed_built_and_paid_in_that_order(session):
    """Price and tax in two payments; the newest delivered job still owes its second, the one in build has paid its first."""
    owing = {}
    for counts in projects.list_projects(session):
        project, money = counts.project, payments.money_of(session, counts.project.id)
        if project.agreed_on is None:
            assert (money.life.standing, money.payments) == ((), ())
            continue
        moves = money.life.standing
        assert [moves[0].from_state, *(move.to_state for move in moves)][-1] is project.state
        assert [move.on_date for move in moves] == sorted(move.on_date for move in moves)
        assert project.started_on < project.promised_on
        assert money.agreed.net_cents == project.agreed_price_cents
        assert money.asked_cents == project.agreed_price_cents + (project.agreed_price_cents * 625 + 5_000) // 10_000
        assert money.payments[0].cents == money.dues[0].cents
        assert not any(one.damaged for one in money.payments)
        if money.owed_cents:
            owing[project.state] = money.owed_cents == money.dues[-1].cents
    assert owing == {ProjectState.DELIVERED: True, ProjectState.IN_BUILD: True}


def test_some_jobs_came_early_and_more_of_them_late(session):
    late = [one.days_late for one in quotes_past.past(session).delivered]
    assert len(late) == 18
    assert 3 <= sum(days < 0 for days in late) < sum(days > 0 for days in late)
    assert max(late) == next(
        one.days_late for one in quotes_past.past(session).delivered if one.project.code == "25-002"
    )


def test_the_last_move_of_a_job_can_be_taken_back(empty_session):
    load_demo(empty_session, now=NOW)
    project = projects.find_project(empty_session, "26-003")
    promises.undo(empty_session, project.id, read_version=project.version, today=TODAY, now=NOW)
    again = projects.get_project(empty_session, project.id)
    assert (again.state, again.delivered_on) == (ProjectState.IN_BUILD, None)


def test_lumber_rose_and_came_partly_back(session):
    item = stock.find_item(session, "2x8 fir")
    eight_feet = {
        price.on_date: price.price_cents
        for price in stock.price_history(session, item.id)
        if price.length_nm == 8 * factories.FOOT
    }
    first, last = eight_feet[min(eight_feet)], eight_feet[max(eight_feet)]
    assert first < last < max(eight_feet.values())
    dearest = max(eight_feet, key=eight_feet.get)
    assert date(2025, 1, 1) <= dearest <= date(2025, 12, 31)


@pytest.mark.parametrize("path", _tables(), ids=lambda path: path.name)
def test_no_cell_would_run_in_a_spreadsheet(path):
    rows = list(csv.reader(path.read_text(encoding="utf-8").splitlines()))
    assert len(rows) > 2
    assert not [cell for row in rows for cell in row if looks_like_formula(cell)]


@pytest.mark.parametrize("path", _tables(), ids=lambda path: path.name)
def test_every_table_but_the_clients_own_begins_by_saying_what_it_is(path):
    first = path.read_text(encoding="utf-8").splitlines()[0]
    assert first.startswith("# ") is (path != demo_commission_path())


def test_words_of_the_files_are_those_of_the_tables():
    known = reference.operations(), reference.stages(), reference.machines()
    operations, stages, machines = (set(words) for words in known)
    entries = [row for _, row in demo_files.read_rows(SEED / "entries.csv")]
    assert {row["operation"] for row in entries} - {""} <= operations
    assert {row["stage"] for row in entries} - {""} <= stages
    assert {row["kind"] for _, row in demo_files.read_rows(SEED / "machines.csv")} <= machines
    assert {row["key"] for _, row in demo_files.read_rows(SEED / "settings.csv")} <= set(reference.allowances())


@pytest.mark.parametrize(
    ("cell", "bad", "says"),
    [("0.84", "cheap", "price"), ("piece", "plank", "plank"), ("2023-07-01", "2023-7-1", "2023-7-1")],
)
def test_a_bad_cell_is_named_by_file_and_line(tmp_path, cell, bad, says):
    text = "# prices\ncode,length,date,price,per,supplier,note\n2x6 fir,8',2023-07-01,0.84,piece,,\n"
    (tmp_path / "prices.csv").write_text(text.replace(cell, bad), encoding="utf-8")
    with pytest.raises(BadRows, match=rf"prices\.csv(?s:.*)line 3(?s:.*){says}"):
        demo_files.read_prices(tmp_path, {"2x6 fir": 1})


def test_a_project_that_is_not_listed_is_refused(tmp_path):
    head = "project,date,operation,stage,worker,people,time,rework,set_aside,note\n"
    (tmp_path / "entries.csv").write_text(f"# log\n{head}20-001,2024-01-02,sand,,,1,0:30,,,\n", encoding="utf-8")
    with pytest.raises(BadRows, match="20-001"):
        demo_files.read_entries(tmp_path, {"23-001": 1}, {})


def test_a_file_without_its_remark_is_refused(tmp_path):
    (tmp_path / "built.csv").write_text("project,operation\n", encoding="utf-8")
    with pytest.raises(BadInput, match=r"built\.csv"):
        demo_files.read_built(tmp_path)
    with pytest.raises(BadInput, match=r"parts\.csv"):
        demo_files.read_parts(tmp_path)


def test_the_example_log_teaches_a_shop_slow_at_boring_and_quick_at_finishing():
    taught = paces.from_file(SEED / "example_log.csv", TODAY)
    assert taught.calibration.projects == 8
    assert {row.by_stage for row in taught.evidence.rows} == {True, False}
    for code in ("bore_large", "counterbore_pilot"):
        assert taught.calibration.pace(code).ratio.p10 > 1.15
    for code in ("sand", "apply_coat"):
        assert taught.calibration.pace(code).ratio.p90 < 0.8
    total = paces.as_json(taught, SEED / "example_plan.csv")["total_minutes"]
    assert 30 * 60 < total["p10"] < total["p50"] < total["p90"] < 100 * 60


def test_the_same_files_come_out_again(tmp_path):
    subprocess.run([sys.executable, SEED / "make_demo.py", "--into", tmp_path], check=True)  # fixed dice
    made = sorted(tmp_path.iterdir())
    by_hand = {"shop.csv", "settings.csv", "machines.csv", "workers.csv", "stock.csv"}
    assert {path.name for path in made} == {path.name for path in _tables()} - by_hand
    for path in made:
        assert path.read_bytes() == (SEED / path.name).read_bytes(), f"{path.name}: run seed_data/make_demo.py again"
