"""Somebody who uses the pages: does things, and says what is seen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.web.browsing import LONGEST_WAIT, minded

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Page


class Visitor:
    """A page, the faults its browser found, and the pictures of it."""

    def __init__(self, page: Page, folder: Path, name: str) -> None:
        self.page = page
        self.folder = folder
        self.name = name
        self.pictures = 0
        self.faults = minded(page).faults
        page.set_default_timeout(LONGEST_WAIT)

    def opens(self, path: str) -> None:
        self.page.goto(path)

    def presses(self, label: str) -> None:
        """A button or a link by the name that is read out."""
        self.page.get_by_role("button", name=label, exact=True).or_(
            self.page.get_by_role("link", name=label, exact=True)
        ).first.click()

    def tab(self, label: str) -> None:
        self.page.click(f"nav.tabs >> text={label}")

    def fills(self, label: str, text: str) -> None:
        self.page.get_by_label(label, exact=True).first.fill(text)

    def sees(self, text: str) -> None:
        """It is there, to be seen."""
        self.page.get_by_text(text).locator("visible=true").first.wait_for()

    def looks(self) -> None:
        """Nothing scrolls sideways, nothing went wrong; a picture is left."""
        self.page.wait_for_load_state("networkidle")
        assert self.page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), self.page.url
        assert self.faults == []
        self.pictures += 1
        self.folder.mkdir(parents=True, exist_ok=True)
        self.page.screenshot(path=self.folder / f"{self.name}-{self.pictures}.png", full_page=True)
