"""Walks the journal's own pages: which addresses they link, and which forms stand on them."""

from __future__ import annotations

from collections import defaultdict, deque
from dataclasses import dataclass, field
from typing import TYPE_CHECKING
from urllib.parse import urljoin, urlsplit

from bs4 import BeautifulSoup
from tests.web.project_pages import filled
from werkzeug.exceptions import HTTPException
from werkzeug.routing import RequestRedirect

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient
    from werkzeug.test import TestResponse

_MOST_FORMS = 2  # of one route


@dataclass(frozen=True, slots=True)
class Form:
    """A form as a browser would send it from a page.

    Attributes:
        page: the address it stands on.
        action: where it goes.
        sent: what it sends when nobody types anything; the mark of the page is among it.
        files: names of its boxes for files.
    """

    page: str
    action: str
    sent: dict[str, str | list[str]]
    files: tuple[str, ...]


@dataclass(slots=True)
class Walk:
    """What a walk found, by endpoint."""

    pages: dict[str, list[tuple[str, TestResponse]]] = field(default_factory=lambda: defaultdict(list))
    forms: dict[str, list[Form]] = field(default_factory=lambda: defaultdict(list))


def endpoint_of(app: Flask, address: str, method: str = "GET") -> str | None:
    """The route an address of ours belongs to; None when there is none."""
    adapter = app.url_map.bind("localhost")
    try:
        return str(adapter.match(urlsplit(address).path, method=method)[0])
    except (HTTPException, RequestRedirect):
        return None


def walk(app: Flask, client: FlaskClient, starts: list[str]) -> Walk:
    """Look at all of `starts`, and from there follow every link to a route not looked at yet."""
    found, seen, waiting = Walk(), set(), deque(starts)
    while waiting:
        address = waiting.popleft().partition("#")[0]
        endpoint = endpoint_of(app, address)
        if endpoint is None or address in seen or (found.pages[endpoint] and address not in starts):
            continue
        seen.add(address)
        with client.get(address) as answer:
            answer.get_data()  # a file that is sent is open until then
        found.pages[endpoint].append((address, answer))
        if answer.location:
            waiting.append(_ours(address, answer.location))
        if answer.mimetype == "text/html":
            page = BeautifulSoup(answer.text, "html.parser")
            _note_forms(app, found, address, page)
            waiting.extend(_links(address, page))
    return found


def forms_of(page: BeautifulSoup, address: str) -> list[Form]:
    """The forms of a page that change something."""
    return [
        Form(
            address,
            _ours(address, form.get("action") or address),
            filled(form),
            tuple(box["name"] for box in form.select("input[type=file][name]")),
        )
        for form in page.select("form[method=post]")
    ]


def _note_forms(app: Flask, found: Walk, address: str, page: BeautifulSoup) -> None:
    for form in forms_of(page, address):
        endpoint = endpoint_of(app, form.action, "POST")
        if endpoint is not None and len(found.forms[endpoint]) < _MOST_FORMS:
            found.forms[endpoint].append(form)
    for button in page.select("button[formaction]"):
        endpoint = endpoint_of(app, _ours(address, button["formaction"]), "POST")
        form = button.find_parent("form") or page.find("form", id=button.get("form"))
        if endpoint is not None and form is not None and len(found.forms[endpoint]) < _MOST_FORMS:
            found.forms[endpoint].append(Form(address, _ours(address, button["formaction"]), filled(form), ()))


def _links(address: str, page: BeautifulSoup) -> list[str]:
    tags = page.select("a[href], link[href], script[src], img[src], form[method=get][action], [data-live]")
    named = (tag.get("href") or tag.get("src") or tag.get("action") or tag.get("data-live") for tag in tags)
    return [_ours(address, name) for name in named if name and urlsplit(name).scheme in ("", "http", "https")]


def _ours(address: str, target: str) -> str:
    parts = urlsplit(urljoin(f"http://localhost{address}", target))
    if parts.hostname != "localhost":
        return ""
    return parts.path + (f"?{parts.query}" if parts.query else "")
