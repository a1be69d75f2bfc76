"""What long work has let go of goes back to the system, after the answer has been sent; short requests pay nothing."""

import gc
import weakref

import numpy as np
import pytest
from flask import Flask
from journal.web import memory


class Loop:
    """Held together by itself alone once nobody else holds it."""

    def __init__(self):
        self.me = self


@pytest.fixture
def given_back(monkeypatch):
    told = []
    monkeypatch.setattr(memory, "give_back", lambda: told.append("back"))
    return told


@pytest.fixture
def client():
    app = Flask(__name__)
    memory.setup(app)
    app.add_url_rule("/", view_func=lambda: "done")
    return app.test_client()


def test_memory_is_given_back_after_a_long_request(given_back, client, monkeypatch):
    clock = iter((10.0, 10.0 + 2 * memory.LONG_SECONDS, 10.0 + 2 * memory.LONG_SECONDS))
    monkeypatch.setattr(memory, "perf_counter", lambda: next(clock, 20.0))
    answer = client.get("/")
    assert answer.text == "done"
    answer.close()
    assert given_back == ["back"]


def test_a_short_request_pays_nothing(given_back, client, monkeypatch):
    monkeypatch.setattr(memory, "perf_counter", lambda: 10.0)
    client.get("/").close()
    assert given_back == []


def test_what_was_there_at_the_start_is_searched_no_more_and_what_comes_later_is():
    start = Loop()
    try:
        memory.settled()
        assert gc.get_freeze_count() > 0
        assert not any(one is start for one in gc.get_objects())
        later = Loop()
        assert any(one is later for one in gc.get_objects())
    finally:
        gc.unfreeze()


def test_what_only_circles_hold_is_let_go_of_first():
    gc.disable()
    try:
        loop = Loop()
        seen = weakref.ref(loop)
        del loop
        assert seen() is not None
        assert memory.give_back() is (memory._trim() is not None)
        assert (seen() is None) is (memory._trim() is not None)
    finally:
        gc.enable()


def test_another_c_library_is_left_alone(monkeypatch):
    monkeypatch.setattr(memory, "_libc", lambda: None)
    monkeypatch.setattr(memory, "_trim", lambda: None)
    memory.large_apart()
    assert memory.give_back() is False


def test_a_large_array_is_there_as_ever():
    memory.large_apart()
    assert float(np.ones(2 * memory.LARGE_BYTES).sum()) == 2 * memory.LARGE_BYTES
