"""Answers are packed for whoever can unpack them, and only those worth it."""

import gzip

import pytest
from journal.web import create_app, small

PACKED = {"Accept-Encoding": "gzip, deflate, br"}


@pytest.fixture
def client():
    return create_app(testing=True).test_client()


def test_a_page_is_packed_and_reads_the_same(client):
    plain, packed = client.get("/patterns"), client.get("/patterns", headers=PACKED)
    assert packed.headers["Content-Encoding"] == "gzip"
    assert "Content-Encoding" not in plain.headers
    assert gzip.decompress(packed.data).split(b"<main")[1].count(b"<") == plain.data.split(b"<main")[1].count(b"<")
    assert int(packed.headers["Content-Length"]) == len(packed.data) < len(plain.data) / 3


def test_both_say_that_they_differ_by_what_is_asked_for(client):
    for headers in ({}, PACKED):
        assert "Accept-Encoding" in client.get("/patterns", headers=headers).vary


@pytest.mark.parametrize("refusing", ["", "identity", "gzip;q=0", "br"])
def test_whoever_cannot_unpack_gets_it_plain(client, refusing):
    answer = client.get("/patterns", headers={"Accept-Encoding": refusing})
    assert "Content-Encoding" not in answer.headers
    assert b"</html>" in answer.data


def test_a_style_sheet_is_packed_kept_for_ever_and_not_sent_again(client):
    with client.get("/static/css/base.css", headers=PACKED) as first:
        assert b"{" in gzip.decompress(first.data)
        tag, weak = first.get_etag()
    assert weak, "other bytes under one strong tag"
    with client.get("/static/css/base.css", headers=PACKED | {"If-None-Match": f'W/"{tag}"'}) as again:
        assert again.status_code == 304
        assert not again.data


def test_little_and_binary_stay_as_they_are():
    app = create_app(testing=True)
    app.add_url_rule("/little", "little", lambda: ("<p>a little</p>", 200))
    app.add_url_rule("/picture", "picture", lambda: (bytes(5000), 200, {"Content-Type": "image/jpeg"}))
    app.add_url_rule("/flow", "flow", lambda: (iter(["<p>"] * 5000), 200))
    for path in ("/little", "/picture", "/flow"):
        assert "Content-Encoding" not in app.test_client().get(path, headers=PACKED).headers
    assert len("<p>a little</p>") < small.LEAST
