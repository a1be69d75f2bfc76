"""A backup a day, made beside the server while it runs."""

import logging
from datetime import UTC, datetime, timedelta

import pytest
from journal.cli import daily
from journal.records.keeping import backup

NOW = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
LOG = logging.getLogger("tests.daily")


def test_one_is_made_a_day_and_no_more(file_engine, tmp_path):
    for hours in (0, 1, 5, 20):
        daily.look(file_engine, tmp_path, LOG, NOW + timedelta(hours=hours))
    names = [path.name for path in backup.listed(tmp_path / "backups")]
    assert names == ["journal-20260303-053000-daily.zip", "journal-20260302-093000-daily.zip"]


def test_those_that_have_had_their_time_go(file_engine, tmp_path):
    for days in range(10):
        daily.look(file_engine, tmp_path, LOG, NOW + timedelta(days=days))
    assert [backup.made_at(path).day for path in backup.listed(tmp_path / "backups")] == [11, 10, 9, 8, 7, 6, 5]


def test_a_disk_that_refuses_is_told_to_the_log_and_the_journal_goes_on(file_engine, tmp_path, caplog):
    (tmp_path / "backups").write_text("a file where the folder should be")
    daily.look(file_engine, tmp_path, LOG, NOW)
    assert "the daily backup could not be made" in caplog.text


@pytest.mark.parametrize("times", [1, 3])
def test_it_starts_with_the_server_and_ends_with_it(file_engine, tmp_path, times):
    for _ in range(times):
        end = daily.start(file_engine, tmp_path, LOG)
        end()
    assert len(backup.listed(tmp_path / "backups")) == 1
