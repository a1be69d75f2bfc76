"""Sheets waiting to be taken: found by the name they were given, by nothing else, for a day."""

import os
import time

import pytest
from journal.desk import incoming
from journal.errors import MissingReference
from journal.pace.columns import Choices, Role
from journal.pace.sheet import read_text

SHEET = read_text("job,date\nÉtabli,2020-01-02\n", "old.csv")
CHOICES = Choices((Role.PROJECT, Role.DATE))


def age(tmp_path, token, seconds):
    path = tmp_path / incoming.FOLDER / f"{token}.sheet"
    then = time.time() - seconds
    os.utime(path, (then, then))


def test_a_sheet_is_found_as_it_was_kept(tmp_path):
    token = incoming.keep(tmp_path, SHEET, "abc", CHOICES)
    assert incoming.get(tmp_path, token) == incoming.Incoming(token, SHEET, "abc", CHOICES)


def test_choices_are_kept_beside_it(tmp_path):
    token = incoming.keep(tmp_path, SHEET, "abc", CHOICES)
    other = Choices((Role.UNUSED, Role.DATE), {"tea": "-"})
    incoming.choose(tmp_path, token, other)
    assert incoming.get(tmp_path, token).choices == other


def test_nobody_else_may_read_it(tmp_path):
    incoming.keep(tmp_path, SHEET, "abc", CHOICES)
    folder = tmp_path / incoming.FOLDER
    assert folder.stat().st_mode & 0o077 == 0
    assert all(path.stat().st_mode & 0o077 == 0 for path in folder.iterdir())


def test_a_dropped_one_is_gone_and_leaves_nothing(tmp_path):
    token = incoming.keep(tmp_path, SHEET, "abc", CHOICES)
    incoming.drop(tmp_path, token)
    incoming.drop(tmp_path, token)
    assert list((tmp_path / incoming.FOLDER).iterdir()) == []
    with pytest.raises(MissingReference):
        incoming.get(tmp_path, token)
    with pytest.raises(MissingReference):
        incoming.choose(tmp_path, token, CHOICES)


def test_after_a_day_it_is_gone(tmp_path):
    token = incoming.keep(tmp_path, SHEET, "abc", CHOICES)
    age(tmp_path, token, incoming.KEPT_SECONDS + 60)
    with pytest.raises(MissingReference):
        incoming.get(tmp_path, token)
    assert list((tmp_path / incoming.FOLDER).iterdir()) == []


def test_the_next_one_sweeps_out_what_nobody_came_back_for(tmp_path):
    stale = incoming.keep(tmp_path, SHEET, "abc", CHOICES)
    age(tmp_path, stale, incoming.KEPT_SECONDS + 60)
    fresh = incoming.keep(tmp_path, SHEET, "abc", CHOICES)
    assert {path.stem for path in (tmp_path / incoming.FOLDER).iterdir()} == {fresh}


def test_no_more_than_a_few_wait_at_once(tmp_path):
    tokens = [incoming.keep(tmp_path, SHEET, "abc", CHOICES) for _ in range(incoming.MOST_KEPT + 5)]
    assert len(list((tmp_path / incoming.FOLDER).glob("*.sheet"))) == incoming.MOST_KEPT
    assert incoming.get(tmp_path, tokens[-1]).sheet == SHEET


@pytest.mark.parametrize(
    "token", ["", "..", "../journal", "a" * 31, "a" * 33, "/etc/passwd", "a/" * 16, "é" * 32, "a" * 32]
)
def test_a_name_that_was_never_given_finds_nothing(tmp_path, token):
    (tmp_path / "journal.sheet").write_text("{}")
    for ask in (incoming.get, incoming.drop):
        if ask is incoming.drop and token == "a" * 32:
            continue  # a name of the right form that is not there is simply gone
        with pytest.raises(MissingReference):
            ask(tmp_path, token)
    assert (tmp_path / "journal.sheet").exists()
