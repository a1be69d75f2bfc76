"""The whole journal as a folder of CSV files, and back."""

import csv

import pytest
from journal.errors import BadInput
from journal.records.engine import FILE_NAME, PHOTOS, open_engine
from journal.records.keeping import folder
from journal.records.keeping.check import check
from journal.records.keeping.rows import all_tables
from journal.records.keeping.tally import tally
from tests.records.keeping.conftest import ODD_TEXTS, PHOTO, SMALL_PHOTO


@pytest.fixture
def written(full, full_engine, tmp_path):
    to = tmp_path / "out"
    folder.write(full_engine, full, to)
    return to


@pytest.fixture
def empty(tmp_path, empty_file):
    data = tmp_path / "fresh"
    data.mkdir()
    (data / FILE_NAME).write_bytes(empty_file.read_bytes())
    engine = open_engine(data / FILE_NAME)
    yield engine, data
    engine.dispose()


def everything(at):
    return {path.relative_to(at).as_posix(): path.read_bytes() for path in at.rglob("*") if path.is_file()}


def test_there_and_back_and_there_again_gives_the_same_bytes(written, empty, full_engine, tmp_path):
    engine, data = empty
    found = folder.read(engine, data, written)
    assert found.rows["projects"] > 20
    assert found.photos == 1
    assert (data / PHOTO).stat().st_mode & 0o777 == 0o600
    assert check(engine, data) == ()
    with engine.connect() as there, full_engine.connect() as here:
        assert tally(there) == tally(here)
    folder.write(engine, data, tmp_path / "again")
    assert everything(tmp_path / "again") == everything(written)


def test_there_is_a_file_for_every_table_and_a_list_that_explains_them(written):
    names = {f"{table.name}.csv" for table in all_tables()}
    assert names | {"journal.json", PHOTO, SMALL_PHOTO} == set(everything(written))
    assert "an apostrophe before a text" in (written / "journal.json").read_text()


def test_texts_like_formulas_are_safe_to_open_and_come_back(written):
    with (written / "projects.csv").open(encoding="utf-8", newline="") as file:
        notes = [row["note"] for row in csv.DictReader(file) if row["code"].startswith("odd-")]
    assert len(notes) == len(ODD_TEXTS)
    assert not [note for note in notes if note.startswith(("=", "+", "-", "@", "\t"))]


def test_a_folder_with_something_in_it_is_not_written_into(full, full_engine, written):
    before = everything(written)
    with pytest.raises(BadInput, match="a new or an empty folder"):
        folder.write(full_engine, full, written)
    assert everything(written) == before


def test_a_journal_with_something_in_it_takes_nothing_in(full, full_engine, written):
    with pytest.raises(BadInput, match="an empty one"):
        folder.read(full_engine, full, written)


@pytest.mark.parametrize(
    ("spoil", "why"),
    [
        (lambda at: (at / "coats.csv").unlink(), "no coats.csv"),
        (lambda at: (at / "coats.csv").write_text("id\n1\n"), r"coats\.csv: read .another content"),
        (lambda at: (at / PHOTO).write_bytes(b"other"), PHOTO),
        (lambda at: (at / "journal.json").unlink(), "a folder written by this program"),
        (lambda at: (at / "journal.json").write_text("{}"), "the list as it was written"),
        (
            lambda at: (at / "journal.json").write_text(
                (at / "journal.json").read_text().replace('"revision": "', '"revision": "old')
            ),
            "upgrade that journal",
        ),
    ],
)
def test_a_folder_that_is_not_as_it_was_written_is_refused_and_nothing_is_taken(written, empty, spoil, why):
    spoil(written)
    engine, data = empty
    with pytest.raises(BadInput, match=why):
        folder.read(engine, data, written)
    with engine.connect() as connection:
        assert {found.rows for found in tally(connection).values()} == {0}
    assert not (data / PHOTOS).exists()
