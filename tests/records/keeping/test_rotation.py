"""Which backups are due, and which have had their time."""

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st
from journal.records.keeping import rotation
from journal.records.keeping.backup import made_at

START = date(2024, 1, 1)


def named(day, reason="daily", hour=6):
    moment = datetime(day.year, day.month, day.day, hour, tzinfo=UTC)
    return Path(f"journal-{moment:%Y%m%d-%H%M%S}-{reason}.zip")


def test_three_years_of_days_leave_seven_days_five_weeks_and_twelve_months():
    days = [START + timedelta(days=number) for number in range(3 * 365)]
    paths = [named(day) for day in days]
    kept = sorted(set(paths) - set(rotation.outdated(paths)), key=made_at, reverse=True)
    assert kept[:7] == paths[:-8:-1]
    weeks = {made_at(path).isocalendar()[:2] for path in kept}
    months = {(made_at(path).year, made_at(path).month) for path in kept}
    assert len(months) == 12
    assert len(weeks) >= 5
    assert len(kept) <= 7 + 5 + 12


@given(st.sets(st.integers(0, 1500), max_size=60))
def test_the_newest_is_always_kept_and_keeping_twice_changes_nothing(numbers):
    paths = [named(START + timedelta(days=number)) for number in numbers]
    kept = set(paths) - set(rotation.outdated(paths))
    assert not paths or max(paths, key=made_at) in kept
    assert rotation.outdated(kept) == ()


def test_one_that_was_asked_for_stays():
    asked = [named(START + timedelta(days=number), "asked") for number in range(500)]
    assert rotation.outdated(asked) == ()


def test_outdated_ones_are_removed_from_the_folder_and_nothing_else(tmp_path):
    for number in range(60):
        (tmp_path / named(START + timedelta(days=number)).name).write_bytes(b"x")
    (tmp_path / named(START, "asked").name).write_bytes(b"x")
    (tmp_path / "letter.txt").write_bytes(b"x")
    gone = rotation.remove_outdated(tmp_path)
    left = {path.name for path in tmp_path.iterdir()}
    assert {"letter.txt", named(START, "asked").name} <= left
    assert len(left) == 60 + 2 - len(gone)
    assert len(gone) > 40


def test_one_is_due_each_day_of_the_clock(tmp_path):
    now = datetime(2026, 3, 2, 9, tzinfo=UTC)
    assert rotation.is_due(tmp_path, now)
    (tmp_path / named(now.date(), "asked").name).write_bytes(b"x")
    assert rotation.is_due(tmp_path, now)
    (tmp_path / named(now.date()).name).write_bytes(b"x")
    assert not rotation.is_due(tmp_path, now)
    assert not rotation.is_due(tmp_path, now - timedelta(hours=9))
    assert rotation.is_due(tmp_path, now + timedelta(days=1))


def test_a_clock_that_was_years_ahead_once_does_not_end_the_daily_backups(tmp_path):
    (tmp_path / named(START + timedelta(days=9_000)).name).write_bytes(b"x")
    assert rotation.is_due(tmp_path, datetime(2026, 3, 2, 9, tzinfo=UTC))


def test_of_a_clock_set_back_the_backup_just_made_stays(tmp_path):
    for number in range(400):
        (tmp_path / named(START + timedelta(days=number)).name).write_bytes(b"x")
    made = tmp_path / named(START - timedelta(days=9_000)).name
    made.write_bytes(b"x")
    assert made in rotation.outdated([*tmp_path.iterdir()])
    assert made not in rotation.remove_outdated(tmp_path, but=made)
    assert made.exists()
