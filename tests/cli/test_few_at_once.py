"""Few requests at work at a time: counted inside, and nobody with a slow connection holds a place."""

import io
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier, Event, Lock
from time import sleep

import pytest
from journal.cli.few_at_once import FewAtOnce


def environment(body=b"", length=None):
    return {"CONTENT_LENGTH": str(len(body)) if length is None else length, "wsgi.input": io.BytesIO(body)}


def test_no_more_than_so_many_are_at_work_and_all_are_answered():
    inside, most, lock = 0, 0, Lock()

    def app(environ, _start):
        nonlocal inside, most
        with lock:
            inside += 1
            most = max(most, inside)
        sleep(0.005)
        with lock:
            inside -= 1
        return [environ["wsgi.input"].read()]

    few = FewAtOnce(app, most=2, largest=10)
    with ThreadPoolExecutor(8) as crowd:
        answers = list(crowd.map(lambda n: few(environment(b"%d" % n), None), range(24)))
    assert answers == [[b"%d" % n] for n in range(24)]
    assert most == 2


def test_two_can_be_at_work_together():
    together = Barrier(2, timeout=10)
    few = FewAtOnce(lambda _environ, _start: [b"%d" % together.wait()], most=2, largest=10)
    with ThreadPoolExecutor(2) as crowd:
        assert sorted(crowd.map(lambda _: few(environment(), None)[0], range(2))) == [b"0", b"1"]


class Slow:
    """A body that comes when somebody says so."""

    def __init__(self):
        self.asked, self.come = Event(), Event()

    def read(self, _size):
        self.asked.set()
        assert self.come.wait(10)
        return b"photo"


def test_a_slow_body_holds_no_place():
    few = FewAtOnce(lambda environ, _start: [environ["wsgi.input"].read()], most=1, largest=10)
    body = Slow()
    with ThreadPoolExecutor(1) as crowd:
        slow = crowd.submit(few, {"CONTENT_LENGTH": "5", "wsgi.input": body}, None)
        assert body.asked.wait(10)
        assert few(environment(b"tap"), None) == [b"tap"]
        body.come.set()
        assert slow.result(10) == [b"photo"]


def test_a_body_that_is_too_large_or_has_no_length_is_left_for_the_application():
    few = FewAtOnce(lambda environ, _start: [environ["wsgi.input"]], most=1, largest=2)
    for given in (
        environment(b"123"),
        environment(b"12", length=""),
        environment(b"12", length="-2"),
        {"wsgi.input": 1},
    ):
        assert few(given, None) == [given["wsgi.input"]]
    read = environment(b"12")
    body = read["wsgi.input"]
    assert few(read, None)[0] is not body


def test_a_place_is_free_again_when_the_application_fails():
    def fails(_environ, _start):
        raise ValueError("as it happens")

    few = FewAtOnce(fails, most=1, largest=2)
    for _ in range(2):  # the second would wait for ever
        with pytest.raises(ValueError, match="as it happens"):
            few(environment(), None)
