"""The back-test beside the pages: begun once, looked at on the way, begun anew when the logs change."""

from datetime import date, timedelta
from threading import Event

import pytest
from journal.desk import paces
from journal.desk.backtest_walks import Walks
from journal.pace.backtest import LeftOut, Past, judge, walk
from journal.pace.design import Row
from journal.pace.model import Task

BOOK_MINUTES = 60.0
LEFT_OUT = (LeftOut("9", "nothing logged"),)


def project(place):
    day = date(2024, 1, 1) + timedelta(days=30 * place)
    row = Row(f"p{place}", day, "finish", (("sand", 1.0),), BOOK_MINUTES, 80.0)
    return Past(f"p{place}", "", "", 1, day, day, (Task("sand", BOOK_MINUTES),), 80.0, 80.0, (row,))


@pytest.fixture
def past():
    return tuple(project(place) for place in range(3))


class Gate:
    """A walk that waits before every guess until it is let through; counts how often it was begun."""

    def __init__(self):
        self.begun = 0
        self.open = Event()

    def __call__(self, past, book):
        self.begun += 1
        for guess in walk(past, book):
            self.open.wait(20)
            yield guess


def test_what_is_shown_in_the_end_is_the_back_test(past):
    seen = Walks().look((past, LEFT_OUT), wait_seconds=20)
    assert (seen.running, seen.failed, seen.done, seen.of) == (False, False, 3, 3)
    assert seen.found == judge(tuple(walk(past, paces.book())), LEFT_OUT)


def test_nobody_waits_for_it_and_it_is_begun_once(past):
    gate = Gate()
    walks = Walks(gate)
    first = walks.look((past, LEFT_OUT), wait_seconds=0)
    assert (first.running, first.done, first.of) == (True, 0, 3)
    assert first.found.left_out == LEFT_OUT
    gate.open.set()
    assert not walks.look((past, LEFT_OUT), wait_seconds=20).running
    assert walks.look((past, LEFT_OUT), wait_seconds=0).done == 3
    assert gate.begun == 1


def test_other_logs_begin_it_anew_and_stop_the_old_one(past):
    gate = Gate()
    walks = Walks(gate)
    walks.look((past, ()), wait_seconds=0)
    seen = walks.look((past[:1], ()), wait_seconds=0)
    assert (seen.running, seen.of) == (True, 1)
    gate.open.set()
    assert walks.look((past[:1], ()), wait_seconds=20).done == 1
    assert gate.begun == 2


def test_one_that_breaks_off_says_so_and_keeps_what_it_had(past, caplog):
    def broken(listed, book):
        yield next(iter(walk(listed, book)))
        raise ZeroDivisionError

    seen = Walks(broken).look((past, ()), wait_seconds=20)
    assert (seen.running, seen.failed, seen.done, seen.of) == (False, True, 1, 3)
    assert "broke off after 1 guesses" in caplog.text


def test_a_shop_without_a_finished_project_has_nothing_to_wait_for():
    seen = Walks().look(((), ()), wait_seconds=20)
    assert (seen.running, seen.of, seen.found.paces) == (False, 0, None)
