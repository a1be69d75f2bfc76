"""What the journeys stand on: the pages served from a file, a browser, and a folder for what it saw."""

from __future__ import annotations

import shutil
from contextlib import contextmanager
from pathlib import Path

import pytest
from journal.desk.starting_stock import set_up
from journal.records.engine import open_engine
from journal.web import create_app
from tests.journeys.visitor import Visitor
from tests.web import browsing
from tests.web.project_pages import TODAY

SEEN = Path(__file__).parents[2] / "screens" / "journeys"


@contextmanager
def served(folder, *, today=TODAY):
    """The address and the engine of the journal in a folder, as long as it is served."""
    engine = open_engine(folder / "journal.db")
    set_up(engine, TODAY)
    try:
        with browsing.served(create_app(data=folder, engine=engine, testing=True, today=today)) as address:
            yield address, engine
    finally:
        engine.dispose()


@pytest.fixture
def folder(tmp_path, empty_file):
    """A data folder with an empty journal."""
    shutil.copyfile(empty_file, tmp_path / "journal.db")
    return tmp_path


@pytest.fixture(params=[360, 1280])
def width(request):
    return request.param


@pytest.fixture
def visit(browser, width, request):
    """Somebody with a browser of the width, at an address."""
    contexts = []

    def opener(address):
        contexts.append(browser.new_context(viewport={"width": width, "height": 800}, base_url=address))
        name = request.node.originalname.removeprefix("test_").replace("_", "-")
        return Visitor(contexts[-1].new_page(), SEEN, f"{name}-{width}")

    yield opener
    for context in contexts:
        context.close()
