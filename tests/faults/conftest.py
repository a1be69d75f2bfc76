"""Faults of a file: a journal here is one whatever the switch of tests/journals.py says."""

import pytest


@pytest.fixture
def file_engine(sqlite_engine):
    return sqlite_engine
