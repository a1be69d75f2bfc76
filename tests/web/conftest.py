"""Pages in a real browser: a shop that is served, and somebody with a browser before it."""

from __future__ import annotations

import pytest
from journal.desk.starting_stock import set_up
from journal.web import create_app
from tests.web import project_pages as pages
from tests.web.browsing import contexts, minded, served


@pytest.fixture
def address(file_engine, tmp_path):
    """Where a shop that has only just been set up is served."""
    set_up(file_engine, pages.TODAY)
    with served(create_app(data=tmp_path, engine=file_engine, testing=True, today=pages.TODAY)) as address:
        yield address


@pytest.fixture
def visit(browser, address):
    """Opens a page of a given width in a browser of its own; faults the browser finds end up in `page.faults`."""
    with contexts(browser, address) as opener:
        yield lambda width, **options: minded(opener(width, **options).new_page())
