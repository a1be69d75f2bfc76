"""Every form that changes something, filled in with harm: never a fault of the program, never half a change.

JOURNAL_FUZZ_EXAMPLES says how often; `make fuzz` tries some thirty times as often as `make test`.
"""

from __future__ import annotations

import os
from urllib.parse import quote_plus, unquote_to_bytes

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from journal.records.keeping.tally import differences
from tests.attack import words
from tests.attack.conftest import let_in
from tests.attack.crawl import Form, endpoint_of
from tests.attack.test_routes import held, marked

EXAMPLES = int(os.environ.get("JOURNAL_FUZZ_EXAMPLES", "60"))
FUZZ = settings(
    max_examples=EXAMPLES,
    deadline=None,
    database=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
REFUSED = range(400, 500)
# Changes no form stands for in this journal, because a script sends them or there is nothing left to press: by hand.
BY_HAND = {
    "access.pair_use": ("/access/pair", "code label"),
    "access.sign_in_try": ("/access/sign-in", "phrase label then"),
    "access.sign_out": ("/access/sign-out", "then"),
    "buying.buy_draw": ("/projects/19/buy/draw", "numbers"),
    "buying.buy_fresh": ("/projects/19/buy/fresh", "stock"),
    "buying.buy_stop": ("/projects/19/buy/stop", "stock"),
    "designs.check": ("/designs/check", "text version"),
    "floor.device": ("/floor/device", "uid label"),
    "floor.seen": ("/floor/seen/1", "back"),
    "gluing.correct": ("/projects/glue-clock/1", "temperature glue strips spread assembly clamps"),
    "gluing.told": ("/projects/glue-clock/1/strip", "do"),
    "paces.guesses_again": ("/paces/guesses/again", "then"),
    "paces.guesses_stop": ("/paces/guesses/stop", "then"),
    "paces.missing_say": ("/paces/missing/19/cut_lap", "quantity setups"),
    "paces.operation_restore": ("/paces/cut_lap/entries/1/restore", "reason"),
    "paces.own_remove": ("/paces/own/own_sanding/remove", "version"),
    "paces.past_jobs_choose": ("/paces/past-jobs/none", "do column-0 order"),
    "paces.past_jobs_undo": ("/paces/past-jobs/1/undo", "reason"),
    "plan.show_edit_again": ("/projects/19/plan/edits/1/again", "version"),
    "plan.show_reading_again": ("/projects/19/plan/readings/1/again", "version"),
    "prices.take_back": ("/prices/1/take-back", "price version"),
    "review.show_aside": ("/projects/1/review/aside", "what reason"),
    "review.show_close": ("/projects/19/review/close", "version"),
    "review.show_forget": ("/projects/1/review/lessons/1/forget", "version"),
    "review.show_restore": ("/projects/1/review/restore", "what reason"),
    "shop.take_usual_machines": ("/shop/machines/usual", "version"),
    "welcome.answer": ("/welcome", "system currency hours clamps machines"),
    "welcome.skip": ("/welcome/skip", "version"),
}
# These begin work that goes on after the answer, or take a second each; they are tried once with everything wrong.
SLOW = {"buying.buy_search", "shop.backup_make"}
MARKED = ("csrf_token", "-csrf_token")


@pytest.fixture(scope="module")
def forms(walked, visitor):
    mark = {"csrf_token": marked(visitor, "/access/sign-in")}
    by_hand = {
        endpoint: [Form("", address, mark | dict.fromkeys(names.split(), ""), ())]
        for endpoint, (address, names) in BY_HAND.items()
    }
    return by_hand | {endpoint: forms for endpoint, forms in walked.forms.items() if forms}


def test_every_change_has_a_form_that_is_tried(app, forms):
    posts = {rule.endpoint for rule in app.url_map.iter_rules() if "POST" in rule.methods}
    untried = posts - set(forms) - {"floor.take_taps"}  # JSON; see test_parsers
    assert untried == set(), "no page has a form for these and BY_HAND does not name them"
    for endpoint, (address, _names) in BY_HAND.items():
        assert endpoint_of(app, address, "POST") == endpoint


@FUZZ
@given(data=st.data())
def test_nothing_typed_trips_the_journal(app, visitor, forms, data):
    endpoint = data.draw(st.sampled_from(sorted(set(forms) - SLOW)))
    form = data.draw(st.sampled_from(forms[endpoint]))
    try_with(app, visitor, form, data)
    if endpoint.startswith("access."):  # it may have shut itself out, and all that is tried later with it
        let_in(app, visitor)


@pytest.mark.parametrize("endpoint", sorted(SLOW))
def test_what_takes_long_refuses_what_it_cannot_read(app, visitor, forms, endpoint):
    before = held(app)
    form = forms[endpoint][0]
    typed = {name: text if name in MARKED else "\0" for name, text in form.sent.items()}
    if len(typed) > 1:
        assert visitor.post(form.action, data=typed).status_code in REFUSED
    assert differences(before, held(app)) == ()


def try_with(app, visitor, form, data):
    """Send a form with some boxes, chosen by `data`, typed over; check what comes back."""
    boxes = sorted(name for name in form.sent if not name.endswith(MARKED))
    chosen = data.draw(st.sets(st.sampled_from(boxes), min_size=1, max_size=4)) if boxes else set()
    typed = {name: data.draw(words.texts | words.broken, label=name) for name in sorted(chosen)}
    if data.draw(st.booleans(), label="all the other boxes gone"):
        body = {name: text for name, text in form.sent.items() if name.endswith(MARKED)} | typed
    else:
        body = form.sent | typed
    body |= {name: data.draw(words.texts) for name in data.draw(st.lists(words.texts.filter(bool), max_size=1))}
    before = held(app)
    with visitor.post(form.action, data=encoded(body), content_type="application/x-www-form-urlencoded") as answer:
        page = answer.get_data(as_text=True)
    assert answer.status_code < 500
    assert "Traceback" not in page
    if answer.status_code in REFUSED:
        assert differences(before, held(app)) == ()
    if answer.mimetype == "text/html":
        assert [one for one in words.MARKUP if one in page and "<" in one] == []
    if answer.location:
        assert answer.location.startswith("/")
        assert not answer.location.startswith(("//", "/\\"))
        assert visitor.get(answer.location).status_code < 500
        assert form.action.startswith("/access/") or not answer.location.startswith("/access/sign-in")


def encoded(body):
    """A form's body, with bytes that are no text left as they are."""
    pairs = [(name, one) for name, many in body.items() for one in (many if isinstance(many, list) else [many])]
    return b"&".join(plain(name) + b"=" + plain(value) for name, value in pairs)


def plain(value):
    if isinstance(value, bytes):
        return b"".join(b"%%%02X" % byte for byte in value)
    return quote_plus(str(value), errors="surrogatepass").encode()


def test_a_body_is_sent_as_it_was_made():
    assert unquote_to_bytes(encoded({"a": b"\xff", "b": ["1", "2"]})) == b"a=\xff&b=1&b=2"
