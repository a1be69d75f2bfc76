"""What the pages write about themselves, and the number that ties a line to a page."""

import logging
import re

import pytest
from journal.web import create_app
from journal.web.journal_log import FILE_NAME
from tests.web import project_pages as pages


@pytest.fixture
def app(file_engine, tmp_path):
    pages.open_shop(file_engine, tmp_path)
    app = create_app(data=tmp_path, engine=file_engine, today=pages.TODAY)

    @app.get("/trip")
    def trip():
        raise ValueError("a fault of ours")

    yield app
    for handler in list(app.logger.handlers):
        handler.close()
        app.logger.removeHandler(handler)


def test_a_fault_is_shown_calmly_and_its_number_leads_to_the_lines_about_it(app, tmp_path):
    answer = app.test_client().get("/trip", headers={"Host": "localhost"})
    assert answer.status_code == 500
    text = pages.text(pages.soup(answer).main)
    assert "What was saved before is still there" in text
    assert "ValueError" not in text
    number = re.search(r"under ([0-9a-f]{8})", text)[1]
    log = (tmp_path / FILE_NAME).read_text(encoding="utf-8")
    assert f"ERROR {number} Exception on /trip" in log
    assert "a fault of ours" in log


def test_the_log_is_for_its_owner_alone_and_is_turned_over(app, tmp_path):
    app.logger.info("started")
    assert (tmp_path / FILE_NAME).stat().st_mode & 0o777 == 0o600
    (handler,) = [one for one in app.logger.handlers if isinstance(one, logging.FileHandler)]
    handler.maxBytes = 200
    for number in range(20):
        app.logger.info("line %d, long enough to fill the file before long", number)
    assert len(list(tmp_path.glob(f"{FILE_NAME}.*"))) == handler.backupCount


def test_nothing_typed_reaches_the_log(app, tmp_path):
    app.test_client().post("/projects/new", data={"title": "a secret bench"}, headers={"Host": "localhost"})
    path = tmp_path / FILE_NAME
    assert not path.exists() or "secret" not in path.read_text(encoding="utf-8")
