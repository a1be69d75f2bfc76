"""Five ways through the journal, in a real browser, on a phone and at a table."""

from __future__ import annotations

import io
import re

import pytest
from click.testing import CliRunner
from journal.cli import main
from journal.records.engine import writing
from pypdf import PdfReader
from tests.desk import floor_shop
from tests.journeys.conftest import served
from tests.web.project_pages import LIST

pytestmark = pytest.mark.browser


def begins(someone, title):
    """An enquiry with its parts."""
    someone.opens("/projects/")
    someone.presses("Begin an enquiry")
    someone.fills("Title", title)
    someone.presses("Begin, and go on to its parts")
    someone.page.fill("#text", LIST)
    someone.presses("Take the list")
    someone.page.wait_for_selector("#label-1")


def test_first_run(visit, folder):
    with served(folder) as (address, _):
        someone = visit(address)
        someone.opens("/")
        someone.sees("Six questions, each with an answer to begin with.")
        someone.looks()
        someone.page.get_by_label("Lengths").select_option("metric")
        someone.page.get_by_label("Money").select_option("EUR")
        someone.fills("Hours a week at the bench", "32")
        someone.page.get_by_label("Band saw").uncheck()
        someone.presses("Save")
        someone.sees("Somebody asks for a bench")
        someone.looks()
        someone.presses("Try a design")
        someone.page.locator("[data-live-piece=price] dd").first.wait_for()
        assert "€" in someone.page.locator("[data-live-piece=price] dd").first.inner_text()
        assert someone.page.input_value("#p_length").endswith("mm")
        someone.looks()
        someone.opens("/shop/machines")
        assert someone.page.get_by_role("rowheader", name="Band saw").count() == 0
        someone.opens("/")
        assert someone.page.url.endswith("/today")


def test_enquiry_to_quote_on_paper(visit, folder):
    with served(folder) as (address, _):
        someone = visit(address)
        begins(someone, "Bench for a print room")
        someone.tab("Price")
        someone.sees("Price to ask")
        asked = someone.page.locator(".price-sums dd").first.inner_text()
        assert re.fullmatch(r"\$[\d,]+\.00", asked)
        someone.looks()
        someone.tab("Quote")
        someone.looks()
        someone.presses("Issue the quote")
        paper = someone.page.get_by_role("link", name="The paper, as PDF").first
        paper.wait_for()
        someone.looks()
        answer = someone.page.request.get(paper.get_attribute("href"))
        assert answer.headers["content-type"] == "application/pdf"
        words = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(answer.body())).pages)
        assert "Bench for a print room" in words
        assert asked in words


def test_a_day_on_the_floor(visit, folder):
    with served(folder, today=None) as (address, engine):  # taps bear real times
        with writing(engine) as session:
            floor_shop.in_build(session, title="Bench for a school")
            floor_shop.people(session, "bench 1")
        someone = visit(address)
        someone.opens("/today")
        someone.presses("Crosscut to rough length")
        someone.page.locator("[data-clock] .clock-count").wait_for()
        someone.looks()
        someone.presses("Stop")
        someone.page.locator("[data-clock]").wait_for(state="detached")
        someone.presses("Evening entry")
        box = someone.page.locator(".hours-box:visible").first
        stage = someone.page.locator(f"label[for='{box.get_attribute('id')}']").inner_text()
        box.fill("1:30")
        someone.looks()
        someone.presses("Save the day")
        someone.page.wait_for_url("**/evening?**")
        someone.opens("/projects/1/log")
        someone.sees("1 h 30 min")
        someone.sees(stage)
        someone.looks()


def test_a_job_is_closed(visit, folder):
    with served(folder) as (address, engine):
        with writing(engine) as session:
            floor_shop.in_build(session, title="Bench for a school")
        someone = visit(address)
        someone.opens("/projects/1/log")
        someone.presses("Delivered")
        someone.sees("Not done or not written down yet")
        someone.looks()
        someone.page.locator(".move[open] .form-end button").click()
        someone.page.locator(".project-facts .state", has_text="delivered").wait_for()
        someone.looks()
        someone.presses("Review and close")
        someone.looks()
        while (reasons := someone.page.get_by_label("Accept it as it is, because")).count():
            left = reasons.count()
            reasons.first.fill("as it is")
            someone.presses("Accept it")
            someone.page.wait_for_function(
                "left => document.querySelectorAll('.review-end form').length === left - 1", arg=left
            )
        someone.presses("Close the job")
        someone.page.locator(".project-facts .state", has_text="closed").wait_for()
        someone.looks()
        someone.opens("/projects/")
        someone.page.locator("tr", has_text="Bench for a school").locator(".state", has_text="closed").wait_for()
        someone.looks()


def test_a_backup_is_brought_back(visit, folder):
    with served(folder) as (address, _):
        someone = visit(address)
        begins(someone, "Kept before the mishap")
        someone.opens("/shop/backup")
        someone.presses("Back up now")
        someone.sees("opened again and is whole")
        someone.looks()
        someone.opens("/projects/1/edit")
        someone.fills("Title", "Written over by mistake")
        someone.page.locator("main .form-end button[type=submit]").click()
        someone.sees("Written over by mistake")
    (kept,) = (folder / "backups").glob("*.zip")
    restored = CliRunner().invoke(main, ["restore", str(kept), "--data", str(folder)], catch_exceptions=False)
    assert restored.exit_code == 0, restored.output
    with served(folder) as (address, _):
        someone = visit(address)
        someone.opens("/projects/")
        someone.sees("Kept before the mishap")
        assert someone.page.get_by_text("Written over by mistake").count() == 0
        someone.looks()
