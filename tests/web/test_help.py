"""Help: every “?” has its text, every text its “?”; and the words of the trade."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from journal import web
from journal.errors import MissingReference
from journal.web.help import texts
from tests.web import project_pages as pages

TEMPLATES = [path for path in Path(web.__file__).parent.rglob("*.html") if path.name != "patterns.html"]
USES = re.compile(r"""(?:explain\(|about=)["']([a-z_]+)["']""")


@pytest.fixture
def client(file_engine, tmp_path):
    return pages.open_shop(file_engine, tmp_path)


def used():
    return {key for path in TEMPLATES for key in USES.findall(path.read_text(encoding="utf-8"))}


def test_every_key_is_used_and_every_use_has_its_key():
    assert used() == set(texts.helps())


@pytest.mark.parametrize("one", texts.helps().values(), ids=lambda one: one.key)
def test_a_text_is_two_sentences(one):
    assert len(re.findall(r"[.](?: |$)", one.text)) == 2
    assert one.name


def test_a_key_that_is_not_there_is_refused():
    with pytest.raises(MissingReference):
        texts.find("nothing")


def test_a_question_mark_opens_the_text_it_names(client):
    page = pages.soup(client.get("/shop"))
    marks = page.select("button.help")
    assert len(marks) >= 10
    for mark in marks:
        key = mark["popovertarget"]
        (text,) = page.find_all(id=key)
        assert text.has_attr("popover")
        assert texts.find(key.removeprefix("help-")).text in pages.text(text)
        assert mark["aria-label"].startswith("What is this: ")


def test_a_question_mark_is_no_part_of_the_name_of_its_box(client):
    page = pages.soup(client.get("/shop"))
    assert pages.text(page.select_one("label[for=margin]")) == "Margin"


def test_the_words_are_on_one_page_and_every_page_leads_there(client):
    page = pages.soup(client.get("/words"))
    there = {pages.text(term) for term in page.select(".words dt")}
    assert {word.word for word in texts.words()} <= there
    assert {one.name for one in texts.helps().values()} <= there
    assert pages.soup(client.get("/shop")).select_one("footer a[href='/words']")
