"""Photos on both databases: known once, hung in order, taken down, carried over; and what the tables refuse."""

import pytest
from journal.errors import MissingReference
from journal.records.engine import reading, writing
from journal.records.queries import notes, photos
from journal.records.queries.photos import PhotoDraft
from tests import factories
from tests.factories import NOW, TODAY


def draft(mark):
    return PhotoDraft(sha256=mark * 64, bytes=1000, width=4, height=3)


@pytest.fixture
def places(engine):
    """A note and a receipt, by number."""
    with writing(engine) as session:
        project = factories.project(session).id
        note = notes.add_note(session, notes.NoteDraft(project_id=project, day=TODAY, text="x"), now=NOW)
        return note.id, factories.purchase(session).id


def hung(session, note):
    return [row.sha256[0] for row in photos.on_notes(session, [note]).get(note, ())]


def test_photos_hang_in_the_order_in_which_they_came_and_each_is_known_once(engine, places):
    note, receipt = places
    with writing(engine) as session:
        first, second = (photos.add_photo(session, draft(mark), now=NOW) for mark in "ab")
        assert photos.add_photo(session, draft("a"), now=NOW) == first
        place, new = photos.hang(session, first, note_id=note)
        assert new
        assert photos.hang(session, first, note_id=note) == (place, False)
        photos.hang(session, second, note_id=note)
        photos.hang(session, first, purchase_id=receipt)
    with reading(engine) as session:
        assert hung(session, note) == ["a", "b"]
        (row,) = photos.on_purchase(session, receipt)
        assert (row.sha256, row.note_id, row.purchase_id, row.removed) == ("a" * 64, None, receipt, False)
        assert photos.get_hung(session, place).note_id == note


def test_one_taken_down_is_listed_apart_and_comes_again_last(engine, places):
    note, _receipt = places
    with writing(engine) as session:
        first, second = (photos.add_photo(session, draft(mark), now=NOW) for mark in "ab")
        place, _ = photos.hang(session, first, note_id=note)
        photos.hang(session, second, note_id=note)
        photos.set_removed(session, place, NOW)
        assert hung(session, note) == ["b"]
        (down,) = photos.on_notes(session, [note], removed=True)[note]
        assert (down.id, down.removed) == (place, True)
        assert photos.hang(session, first, note_id=note) == (place, True)
        assert hung(session, note) == ["b", "a"]


def test_those_of_a_receipt_are_carried_over_as_they_hang(engine, places):
    _note, old = places
    with writing(engine) as session:
        first, second = (photos.add_photo(session, draft(mark), now=NOW) for mark in "ab")
        place, _ = photos.hang(session, first, purchase_id=old)
        photos.hang(session, second, purchase_id=old)
        photos.set_removed(session, place, NOW)
        new = factories.purchase(session).id
        photos.carry_over(session, old, new)
        for receipt in (old, new):
            assert [row.sha256[0] for row in photos.on_purchase(session, receipt)] == ["b"]
            assert [row.sha256[0] for row in photos.on_purchase(session, receipt, removed=True)] == ["a"]


def test_what_is_not_there_is_not_found(engine):
    with writing(engine) as session:
        with pytest.raises(MissingReference):
            photos.get_hung(session, 99)
        with pytest.raises(MissingReference):
            photos.set_removed(session, 99, NOW)
        assert photos.on_notes(session, []) == {}


def test_many_notes_take_one_statement(engine, places, statements):
    note, _receipt = places
    with writing(engine) as session:
        photos.hang(session, photos.add_photo(session, draft("a"), now=NOW), note_id=note)
    with reading(engine) as session, statements() as seen:
        photos.on_notes(session, range(note, note + 200))
    assert len(seen) == 1
