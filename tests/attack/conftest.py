"""A server on the shop's network with a journal that has been used, a browser that was let in, and a stranger."""

from __future__ import annotations

import shutil
from contextlib import contextmanager
from datetime import UTC, date, datetime

import pytest
from flask.testing import FlaskClient
from journal.desk import access
from journal.desk.demo import load_demo
from journal.records.engine import writing
from journal.web import create_app
from journal.web.access import guard
from journal.web.access.backoff import Backoff
from journal.web.config import Network
from tests import journals
from tests.attack import lived_in
from tests.attack.crawl import walk

TODAY = date(2026, 11, 25)
NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)  # noon, as the pages have it on a fixed day
HOST = "bench.local"
COOKIE = "__Host-journal_visitor"


class Browser(FlaskClient):
    """A browser elsewhere in the shop, with what a browser sends along."""

    def open(self, *args, **kwargs):
        sent = {"Accept": "text/html", "Referer": f"https://{HOST}/", "Origin": f"https://{HOST}"}
        kwargs["headers"] = sent | dict(kwargs.get("headers") or {})
        return super().open(*args, **{"base_url": f"https://{HOST}"} | kwargs)


def app_of(folder, engine):
    """The guarded server of a journal and its folder."""
    return create_app(data=folder, engine=engine, testing=True, today=TODAY, network=Network((HOST,), https=True))


def stranger_to(app):
    return Browser(app, app.response_class)


def visitor_of(app):
    """A browser that was let in with an invitation."""
    browser = stranger_to(app)
    let_in(app, browser)
    return browser


def let_in(app, browser):
    """Let a browser in, also one that was shut out; and nobody has to wait for wrong passphrases any more."""
    app.extensions[guard.BACKOFF] = Backoff()
    with writing(engine_of(app)) as session:
        token = access.pair(session, access.invite(session, now=NOW), "phone", now=NOW).token
    browser.set_cookie(COOKIE, token, domain=HOST, secure=True)


def engine_of(app):
    return app.extensions["journal"].engine


@pytest.fixture(scope="session")
def lived_in_folder(tmp_path_factory):
    """The folder of a journal in which every section was used; nobody has it open."""
    folder = tmp_path_factory.mktemp("lived_in")
    engine = journals.new(folder / "journal.db")
    with writing(engine) as session:
        load_demo(session, now=NOW)
    lived_in.live(visitor_of(app_of(folder, engine)))
    engine.dispose()
    return folder


@contextmanager
def served(lived_in_folder, folder):
    """A server of its own on a copy of that journal."""
    shutil.copytree(lived_in_folder, folder)
    engine = journals.copied(lived_in_folder / "journal.db", folder / "journal.db")
    yield app_of(folder, engine)
    journals.removed(engine)


@pytest.fixture(scope="session")
def app(lived_in_folder, tmp_path_factory):
    """The server; what a test changes in it stays, so tests look at the difference they make."""
    with served(lived_in_folder, tmp_path_factory.mktemp("served") / "data") as made:
        yield made


@pytest.fixture
def stranger(app):
    return stranger_to(app)


@pytest.fixture(scope="session")
def visitor(app):
    return visitor_of(app)


@pytest.fixture(scope="session")
def walked(app, visitor):
    """Every page a visitor can reach, and every form on them."""
    return walk(app, visitor, [lived_in.sent_past_jobs(visitor), *lived_in.STARTS])
