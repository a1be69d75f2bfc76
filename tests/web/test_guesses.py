"""How well the paces would have guessed, on the page: verdict, rivals, every project, and a shop too big to wait for."""

from dataclasses import replace
from datetime import date
from threading import Event

import pytest
from bs4 import BeautifulSoup
from journal.desk import backtest as desk
from journal.desk.backtest_walks import Standing, Walks
from journal.pace.backtest import AVERAGE, BOOK, LAST, Comparison, Guess, LeftOut, judge, walk
from journal.records.engine import reading, writing
from journal.records.words import ProjectState
from journal.web import create_app
from journal.web.paces import guess_routes
from journal.web.paces.guess_page import guess_page
from tests import factories
from tests.web.project_pages import soup, text
from tests.web.shared_app import client_of

TODAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def client(demo_engine):
    return create_app(engine=demo_engine, testing=True, today=TODAY).test_client()


@pytest.fixture(scope="module")
def through(demo_engine, client):
    """The back-test of the demo shop; the time it takes is not the page's business."""
    with client.application.app_context(), reading(demo_engine) as session:
        return guess_routes.walks().look(desk.finished(session, TODAY), wait_seconds=120).found


@pytest.fixture(scope="module")
def page(client, through):
    """The page once it is through."""
    assert through.paces is not None
    answer = client.get("/paces/guesses")
    assert answer.status_code == 200
    return soup(answer)


def rows(page, caption):
    table = next(table for table in page.select("table") if caption in text(table.caption))
    return [[text(cell) for cell in row.select("th, td")] for row in table.select("tbody tr")]


def test_the_verdict_comes_first_and_says_by_how_much(page, through):
    verdict = text(page.select_one(".notice--good"))
    paces, *rivals = through.table
    best = min(rivals, key=lambda one: one.crps_share)
    assert verdict.startswith(f"Over {paces.projects} projects, these paces beat all three rivals")
    assert f"{round(100 * (1 - paces.crps_share / best.crps_share))} % nearer than the best of them" in verdict


def test_every_sentence_of_the_result_is_on_the_page(page, through):
    assert [text(item) for item in page.select(".spreads li")] == list(through.said)


def test_the_rivals_stand_beside_the_paces(page, through):
    found = rows(page, "beside three plain ways")
    assert [row[0] for row in found] == ["These paces", "Starting book", "Last similar project", "Plain average"]
    assert [row[3] for row in found] == [f"{score.crps_share:.3f}" for score in through.table]
    assert [row[5] for row in found] == [f"{round(100 * dict(through.table[0].held)[80])} %", "–", "–", "–"]


def test_every_project_has_its_row_the_newest_first(page, through):
    found = rows(page, "Each project")
    assert [row[0].split()[0] for row in found] == [guess.code for guess in through.guesses[::-1]]
    newest = through.guesses[-1]
    assert found[0][4] == f"{newest.actual_minutes / 60:.0f}"
    assert f"{newest.known} known" in found[0][0]
    assert found[-1][6:] == [f"{through.guesses[0].rivals[BOOK] / 60:.0f}", "–", "–"]


def test_a_dot_is_hollow_just_where_the_range_missed(page, through):
    drawn = [bool(row.select(".guess-took--outside")) for row in page.select(".guesses tbody tr")]
    missed = [not one.minutes[10] <= one.actual_minutes <= one.minutes[90] for one in through.guesses[::-1]]
    assert drawn == missed
    assert any(missed)


def test_the_bars_say_what_they_show(page, through):
    said = page.select_one(".guesses .pace-bar")["aria-label"]
    assert f"took {through.guesses[-1].actual_minutes / 60:.1f} h" in said


def test_the_paces_page_leads_here(client):
    links = {link["href"] for link in soup(client.get("/paces")).select("a")}
    assert "/paces/guesses" in links


def guess(place, actual, rivals, *, middle=100.0, as_built=False):
    shares = {5: 0.6, 10: 0.7, 25: 0.85, 50: 1.0, 75: 1.2, 90: 1.5, 95: 1.7}
    minutes = {share: middle * times for share, times in shares.items()}
    return Guess(f"p{place}", f"p{place}", date(2025, 1, 1), place, minutes, actual, 0.5, 20.0, rivals, as_built)


def standing(guesses, *, running=False, left_out=(), of=None):
    of = len(guesses) if of is None else of
    return Standing(judge(guesses, left_out), len(guesses), of, running, failed=False)


def test_a_rival_that_wins_is_said_to_win():
    guesses = [guess(place, 200.0, {BOOK: 150.0, LAST: 200.0, AVERAGE: 400.0}) for place in range(6)]
    page = guess_page(standing(guesses), whole=False)
    said, good = page.verdict
    assert not good
    assert (
        said
        == "Over 6 projects, the starting book and the last similar project beat these paces on this shop’s own past."
    )
    assert len(page.beaten) == 2
    assert all("wins here" in sentence for sentence in page.beaten)


def test_while_it_runs_the_rivals_are_not_judged_yet():
    guesses = [guess(place, 200.0, {BOOK: 150.0, LAST: 200.0, AVERAGE: 400.0}) for place in range(6)]
    page = guess_page(standing(guesses, running=True, of=40), whole=False)
    assert (page.verdict, page.table, page.beaten, page.ahead) == (None, (), (), ())
    assert (page.running.done, page.running.of) == (6, 40)
    assert len(page.lines) == 6


def test_only_the_newest_are_shown_until_the_rest_is_asked_for():
    guesses = [guess(place, 100.0, {BOOK: 90.0}) for place in range(50)]
    few, whole = (guess_page(standing(guesses), whole=flag) for flag in (False, True))
    assert (len(few.lines), few.more, len(whole.lines), whole.more) == (40, 10, 50, 0)
    assert few.lines[0].code == "p49"


def test_a_comparison_always_has_its_sentence():
    guesses = [guess(place, 120.0, {BOOK: 90.0, LAST: 100.0, AVERAGE: 130.0}) for place in range(3)]
    page = guess_page(standing(guesses), whole=False)
    comparisons = judge(guesses).comparisons
    assert len(page.beaten) + len(page.ahead) == len(comparisons) == 3
    assert all(isinstance(one, Comparison) for one in comparisons)


@pytest.fixture
def own(file_engine):
    return client_of(file_engine, today=TODAY)


def test_a_shop_without_a_finished_project_is_told_when_there_will_be_guesses(own):
    page = soup(own.get("/paces/guesses"))
    assert "No finished project to guess yet" in text(page.select_one(".empty"))
    assert page.select("table") == []


def test_what_cannot_be_tested_is_listed_with_the_reason(file_engine, own):
    with writing(file_engine) as session:
        row = factories.project(session, state=ProjectState.CLOSED, title="<b>odd</b>")
        factories.plan(session, row.id, operations=[])
    page = soup(own.get("/paces/guesses"))
    (line,) = page.select(".faults li")
    assert text(line).startswith(row.code)


def test_titles_are_shown_as_text(own, monkeypatch):
    odd = replace(guess(1, 100.0, {BOOK: 90.0}), title="<b>x</b>")
    monkeypatch.setattr(guess_routes, "_look", lambda _seconds: standing([odd]))
    answer = own.get("/paces/guesses")
    assert "<b>x</b>" not in answer.text
    assert "&lt;b&gt;x&lt;/b&gt;" in answer.text


def test_the_page_does_not_wait_and_asks_again(demo_engine):
    """A walk that never gets anywhere: the page comes all the same, with what there is and how far it is."""
    app = create_app(engine=demo_engine, testing=True, today=TODAY)
    gate = Event()

    def slow(past, book):
        yield next(iter(walk(past, book)))
        gate.wait(60)

    app.extensions[guess_routes.KEY] = Walks(slow)
    client = app.test_client()
    try:
        page = soup(client.get("/paces/guesses"))
        poll = page.select_one("[data-poll]")
        assert poll["data-poll"] == "/paces/guesses/so-far"
        assert poll.select_one("[data-running] progress")["max"] == "18"
        assert BeautifulSoup(client.get("/paces/guesses/so-far").text, "html.parser").select("[data-running]")
    finally:
        gate.set()
    with reading(demo_engine) as session:
        app.extensions[guess_routes.KEY].look(desk.finished(session, TODAY), wait_seconds=30)
    assert "data-running" not in client.get("/paces/guesses/so-far").text


def test_it_can_be_stopped_shows_what_there_is_and_begins_anew(demo_engine):
    app = create_app(engine=demo_engine, testing=True, today=TODAY)
    gate, begun = Event(), []

    def slow(past, book):
        begun.append(len(past))
        yield next(iter(walk(past, book)))
        gate.wait(60)
        yield from []

    app.extensions[guess_routes.KEY] = Walks(slow)
    client = app.test_client()
    try:
        page = soup(client.get("/paces/guesses"))
        stop = page.select_one("[data-running] form")
        sent = {"csrf_token": stop.select_one("[name=csrf_token]")["value"]}
        assert client.post(stop["action"], data=sent).status_code == 302
        page = soup(client.get("/paces/guesses"))
        assert not page.select("[data-running]")
        assert "of 18 projects, the oldest first" in page.get_text(" ", strip=True)
        again = page.select_one("form[action$=again]")
        assert client.post(again["action"], data=sent).status_code == 302
        assert soup(client.get("/paces/guesses")).select("[data-running]")
        assert begun == [18, 18]
    finally:
        gate.set()


def test_jobs_guessed_at_their_quantities_as_built_are_said_to_be():
    page = guess_page(
        standing([guess(0, 100.0, {BOOK: 90.0}, as_built=True)], left_out=(LeftOut("x", "why"),)), whole=False
    )
    assert (page.built, page.lines[0].as_built, page.left_out) == (1, True, (LeftOut("x", "why"),))
