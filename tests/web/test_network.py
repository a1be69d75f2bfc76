"""Reached from the shop's network: nobody comes in without the passphrase or an invitation."""

import logging
from datetime import date, timedelta

import pytest
from bs4 import BeautifulSoup
from flask.testing import FlaskClient
from journal.desk import access
from journal.desk.starting_stock import set_up
from journal.errors import BadInput
from journal.records import passphrase
from journal.records.engine import writing
from journal.web import create_app
from journal.web.access.backoff import FREE, LONGEST, Backoff
from journal.web.access.routes import local
from journal.web.config import Network
from tests.web import project_pages as pages

PHRASE = "plane saw chisel rasp"
HOSTS = ("192.168.1.20", "bench.local")
TODAY = date(2026, 3, 2)


@pytest.fixture(scope="module")
def hashed(tmp_path_factory):
    """Hashing is slow on purpose: done once."""
    folder = tmp_path_factory.mktemp("hash")
    passphrase.keep_passphrase(folder, PHRASE)
    return (folder / passphrase.FILE_NAME).read_bytes()


@pytest.fixture
def app(file_engine, tmp_path, hashed):
    set_up(file_engine, TODAY)
    (tmp_path / passphrase.FILE_NAME).write_bytes(hashed)
    network = Network(HOSTS, https=True)
    return create_app(data=tmp_path, engine=file_engine, testing=True, today=TODAY, network=network)


@pytest.fixture
def client(app):
    return phone(app)


class Phone(FlaskClient):
    """A browser elsewhere in the shop."""

    def open(self, *args, **kwargs):
        kwargs["headers"] = {"Accept": "text/html", "Referer": "https://bench.local/"} | dict(
            kwargs.get("headers") or {}
        )
        return super().open(*args, **{"base_url": "https://bench.local"} | kwargs)


def phone(app):
    return Phone(app, app.response_class)


def send(client, url, **typed):
    """Fill in the form of a page and send it, token and all."""
    form = pages.soup(client.get(url)).select_one("main form")
    sent = {box["name"]: box.get("value", "") for box in form.select("input[name]")} | typed
    return client.post(form["action"], data=sent, headers={"Origin": "https://bench.local"})


def sign_in(client, phrase=PHRASE, then="/projects/"):
    return send(client, f"/access/sign-in?then={then}", phrase=phrase, label="laptop")


def test_every_page_leads_a_stranger_to_the_passphrase_and_back_again(client):
    answer = client.get("/projects/?words=oak")
    assert answer.status_code == 302
    assert answer.location == "/access/sign-in?then=/projects/?words%3Doak"
    back = send(client, answer.location, phrase=PHRASE)
    assert back.location == "/projects/?words=oak"
    assert client.get("/projects/").status_code == 200


def test_a_script_or_a_change_without_a_visitor_is_refused_not_led_away(client):
    assert client.get("/projects/", headers={"Accept": "application/json"}).status_code == 401
    refused = client.post("/projects/new", data={"title": "x"}, headers={"Origin": "https://bench.local"})
    assert refused.status_code in {400, 401}


def test_the_cookie_is_for_this_server_alone_and_cannot_be_read_by_a_script(client):
    (cookie,) = [line for line in sign_in(client).headers.getlist("Set-Cookie") if "visitor" in line]
    assert cookie.startswith("__Host-journal_visitor=")
    assert "Path=/;" in cookie
    assert "Domain" not in cookie
    assert "Secure" in cookie
    assert "HttpOnly" in cookie
    assert "SameSite=Lax" in cookie


def test_a_wrong_passphrase_lets_nobody_in_and_soon_has_to_wait(client):
    for _ in range(FREE):
        refused = sign_in(client, "a guess of twelve")
        assert refused.status_code == 422
        assert "a guess of twelve" not in refused.text
    waiting = sign_in(client)
    assert waiting.status_code == 429
    assert int(waiting.headers["Retry-After"]) >= 1
    assert client.get("/projects/").status_code == 302


def test_an_invitation_lets_one_phone_in_once(app, client):
    sign_in(client)
    shown = send(client, "/access/devices")
    code = BeautifulSoup(shown.text, "html.parser").select_one(".invitation-address").text.split("code=")[1]
    first, second = phone(app), phone(app)
    assert send(first, f"/access/pair?code={code}", label="phone at bench 2").location == "/"
    assert first.get("/projects/").status_code == 200
    refused = send(second, f"/access/pair?code={code}")
    assert refused.status_code == 422
    assert second.get("/projects/").status_code == 302
    listed = pages.text(pages.soup(client.get("/access/devices")).main)
    assert "phone at bench 2 QR code" in listed
    assert "laptop (this one) passphrase" in listed


def test_looking_at_an_invitation_does_not_use_it_up(app, client):
    sign_in(client)
    code = BeautifulSoup(send(client, "/access/devices").text, "html.parser").select_one(".invitation-address")
    other = phone(app)
    other.get(code.text.split("bench.local")[1])
    assert send(other, code.text.split("bench.local")[1]).status_code == 302


def test_who_is_shut_out_is_out_at_once(app, client):
    sign_in(client)
    other = phone(app)
    sign_in(other)
    page = pages.soup(client.get("/access/devices"))
    rows = [row for row in page.select("tbody tr") if "this one" not in row.text]
    form = rows[0].select_one("form")
    client.post(
        form["action"],
        data={"csrf_token": form.select_one("input")["value"]},
        headers={"Origin": "https://bench.local"},
    )
    assert other.get("/projects/").status_code == 302
    assert client.get("/projects/").status_code == 200


def test_time_lets_nobody_stay_for_ever(file_engine):
    now, day = pages.NOW, timedelta(days=1)
    with writing(file_engine) as session:
        token = access.pair(session, access.invite(session, now=now), "phone", now=now).token
        assert access.who(session, token, now=now + access.LONGEST - day)
        assert access.who(session, token, now=now + access.LONGEST) is None
        late = access.invite(session, now=now)
        with pytest.raises(BadInput, match="used or is too old"):
            access.pair(session, late, "phone", now=now + access.INVITED)
        assert access.who(session, "", now=now) is None
        assert access.who(session, "guessed", now=now) is None


@pytest.mark.parametrize("paired", [True, False])
def test_however_often_it_is_seen_a_browser_comes_in_anew_after_thirty_days(file_engine, tmp_path, hashed, paired):
    (tmp_path / passphrase.FILE_NAME).write_bytes(hashed)
    now, day = pages.NOW, timedelta(days=1)
    with writing(file_engine) as session:
        if paired:
            token = access.pair(session, access.invite(session, now=now), "phone", now=now).token
        else:
            token = access.sign_in(session, tmp_path, PHRASE, "laptop", now=now).token
        for days in range(1, 30):
            seen = access.who(session, token, now=now + days * day)
            access.note_seen(session, seen, now=now + days * day)
        assert access.who(session, token, now=now + 30 * day) is None


def test_who_came_in_by_the_passphrase_and_stays_away_is_out_sooner(file_engine, tmp_path, hashed):
    (tmp_path / passphrase.FILE_NAME).write_bytes(hashed)
    now = pages.NOW
    with writing(file_engine) as session:
        token = access.sign_in(session, tmp_path, PHRASE, "laptop", now=now).token
        assert access.who(session, token, now=now + access.SIGNED_IN - timedelta(days=1))
        assert access.who(session, token, now=now + access.SIGNED_IN) is None


def test_each_decision_at_the_door_is_in_the_log_and_nothing_that_lets_anybody_in(app, client, caplog):
    caplog.set_level(logging.INFO)
    sign_in(client, "a guess of twelve")
    sign_in(client)
    shown = send(client, "/access/devices")
    code = BeautifulSoup(shown.text, "html.parser").select_one(".invitation-address").text.split("code=")[1]
    other = phone(app)
    given = send(other, f"/access/pair?code={code}", label="bench 2").headers["Set-Cookie"]
    token = given.partition("=")[2].partition(";")[0]
    send(phone(app), f"/access/pair?code={code}")
    shut = next(
        one for one in pages.soup(client.get("/access/devices")).select("tbody tr") if "this one" not in one.text
    )
    here = {"Origin": "https://bench.local"}
    mark = shut.select_one("input")["value"]
    client.post(shut.select_one("form")["action"], data={"csrf_token": mark}, headers=here)
    client.post("/access/sign-out", data={"csrf_token": mark}, headers=here)
    for _ in range(FREE):
        sign_in(client, "a guess of twelve")
    said = [line.removeprefix("door: ").removesuffix(", from 127.0.0.1") for line in caplog.messages]
    assert said == [
        "refused, a wrong passphrase",
        "let in browser 1, by the passphrase",
        "an invitation was made",
        "let in browser 2, by an invitation",
        "refused, an invitation that is none or over",
        "browser 2 was shut out",
        "browser 1 signed out",
        *["refused, a wrong passphrase"] * (FREE - 1),  # the invitation that was over counts as one
        "refused, too many wrong tries before, asked to wait 3 s",
    ]
    assert [one for one in (PHRASE, "a guess", code, "bench 2", token) if one in caplog.text] == []


def test_a_cookie_of_one_who_signs_out_is_forgotten(client):
    sign_in(client)
    mark = pages.soup(client.get("/projects/new")).select_one("input[name=csrf_token]")["value"]
    gone = client.post("/access/sign-out", data={"csrf_token": mark}, headers={"Origin": "https://bench.local"})
    (cookie,) = [line for line in gone.headers.getlist("Set-Cookie") if "visitor" in line]
    assert cookie.startswith("__Host-journal_visitor=;")
    assert "Max-Age=0" in cookie
    assert "Secure" in cookie  # or a browser would not take it, and keep the old one


def test_of_a_token_only_a_digest_is_kept(file_engine):
    with writing(file_engine) as session:
        token = access.pair(session, access.invite(session, now=pages.NOW), "phone", now=pages.NOW).token
    with file_engine.connect() as connection:
        kept = connection.exec_driver_sql("SELECT * FROM visitors").fetchall()
    assert token not in str(kept)


@pytest.mark.parametrize(
    ("asked", "lands"),
    [
        ("/projects/3/price?x=1", "/projects/3/price?x=1"),
        ("//evil.example/", "/"),
        ("https://evil.example/", "/"),
        ("/\\evil.example", "/"),
        ("/\t/evil.example", "/"),
        ("javascript:alert(1)", "/"),
        ("", "/"),
        (None, "/"),
    ],
)
def test_after_signing_in_nobody_is_sent_elsewhere(app, asked, lands):
    with app.test_request_context():
        assert local(asked) == lands


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "https://evil.example"},
        {"Origin": "null"},
        {"Origin": "http://bench.local"},
        {"Origin": "https://bench.local", "Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
    ],
)
def test_a_change_that_another_page_asks_for_is_refused(client, headers):
    sign_in(client)
    page = pages.soup(client.get("/projects/new"))
    token = page.select_one("input[name=csrf_token]")["value"]
    refused = client.post("/projects/new", data={"csrf_token": token, "title": "Bench"}, headers=headers)
    assert refused.status_code == 403


@pytest.mark.parametrize("host", ["evil.example", "192.168.1.21", "", "bench.local.evil.example"])
def test_another_name_for_this_computer_is_refused(client, host):
    assert client.get("/access/sign-in", headers={"Host": host}).status_code == 400


def test_on_this_computer_alone_there_is_no_login_and_no_way_in_to_guess_at(file_engine, tmp_path):
    client = pages.open_shop(file_engine, tmp_path)
    assert client.get("/projects/").status_code == 200
    assert client.get("/access/sign-in").status_code == 404
    assert "whoever sits at it may use them" in pages.soup(client.get("/access/devices")).main.text.replace("\n", " ")


def test_waits_double_and_end():
    now, count = pages.NOW, Backoff()
    waits = []
    for _ in range(FREE + 12):
        count.wrong("10.0.0.1", now)
        waits.append(count.wait("10.0.0.1", now))
    assert waits[: FREE - 1] == [timedelta()] * (FREE - 1)
    assert waits[FREE - 1] * 2 == waits[FREE]
    assert waits[-1] == LONGEST
    assert count.wait("10.0.0.2", now) == timedelta()
    assert count.wait("10.0.0.1", now + LONGEST) == timedelta()
    count.right("10.0.0.1")
    assert count.wait("10.0.0.1", now) == timedelta()


def test_guessing_from_many_addresses_slows_all_of_them_down():
    now, count = pages.NOW, Backoff()
    for number in range(3_000):
        count.wrong(f"10.0.{number // 250}.{number % 250}", now)
    assert count.wait("172.16.0.1", now) == LONGEST
    assert len(count._counts) <= 1_001
