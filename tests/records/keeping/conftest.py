"""A journal with something in every corner: the demo shop, a kept estimate, a photo, texts that try a file format."""

import shutil
from datetime import UTC, datetime
from hashlib import sha256

import pytest
from journal.desk import estimate
from journal.desk.demo import load_demo
from journal.desk.starting_stock import set_up
from journal.records import migrate, photo_files
from journal.records.engine import FILE_NAME, PHOTOS, open_engine, reading, writing
from journal.records.queries import photos
from journal.records.queries.photos import PhotoDraft
from tests import factories, postgres_server

NOW = datetime(2026, 11, 25, 18, 45, 1, tzinfo=UTC)
ODD_TEXTS = ("=1+1", "'quoted", "-3 boards", "@home", "+", "", 'a,b\n"c"\r\nd', "½ in · שלום 🪵", "\ttab", "'")
LARGE, SMALL = b"\xff\xd8 a board \xff\xd9", b"\xff\xd8 board \xff\xd9"
DIGEST = sha256(LARGE).hexdigest()
PHOTO, SMALL_PHOTO = f"{PHOTOS}/{DIGEST[:2]}/{DIGEST}.jpg", f"{PHOTOS}/{DIGEST[:2]}/{DIGEST}.small.jpg"


@pytest.fixture(scope="session")
def full_folder(tmp_path_factory, empty_file):
    """A data folder nobody has open; copied, never written to."""
    data = tmp_path_factory.mktemp("full")
    shutil.copyfile(empty_file, data / FILE_NAME)
    engine = open_engine(data / FILE_NAME)
    set_up(engine, NOW.date())
    with writing(engine) as session:
        loaded = load_demo(session, now=NOW)
        for number, text in enumerate(ODD_TEXTS):
            factories.project(session, code=f"odd-{number}", title=f"odd {number}", note=text)
    with reading(engine) as session:
        found = estimate.estimate_project(session, loaded.commission_project_id, NOW.date())
    with writing(engine) as session:
        estimate.keep_estimate(session, found, reason="asked for", now=NOW)
        photo_files.keep(data, LARGE, SMALL)
        photo = photos.add_photo(session, PhotoDraft(DIGEST, len(LARGE), 4, 3), now=NOW)
        photos.hang(session, photo, purchase_id=factories.purchase(session).id)
    engine.dispose()
    return data


@pytest.fixture
def full(tmp_path, full_folder):
    """An own copy of it: the folder."""
    data = tmp_path / "data"
    shutil.copytree(full_folder, data)
    return data


@pytest.fixture
def full_engine(full):
    engine = open_engine(full / FILE_NAME)
    yield engine
    engine.dispose()


@pytest.fixture
def own_server():
    """An empty PostgreSQL journal."""
    url = postgres_server.new_database()
    engine = open_engine(url)
    migrate.ensure_current(engine)
    yield engine
    engine.dispose()
    postgres_server.drop_database(url)
