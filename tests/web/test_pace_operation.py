"""The page of one operation: points over time that lead to their entries, and setting an entry aside."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal import reference
from journal.desk import paces
from journal.records.engine import reading, writing
from journal.records.queries import log
from journal.records.queries.plans import OperationRow
from journal.records.words import ProjectState
from journal.web.paces.operation_page import NEWEST
from journal.web.paces.points import Scale, Seen, day_ticks, draw, pace_ticks
from journal.working import Spread
from tests import factories
from tests.web.project_pages import TODAY, filled, soup, statements, text
from tests.web.shared_app import client_of


@pytest.fixture
def client(file_engine):
    return client_of(file_engine, today=TODAY)


def delivered(engine, minutes=200, *, weeks_ago=4, operations=("sand",), **given):
    """A finished project with one entry."""
    with writing(engine) as session:
        row = factories.project(session, title="Bench", state=ProjectState.DELIVERED)
        factories.plan(session, row.id, operations=[OperationRow(code, 100.0, 1) for code in operations])
        on = TODAY - timedelta(weeks=weeks_ago)
        entry = factories.entry(
            session, project_id=row.id, seconds=60 * minutes, on_date=on, **{"operation": "sand"} | given
        )
    return row, entry


def aside_form(page, entry):
    (form,) = [form for form in page.select("form") if form["action"].endswith(f"/entries/{entry.id}/aside")]
    return form


def aside(client, entry, reason="flu"):
    form = aside_form(soup(client.get("/paces/sand")), entry)
    return client.post(form["action"], data=filled(form) | {"reason": reason})


class TestThePage:
    def test_every_operation_of_the_book_has_one_before_any_log(self, client):
        for code, operation in reference.operations().items():
            page = soup(client.get(f"/paces/{code}"))
            assert page.select_one("h1").text == operation.name
            assert "No log speaks of it yet" in text(page.select_one(".empty"))
            assert page.select(".points") == []

    def test_an_unknown_operation_is_not_found(self, client):
        assert client.get("/paces/yodel").status_code == 404

    def test_the_paces_lead_to_it(self, client):
        links = {link["href"] for link in soup(client.get("/paces")).select(".paces th a")}
        assert links == {f"/paces/{code}" for code in paces.book()}

    def test_it_says_the_pace_the_range_the_book_how_many_and_how_recent(self, file_engine, client):
        delivered(file_engine)
        page = soup(client.get("/paces/sand"))
        sums = {row.dt.text: text(row.dd) for row in page.select(".sums > div")}
        assert sums["The starting book"] == "1.6 min"
        assert set(sums) == {"Takes, a ft² and grit", "Eight times in ten", "The starting book"}
        assert "Learned from 1 log of its own, the newest of 2 Feb 2026" in text(page.select_one(".paces-lead"))

    def test_each_point_leads_to_its_entries(self, file_engine, client):
        rows = [delivered(file_engine, weeks_ago=ago)[0] for ago in (4, 40, 90)]
        page = soup(client.get("/paces/sand"))
        for picture in page.select(".points-svg"):
            links = picture.select("a")
            assert {link["href"] for link in links} == {f"#own-{row.id}" for row in rows}
            for link in links:
                assert page.select_one(link["href"]) is not None
                assert "a ft² and grit" in link["aria-label"]

    def test_points_of_projects_further_down_lead_to_the_whole_page(self, file_engine, client):
        rows = [delivered(file_engine, weeks_ago=ago)[0] for ago in range(4, 4 + NEWEST + 2)]
        page = soup(client.get("/paces/sand"))
        assert len(page.select(".behind-job")) == NEWEST
        links = {link["href"] for link in page.select(".points-wide a")}
        assert f"/paces/sand?show=all#own-{rows[-1].id}" in links
        assert "2 older projects" in text(page)
        assert len(soup(client.get("/paces/sand?show=all")).select(".behind-job")) == NEWEST + 2

    def test_a_stage_a_project_and_one_set_aside_are_told_apart_without_colour(self, file_engine, client):
        delivered(file_engine)
        delivered(file_engine, operation=None, stage="finishing", operations=("sand", "wax"))
        _, entry = delivered(file_engine)
        aside(client, entry)
        page = soup(client.get("/paces/sand"))
        wide = page.select_one(".points-wide")
        assert (len(wide.select(".points-own")), len(wide.select(".points-stage"))) == (1, 1)
        assert len(wide.select("path.points-aside")) == 1
        endings = {link["aria-label"].rpartition(", ")[2] for link in wide.select("a")}
        assert {"set aside", "logged with its whole stage"} <= endings
        assert "of the stage" in text(page.select_one(".behind"))

    def test_more_entries_take_no_more_statements(self, file_engine, client):
        delivered(file_engine)
        few = statements(file_engine, lambda: client.get("/paces/sand"))
        for ago in range(5, 12):
            _, entry = delivered(file_engine, weeks_ago=ago)
        assert statements(file_engine, lambda: client.get("/paces/sand")) <= few
        aside(client, entry)
        assert statements(file_engine, lambda: client.get("/paces/sand")) <= few

    def test_markup_in_notes_and_reasons_stays_text(self, file_engine, client):
        evil = "<script>alert(1)</script>"
        _, entry = delivered(file_engine, note=evil)
        aside(client, entry, evil)
        page = soup(client.get("/paces/sand"))
        assert all("alert" not in (script.string or "") for script in page.select("script"))
        assert text(page.select_one(f"#entry-{entry.id}")).count(evil) == 3


class TestSettingAside:
    def test_an_entry_is_set_aside_with_a_reason_and_its_history_shown(self, file_engine, client):
        _, entry = delivered(file_engine)
        answer = aside(client, entry, "learned a new plane")
        assert answer.location.endswith(f"/paces/sand#entry-{entry.id}")
        page = soup(client.get("/paces/sand"))
        line = text(page.select_one(f"#entry-{entry.id}"))
        assert "set aside: learned a new plane" in line
        assert "Changed once 2 Mar 2026 set aside: learned a new plane" in line
        with reading(file_engine) as session:
            assert [one.set_aside_reason for one in log.entries(session)] == ["learned a new plane"]
            assert [one.why for one in log.changes_of(session, entry.id)] == ["learned a new plane"]

    def test_and_learned_from_again(self, file_engine, client):
        _, entry = delivered(file_engine)
        before = text(soup(client.get("/paces/sand")).select_one(".sums"))
        aside(client, entry)
        page = soup(client.get("/paces/sand"))
        assert text(page.select_one(".sums")) != before
        (form,) = [form for form in page.select("form") if form["action"].endswith("/restore")]
        client.post(form["action"], data=filled(form))
        page = soup(client.get("/paces/sand"))
        assert text(page.select_one(".sums")) == before
        assert "Changed 2 times" in text(page.select_one(f"#entry-{entry.id}"))

    def test_without_a_reason_the_form_comes_back_open_with_the_error_at_its_box(self, file_engine, client):
        _, entry = delivered(file_engine)
        answer = aside(client, entry, "  ")
        assert answer.status_code == 422
        line = soup(answer).select_one(f"#entry-{entry.id}")
        assert line.select_one("details")["open"] is not None
        assert "Fill this in" in text(line.select_one(f"#reason-{entry.id}-error"))
        with reading(file_engine) as session:
            assert log.changes_of(session, entry.id) == ()

    def test_too_long_a_reason_comes_back_as_it_was_typed(self, file_engine, client):
        _, entry = delivered(file_engine)
        answer = aside(client, entry, "x" * 600)
        assert answer.status_code == 422
        assert soup(answer).select_one(f"#reason-{entry.id}")["value"] == "x" * 600

    def test_what_another_tab_did_first_is_a_conflict(self, file_engine, client):
        _, entry = delivered(file_engine)
        form = aside_form(soup(client.get("/paces/sand")), entry)
        aside(client, entry)
        assert client.post(form["action"], data=filled(form) | {"reason": "again"}).status_code == 409

    def test_an_entry_that_is_not_there_is_not_found(self, file_engine, client):
        _, entry = delivered(file_engine)
        form = aside_form(soup(client.get("/paces/sand")), entry)
        assert client.post("/paces/sand/entries/999/aside", data=filled(form) | {"reason": "x"}).status_code == 404
        assert client.post("/paces/sand/entries/999/restore", data=filled(form)).status_code == 404

    def test_forms_of_other_pages_are_refused(self, file_engine, client):
        _, entry = delivered(file_engine)
        assert client.post(f"/paces/sand/entries/{entry.id}/aside", data={"reason": "x"}).status_code == 400
        assert client.post(f"/paces/sand/entries/{entry.id}/restore").status_code == 400

    def test_work_done_again_has_nothing_to_set_aside(self, file_engine, client):
        _, entry = delivered(file_engine, rework=True)
        line = soup(client.get("/paces/sand")).select_one(f"#entry-{entry.id}")
        assert "done again" in text(line)
        assert line.select("form") == []


minutes = st.floats(0.001, 10_000)
days = st.dates(date(2005, 1, 1), TODAY)


class TestGeometry:
    @given(st.lists(st.tuples(days, minutes), min_size=1, max_size=30), minutes, minutes)
    def test_everything_lies_inside_the_picture_later_to_the_right_slower_above(self, logged, low, book):
        seen = [Seen(on, value, "own", "#", "") for on, value in logged]
        scale = Scale(Spread(low, low * 1.2, low * 1.5), book, TODAY)
        picture = draw(seen, scale, "{:.3g} min".format, width=328, height=260)
        assert len(picture.points) == len(seen)
        for point in picture.points:
            assert picture.left <= point.x <= picture.right
            assert 0 <= point.y <= picture.base
        for y in (picture.band_top, picture.band_top + picture.band_height, picture.middle, picture.book):
            assert 0 <= y <= picture.base
        for one, other in zip(picture.points, picture.points[1:], strict=False):
            if one.seen.on < other.seen.on:
                assert one.x <= other.x
            if one.seen.minutes < other.seen.minutes:
                assert one.y >= other.y

    @given(minutes, st.floats(2, 1e4))
    def test_a_scale_has_labels_enough_and_not_too_many(self, low, times):
        ticks = pace_ticks(low, low * times)
        assert 3 <= len(ticks) <= 12
        assert all(low <= tick <= low * times for tick in ticks)
        assert list(ticks) == sorted(ticks)

    @given(days, days, st.integers(2, 8))
    def test_days_are_labelled_in_order_and_no_more_than_fit(self, one, other, most):
        first, last = sorted((one, other))
        ticks = day_ticks(first, last, most)
        assert len(ticks) <= most + 1
        assert all(first <= on <= last for on, _ in ticks)
        assert len({label for _, label in ticks}) == len(ticks)
