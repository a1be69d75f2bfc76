"""The demo shop with years of work behind it: enough of everything, in an order in which it can have happened."""

import sys
from datetime import UTC, date, datetime

import numpy as np
import pytest
from journal.desk import demo_notes, demo_years
from journal.desk.demo import load_demo
from journal.desk.paces import learn
from journal.desk.rack import shown
from journal.errors import BadInput
from journal.places import folder
from journal.records import photo_files
from journal.records.base import Base
from journal.records.engine import reading, writing
from PIL import Image
from sqlalchemy import select, text
from tests import journals

TODAY = date(2026, 11, 25)
NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    engine = journals.new(tmp_path_factory.mktemp("years") / "journal.db")
    with writing(engine) as session:
        load_demo(session, now=NOW)
        added = demo_years.add_years(session, 2, 7, TODAY)
    yield engine, added
    journals.removed(engine)


def rows(engine, name):
    with reading(engine) as session:
        return [dict(row) for row in session.execute(select(Base.metadata.tables[name])).mappings()]


def test_a_year_holds_as_much_as_ten_of_them_should(shop):
    _, added = shop
    wanted = {"projects": 50, "time_entries": 5_000, "purchase_lines": 400, "rack_boards": 300}
    for name, each in wanted.items():
        assert added.rows[name] / 2 == pytest.approx(each, rel=0.15), name


def test_the_dice_are_those_of_the_demos_truth(monkeypatch):
    monkeypatch.syspath_prepend(str(folder("seed_data")))
    import demo_truth  # noqa: PLC0415 - beside the demo’s files, no package

    mine = (demo_years.DRIFT_A_YEAR, demo_years.PROJECT_SD, demo_years.ENTRY_SD, demo_years.SMALL_TASK_MINUTES)
    truth = (demo_truth.DRIFT_A_YEAR, demo_truth.PROJECT_SD, demo_truth.ENTRY_SD, demo_truth.SMALL_TASK_MINUTES)
    assert mine == truth
    sys.modules.pop("demo_truth")


def test_every_job_is_asked_for_agreed_begun_and_delivered_in_that_order(shop):
    engine, _ = shop
    done = [row for row in rows(engine, "projects") if row["delivered_on"]]
    assert len(done) > 100
    for row in done:
        days = [row[name] for name in ("enquired_on", "agreed_on", "started_on", "delivered_on")]
        assert days == sorted(days), row["code"]
        assert days[-1] <= TODAY


def test_codes_are_of_their_year_and_no_two_alike(shop):
    engine, _ = shop
    projects = rows(engine, "projects")
    assert len({row["code"] for row in projects}) == len(projects)
    added = [row for row in projects if int(row["code"][3:]) > demo_years.FIRST_NUMBER]
    assert len(added) == shop[1].projects
    assert all(row["code"].startswith(f"{row['enquired_on']:%y}-") for row in added)


def test_no_board_is_drawn_before_it_was_bought_and_none_is_in_two_places(shop):
    engine, _ = shop
    acts = {row["id"]: row for row in rows(engine, "rack_acts")}
    kept = {row["id"]: row for row in rows(engine, "rack_boards")}
    there = dict.fromkeys(kept, 0)
    for move in sorted(rows(engine, "rack_moves"), key=lambda one: one["id"]):
        there[move["board_id"]] += move["change"]
        assert there[move["board_id"]] in (0, 1)
        assert acts[move["act_id"]]["on_date"] >= kept[move["board_id"]]["since"]
    assert there == {number: int(row["there"]) for number, row in kept.items()}


@journals.needs_file  # a server lets no row in without what it belongs to
def test_everything_belongs_to_something(shop):
    engine, _ = shop
    with reading(engine) as session:
        assert session.execute(text("PRAGMA foreign_key_check")).all() == []


def test_the_same_seed_throws_the_same_years(shop, tmp_path):
    engine, _ = shop
    again = journals.new(tmp_path / "journal.db")
    with writing(again) as session:
        load_demo(session, now=NOW)
        demo_years.add_years(session, 2, 7, TODAY)
    for name in ("projects", "rack_moves", "stock_prices"):
        assert rows(again, name) == rows(engine, name)
    journals.removed(again)


def test_the_journal_learns_from_them_and_shows_the_rack(shop):
    engine, added = shop
    with reading(engine) as session:
        assert learn(session, TODAY).calibration.projects >= added.projects
        assert shown(session, TODAY).stocks


@pytest.mark.parametrize("years", [0, -1, 41])
def test_no_years_and_more_than_anybody_works_are_refused(shop, years):
    engine, _ = shop
    with writing(engine) as session, pytest.raises(BadInput, match="years"):
        demo_years.add_years(session, years, 1, TODAY)


def test_somebody_wrote_things_down_and_took_photos(shop):
    engine, added = shop
    assert added.rows["notes"] / 2 == pytest.approx(6 * demo_years.JOBS_A_YEAR, rel=0.01)
    assert added.rows["photos"] == added.rows["photo_places"] == pytest.approx(8 * demo_years.JOBS_A_YEAR, rel=0.01)
    entries = {row["id"]: row for row in rows(engine, "time_entries")}
    written = rows(engine, "notes")
    assert len({row["text"] for row in written}) > 0.9 * len(written)
    for row in written:
        if row["entry_id"] is not None:
            assert entries[row["entry_id"]]["project_id"] == row["project_id"]
            assert entries[row["entry_id"]]["on_date"] == row["day"]


def test_photos_of_the_years_lie_where_their_rows_say(tmp_path):
    dice = np.random.default_rng(1)
    made = demo_notes.shots(TODAY, 0, dice) + demo_notes.shots(TODAY, 4, dice)
    assert len({shot.row["sha256"] for shot in made}) == len(made)
    demo_notes.keep_files(tmp_path, made)
    for shot in made:
        digest = shot.row["sha256"]
        assert photo_files.is_whole(tmp_path, digest)
        assert photo_files.is_whole_small(tmp_path, digest)
        with Image.open(photo_files.large_path(tmp_path, digest)) as picture:
            assert picture.size == (shot.row["width"], shot.row["height"])
    assert list(photo_files.others(tmp_path, {shot.row["sha256"] for shot in made})) == []
