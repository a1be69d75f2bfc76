"""Every page of a journal, found by following its links: one of each kind, in a browser."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from werkzeug.exceptions import HTTPException
from werkzeug.routing.exceptions import RequestRedirect

if TYPE_CHECKING:
    from collections.abc import Iterator

    from flask import Flask
    from playwright.sync_api import Page

LINKS = """[...document.querySelectorAll('a[href^="/"]:not([download])')].map((link) => link.getAttribute("href"))"""
FILES = (".pdf", ".csv", ".ics", ".json", ".svg", ".js", ".zip", ".jpg")


@dataclass(frozen=True, slots=True)
class Visited:
    """A page that is open now: the name of its route and its path."""

    endpoint: str
    path: str


def endpoint_of(app: Flask, path: str) -> str | None:
    """The route of a path that a link may lead to; None for files and what is not ours."""
    where = urlsplit(path)
    if where.path.endswith(FILES):
        return None
    try:
        found, _values = app.url_map.bind("127.0.0.1").match(where.path, method="GET")
    except RequestRedirect as elsewhere:
        return endpoint_of(app, urlsplit(elsewhere.new_url).path)
    except HTTPException:
        return None
    return None if found == "static" or found.endswith("file") else str(found)


def walk(app: Flask, page: Page, address: str, starts: tuple[str, ...]) -> Iterator[Visited]:
    """Opens one page of each kind, beginning at `starts`, and says which; the caller looks at it meanwhile."""
    waiting, seen = deque(starts), set()
    while waiting:
        path = waiting.popleft()
        endpoint = endpoint_of(app, path)
        if endpoint is None or endpoint in seen:
            continue
        seen.add(endpoint)
        answer = page.goto(address + path)
        assert answer is not None
        assert answer.status == 200, f"{path}: {answer.status}"
        # A page that asks how far a search is loads itself anew at its end, whatever looks at it meanwhile.
        page.locator("[data-poll] [data-running]").wait_for(state="detached", timeout=60_000)
        page.wait_for_load_state("load")
        # Before the caller may take the page apart.
        waiting.extend(page.evaluate(LINKS))
        yield Visited(endpoint, path)
