"""The paces page: what the logs taught, what they could not, and the honest state before any log."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta

import pytest
from bs4 import BeautifulSoup
from journal import reference
from journal.desk import paces as desk
from journal.desk.doubt import newest_doubts
from journal.desk.level import level
from journal.desk.ratios import WORDS, RatioLine
from journal.pace.level import LevelAt
from journal.pace.ratios import Factor, Kind
from journal.records.engine import reading, writing
from journal.records.queries import shop as shop_records
from journal.records.queries.plans import OperationRow
from journal.records.words import LengthSystem, ProjectState
from journal.web import create_app
from journal.web.paces.bars import WIDTH, scale_of
from journal.web.paces.level_page import level_view
from journal.web.paces.pages import paces_page
from journal.web.paces.ratio_page import ratio_view
from journal.working import Spread
from sqlalchemy import event
from tests import factories
from tests.web.shared_app import client_of

TODAY = date(2026, 3, 2)


@pytest.fixture
def engine(file_engine):
    return file_engine


@pytest.fixture
def client(engine):
    return client_of(engine, today=TODAY)


def soup_of(response):
    return BeautifulSoup(response.get_data(as_text=True), "html.parser")


def text_of(tag):
    return re.sub(r"\s+", " ", tag.get_text(" ", strip=True))


def delivered(engine, *, times=1.0, operations=("joint_face", "sand"), title="Bench", weeks_ago=4):
    """A finished project whose operations took so many times the book."""
    with writing(engine) as session:
        row = factories.project(session, title=title, state=ProjectState.DELIVERED)
        lines = [OperationRow(code, 100.0, 1) for code in operations]
        factories.plan(session, row.id, operations=lines)
        for code in operations:
            minutes = desk.book()[code].baseline_minutes(1, 100.0) * times
            on = TODAY - timedelta(weeks=weeks_ago)
            factories.entry(session, project_id=row.id, operation=code, seconds=round(60 * minutes), on_date=on)
        return row


def row_of(page, name):
    cell = next(cell for cell in page.select(".paces th[scope=row]") if cell.get_text(" ", strip=True).startswith(name))
    return cell.find_parent("tr")


class TestBeforeAnyLog:
    def test_every_operation_of_the_book_is_there(self, client):
        page = soup_of(client.get("/paces"))
        assert len(page.select(".paces tbody tr")) == len(reference.operations())
        heads = [head.text for head in page.select(".entry h2")]
        assert heads == [*(stage.name for stage in reference.stages().values()), "Beside the paces"]

    def test_it_says_that_nothing_was_learned_and_how_far_the_book_may_be_off(self, client):
        page = soup_of(client.get("/paces"))
        said = text_of(page.select_one(".empty"))
        assert "No finished project has taught anything yet" in said
        low, high = (float(number) for number in re.search(r"between ([\d.]+) and ([\d.]+) times", said).groups())
        ratio = desk.untaught(TODAY).pace("joint_face").ratio
        assert (low, high) == pytest.approx((ratio.p10, ratio.p90), abs=0.005)
        assert page.select(".sums") == []

    def test_every_bar_is_drawn_as_a_guess(self, client):
        page = soup_of(client.get("/paces"))
        assert len(page.select("tr.paces-silent")) == len(reference.operations())

    def test_an_operation_counted_by_its_set_ups_shows_those(self, client):
        row = row_of(soup_of(client.get("/paces")), "Load and deliver")
        assert text_of(row.select_one("[data-label=Takes]")) == "45 min a set-up"


class TestTaught:
    def test_paces_move_to_what_was_logged(self, engine, client):
        for _ in range(4):
            delivered(engine, times=2.0)
        page = soup_of(client.get("/paces"))
        row = row_of(page, "Sand")
        own = float(text_of(row.select_one("[data-label=Takes]")).split()[0])
        book = desk.book()["sand"].pace_minutes
        assert 1.7 * book < own < 2.2 * book
        assert text_of(row.select_one("[data-label=Book]")) == f"{book} min"
        assert text_of(row.select_one("[data-label='Own logs']")) == "4"
        assert text_of(row.select_one("[data-label=Newest]")) == "2 Feb 2026"
        assert "over the book" in page.select_one(".paces-lead > p strong").text

    def test_it_says_from_how_much(self, engine, client):
        delivered(engine)
        delivered(engine)
        sums = {
            row.dt.find(string=True): row.dd.text.strip() for row in soup_of(client.get("/paces")).select(".sums > div")
        }
        assert (sums["Finished projects"], sums["Entries learned from"]) == ("2", "4")

    def test_spread_is_said_in_plain_words(self, engine, client):
        delivered(engine)
        sentences = [text_of(item) for item in soup_of(client.get("/paces")).select(".spreads li")]
        assert len(sentences) == 3
        assert all(re.search(r"from \d+ % less to \d+ % more", sentence) for sentence in sentences)

    def test_rework_is_a_rate_of_its_own(self, engine, client):
        row = delivered(engine, operations=("sand",))
        minutes = desk.book()["sand"].baseline_minutes(1, 100.0)
        with writing(engine) as session:
            factories.entry(
                session, project_id=row.id, operation="sand", seconds=round(6 * minutes), rework=True, on_date=TODAY
            )
        page = soup_of(client.get("/paces"))
        sums = {row.dt.find(string=True): row.dd.text.strip() for row in page.select(".sums > div")}
        assert sums["Done again, of all other time"] == "10 %"
        assert "in 1 entry" in text_of(page.select_one(".paces-lead"))

    def test_time_that_taught_nothing_is_named_with_the_reason(self, engine, client):
        row = delivered(engine)
        with writing(engine) as session:
            factories.entry(session, project_id=row.id, operation="sand", seconds=61 * 3600, on_date=TODAY)
        (one,) = soup_of(client.get("/paces")).select(".faults li")
        assert text_of(one).startswith(f"{row.code}, 2 Mar 2026 Sand: minutes: read “3660”")

    def test_time_set_aside_is_counted(self, engine, client):
        row = delivered(engine)
        with writing(engine) as session:
            factories.entry(session, project_id=row.id, operation="sand", set_aside_reason="flu", on_date=TODAY)
        assert "1 entry is set aside" in text_of(soup_of(client.get("/paces")).select_one(".paces-lead"))

    def test_a_project_in_build_teaches_nothing_yet(self, engine, client):
        with writing(engine) as session:
            row = factories.project(session, state=ProjectState.IN_BUILD)
            factories.plan(session, row.id)
            factories.entry(session, project_id=row.id)
        assert soup_of(client.get("/paces")).select_one(".empty") is not None

    def test_more_projects_ask_no_more_questions(self, engine, client):
        asked = []

        def note(*call):
            asked.append(call[2])

        def statements():
            asked.clear()
            assert client.get("/paces").status_code == 200
            return len(asked)

        event.listen(engine, "before_cursor_execute", note)
        delivered(engine)
        few = statements()
        for _ in range(5):
            delivered(engine)
        assert statements() <= few

    def test_the_same_logs_are_worked_out_once(self, engine):
        delivered(engine)
        with reading(engine) as session:
            first, again = (desk.beliefs(desk.learn(session, TODAY)) for _ in range(2))
        assert first is again

    def test_a_page_of_a_taught_shop_names_every_field_it_shows(self, engine):
        delivered(engine)
        with create_app(engine=engine, testing=True, today=TODAY).app_context(), reading(engine) as session:
            page = paces_page(desk.learn(session, TODAY), WIDTH)
        assert page.taught
        assert page.unlogged == 0
        assert sum(len(stage.lines) for stage in page.stages) == len(desk.book())


class TestInMetres:
    def test_a_metric_shop_reads_its_paces_by_the_metre(self, engine, client):
        in_feet = row_of(soup_of(client.get("/paces")), "Joint one face")
        with writing(engine) as session:
            shop_records.save_shop(session, replace(shop_records.get_shop(session), system=LengthSystem.METRIC))
        in_metres = row_of(soup_of(client.get("/paces")), "Joint one face")
        assert text_of(in_feet.select_one("[data-label=Takes]")).endswith("a ft")
        assert text_of(in_metres.select_one("[data-label=Takes]")).endswith("a m")
        book = 60 * desk.book()["joint_face"].pace_minutes
        assert text_of(in_feet.select_one("[data-label=Book]")) == f"{book:.0f} s"
        assert text_of(in_metres.select_one("[data-label=Book]")) == f"{book / 0.3048:.0f} s"
        assert "a m" in text_of(soup_of(client.get("/paces/joint_face")).select_one(".sums dt"))


class TestWhatToLogNext:
    """Shares of the doubt about the newest project with a plan."""

    @pytest.fixture
    def shop(self, engine):
        for weeks in (4, 20, 40):
            delivered(engine, weeks_ago=weeks)
        with writing(engine) as session:
            row = factories.project(session, title="Next <bench>", state=ProjectState.ENQUIRY)
            lines = [OperationRow("sand", 10.0, 1), OperationRow("cut_tenon", 12.0, 1), OperationRow("rework", 5.0, 0)]
            factories.plan(session, row.id, operations=lines)
        return row

    def test_the_paces_can_stand_in_the_order_of_the_doubt_they_bring(self, engine, client, shop):
        page = soup_of(client.get("/paces?sort=doubt"))
        first, second, third = page.select(".paces tbody tr")[:3]
        assert [text_of(row.select_one("th a")) for row in (first, second)] == ["Saw and fit a tenon", "Sand"]
        assert text_of(third.select_one("[data-label=Doubt]")) == "–"
        with reading(engine) as session:
            found = newest_doubts(session, TODAY)
        assert found.project.id == shop.id
        assert text_of(first.select_one("[data-label=Doubt]")) == f"{100 * found.doubts[0].share:.0f} %"

    @pytest.mark.usefixtures("shop")
    def test_what_to_log_next_is_named_with_what_it_would_take_away(self, engine, client):
        said = text_of(next(p for p in soup_of(client.get("/paces")).select("p") if "Log next" in p.text))
        with reading(engine) as session:
            found = newest_doubts(session, TODAY)
        best = found.log_next[0]
        assert best.code == "cut_tenon"  # never logged, where sanding was
        assert f"Saw and fit a tenon ({100 * best.to_learn:.0f} %)" in said
        assert "Next <bench>" in said
        assert f"{100 * found.to_learn:.0f} % is paces this shop does not know yet" in said
        assert 0 < found.to_learn < 1

    def test_before_any_plan_there_is_nothing_to_order_by(self, client):
        page = soup_of(client.get("/paces?sort=doubt"))
        assert page.select("[data-label=Doubt]") == []
        assert page.select("nav[aria-label=Order]") == []

    @pytest.mark.usefixtures("shop")
    def test_the_order_shown_is_marked(self, client):
        assert text_of(soup_of(client.get("/paces")).select_one("nav[aria-label=Order] [aria-current]")) == "stages"
        marked = soup_of(client.get("/paces?sort=doubt")).select_one("nav[aria-label=Order] [aria-current]")
        assert text_of(marked) == "doubt, the most first"

    @pytest.mark.usefixtures("shop")
    def test_an_order_nobody_knows_is_the_usual_one(self, client):
        assert client.get("/paces?sort=%3Cx%3E").text == client.get("/paces").text


class TestOverTheYears:
    def test_every_half_year_with_a_log_is_drawn_and_told(self, engine, client):
        for weeks in (4, 40, 100):
            delivered(engine, weeks_ago=weeks, times=1.5)
        page = soup_of(client.get("/paces"))
        with reading(engine) as session:
            levels = level(session, TODAY)
        entry = page.select_one("#over-the-years")
        assert len(entry.select_one(".points-wide").select(".level-band")) == len(levels)
        rows = [[text_of(cell) for cell in row.select("th, td")] for row in entry.select("tbody tr")]
        assert [row[0] for row in rows][:2] == ["2026, first half", "2025, first half"]
        assert [int(row[3]) for row in rows] == [one.logs for one in reversed(levels)]
        assert "over the book today" in text_of(entry)

    def test_a_level_that_rose_is_said_to_have_risen(self):
        seen = [
            LevelAt(date(2025, 1, 1), Spread(0.9, 1.0, 1.1), 3),
            LevelAt(date(2026, 1, 1), Spread(1.1, 1.2, 1.3), 4),
        ]
        view = level_view(seen)
        assert "is 20 % higher than at first" in view.said
        first, last = view.wide.steps
        assert first.middle > last.middle  # higher up is a smaller y
        assert view.wide.book == first.middle
        assert last.left > first.left + first.width  # the half-years between stay empty

    def test_one_half_year_alone_is_drawn_too(self):
        view = level_view([LevelAt(date(2026, 1, 1), Spread(0.5, 1.0, 2.0), 0)])
        assert len(view.narrow.steps) == 1
        assert "has hardly moved" in view.said


class TestBesideThePaces:
    def test_what_was_never_seen_stands_as_set(self, client):
        rows = soup_of(client.get("/paces")).select(".ratios tbody tr")
        assert len(rows) == len(WORDS)
        assert {text_of(row.select_one("[data-label=Middle]")) for row in rows} == {"as set"}
        assert {text_of(row.select_one(".badge")) for row in rows} == {"setting"}

    def test_what_the_logs_teach_is_told_with_what_it_rests_on(self, engine, client):
        for weeks in (4, 20):
            delivered(engine, weeks_ago=weeks)
        rows = {row.th.contents[0].strip(): row for row in soup_of(client.get("/paces")).select(".ratios tbody tr")}
        again = rows["Work done again"]
        assert text_of(again.select_one(".badge")) == "logs"
        assert text_of(again.select_one("[data-label=Projects]")) == "2"
        assert text_of(again.select_one("[data-label=Middle]")).startswith("−")

    def test_large_ratios_are_told_as_times(self):
        factor = Factor(3.0, 0.5, Spread(1.5, 3.0, 6.0), 4, 4, TODAY)
        line = RatioLine(Kind.WEEKS, "Weeks", "about", factor, "said", (), 0, ())
        assert (ratio_view([line])[0].middle, ratio_view([line])[0].span) == ("3.00×", "1.50 to 6.00×")


class TestBars:
    def test_half_and_twice_the_book_lie_alike(self):
        scale = scale_of([Spread(0.8, 1.0, 1.2)])
        middle = scale.x(1.0)
        assert middle == WIDTH / 2
        assert middle - scale.x(0.5) == pytest.approx(scale.x(2.0) - middle)

    def test_every_band_stays_inside_the_picture(self):
        ratios = [Spread(0.05, 0.1, 0.2), Spread(0.9, 1.0, 1.1), Spread(3.0, 5.0, 20.0)]
        scale = scale_of(ratios)
        for bar in map(scale.bar, ratios):
            assert bar.left >= 0
            assert bar.left + bar.width <= WIDTH
            assert bar.left <= bar.middle <= bar.left + bar.width

    def test_marks_are_the_doublings_on_the_scale(self):
        assert [mark.label for mark in scale_of([Spread(0.8, 1.0, 1.2)]).marks()] == ["½", "book", "2×"]
        assert [mark.label for mark in scale_of([Spread(0.2, 1.0, 4.5)]).marks()] == ["¼", "½", "book", "2×", "4×"]

    def test_every_bar_says_what_it_shows(self, client):
        for picture in soup_of(client.get("/paces")).select("td svg"):
            assert picture["role"] == "img"
            assert "eight times in ten" in picture["aria-label"]
