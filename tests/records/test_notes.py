"""Notes on both databases: kept, changed, listed; photos hang in one place; the same search on either."""

from datetime import UTC, datetime

import pytest
from journal.desk.note_search import search
from journal.records.engine import reading, writing
from journal.records.queries import notes
from journal.records.tables import Note, Photo, PhotoPlace
from sqlalchemy import insert
from sqlalchemy.exc import IntegrityError
from tests import factories
from tests.factories import NOW, TODAY


def draft(project, text="naïve café 🪵", **given):
    return notes.NoteDraft(project_id=project, day=TODAY, text=text, **given)


@pytest.fixture
def project(engine):
    with writing(engine) as session:
        return factories.project(session).id


def test_a_note_comes_back_as_it_was_kept(engine, project):
    with writing(engine) as session:
        kept = notes.add_note(session, draft(project, stage="milling"), now=NOW)
    with reading(engine) as session:
        assert notes.get_note(session, kept.id) == kept
        assert notes.counts_of(session, project) == (1, 0)
        assert notes.page_of(session, project, most=5) == (kept,)


def test_each_change_is_counted_and_nothing_changed_is_none(engine, project):
    with writing(engine) as session:
        row = notes.add_note(session, draft(project), now=NOW)
        assert notes.change_note(session, row.id, {"text": row.text}, now=NOW).version == 1
        later = datetime(2030, 1, 1, tzinfo=UTC)
        changed = notes.change_note(session, row.id, {"text": "other", "removed_at": later}, now=later)
        assert (changed.version, changed.changed_at, changed.created_at) == (2, later, NOW)
        assert notes.page_of(session, project, most=5, removed=True) == (changed,)


@pytest.mark.parametrize("wrong", [{"operation": "a", "stage": "b"}, {"entry_id": 1, "stage": "b"}])
def test_the_database_holds_a_note_to_one_thing(engine, project, wrong):
    with writing(engine) as session:
        entry = factories.entry(session, project_id=project).id
    values = {"project_id": project, "day": TODAY, "text": "", "version": 1, "created_at": NOW, "changed_at": NOW}
    if "entry_id" in wrong:
        wrong = wrong | {"entry_id": entry}
    with pytest.raises(IntegrityError, match="about_one_thing"), writing(engine) as session:
        session.execute(insert(Note), [values | wrong])


@pytest.mark.parametrize("places", [(0, 0), (1, 1)])
def test_a_photo_hangs_on_a_note_or_a_purchase(engine, project, places):
    with writing(engine) as session:
        note, bought = notes.add_note(session, draft(project), now=NOW).id, factories.purchase(session).id
        photo = {"sha256": "a" * 64, "bytes": 9, "width": 4, "height": 3, "added_at": NOW}
        session.execute(insert(Photo), [photo])
    on = {"note_id": note if places[0] else None, "purchase_id": bought if places[1] else None}
    with pytest.raises(IntegrityError, match="note_or_purchase"), writing(engine) as session:
        session.execute(insert(PhotoPlace), [{"photo_id": 1, "position": 0, **on}])


def test_the_search_finds_the_same_on_either(engine, project):
    with writing(engine) as session:
        notes.add_note(session, draft(project), now=NOW)
        factories.entry(session, project_id=project, note="café at noon")
        factories.entry(session, project_id=project, note="")
    with reading(engine) as session:
        assert [hit.text.text for hit in search(session, "CAFE").hits] == ["naïve café 🪵", "café at noon"]
        assert search(session, "", frozenset({"joint_face"})).total == 1
    with writing(engine) as session:
        notes.add_note(session, draft(project, "another café"), now=NOW)
    with reading(engine) as session:
        assert search(session, "cafe").total == 3
