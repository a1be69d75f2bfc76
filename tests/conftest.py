"""What every test stands on."""

import gc
import os
import shutil
from datetime import UTC, datetime

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the commands have it; before numpy is imported

import pytest
from hypothesis import settings
from journal.desk.demo import load_demo
from journal.records import migrate
from journal.records.engine import open_engine, writing
from tests import journals

# Two shared cores: a slow example is not a failure.
settings.register_profile("shop", deadline=None, max_examples=60)
settings.load_profile("shop")


def pytest_collection_modifyitems(items):
    """What takes longest first: a long file begun last would leave the other worker with nothing to do."""
    items.sort(key=lambda item: not (item.get_closest_marker("browser") or item.get_closest_marker("slow")))


def pytest_collection_finish():
    """All that the test files have imported stays: no search for circles needs to go through it again."""
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="session")
def empty_journal(tmp_path_factory):
    """A migrated journal that nobody has open; `journals.copied` makes a test's own of it."""
    path = tmp_path_factory.mktemp("empty") / "journal.db"
    journals.new_empty(path)
    return path


@pytest.fixture(scope="session")
def empty_file(tmp_path_factory, empty_journal):
    """A migrated SQLite file that nobody has open, for what only a file can do."""
    if not journals.ON_SERVER:
        return empty_journal
    path = tmp_path_factory.mktemp("empty") / "journal.db"
    engine = open_engine(path)
    migrate.ensure_current(engine)
    engine.dispose()
    return path


@pytest.fixture
def file_engine(tmp_path, empty_journal):
    """An empty journal."""
    engine = journals.copied(empty_journal, tmp_path / "journal.db")
    yield engine
    journals.removed(engine)


@pytest.fixture
def sqlite_engine(tmp_path, empty_file):
    """An empty journal in a SQLite file, for what only a file can do."""
    engine = open_engine(shutil.copyfile(empty_file, tmp_path / "journal.db"))
    yield engine
    engine.dispose()


@pytest.fixture(scope="session")
def demo_journal(tmp_path_factory, empty_journal):
    """The demo shop in a journal that nobody has open, loaded once for a test process."""
    path = tmp_path_factory.mktemp("demo") / "journal.db"
    engine = journals.copied(empty_journal, path)
    with writing(engine) as session:
        load_demo(session, now=datetime(2026, 11, 25, tzinfo=UTC))
    engine.dispose()
    return path


@pytest.fixture(scope="module")
def demo_engine(tmp_path_factory, demo_journal):
    """A module's own copy of the demo shop."""
    engine = journals.copied(demo_journal, tmp_path_factory.mktemp("demo") / "journal.db")
    yield engine
    journals.removed(engine)


@pytest.fixture(scope="session")
def browser():
    """The one Chromium of a test process: a second Playwright beside an open one refuses to start."""
    from playwright.sync_api import sync_playwright  # noqa: PLC0415 - most tests need no browser

    program = shutil.which("chromium")
    if program is None and os.environ.get("CI") != "true":
        pytest.skip("needs chromium on the path")
    assert program, "chromium is missing where the browser tests must run"
    flags = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"]
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(
            executable_path=program, args=[*flags, "--disable-component-update", "--disable-sync"]
        )
        yield opened
        opened.close()
