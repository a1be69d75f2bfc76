"""Writers of one program take turns in the order they came."""

import threading
import time

import pytest
from journal.errors import JournalError
from journal.records import turns
from journal.records.engine import writing


def test_first_come_first_served(tmp_path):
    order, threads = [], []

    def come(number):
        with turns.turn(tmp_path / "a.db"):
            order.append(number)

    with turns.turn(tmp_path / "a.db"):
        for number in range(12):
            threads.append(threading.Thread(target=come, args=(number,)))
            threads[-1].start()
            while len(turns._lines[tmp_path / "a.db"]._waiting) <= number:
                time.sleep(0.001)
    for thread in threads:
        thread.join()
    assert order == list(range(12))


def test_one_at_a_time_and_each_file_has_a_line_of_its_own(tmp_path):
    inside, most = [], []

    def come():
        for _ in range(50):
            with turns.turn(tmp_path / "a.db"):
                inside.append(1)
                most.append(len(inside))
                inside.pop()

    threads = [threading.Thread(target=come) for _ in range(8)]
    with turns.turn(tmp_path / "b.db"):
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
    assert set(most) == {1}
    assert len(most) == 400


def test_who_waits_too_long_is_told_and_leaves_the_line(tmp_path, monkeypatch):
    monkeypatch.setattr(turns, "LONGEST_WAIT", 0.05)
    said = []

    def come():
        with pytest.raises(JournalError, match="busy with another change"), turns.turn(tmp_path / "a.db"):
            pass
        said.append(True)

    with turns.turn(tmp_path / "a.db"):
        thread = threading.Thread(target=come)
        thread.start()
        thread.join()
    assert said == [True]
    with turns.turn(tmp_path / "a.db"):
        pass


def test_a_turn_ends_also_when_the_change_fails(file_engine):
    for _ in range(2):
        with pytest.raises(ZeroDivisionError), writing(file_engine):
            raise ZeroDivisionError
    with writing(file_engine):
        pass
