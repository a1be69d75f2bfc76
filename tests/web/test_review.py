"""The page of a finished project."""

from dataclasses import replace
from datetime import date

import pytest
from journal.desk import closing, learnt
from journal.records.engine import reading, writing
from journal.records.queries import log
from journal.records.queries import projects as project_records
from journal.records.queries.shop import get_shop, save_shop
from journal.records.words import ProjectState
from journal.web.review.steps import Amount, draw
from tests.web.project_pages import NOW, TODAY, filled, form_at, open_shop, project, soup, statements, text


@pytest.fixture
def client(file_engine, tmp_path):
    return open_shop(file_engine, tmp_path)


@pytest.fixture
def done(file_engine, client):  # noqa: ARG001 - which sets the shop up
    """A delivered bench with two hours of milling logged."""
    made = project(file_engine)
    with writing(file_engine) as session:
        log.add_entry(session, log.EntryDraft(project_id=made, on_date=TODAY, seconds=7_200, stage="milling"), now=NOW)
        row = project_records.get_project(session, made)
        told = {
            "state": ProjectState.DELIVERED,
            "agreed_on": date(2026, 3, 1),
            "delivered_on": TODAY,
            "promised_on": date(2026, 3, 1),
            "agreed_price_cents": 400_000,
        }
        project_records.change_project(session, made, row.draft(**told), read_version=row.version, now=NOW)
    return made


def test_the_outcome_comes_first(client, done):
    page = soup(client.get(f"/projects/{done}/review"))
    said = text(page.select_one(".review-lead .notice"))
    assert said.startswith("It left $")
    assert "an hour" in said
    assert "delivered 1 day late" in said
    assert "since no quote was kept" in text(page.select_one(".review-lead"))


def test_the_table_adds_up(client, done):
    (found,) = [
        t for t in soup(client.get(f"/projects/{done}/review")).select("table") if "in numbers" in t.caption.text
    ]
    cells = [text(cell) for cell in found.select("tbody td")]
    amounts = [
        round(float(c.replace("$", "").replace(",", "").replace("−", "-").replace("+", "")) * 100) for c in cells
    ]
    assert sum(amounts[:-1]) == amounts[-1]
    assert len(amounts) > 3


def test_the_picture_says_the_same_in_words(client, done):
    for picture in soup(client.get(f"/projects/{done}/review")).select("svg.review-steps"):
        assert picture["aria-label"].startswith("From the profit expected to the profit made: Expected $")


def test_before_delivery_it_says_when_it_speaks(client, file_engine):
    page = soup(client.get(f"/projects/{project(file_engine)}/review"))
    assert "Once the job is delivered" in text(page.select_one(".empty"))


def test_a_finished_job_without_parts_shows_its_hours(client, file_engine):
    bare = project(file_engine, listed="")
    with writing(file_engine) as session:
        row = project_records.get_project(session, bare)
        changed = row.draft(state=ProjectState.CLOSED)
        project_records.change_project(session, bare, changed, read_version=row.version, now=NOW)
    answer = client.get(f"/projects/{bare}/review")
    assert answer.status_code == 200
    assert "nothing is known of what was promised" in answer.get_data(as_text=True)
    assert "nan" not in text(soup(answer).main).lower().split()


def test_unknown_projects_are_not_found(client):
    for path in ("", "/learnt", "/lessons"):
        assert client.get(f"/projects/99/review{path}").status_code == 404


def test_a_lesson_is_written_down_escaped_and_shown_on_the_next_job(client, file_engine, done):
    sent = form_at(client, f"/projects/{done}/review", "/lessons") | {"lesson": "<b>Dry it</b> longer"}
    assert client.post(f"/projects/{done}/review/lessons", data=sent).status_code == 303
    assert "&lt;b&gt;Dry it&lt;/b&gt; longer" in client.get(f"/projects/{done}/review").get_data(as_text=True)
    again = project(file_engine)
    assert "<b>Dry it</b> longer" in text(
        soup(client.get(f"/projects/{again}/review/lessons")).select_one("[data-piece]")
    )
    filled = [one["data-fill"] for one in soup(client.get(f"/projects/{again}/price")).select("[data-fill]")]
    assert f"/projects/{again}/review/lessons" in filled


def test_an_empty_lesson_comes_back(client, done):
    sent = form_at(client, f"/projects/{done}/review", "/lessons") | {"lesson": " "}
    answer = client.post(f"/projects/{done}/review/lessons", data=sent)
    assert answer.status_code == 422
    assert soup(answer).select_one("#lesson-error")


def test_loose_ends_are_accepted_one_by_one_and_then_it_closes(client, file_engine, done):
    while True:
        with reading(file_engine) as session:
            left = closing.closing(session, done, TODAY).open_ends
        if not left:
            break
        form = form_at_first(client, done)
        form[next(name for name in form if name.endswith("reason"))] = "left so"
        assert client.post(f"/projects/{done}/review/accept", data=form).status_code == 303
    sent = form_at(client, f"/projects/{done}/review", "/close")
    assert client.post(f"/projects/{done}/review/close", data=sent).status_code == 303
    with reading(file_engine) as session:
        assert project_records.get_project(session, done).state is ProjectState.CLOSED


def form_at_first(client, done):
    forms = [f for f in soup(client.get(f"/projects/{done}/review")).select("form") if f["action"].endswith("/accept")]
    return filled(forms[0])


def test_accepting_without_a_reason_comes_back_at_its_box(client, done):
    answer = client.post(f"/projects/{done}/review/accept", data=form_at_first(client, done))
    assert answer.status_code == 422
    assert len(soup(answer).select(".field--wrong")) == 1


def test_it_cannot_be_closed_over_loose_ends(client, file_engine, done):
    with reading(file_engine) as session:
        version = project_records.get_project(session, done).version
    token = form_at(client, f"/projects/{done}/review", "/lessons")["csrf_token"]
    sent = {"csrf_token": token, "version": version}
    answer = client.post(f"/projects/{done}/review/close", data=sent, follow_redirects=True)
    assert "Not closed" in answer.get_data(as_text=True)


def test_forms_of_other_sites_are_refused(client, done):
    assert client.post(f"/projects/{done}/review/lessons", data={"lesson": "x"}).status_code == 400


def test_what_it_teaches(client, file_engine, done):
    with reading(file_engine) as session:
        found = learnt.learnt(session, done, TODAY)
    assert found.counts
    milling = {one.code: one for one in found.paces}
    assert milling
    assert all(one.before.p50 != one.after.p50 for one in found.paces)
    piece = soup(client.get(f"/projects/{done}/review/learnt")).select_one("[data-piece]")
    assert found.paces[0].name in text(piece)


def test_statements_do_not_grow_with_the_log(client, file_engine, done):
    path = f"/projects/{done}/review"
    client.get(path)
    before = statements(file_engine, lambda: client.get(path))
    with writing(file_engine) as session:
        for _ in range(20):
            entry = log.EntryDraft(project_id=done, on_date=TODAY, seconds=60, operation="spread_glue")
            log.add_entry(session, entry, now=NOW)
    client.get(path)
    assert statements(file_engine, lambda: client.get(path)) == before


def test_bars_begin_where_the_last_one_ended():
    amounts = [Amount("a", 100, "", whole=True), Amount("b", -150, "", whole=False), Amount("c", -50, "", whole=True)]
    first, step, last = draw(amounts, 320.0).bars
    assert first.x + first.width == pytest.approx(step.x + step.width)
    assert step.x == last.x
    assert (first.kind, step.kind, last.kind) == ("whole", "less", "whole")
    assert last.to_next is None


def test_a_picture_of_nothing_has_bars_that_can_be_seen():
    for bar in draw([Amount("a", 0, "", whole=True)], 320.0).bars:
        assert bar.width > 0


def test_a_currency_without_cents(client, file_engine, done):
    with writing(file_engine) as session:
        row = get_shop(session)
        save_shop(session, replace(row, currency="JPY"))
    answer = client.get(f"/projects/{done}/review")
    assert answer.status_code == 200
    sums = text(soup(answer).select_one(".review-lead .notice"))
    assert "¥" in sums
    assert "." not in sums.rstrip(".")
