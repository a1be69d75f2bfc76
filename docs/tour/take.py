"""The pictures of the tour, taken from the demo shop as it is now: `make tour`."""

from __future__ import annotations

import shutil
import sys
import tempfile
import threading
from datetime import UTC, date, datetime
from pathlib import Path

from journal.desk.demo import open_demo
from journal.web import create_app
from playwright.sync_api import sync_playwright
from werkzeug.serving import make_server

HERE = Path(__file__).parent
TODAY = date(2026, 11, 25)  # the demo shop's own last day, so that its pictures never change with the calendar
NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)
PHONE, TABLE = (390, 780), (1180, 820)


def stops(project_id: int) -> tuple[tuple[str, str, tuple[int, int]], ...]:
    """Name of the picture, page, size of the window."""
    of = f"/projects/{project_id}"
    return (
        ("today-phone", "/today", PHONE),
        ("design", "/designs/slab-bench", TABLE),
        ("parts", f"{of}/parts", TABLE),
        ("price", f"{of}/price", TABLE),
        ("buy", f"{of}/buy", TABLE),
        ("cuts", f"{of}/buy/cuts", TABLE),
        ("days", f"{of}/days", TABLE),
        ("quote", f"{of}/quote", TABLE),
        ("paces", "/paces", TABLE),
    )


def take(folder: Path, chromium: str) -> None:
    """Load the demo shop into an empty folder and take every picture."""
    engine, data, project_id = open_demo(folder, now=NOW)
    server = make_server("127.0.0.1", 0, create_app(data=data, engine=engine, testing=True, today=TODAY), threaded=True)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox", "--disable-gpu"])
        for name, path, (width, height) in stops(project_id):
            page = browser.new_page(
                viewport={"width": width, "height": height},
                base_url=f"http://127.0.0.1:{server.server_port}",
                color_scheme="light",
                reduced_motion="reduce",
            )
            page.goto(path)
            page.wait_for_load_state("networkidle")
            page.screenshot(path=HERE / f"{name}.png")
            page.close()
        browser.close()
    server.shutdown()
    server.server_close()
    engine.dispose()


def main() -> None:
    """Take the pictures, or say what is missing."""
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        sys.exit("needs chromium on the path")
    with tempfile.TemporaryDirectory() as folder:
        take(Path(folder), chromium)


if __name__ == "__main__":
    main()
