"""Answers kept as long as what they rest on is the same."""

import subprocess
import sys

import pytest
from journal.desk.remembered import Remembered
from journal.errors import MissingReference
from journal.records.engine import reading, writing
from journal.records.queries import projects
from journal.records.tables import Project
from sqlalchemy import text, update
from tests import factories, journals


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


class Reading(Counted):
    """Work that reads something of the journal, and counts how often."""

    def __init__(self, read):
        super().__init__()
        self.read = read

    def of(self, held, engine):
        with reading(engine) as session:
            return held.of_journal(session, "what", lambda: (self(), self.read(session)))


def names(session):
    return [one.project.title for one in projects.list_projects(session)]


def test_of_a_journal_it_is_worked_out_again_after_a_write_to_what_it_read(file_engine):
    held, work = Remembered(), Reading(names)
    assert [work.of(held, file_engine), work.of(held, file_engine)] == [(1, []), (1, [])]
    with writing(file_engine) as session:
        factories.project(session, title="Long bench")
    assert [work.of(held, file_engine), work.of(held, file_engine)] == [(2, ["Long bench"])] * 2


@journals.needs_file  # of a server it is only known that somebody wrote
def test_a_write_elsewhere_leaves_it_as_it_is(file_engine):
    held, work = Remembered(), Reading(names)
    work.of(held, file_engine)
    for price in (100, 200):
        with writing(file_engine) as session:
            factories.price(session, factories.item(session, code=f"{price}").id, price)
    assert work.of(held, file_engine) == (1, [])


def test_a_write_that_was_taken_back_and_then_another(file_engine):
    held, work = Remembered(), Reading(names)
    work.of(held, file_engine)
    with pytest.raises(MissingReference), writing(file_engine) as session:
        projects.get_project(session, factories.project(session, title="Never").id + 1)
    with writing(file_engine) as session:
        factories.item(session)
    assert work.of(held, file_engine)[1] == []


def test_what_one_answer_was_made_of_another_it_changes_with_it(file_engine):
    inner, outer = Remembered(), Remembered()
    work = Reading(lambda session: inner.of_journal(session, "names", lambda: names(session)))
    work.of(inner, file_engine)  # the inner one is known before the outer is asked
    assert work.of(outer, file_engine)[1] == []
    with writing(file_engine) as session:
        factories.project(session, title="Long bench")
    assert work.of(outer, file_engine)[1] == ["Long bench"]


def test_rows_at_hand_before_the_work_count_as_read(file_engine):
    with writing(file_engine) as session:
        number = factories.project(session, title="Before").id
    held = Remembered()

    def ask():
        with reading(file_engine) as session:
            row = session.get(Project, number)
            assert row is not None
            return held.of_journal(session, "title", lambda: session.get(Project, number).title)

    assert ask() == "Before"
    with writing(file_engine) as session:
        session.execute(update(Project).values(title="After"))
    assert ask() == "After"


@pytest.mark.parametrize(
    "plain",
    [
        "update projects set title = 'After'",
        pytest.param("UPDATE  main.projects SET title='After'", marks=journals.needs_file),
    ],
)
def test_a_statement_of_any_kind_is_seen(file_engine, plain):
    with writing(file_engine) as session:
        factories.project(session, title="Before")
    held, work = Remembered(), Reading(names)
    work.of(held, file_engine)
    with writing(file_engine) as session:
        session.execute(text(plain))
    assert work.of(held, file_engine)[1] == ["After"]


@journals.needs_file
@pytest.mark.parametrize("same_program", [True, False])
def test_who_tells_nothing_breaks_the_row_even_with_a_telling_write_after_it(file_engine, same_program):
    with writing(file_engine) as session:
        factories.project(session, title="Before")
    held, work = Remembered(), Reading(names)
    work.of(held, file_engine)
    if same_program:
        with file_engine.begin() as connection:
            connection.execute(text("update projects set title = 'After'"))
    else:
        script = (
            "import sys; from sqlalchemy import update; from journal.records.engine import open_engine, writing;"
            "from journal.records.tables import Project\n"
            "with writing(open_engine(sys.argv[1])) as session: session.execute(update(Project).values(title='After'))"
        )
        subprocess.run([sys.executable, "-c", script, file_engine.url.database], check=True)
    with writing(file_engine) as session:
        factories.item(session)
    assert work.of(held, file_engine)[1] == ["After"]


def test_a_session_kept_before_its_end_breaks_the_row(file_engine):
    with writing(file_engine) as session:
        factories.project(session, title="Before")
    held, work = Remembered(), Reading(names)
    work.of(held, file_engine)
    with writing(file_engine) as session:
        session.execute(update(Project).values(title="After"))
        session.commit()
    with writing(file_engine) as session:
        factories.item(session)
    assert work.of(held, file_engine)[1] == ["After"]


def test_a_writing_session_is_never_answered_from_memory(file_engine):
    held, work = Remembered(), Counted()
    with writing(file_engine) as session:
        assert [held.of_journal(session, "what", work) for _ in range(2)] == [1, 2]


def test_forgetting():
    held, work = Remembered(), Counted()
    held.get("a", work)
    held.forget()
    assert held.get("a", work) == 2
