"""The frame of the pages: what guards a request, what every page looks like, what a refusal looks like."""

from __future__ import annotations

import re
import stat
from datetime import date
from pathlib import Path

import pytest
from bs4 import BeautifulSoup
from flask import Flask
from journal.errors import BadInput, BadRows, Conflict, JournalError, MissingReference, NoSolution, Problem
from journal.web import assets, config, create_app, nav
from journal.web.errors import page_for_room
from journal.web.security import CONTENT_SECURITY_POLICY, host_name
from journal.web.state import journal
from werkzeug.exceptions import NotFound

TEMPLATES = Path(nav.__file__).parent / "templates"


@pytest.fixture
def app(tmp_path):
    return create_app(data=tmp_path, testing=True, today=date(2026, 3, 2))


@pytest.fixture
def client(app):
    return app.test_client()


def soup_of(response):
    return BeautifulSoup(response.get_data(as_text=True), "html.parser")


def filled(client, **changes):
    """The specimen form, filled in, with the token the page gave."""
    token = soup_of(client.get("/patterns")).select_one("input[name=csrf_token]")["value"]
    return {
        "csrf_token": token,
        "client": "Riverside workshop",
        "length": "76 1/2",
        "benches": "2",
        "wage": "32",
        "margin": "20",
        "wood": "fir",
        **changes,
    }


class TestPage:
    def test_patterns_show_every_kind_of_piece(self, client):
        response = client.get("/patterns")
        assert response.status_code == 200
        page = soup_of(response)
        assert page.title.text.startswith("Patterns")
        pieces = (
            "table.table, details.working, .badge, svg.range-svg, form.form, .notice, .empty, .faults, .tabs, .scroll"
        )
        assert [piece for piece in pieces.split(", ") if not page.select(piece)] == []

    def test_patterns_use_every_macro_that_is_not_private(self):
        page = (TEMPLATES / "patterns.html").read_text(encoding="utf-8")
        macros = {
            name
            for path in (TEMPLATES / "macros").glob("*.html")
            for name in re.findall(r"{% macro ([a-z]\w*)\(", path.read_text(encoding="utf-8"))
        }
        assert macros
        assert {name for name in macros if not re.search(rf"\b{name}\(", page)} == set()

    def test_home_leads_to_the_first_page_there_is(self, app, client):
        with app.test_request_context("/"):
            first = nav.first_page()
        response = client.get("/")
        assert (response.status_code, response.location) == (302, first)

    def test_header_links_the_sections_that_are_there_and_no_other(self, app, client):
        there = [entry.label for entry in nav.SECTIONS if entry.endpoint in app.view_functions]
        assert [link.text for link in soup_of(client.get("/patterns")).select("header nav a")] == there

    def test_a_section_is_linked_and_current_once_it_is_there(self):
        bare = Flask("bare")
        bare.add_url_rule("/prices", "prices.index", lambda: "")
        with bare.test_request_context("/prices"):
            assert nav.sections() == (nav.Link("Prices", "/prices", current=True),)
        bare.add_url_rule("/projects/<int:project_id>/price", "projects.price", lambda: "")
        with bare.test_request_context("/projects/7/price"):
            assert nav.project_tabs(7) == (nav.Link("Price", "/projects/7/price", current=True),)
            assert [link.current for link in nav.sections()] == [False]

    def test_every_table_cell_has_a_row_and_every_number_its_column(self, client):
        for cell in soup_of(client.get("/patterns")).select("td"):
            assert cell["role"] == "cell"
            assert cell.has_attr("data-label")

    def test_every_box_has_a_label_and_what_describes_it_exists(self, client):
        response = client.post("/patterns", data=filled(client, length="about 76"))
        page = soup_of(response)
        boxes = page.select("form .box, form [type=checkbox]")
        assert len(boxes) == 13
        for box in boxes:
            assert page.select_one(f"label[for={box['id']}]").text.strip()
            for described in box.get("aria-describedby", "").split():
                assert page.find(id=described) is not None

    def test_ids_are_unique(self, client):
        ids = [tag["id"] for tag in soup_of(client.get("/patterns")).select("[id]")]
        assert len(ids) == len(set(ids))

    def test_nothing_is_inline_and_nothing_comes_from_outside(self, client):
        page = soup_of(client.get("/patterns"))
        assert page.select("[style], style, script:not([src])") == []
        assert [tag.attrs for tag in page.find_all(True) if any(name.startswith("on") for name in tag.attrs)] == []
        addresses = [tag.get("src") or tag.get("href") for tag in page.select("script, link, img")]
        assert addresses
        assert [address for address in addresses if not address.startswith("/static/")] == []

    def test_every_template_compiles(self, app):
        names = app.jinja_env.list_templates(extensions=["html"])
        assert len(names) > 8
        for name in names:
            app.jinja_env.get_template(name)


class TestHeaders:
    @pytest.mark.parametrize("path", ["/patterns", "/nowhere", "/static/css/base.css"])
    def test_every_answer_is_closed(self, client, path):
        with client.get(path) as response:
            headers = response.headers
        assert headers["Content-Security-Policy"] == CONTENT_SECURITY_POLICY
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["Referrer-Policy"] == "same-origin"

    def test_policy_allows_no_inline_code_and_no_stranger(self):
        assert "unsafe" not in CONTENT_SECURITY_POLICY
        assert "http" not in CONTENT_SECURITY_POLICY
        for rule in ("default-src 'self'", "frame-ancestors 'none'", "base-uri 'none'", "form-action 'self'"):
            assert rule in CONTENT_SECURITY_POLICY

    def test_cookie_is_closed_to_scripts_and_to_other_sites(self, client):
        cookie = client.get("/patterns").headers["Set-Cookie"]
        assert cookie.startswith("journal=")
        assert "HttpOnly" in cookie
        assert "SameSite=Lax" in cookie


class TestHost:
    @pytest.mark.parametrize("host", ["127.0.0.1", "localhost", "LOCALHOST:8080", "127.0.0.1:5000", "[::1]:5000"])
    def test_loopback_names_are_answered(self, client, host):
        assert client.get("/patterns", headers={"Host": host}).status_code == 200

    @pytest.mark.parametrize(
        "host", ["shop.example", "127.0.0.1.shop.example", "localhost@shop.example", "[::2]", "[", "", "a b"]
    )
    def test_any_other_name_is_refused_with_a_page(self, client, host):
        response = client.get("/patterns", headers={"Host": host})
        assert response.status_code == 400
        text = soup_of(response).select_one("main").text
        assert "Not an address of this journal" in text
        assert "127.0.0.1, localhost, [::1]" in text

    def test_a_configured_name_is_answered(self, tmp_path):
        settings = config.read(data=tmp_path, testing=True, secret=None, environ={"JOURNAL_HOSTS": "Bench.local"})
        assert settings.hosts == ("127.0.0.1", "localhost", "[::1]", "bench.local")

    def test_a_name_with_a_port_stops_the_start(self, tmp_path):
        with pytest.raises(BadInput, match="JOURNAL_HOSTS"):
            config.read(data=tmp_path, testing=True, secret=None, environ={"JOURNAL_HOSTS": "bench.local:80"})

    def test_the_port_and_the_case_do_not_matter(self):
        assert host_name("Bench.Local:8080") == "bench.local"
        assert host_name("[::1]:8080") == "[::1]"


class TestSecret:
    def test_key_is_made_once_and_only_the_owner_reads_it(self, tmp_path):
        first = create_app(data=tmp_path)
        path = tmp_path / "secret.key"
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
        assert create_app(data=tmp_path).config["SECRET_KEY"] == first.config["SECRET_KEY"]
        assert len(first.config["SECRET_KEY"]) >= 32

    def test_a_key_that_others_could_read_is_closed_again(self, tmp_path):
        create_app(data=tmp_path)
        (tmp_path / "secret.key").chmod(0o644)
        create_app(data=tmp_path)
        assert stat.S_IMODE((tmp_path / "secret.key").stat().st_mode) == 0o600

    @pytest.mark.parametrize("kept", ["", "short"])
    def test_a_spoiled_key_stops_the_start_with_the_way_out(self, tmp_path, kept):
        (tmp_path / "secret.key").write_text(kept, encoding="ascii")
        with pytest.raises(BadInput, match="delete the file and start again"):
            create_app(data=tmp_path)

    def test_two_shops_have_two_keys(self, tmp_path):
        assert config.stored_secret(tmp_path / "a") != config.stored_secret(tmp_path / "b")

    def test_today_is_the_one_given(self, app):
        with app.app_context():
            assert journal().today() == date(2026, 3, 2)


class TestForms:
    def test_a_good_form_is_taken_and_said(self, client):
        response = client.post("/patterns", data=filled(client), follow_redirects=True)
        assert response.status_code == 200
        assert soup_of(response).select_one("[role=status] .notice--good") is not None

    def test_a_refused_form_comes_back_as_it_was_filled_in(self, client):
        response = client.post("/patterns", data=filled(client, length="about 76", note="two\nlines"))
        assert response.status_code == 422
        page = soup_of(response)
        assert page.select_one("#length")["value"] == "about 76"
        assert page.select_one("#length")["aria-invalid"] == "true"
        assert "about 76" in page.select_one("#length-error").text
        assert page.select_one("#note").text.strip() == "two\nlines"
        assert page.select_one("#benches").get("aria-invalid") is None

    def test_a_form_without_our_mark_is_refused_with_a_page(self, client):
        response = client.post("/patterns", data=filled(client) | {"csrf_token": "made up"})
        assert response.status_code == 400
        assert "This form is no longer valid" in soup_of(response).select_one("h1").text

    def test_a_form_with_the_mark_of_another_visitor_is_refused(self, app, client):
        assert client.post("/patterns", data=filled(app.test_client())).status_code == 400

    def test_more_than_four_megabytes_are_refused_with_the_limit(self, client):
        response = client.post("/patterns", data=filled(client, note="x" * (4 * 1024 * 1024)))
        assert response.status_code == 413
        assert "4 MB" in soup_of(response).select_one("main").text

    def test_a_long_paste_under_the_limit_reaches_the_form(self, client):
        response = client.post("/patterns", data=filled(client, note="x" * (3 * 1024 * 1024)))
        assert response.status_code == 422
        assert "10,000 characters" in soup_of(response).select_one("#note-error").text


class TestErrors:
    @pytest.mark.parametrize(
        ("error", "status"),
        [
            (BadInput("length", "wide", "a length"), 422),
            (BadRows("parts.csv", [Problem(3, "qty", "no number")]), 422),
            (NoSolution("top", "no board is long enough"), 422),
            (MissingReference("wood", "oak", ["ash"]), 404),
            (Conflict("The part list", "reload it"), 409),
            (JournalError("stuck"), 400),
        ],
    )
    def test_each_error_of_the_rooms_has_its_status_and_page(self, app, client, error, status):
        def fail():
            raise error

        app.add_url_rule("/fails", "fails", fail)
        response = client.get("/fails")
        assert response.status_code == status
        page = soup_of(response)
        assert page.select_one("h1").text == page_for_room(error).title
        assert page.title.text.startswith(page_for_room(error).title)

    def test_every_bad_row_is_listed_with_its_place(self, app, client):
        problems = [Problem(3, "qty", "no number"), Problem(9, "", "empty")]

        def fail():
            raise BadRows("parts.csv", problems)

        app.add_url_rule("/fails", "fails", fail)
        listed = [item.get_text(" ", strip=True) for item in soup_of(client.get("/fails")).select(".faults li")]
        assert listed == ["Line 3, qty no number", "Line 9 empty"]

    def test_what_was_typed_cannot_become_markup(self, app, client):
        def fail():
            raise BadInput("length", "<script>alert(1)</script>", "a length")

        app.add_url_rule("/fails", "fails", fail)
        assert "<script>alert" not in client.get("/fails").get_data(as_text=True)

    def test_an_unknown_address_has_a_page(self, client):
        response = client.get("/nowhere")
        assert response.status_code == 404
        assert "No such page" in soup_of(response).select_one("h1").text

    def test_a_wrong_method_says_which_are_right(self, client):
        token = filled(client)["csrf_token"]
        response = client.delete("/patterns", headers={"X-CSRFToken": token})
        assert response.status_code == 405
        assert {"GET", "POST"} <= set(response.headers["Allow"].split(", "))
        assert soup_of(response).select_one("h1").text == "Not that way"

    def test_a_fault_of_ours_shows_no_inside(self, tmp_path):
        app = create_app(data=tmp_path)

        def fail():
            raise RuntimeError("the inside")

        app.add_url_rule("/fails", "fails", fail)
        response = app.test_client().get("/fails")
        assert response.status_code == 500
        assert "the inside" not in response.get_data(as_text=True)
        assert soup_of(response).select_one("h1").text == "The journal itself tripped"
        assert response.headers["Cache-Control"] == "no-store"

    def test_other_errors_of_the_transport_keep_their_name(self, app, client):
        def fail():
            raise NotFound("no part 7")

        app.add_url_rule("/fails", "fails", fail)
        assert client.get("/fails").status_code == 404


class TestAssets:
    def test_every_linked_file_is_there_and_kept_a_year(self, client):
        page = soup_of(client.get("/patterns"))
        addresses = [tag.get("src") or tag.get("href") for tag in page.select("script, link")]
        for address in addresses:
            with client.get(address) as response:
                assert response.status_code == 200, address
                assert response.headers["Cache-Control"] == "public, max-age=31536000, immutable"

    def test_another_version_is_not_kept(self, client):
        for address in ("/static/css/base.css", "/static/css/base.css?v=000000000000"):
            with client.get(address) as response:
                assert response.headers["Cache-Control"] == "no-cache"

    def test_a_missing_file_is_not_found(self, client):
        assert client.get("/static/css/nothing.css?v=None").status_code == 404
        assert assets.version("css/nothing.css") is None

    def test_version_follows_the_content(self, tmp_path, monkeypatch):
        monkeypatch.setattr(assets, "FOLDER", tmp_path)
        (tmp_path / "a.css").write_text("one", encoding="ascii")
        (tmp_path / "b.css").write_text("one", encoding="ascii")
        (tmp_path / "c.css").write_text("two", encoding="ascii")
        assert assets.version("a.css") == assets.version("b.css") != assets.version("c.css")
