"""Looks at every request before any page does: from the network only browsers that were let in come further."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from flask import current_app, g, redirect, request, url_for
from werkzeug.exceptions import Unauthorized

from journal.desk import access
from journal.web import state
from journal.web.access.backoff import Backoff
from journal.web.config import cookie_name

if TYPE_CHECKING:
    from flask import Flask
    from werkzeug.wrappers import Response

    from journal.records.queries.access import VisitorRow

BACKOFF = "journal_backoff"
# What a browser that is not let in may open: the way in, and what makes it readable.
OPEN = frozenset({"static", "access.sign_in", "access.sign_in_try", "access.pair", "access.pair_use"})


def setup(app: Flask) -> None:
    """Where the server answers to the network, guard every request; on this computer alone there is no login."""
    app.extensions[BACKOFF] = Backoff()
    if state.settings_of(app).lan:
        app.before_request(_only_visitors)


def backoff() -> Backoff:
    """The count of wrong passphrases."""
    return cast("Backoff", current_app.extensions[BACKOFF])


def cookie() -> str:
    """The name of the cookie that holds a browser's token."""
    return cookie_name("journal_visitor", https=state.journal().settings.https)


def note(what: str) -> None:
    """Write a decision at the door into the log, with the address it is about: nothing typed, no token, no passphrase."""
    current_app.logger.info("door: %s, from %s", what, request.remote_addr)


def visitor() -> VisitorRow | None:
    """The browser that this request comes from, where the pages are guarded."""
    return cast("VisitorRow | None", g.get("visitor"))


def _only_visitors() -> Response | None:
    token = request.cookies.get(cookie(), "")
    now = state.now()
    with state.reading() as session:
        g.visitor = found = access.who(session, token, now=now)
    if found is not None:
        if access.is_stale(found, now):
            with state.writing() as session:
                access.note_seen(session, found, now=now)
        return None
    if request.endpoint in OPEN:
        return None
    if request.method == "GET" and request.accept_mimetypes.accept_html:
        return cast("Response", redirect(url_for("access.sign_in", then=request.full_path.rstrip("?"))))
    raise Unauthorized("Sign in first; what was not sent yet is still on the page.")
