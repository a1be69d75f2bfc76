"""Who may ask for what: every route has a rule, every rule is tried.

routes.csv says of each route who may use it:
    anyone   the way in, and what makes it readable
    visitor  a browser that was let in; a change besides carries the mark of one of our pages
    device   a visitor whose browser has a device's token, which it sends in the place of that mark
"""

import csv
import re
from pathlib import Path

import pytest
from bs4 import BeautifulSoup
from journal.records.keeping.tally import differences, tally
from journal.web.access import guard
from journal.web.floor.device_routes import TOKEN_HEADER
from tests.attack.conftest import HOST, engine_of

TABLE = Path(__file__).with_name("routes.csv")
RULES = [tuple(row.values()) for row in csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines())]
CHANGES = [(address, who) for method, address, who in RULES if method == "POST"]
LOOKS = [(address, who) for method, address, who in RULES if method == "GET"]


def address_of(rule):
    """An address that the rule matches, whether or not there is anything at it."""
    chosen = re.sub(r"<any\((\w+).*?\):\w+>", r"\1", rule)
    chosen = re.sub(r"<digest:\w+>", "1" * 64, chosen)
    return re.sub(r"<[^>]+>", "1", chosen)


def held(app):
    with engine_of(app).connect() as connection:
        return tally(connection)


def test_every_route_has_a_rule_and_every_rule_a_route(app):
    routes = [(rule.rule, method) for rule in app.url_map.iter_rules() for method in rule.methods - {"HEAD", "OPTIONS"}]
    ruled = [(address, method) for method, address, _who in RULES]
    assert sorted(set(routes) - set(ruled)) == [], f"say in {TABLE.name} who may use these"
    assert sorted(set(ruled) - set(routes)) == [], f"these are gone; take them out of {TABLE.name}"
    assert len(ruled) == len(set(ruled))


def test_every_rule_is_tried_at_an_address_of_its_own(app):
    routes = app.url_map.bind("localhost")
    for method, address, _who in RULES:
        rule, _values = routes.match(address_of(address), method=method, return_rule=True)
        assert rule.rule == address or method in rule.methods


def test_every_rule_is_one_of_three_and_what_anyone_may_is_what_the_guard_leaves_open(app):
    assert {who for *_, who in RULES} == {"anyone", "visitor", "device"}
    open_to_all = {address for _method, address, who in RULES if who == "anyone"}
    assert open_to_all == {rule.rule for rule in app.url_map.iter_rules() if rule.endpoint in guard.OPEN}


def test_no_route_takes_any_other_way_of_asking(app):
    assert {method for rule in app.url_map.iter_rules() for method in rule.methods} == {
        "GET",
        "HEAD",
        "OPTIONS",
        "POST",
    }


def test_a_stranger_sees_nothing_but_the_way_in(stranger):
    seen = {}
    for address, who in LOOKS:
        asked = address_of(address)
        shown, scripted = stranger.get(asked), stranger.get(asked, headers={"Accept": "application/json"})
        if who == "anyone":
            right = shown.status_code in {200, 404}  # 404: no such file
        else:
            led = shown.status_code == 302 and shown.location.startswith("/access/sign-in?then=/")
            right = led and scripted.status_code == 401
        if not right:
            seen[address] = (shown.status_code, scripted.status_code)
    assert seen == {}


def test_a_stranger_changes_nothing(app, stranger):
    before, mark = held(app), marked(stranger, "/access/sign-in")  # a stranger can have a mark: it is no way in
    let_through = {}
    for address, who in CHANGES:
        answer = stranger.post(address_of(address), data={"csrf_token": mark})
        if answer.status_code != (422 if who == "anyone" else 401):
            let_through[address] = answer.status_code
    assert let_through == {}
    assert differences(before, held(app)) == ()


@pytest.mark.parametrize("body", [{}, {"csrf_token": ""}, {"csrf_token": "made up"}])
def test_no_change_without_the_mark_of_our_own_page(app, visitor, body):
    before = held(app)
    answers = {address: visitor.post(address_of(address), data=body) for address, who in CHANGES if who != "device"}
    assert {address: one.status_code for address, one in answers.items() if one.status_code != 400} == {}
    assert [address for address, one in answers.items() if "no longer valid" not in one.text] == []
    assert differences(before, held(app)) == ()


@pytest.mark.parametrize(
    "headers", [{"Origin": "https://elsewhere.example"}, {"Origin": "null"}, {"Sec-Fetch-Site": "cross-site"}]
)
def test_no_change_that_another_page_asks_for(app, visitor, headers):
    before, mark = held(app), marked(visitor, "/access/sign-in")
    asked = [address_of(address) for address, _who in CHANGES]
    answers = {address: visitor.post(address, data={"csrf_token": mark}, headers=headers) for address in asked}
    assert {address: one.status_code for address, one in answers.items() if one.status_code != 403} == {}
    assert differences(before, held(app)) == ()


@pytest.mark.parametrize("host", ["elsewhere.example", f"{HOST}.elsewhere.example", f"{HOST}@elsewhere.example"])
def test_nothing_answers_under_a_name_that_is_not_ours(visitor, host):
    answers = {address: visitor.get(address_of(address), headers={"Host": host}) for address, _who in LOOKS}
    assert {address: one.status_code for address, one in answers.items() if one.status_code != 400} == {}


def test_a_devices_token_alone_is_no_way_in(app, stranger, visitor):
    mark = marked(visitor, "/today")
    token = visitor.post("/floor/device", data={"csrf_token": mark, "uid": "a" * 32, "label": "phone"}).json["token"]
    tap = {"json": {"taps": []}, "headers": {TOKEN_HEADER: token}}
    before = held(app)
    assert stranger.post("/floor/taps", **tap).status_code == 401
    assert visitor.post("/floor/taps", json={"taps": []}).status_code == 401
    assert visitor.post("/floor/taps", json={"taps": []}, headers={TOKEN_HEADER: "guessed"}).status_code == 401
    assert differences(before, held(app)) == ()
    assert visitor.post("/floor/taps", **tap).status_code == 200


def test_looking_at_every_page_changes_nothing(app, lived_in_walk):
    before, found, after = lived_in_walk
    assert differences(before, after) == ()
    never = {rule.endpoint for rule in app.url_map.iter_rules() if "GET" in rule.methods} - set(found.pages)
    assert never == set(), "no link leads to these and lived_in.STARTS does not name them"


@pytest.fixture(scope="session")
def lived_in_walk(app, request):
    before = held(app)
    found = request.getfixturevalue("walked")
    return before, found, held(app)


def test_every_page_that_is_linked_is_there(walked):
    answers = {address: answer.status_code for pages in walked.pages.values() for address, answer in pages}
    assert {address: status for address, status in answers.items() if status not in {200, 302, 308}} == {}


def marked(browser, page):
    """The mark that a page puts into its forms."""
    return BeautifulSoup(browser.get(page).text, "html.parser").select_one("input[name=csrf_token]")["value"]
