"""What tests in a real browser stand on: pages that are served, a page that keeps the faults found in it, and waiting."""

from __future__ import annotations

import threading
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING

import pytest
from journal.cli.server import server_of
from playwright.sync_api import Error

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from flask import Flask
    from playwright.sync_api import BrowserContext, Page

LONGEST_WAIT = 20_000  # milliseconds; far more than a page takes, far less than a hung run

# What the worker of the floor keeps, by its address: the text of each.
KEPT = """async (names) => {
  const kept = await caches.open("journal-floor-1");
  const texts = [];
  for (const one of await kept.keys()) {
    if (names.some((name) => one.url.endsWith(name))) texts.push([one.url, await (await kept.match(one)).text()]);
  }
  return texts;
}"""


@contextmanager
def served(app: Flask) -> Iterator[str]:
    """Address of an application, as long as the journal's own server serves it here."""
    server = server_of(app, "127.0.0.1", 0)
    server.prepare()
    thread = threading.Thread(target=server.serve)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.bind_addr[1]}"
    finally:
        server.stop()
        thread.join()


@contextmanager
def contexts(browser, address: str) -> Iterator[Callable[..., BrowserContext]]:
    """Hands out contexts of a browser at an address, each with cookies and a store of its own; closes them in the end."""
    opened: list[BrowserContext] = []

    def opener(width: int = 360, **options: object) -> BrowserContext:
        opened.append(browser.new_context(viewport={"width": width, "height": 740}, base_url=address, **options))
        opened[-1].set_default_timeout(LONGEST_WAIT)
        return opened[-1]

    yield opener
    for context in opened:
        context.close()


def minded(page: Page) -> Page:
    """The page, with a list `faults` of what its browser finds wrong from now on."""
    page.faults = []
    page.on("console", lambda message: page.faults.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: page.faults.append(str(error)))
    return page


def fits(page: Page) -> bool:
    """Nothing runs past the right edge."""
    return page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


def until(page: Page, true: Callable[[], bool], what: str) -> None:
    """Waits until something holds that the page itself cannot be asked for.

    A promise is such a thing: `wait_for_function` takes any promise for true and does not wait for its answer.
    """
    for _ in range(LONGEST_WAIT // 100):
        if true():
            return
        page.wait_for_timeout(100)
    pytest.fail(f"waited in vain for {what}")


def hears_of_signal(page: Page) -> None:
    """The page is told that the signal is back; if it heard that by itself, it is just being shown anew."""
    with suppress(Error):
        page.evaluate("window.dispatchEvent(new Event('online'))")


def until_kept(page: Page, *paths: str, saying: str = "") -> None:
    """Waits until the worker of the floor keeps these pages and the scripts, and the last page with a word in it."""
    needed = [*paths, "lib/tap_queue.js"]

    def kept() -> bool:
        texts = page.evaluate(KEPT, needed)
        ends = {name for name in needed for address, _ in texts if address.endswith(name)}
        return ends == set(needed) and any(saying in text for address, text in texts if address.endswith(paths[-1]))

    until(page, kept, f"{paths} to be kept")
