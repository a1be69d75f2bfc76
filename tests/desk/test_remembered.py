"""Answers kept as long as what they rest on is the same."""

from journal.desk.remembered import Remembered
from journal.records.engine import reading, writing
from tests import factories


class Counted:
    """Work that counts how often it was done."""

    def __init__(self):
        self.times = 0

    def __call__(self):
        self.times += 1
        return self.times


def test_the_same_question_is_answered_once_and_another_anew():
    held, work = Remembered(), Counted()
    assert [held.get((1, "a"), work), held.get((1, "a"), work), held.get((2, "a"), work)] == [1, 1, 2]


def test_only_the_last_few_are_kept():
    held, work = Remembered(2), Counted()
    for question in "abc":
        held.get(question, work)
    assert held.get("c", work) == 3
    assert held.get("a", work) == 4


def test_what_cannot_be_hashed_is_compared():
    held, work = Remembered(), Counted()
    assert held.get({"a": [1]}, work) == held.get({"a": [1]}, work) == 1
    assert held.get({"a": [2]}, work) == 2


def test_a_refusal_is_not_kept():
    held = Remembered()

    def refuse():
        raise ValueError

    for _ in range(2):
        try:
            held.get("a", refuse)
        except ValueError:
            continue
    assert held.get("a", lambda: 5) == 5


def test_of_a_journal_it_is_worked_out_again_after_any_write(file_engine):
    held, work = Remembered(), Counted()

    def ask():
        with reading(file_engine) as session:
            return held.of_journal(session, "what", work)

    assert [ask(), ask()] == [1, 1]
    with writing(file_engine) as session:
        factories.project(session)
    assert [ask(), ask()] == [2, 2]


def test_a_writing_session_is_never_answered_from_memory(file_engine):
    held, work = Remembered(), Counted()
    with writing(file_engine) as session:
        assert [held.of_journal(session, "what", work) for _ in range(2)] == [1, 2]


def test_forgetting():
    held, work = Remembered(), Counted()
    held.get("a", work)
    held.forget()
    assert held.get("a", work) == 2
