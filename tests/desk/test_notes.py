"""Notes: written, changed with the other's change in sight, taken out and put back; and the search over every text."""

from datetime import UTC, date, datetime, timedelta

import pytest
from journal.desk import acts, note_search, notes
from journal.desk.notes import LONGEST, Wanted
from journal.desk.sending import Sending
from journal.errors import BadInput, Conflict, MissingReference
from journal.records.engine import reading, writing
from journal.records.queries import floor, lessons
from journal.records.queries import notes as records
from journal.records.queries.photos import PhotoDraft
from tests import factories
from tests.web.project_pages import statements

TODAY = date(2026, 3, 2)
NOW = datetime(2026, 3, 2, 12, tzinfo=UTC)


class Sender:
    """Forms of one day, each with a key of its own."""

    def __init__(self):
        self.number = 0

    def __call__(self):
        self.number += 1
        return Sending(f"form-{self.number:04}", TODAY, UTC, NOW + timedelta(minutes=self.number))


@pytest.fixture
def send():
    return Sender()


@pytest.fixture
def session(file_engine):
    with writing(file_engine) as opened:
        yield opened


@pytest.fixture
def project(session):
    return factories.project(session).id


def wanted(text="glue at 60 °F took longer", **given):
    return Wanted(**{"text": text, "day": TODAY} | given)


def picture(digit="a"):
    return PhotoDraft(sha256=digit * 64, bytes=9, width=1600, height=1200)


def listed(session, project, **given):
    return [row.text for row in notes.page_of(session, project, **given).notes]


def test_a_note_is_kept_as_it_was_written(session, project, send):
    row = notes.put(session, project, wanted("two\r\nlines ", operation="joint_face"), sent=send())
    assert (row.text, row.operation, row.day, row.version) == ("two\nlines", "joint_face", TODAY, 1)
    assert listed(session, project) == ["two\nlines"]


def test_the_newest_day_is_first_and_pages_hold_so_many(session, project, send):
    for number in range(notes.PAGE + 1):
        notes.put(session, project, wanted(f"note {number}", day=TODAY - timedelta(days=number)), sent=send())
    first = notes.page_of(session, project)
    assert (first.notes[0].text, first.page, first.pages, first.total) == ("note 0", 1, 2, notes.PAGE + 1)
    assert listed(session, project, page=99) == [f"note {notes.PAGE}"]
    assert listed(session, project, page=-1) == [f"note {number}" for number in range(notes.PAGE)]


@pytest.mark.parametrize(
    ("bad", "field"),
    [
        ({"text": " \n "}, "text"),
        ({"day": TODAY + timedelta(days=1)}, "day"),
        ({"operation": "joint_face", "stage": "milling"}, "about"),
    ],
)
def test_bad_input_names_its_field(session, project, send, bad, field):
    with pytest.raises(BadInput) as refused:
        notes.put(session, project, wanted(**bad), sent=send())
    assert refused.value.field == field
    assert listed(session, project) == []


def test_a_text_may_be_so_long_and_no_longer(session, project, send):
    notes.put(session, project, wanted("x" * LONGEST), sent=send())
    with pytest.raises(BadInput):
        wanted("x" * (LONGEST + 1))


def test_a_photo_needs_no_words(session, project, send):
    row = notes.put(session, project, wanted(""), sent=send(), stored=(picture(),))
    assert row.text == ""
    assert notes.change(session, row.id, wanted(""), read_version=1, sent=send()) == row


def test_a_time_entry_of_another_project_is_not_found(session, project, send):
    other = factories.entry(session, project_id=factories.project(session).id).id
    with pytest.raises(MissingReference):
        notes.put(session, project, wanted(entry_id=other), sent=send())
    with pytest.raises(MissingReference):
        notes.put(session, 99, wanted(), sent=send())


def test_a_form_sent_twice_writes_one_note(session, project, send):
    sent = send()
    notes.put(session, project, wanted(), sent=sent)
    assert notes.put(session, project, wanted(), sent=sent) is None
    assert len(listed(session, project)) == 1


def test_of_two_changes_the_second_is_told(session, project, send):
    row = notes.put(session, project, wanted("one"), sent=send())
    notes.change(session, row.id, wanted("two"), read_version=row.version, sent=send())
    with pytest.raises(Conflict):
        notes.change(session, row.id, wanted("three"), read_version=row.version, sent=send())
    assert listed(session, project) == ["two"]


def test_a_note_sent_again_unchanged_changes_nothing(session, project, send):
    row = notes.put(session, project, wanted("one", stage="milling"), sent=send())
    again = notes.change(session, row.id, wanted("one", stage="milling"), read_version=1, sent=send())
    assert again == row
    assert acts.newest(session, NOW).said == "The note is kept"


def undo(session, send):
    return acts.undo(session, acts.newest(session, NOW).id, zone=UTC, now=send().now)


def test_every_act_is_taken_back_in_turn(session, project, send):
    row = notes.put(session, project, wanted("one", operation="joint_face"), sent=send())
    changed = wanted("two", day=TODAY - timedelta(days=3), stage="milling")
    notes.change(session, row.id, changed, read_version=1, sent=send())
    assert undo(session, send) == "The note is changed"
    back = records.get_note(session, row.id)
    assert (back.text, back.operation, back.stage, back.day) == ("one", "joint_face", None, TODAY)
    notes.remove(session, row.id, sent=send())
    assert listed(session, project) == []
    undo(session, send)
    assert listed(session, project) == ["one"]
    notes.put(session, project, wanted("another"), sent=send())
    undo(session, send)
    assert listed(session, project) == ["one"]
    assert listed(session, project, removed=True) == ["another"]


def test_photos_added_by_a_change_are_taken_back_with_it(session, project, send):
    row = notes.put(session, project, wanted("one"), sent=send(), stored=(picture("a"),))
    notes.change(session, row.id, wanted("two"), read_version=1, sent=send(), stored=(picture("a"), picture("b")))

    def hung():
        return [one.sha256[0] for one in notes.page_of(session, project).photos[row.id]]

    assert hung() == ["a", "b"]
    undo(session, send)
    assert (hung(), listed(session, project)) == (["a"], ["one"])
    notes.remove(session, row.id, sent=send())
    undo(session, send)
    assert hung() == ["a"]


def test_what_was_changed_since_is_not_taken_back(session, project, send):
    row = notes.put(session, project, wanted("one"), sent=send())
    notes.change(session, row.id, wanted("two"), read_version=1, sent=send())
    first = acts.newest(session, NOW)
    notes.change(session, row.id, wanted("three"), read_version=2, sent=send())
    with pytest.raises(Conflict):
        acts.undo(session, first.id, zone=UTC, now=NOW)


def test_a_note_taken_out_is_put_back_and_one_kept_over_that_is_there(session, project, send):
    row = notes.put(session, project, wanted("one"), sent=send())
    notes.remove(session, row.id, sent=send())
    assert notes.page_of(session, project).removed == 1
    with pytest.raises(Conflict):
        notes.change(session, row.id, wanted("two"), read_version=row.version, sent=send())
    notes.put_back(session, row.id, sent=send())
    assert listed(session, project) == ["one"]
    notes.remove(session, row.id, sent=send())
    seen = notes.one(session, project, row.id).version
    notes.change(session, row.id, wanted("two"), read_version=seen, sent=send())
    assert listed(session, project) == ["two"]
    with pytest.raises(MissingReference):
        notes.one(session, factories.project(session).id, row.id)


@pytest.fixture
def shop(file_engine, send):
    """A project with a text of every kind; (engine, project)."""
    with writing(file_engine) as session:
        project = factories.project(session, title="Bench for a press", note="no glue on the vise").id
        timed = factories.entry(session, project_id=project, operation="joint_face", note="Glue squeezed out")
        factories.entry(session, stage="milling", note="new belt on the drum", on_date=TODAY - timedelta(days=9))
        factories.entry(session, project_id=project, note="")
        notes.put(session, project, wanted("Glued at night", operation="glue_up"), sent=send())
        notes.put(session, project, wanted("about the time", entry_id=timed.id), sent=send())
        notes.put(session, project, wanted("Everything", day=TODAY - timedelta(days=300)), sent=send())
        lessons.add_lesson(session, project, "Next time unglued clamps first", now=NOW)
        coat = floor.CoatRow(
            project_id=project, finish="hard_oil", coat=1, area_mm2=9, amount_ml=5.0, on_date=TODAY, note="No glue line"
        )
        floor.add_coat(session, coat)
    return file_engine, project


def found(engine, typed, codes=frozenset(), page=1):
    with reading(engine) as session:
        return note_search.search(session, typed, codes, page)


def texts(engine, typed, codes=frozenset()):
    return [hit.text.text for hit in found(engine, typed, codes).hits]


def test_every_kind_of_text_is_found_those_that_begin_so_first(shop):
    engine, _ = shop
    hits = found(engine, "glue").hits
    assert {hit.text.kind for hit in hits} == {*note_search.Kind}
    assert hits[-1].text.text == "Next time unglued clamps first"
    assert hits[0].project[1] == "Bench for a press"
    assert all(any(piece.found for piece in hit.passage) for hit in hits)


def test_without_words_everything_is_there_the_newest_first(shop):
    engine, _ = shop
    page = found(engine, "")
    assert page.total == page.texts == 8
    assert [hit.text.day for hit in page.hits] == sorted((hit.text.day for hit in page.hits), reverse=True)
    assert page.hits[-1].text.text == "Everything"


def test_a_note_with_photos_is_found_with_the_first_of_them(shop, send):
    engine, project = shop
    for _ in range(9):
        send()
    with writing(engine) as session:
        notes.put(session, project, wanted("a jig"), sent=send(), stored=(picture("b"), picture("a")))
    (hit,) = found(engine, "jig").hits
    assert (hit.photo.sha256, hit.photo.small_width, hit.photo.small_height) == ("b" * 64, 320, 240)
    assert found(engine, "everything").hits[0].photo is None


def test_the_shops_own_time_is_found_and_has_no_project(shop):
    (hit,) = found(shop[0], "drum belt").hits
    assert (hit.project, hit.text.project_id, hit.text.by_stage) == (("", ""), None, True)


def test_a_note_on_a_time_entry_is_about_its_work(shop):
    engine, _ = shop
    assert set(texts(engine, "", frozenset({"joint_face"}))) == {"Glue squeezed out", "about the time"}
    assert texts(engine, "", frozenset({"glue_up"})) == ["Glued at night"]
    assert texts(engine, "", frozenset({"apply_coat"})) == ["No glue line"]
    assert texts(engine, "drum", frozenset({"glue_up"})) == []


def test_what_is_written_since_is_found_and_what_is_taken_out_is_not(shop, send):
    engine, project = shop
    assert texts(engine, "hammer") == []
    for _ in range(9):
        send()
    with writing(engine) as session:
        row = notes.put(session, project, wanted("a hammer fell"), sent=send())
    assert texts(engine, "hammer") == ["a hammer fell"]
    with writing(engine) as session:
        notes.remove(session, row.id, sent=send())
    assert texts(engine, "hammer") == []


def test_a_writing_session_finds_what_it_wrote(shop, send):
    engine, project = shop
    for _ in range(9):
        send()
    with writing(engine) as session:
        notes.put(session, project, wanted("a mallet"), sent=send())
        assert note_search.search(session, "mallet").total == 1


@pytest.mark.parametrize(
    "typed", ['"', "* OR NEAR(", "a" * 5_000, "\u202eglue\u202c", "🪵 عربي", "%_\\", "'; DROP TABLE notes"]
)
def test_nothing_typed_is_an_error(shop, typed):
    assert found(shop[0], typed).page == 1


def test_pages_hold_so_many_and_a_page_past_the_last_is_the_last(shop):
    engine, project = shop
    with writing(engine) as session:
        for number in range(note_search.PAGE):
            records.add_note(session, records.NoteDraft(project_id=project, day=TODAY, text=f"pin {number}"), now=NOW)
    first = found(engine, "pin")
    assert (len(first.hits), first.pages, first.total) == (note_search.PAGE, 1, note_search.PAGE)
    assert found(engine, "", page=2).page == 2
    assert found(engine, "", page=99).page == 2
    assert found(engine, "", page=-5).page == 1


def test_a_search_takes_as_many_statements_whatever_there_is(shop):
    engine, project = shop
    found(engine, "glue")
    few = statements(engine, lambda: found(engine, "glue"))
    with writing(engine) as session:
        for number in range(50):
            records.add_note(session, records.NoteDraft(project_id=project, day=TODAY, text=f"glue {number}"), now=NOW)
    found(engine, "glue")
    assert statements(engine, lambda: found(engine, "glue")) == few
    assert statements(engine, lambda: found(engine, "nothing at all")) == few


def test_the_notes_of_a_project_by_operation(shop):
    engine, project = shop
    with reading(engine) as session:
        by = records.by_operation(session, project)
    assert {code: [row.text for row in rows] for code, rows in by.items()} == {
        "glue_up": ["Glued at night"],
        "joint_face": ["about the time"],
    }
