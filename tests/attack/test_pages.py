"""What a page may carry, where it may lead, and what it lets a browser do: looked at on every page there is."""

import csv
import io
import re
from urllib.parse import quote

import pytest
from bs4 import BeautifulSoup
from journal.build.part_list import looks_like_formula
from journal.records.keeping.tally import differences
from journal.web.security import HEADERS
from tests.attack.conftest import HOST, stranger_to
from tests.attack.crawl import forms_of
from tests.attack.lived_in import OF_DESIGN
from tests.attack.test_routes import held, marked

ELSEWHERE = (
    "https://elsewhere.example/",
    "//elsewhere.example",
    "/\\elsewhere.example",
    "/\t/elsewhere.example",
    "\\\\elsewhere.example",
    "javascript:alert(1)",
    "/x\r\nSet-Cookie: a=b",
)
OUTSIDE = (
    "../journal.db",
    "..%2fjournal.db",
    "%2e%2e/%2e%2e/secret.key",
    "....//secret.key",
    "..\\secret.key",
    "..%5csecret.key",
    "/etc/passwd",
    "%2fetc%2fpasswd",
    "css/../../config.py",
    "css/%2e%2e/%2e%2e/config.py",
    "secret.key%00.css",
    "%c0%ae%c0%ae/secret.key",
)


@pytest.fixture(scope="module")
def html(walked):
    return {
        address: BeautifulSoup(answer.text, "html.parser")
        for pages in walked.pages.values()
        for address, answer in pages
        if answer.mimetype == "text/html" and answer.status_code == 200
    }


def test_the_policy_lets_nothing_run_that_stands_in_a_page():
    policy = dict(part.strip().split(" ", 1) for part in HEADERS["Content-Security-Policy"].split(";"))
    assert policy["script-src"] == policy["style-src"] == policy["default-src"] == "'self'"
    assert policy["frame-ancestors"] == policy["base-uri"] == "'none'"
    assert policy["form-action"] == "'self'"


def test_every_answer_carries_the_headers(walked):
    lacking = {
        (address, name)
        for pages in walked.pages.values()
        for address, answer in pages
        for name, value in HEADERS.items()
        if name not in answer.headers or (name != "Cache-Control" and answer.headers[name] != value)
    }
    assert lacking == set()


def test_no_page_has_a_script_or_a_style_in_it_or_asks_elsewhere_for_one(html):
    inline, foreign = [], []
    for address, page in html.items():
        inline += [(address, str(tag)[:80]) for tag in page.select("style, [style], script:not([src]), base, iframe")]
        inline += [(address, name) for tag in page.find_all(True) for name in tag.attrs if name.startswith("on")]
        named = [tag.get("href") or tag.get("src") for tag in page.select("link, script, img")]
        foreign += [(address, name) for name in named if not name.startswith(("/", "data:image/")) or name[:2] == "//"]
        foreign += [(address, form["action"]) for form in page.select("form[action^=http], form[action^='//']")]
    assert len(html) > 60
    assert (inline, foreign) == ([], [])


def test_every_form_that_changes_something_carries_the_mark(html):
    bare = [
        (address, form.get("action"))
        for address, page in html.items()
        for form in page.select("form[method=post]")
        if not form.select("input[name$=csrf_token][value]")
    ]
    assert bare == []


def test_a_link_away_tells_nobody_where_it_was(html):
    away = [
        (address, link["href"])
        for address, page in html.items()
        for link in page.select("a[href]")
        if not re.match(r"[/?#]|mailto:|[\w.-]+(\?|$)", link["href"]) or link["href"].startswith("//")
    ]
    assert away == []


@pytest.mark.parametrize("name", OUTSIDE)
def test_no_address_leads_out_of_its_folder(app, visitor, name):
    secret = app.config["SECRET_KEY"].encode()
    for folder in ("/static/", "/shop/backup/", "/paces/past-jobs/", "/designs/", "/photos/"):
        with visitor.get(folder + name) as answer:
            assert answer.status_code in {302, 308, 400, 404}
            assert secret not in answer.get_data()
            assert b"SQLite format" not in answer.get_data()
        assert_ours(answer)


@pytest.mark.parametrize("there", ELSEWHERE)
def test_nobody_is_sent_elsewhere(app, visitor, there):
    for form_of in ("/floor/who", "/floor/bench"):
        sent = {"csrf_token": marked(visitor, "/access/sign-in"), "who": "1", "label": "", "back": there}
        assert_ours(visitor.post(form_of, data=sent))
    assert_ours(visitor.get("/access/sign-in?then=" + quote(there)))
    assert_ours(stranger_to(app).get("/" + quote(there)))
    assert_ours(stranger_to(app).get("//elsewhere.example/" + quote(there)))


def assert_ours(answer):
    assert answer.status_code < 500
    assert "Set-Cookie: a" not in str(answer.headers)
    if answer.location:
        assert re.fullmatch(rf"(https://{re.escape(HOST)})?/([^/\\].*)?", answer.location), answer.location


def test_every_cookie_is_for_this_server_alone_and_closed_to_scripts(app):
    browser = stranger_to(app)
    given = browser.get("/access/sign-in").headers.getlist("Set-Cookie")
    given += browser.get("/access/pair").headers.getlist("Set-Cookie")
    assert given
    for cookie in given:
        assert {"Secure", "HttpOnly", "Path=/", "SameSite=Lax"} <= {part.strip() for part in cookie.split(";")}
        assert "Domain" not in cookie
        assert cookie.startswith("__Host-")


@pytest.mark.parametrize(
    "said", ["=1+1", "+1", "-1+1", "-2+3+cmd|' /C calc'!A0", "@SUM(A1)", "\t=1", "\r=1", '=HYPERLINK("http://x")']
)
@pytest.mark.parametrize("column", ["label", "note"])
def test_no_cell_of_a_part_list_is_a_formula_to_a_spreadsheet(visitor, said, column):
    page = f"/projects/{OF_DESIGN}/parts"
    shown = BeautifulSoup(visitor.get(page).text, "html.parser")
    form = next(one for one in forms_of(shown, page) if one.action == page)
    sent = form.sent | {f"{column}-{form.sent['row'][0]}": said}
    assert visitor.post(page, data=sent).status_code in {302, 422}
    cells = [cell for row in csv.reader(io.StringIO(visitor.get(f"{page}.csv").text)) for cell in row]
    assert len(cells) > 40
    assert [cell for cell in cells if cell[:1] in tuple("=+-@\t\r") and not re.fullmatch(r"-?[\d./ ]+", cell)] == []


def test_no_cell_of_any_table_taken_along_is_a_formula_to_a_spreadsheet(walked):
    tables = [(at, one.text) for pages in walked.pages.values() for at, one in pages if one.mimetype == "text/csv"]
    assert tables
    risky = [
        (at, cell)
        for at, text in tables
        for row in csv.reader(io.StringIO(text))
        for cell in row
        if looks_like_formula(cell)
    ]
    assert risky == []


@pytest.mark.parametrize("body", [{"label": "a\0b"}, {"label": ["a", "b\0"]}, {"la\0bel": "a"}])
def test_a_character_that_is_none_is_refused_wherever_it_stands(app, visitor, body):
    before, mark = held(app), marked(visitor, "/access/sign-in")
    assert visitor.post("/floor/bench", data={"csrf_token": mark} | body).status_code == 400
    assert differences(before, held(app)) == ()
    assert visitor.get("/projects/?words=a%00").status_code == 400
    assert visitor.get("/designs/a%00").status_code == 400
