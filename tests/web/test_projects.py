"""The list of projects; a project begun, a project changed."""

import pytest
from journal.desk import projects
from journal.records.engine import reading, writing
from journal.records.queries import projects as records
from journal.records.words import ProjectState
from tests import factories
from tests.web import project_pages as pages


@pytest.fixture
def client(file_engine, tmp_path):
    return pages.open_shop(file_engine, tmp_path)


def all_projects(engine):
    with reading(engine) as session:
        return list(projects.listed(session))


def put_in_state(engine, project_id, state):
    with writing(engine) as session:
        row = records.get_project(session, project_id)
        records.change_project(session, project_id, row.draft(state=state), read_version=row.version, now=pages.NOW)


class TestList:
    def test_an_empty_journal_says_how_to_begin(self, client):
        page = pages.soup(client.get("/projects/"))
        empty = page.select_one(".empty")
        assert empty.select_one("a.button")["href"] == "/projects/new"
        assert "journal demo" in empty.text

    def test_a_project_stands_with_its_numbers(self, client, file_engine):
        made = pages.project(file_engine, client_kind="print works", benches=2)
        with writing(file_engine) as session:
            factories.entry(session, project_id=made, seconds=5_400)
        (row,) = pages.soup(client.get("/projects/")).select("tbody tr")
        assert [pages.text(cell) for cell in row.select("th, td")] == [
            "26-001 Bench for a print room", "print works", "enquiry", "2", "2", "1.5 h",
        ]  # fmt: skip

    def test_what_is_in_the_shop_stands_before_enquiries_and_those_before_the_past(self, client, file_engine):
        states = (ProjectState.CANCELLED, ProjectState.CLOSED, ProjectState.ENQUIRY, ProjectState.IN_BUILD)
        for state in states:
            put_in_state(file_engine, pages.project(file_engine, listed="", title=state.value), state)
        page = pages.soup(client.get("/projects/"))
        assert [head.text for head in page.select(".entry h2")] == [
            "In the shop", "Enquiries", "Delivered", "Came to nothing",
        ]  # fmt: skip
        assert [pages.text(link).split()[-1] for link in page.select("tbody a")] == [
            "in_build", "enquiry", "closed", "cancelled",
        ]  # fmt: skip

    def test_a_long_past_is_shown_a_page_at_a_time_and_the_open_ones_stay(self, client, file_engine):
        building = pages.project(file_engine, listed="", title="being built")
        put_in_state(file_engine, building, ProjectState.IN_BUILD)
        with writing(file_engine) as session:
            for number in range(45):
                factories.project(session, code=f"19-{number:03d}", state=ProjectState.CLOSED)
        first = pages.soup(client.get("/projects/"))
        assert pages.text(first.select(".entry-note")[1]) == "45"
        assert len(first.select("tbody tr")) == 1 + 40
        second = pages.soup(client.get(first.select_one("a[rel=next]")["href"]))
        assert len(second.select("tbody tr")) == 1 + 5
        assert "19-004" in second.text
        assert "19-005" not in second.text
        assert second.select_one("a[rel=next]") is None
        back = pages.soup(client.get(second.select_one("a[rel=prev]")["href"]))
        assert pages.text(back.main) == pages.text(first.main)

    @pytest.mark.parametrize("asked", ["0", "-3", "99999", "two", ""])
    def test_a_page_that_is_not_there_is_the_nearest_that_is(self, client, file_engine, asked):
        pages.project(file_engine, listed="")
        answer = client.get(f"/projects/?asked={asked}")
        assert answer.status_code == 200
        assert len(pages.soup(answer).select("tbody tr")) == 1

    def test_words_find_projects_by_number_title_client_or_note(self, client, file_engine):
        pages.project(
            file_engine, listed="", title="Bench for a school", client_kind="school", note="oak, 100% if possible"
        )
        pages.project(file_engine, listed="", title="Outfeed table", client_kind="private")
        for words in ("school", "SCHOOL bench", "26-001", "100%", "oak"):
            (row,) = pages.soup(client.get("/projects/", query_string={"words": words})).select("tbody tr")
            assert "Bench for a school" in row.text, words
        nothing = pages.soup(client.get("/projects/?words=100%25x<b>"))
        assert nothing.select("tbody tr") == []
        assert "No project speaks of “100%x<b>”" in nothing.text
        assert nothing.select_one("input#words")["value"] == "100%x<b>"

    def test_every_state_has_a_place_in_the_list(self, client, file_engine):
        for state in ProjectState:
            put_in_state(file_engine, pages.project(file_engine, listed="", title=state.value), state)
        assert len(pages.soup(client.get("/projects/")).select("tbody tr")) == len(ProjectState)

    def test_a_project_with_parts_opens_at_its_price_and_one_without_at_its_parts(self, client, file_engine):
        priced, bare = pages.project(file_engine), pages.project(file_engine, listed="")
        links = [link["href"] for link in pages.soup(client.get("/projects/")).select("tbody a")]
        assert links == [f"/projects/{bare}/parts", f"/projects/{priced}/price"]

    def test_a_title_cannot_become_markup(self, client, file_engine):
        pages.project(file_engine, listed="", title="<script>alert(1)</script>")
        response = client.get("/projects/")
        assert "<script>alert" not in response.get_data(as_text=True)
        assert "<script>alert(1)</script>" in pages.soup(response).select_one("tbody").text

    def test_twenty_projects_take_no_more_statements_than_one(self, client, file_engine):
        pages.project(file_engine)
        one = pages.statements(file_engine, lambda: client.get("/projects/"))
        for _ in range(4):
            pages.project(file_engine)
        assert pages.statements(file_engine, lambda: client.get("/projects/")) == one


class TestBegin:
    def send(self, client, **changes):
        return client.post("/projects/new", data=pages.form_at(client, "/projects/new", "/new") | changes)

    def test_an_enquiry_is_begun_with_the_next_number(self, client, file_engine):
        response = self.send(
            client, title=" Low bench ", client_kind="school", benches="3", finish="shellac", note="a\nb"
        )
        (row,) = all_projects(file_engine)
        assert (response.status_code, response.location) == (302, f"/projects/{row.id}/parts")
        assert (row.code, row.title, row.client_kind, row.benches, row.state) == (
            "26-001", "Low bench", "school", 3, ProjectState.ENQUIRY,
        )  # fmt: skip
        assert (row.adhesive, row.finish, row.coats) == (None, "shellac", 3)
        assert "26-001" in pages.soup(client.get(response.location)).select_one("[role=status]").text

    def test_only_a_title_is_needed(self, client, file_engine):
        assert self.send(client, title="Bench").status_code == 302
        assert all_projects(file_engine)[0].benches == 1

    @pytest.mark.parametrize(
        ("box", "typed"),
        [
            ("title", "  "),
            ("title", "x" * 201),
            ("benches", "two"),
            ("benches", "0"),
            ("benches", "1001"),
            ("coats", "21"),
            ("client_kind", "x" * 61),
            ("adhesive", "chewing gum"),
        ],
    )
    def test_a_refused_form_comes_back_as_it_was_filled_in(self, client, file_engine, box, typed):
        response = self.send(client, **({"title": "Bench", "note": "kept"} | {box: typed}))
        assert response.status_code == 422
        page = pages.soup(response)
        assert page.select_one(f"#{box}-error").text.strip()
        assert page.select_one("#note").text.strip() == "kept"
        if box != "adhesive":
            assert page.select_one(f"#{box}")["value"] == typed.strip()
        assert all_projects(file_engine) == []

    def test_without_our_mark_nothing_is_begun(self, client, file_engine):
        assert client.post("/projects/new", data={"title": "Bench", "benches": "1"}).status_code == 400
        assert all_projects(file_engine) == []


class TestChange:
    def test_it_opens_as_it_is_and_unchanged_changes_nothing(self, client, file_engine):
        made = pages.project(file_engine, listed="", client_kind="café", benches=2, note="by June", coats=3)
        before = all_projects(file_engine)
        sent = pages.form_at(client, f"/projects/{made}/edit", "/edit")
        assert (sent["title"], sent["client_kind"], sent["benches"], sent["coats"]) == (
            "Bench for a print room", "café", "2", "3",
        )  # fmt: skip
        assert client.post(f"/projects/{made}/edit", data=sent).status_code == 302
        after = all_projects(file_engine)
        assert [row.draft() for row in after] == [row.draft() for row in before]

    def test_more_benches_are_kept_and_the_plan_follows(self, client, file_engine):
        made = pages.project(file_engine)
        sent = pages.form_at(client, f"/projects/{made}/edit", "/edit") | {"benches": "2"}
        client.post(f"/projects/{made}/edit", data=sent)
        assert all_projects(file_engine)[0].benches == 2
        assert [head.version for head in pages.history(file_engine, made)] == [2, 1]

    def test_a_change_made_meanwhile_is_told_and_nothing_typed_is_lost(self, client, file_engine):
        made = pages.project(file_engine, listed="")
        sent = pages.form_at(client, f"/projects/{made}/edit", "/edit")
        client.post(f"/projects/{made}/edit", data=sent | {"title": "First tab"})
        response = client.post(f"/projects/{made}/edit", data=sent | {"title": "Second tab"})
        assert response.status_code == 409
        page = pages.soup(response)
        assert page.select_one("#title")["value"] == "Second tab"
        assert all_projects(file_engine)[0].title == "First tab"
        again = pages.filled(page.select_one("form[action$='/edit']"))
        assert client.post(f"/projects/{made}/edit", data=again).status_code == 302
        assert all_projects(file_engine)[0].title == "Second tab"

    def test_a_form_that_lost_its_version_is_told_of_a_conflict(self, client, file_engine):
        made = pages.project(file_engine, listed="")
        sent = pages.form_at(client, f"/projects/{made}/edit", "/edit")
        assert client.post(f"/projects/{made}/edit", data=sent | {"version": "x"}).status_code == 409

    @pytest.mark.parametrize("path", ["edit", "parts", "parts.csv", "price", "price/kept/1"])
    def test_a_project_that_is_not_there_is_not_found(self, client, path):
        assert client.get(f"/projects/77/{path}").status_code == 404
