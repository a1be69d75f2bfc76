"""What every test stands on."""

import os
import shutil

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the commands have it; before numpy is imported

import pytest
from hypothesis import settings
from journal.records import migrate
from journal.records.engine import open_engine

# Two shared cores: a slow example is not a failure.
settings.register_profile("shop", deadline=None, max_examples=60)
settings.load_profile("shop")


@pytest.fixture(scope="session")
def empty_file(tmp_path_factory):
    """A migrated SQLite file that nobody has open."""
    path = tmp_path_factory.mktemp("empty") / "journal.db"
    engine = open_engine(path)
    migrate.ensure_current(engine)
    engine.dispose()
    return path


@pytest.fixture
def file_engine(tmp_path, empty_file):
    """The SQLite database alone, for what only a file can do."""
    path = tmp_path / "journal.db"
    shutil.copyfile(empty_file, path)
    engine = open_engine(path)
    yield engine
    engine.dispose()
