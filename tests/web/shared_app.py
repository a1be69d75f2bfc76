"""One application for all tests of a process: its routes and templates are compiled once, not once for each test."""

from dataclasses import replace
from functools import cache

from journal.web import create_app
from journal.web.access.backoff import Backoff
from journal.web.access.guard import BACKOFF
from journal.web.state import KEY, Journal, settings_of


@cache
def _made():
    app = create_app(testing=True)
    return app, dict(app.extensions), dict(app.config)


def client_of(engine, *, today, data=None):
    """A client of the pages over an engine, as of an application of its own; the client before it is done with."""
    app, extensions, config = _made()
    app.extensions.clear()
    app.extensions.update(extensions)
    journal = Journal(settings=replace(settings_of(app), data=data), engine=engine, fixed_today=today)
    app.extensions.update({KEY: journal, BACKOFF: Backoff()})
    app.config.clear()
    app.config.update(config)
    return app.test_client()
