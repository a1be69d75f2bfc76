"""What guards a request: the host it was meant for, forms only from our own pages, headers that close the page."""

from __future__ import annotations

from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from flask import request
from flask_wtf.csrf import CSRFProtect
from werkzeug.exceptions import BadRequest, Forbidden

from journal.web.state import journal

if TYPE_CHECKING:
    from flask import Flask
    from werkzeug.wrappers import Response

CONTENT_SECURITY_POLICY = (
    "default-src 'self'; img-src 'self' data:; style-src 'self'; script-src 'self'; "
    "frame-ancestors 'none'; base-uri 'none'; form-action 'self'"
)
HEADERS = {
    "Content-Security-Policy": CONTENT_SECURITY_POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "private, no-cache",
}


class UnknownHost(BadRequest):
    """A request for a name that is not ours: another site may have pointed its name at this machine."""

    def __init__(self, host: str, known: tuple[str, ...]) -> None:
        self.host = host
        self.known = known
        super().__init__(f"this server does not answer to “{host}”")


class ForeignPage(Forbidden):
    """A change that a page of somebody else asked for."""

    description = "It was asked for by a page that is not of this journal. Nothing was changed."


def setup(app: Flask) -> None:
    """The host is checked before the form: a stranger's page learns nothing about our tokens."""
    app.before_request(_check_host)
    app.before_request(_check_origin)
    CSRFProtect(app)
    app.before_request(_check_text)
    app.after_request(_add_headers)


def host_name(header: str) -> str:
    """The name in a Host header, lower case, without the port; '' when it is not one."""
    try:
        name = urlsplit(f"//{header}").hostname or ""
    except ValueError:
        return ""
    return f"[{name}]" if ":" in name else name


def _check_host() -> None:
    header = request.headers.get("Host", "")
    known = journal().settings.hosts
    if host_name(header) not in known or "@" in header:
        raise UnknownHost(header, known)


def _check_origin() -> None:
    """A change must come from a page of ours, whatever else it brings: a browser says where a form stood."""
    if request.method in {"GET", "HEAD", "OPTIONS"}:
        return
    origin = request.headers.get("Origin")
    if origin is not None and origin != request.host_url.rstrip("/"):
        raise ForeignPage
    if request.headers.get("Sec-Fetch-Site", "same-origin") not in {"same-origin", "none"}:
        raise ForeignPage


def _check_text() -> None:
    """No text has a character of no number in it; a database on a server cannot even keep one."""
    pairs = (*request.form.items(multi=True), *request.args.items(multi=True), *(request.view_args or {}).items())
    if any("\0" in f"{name}{text}" for name, text in pairs):
        raise BadRequest("Something typed has a character in it that is none. Nothing was changed.")


def _add_headers(response: Response) -> Response:
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    return response
