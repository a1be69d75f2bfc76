"""What around a journal may harm it is told at the start: a copied folder, a second server, a clock set back."""

import os
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from journal.records.keeping.surroundings import serving, warnings

NOW = datetime(2026, 3, 2, 9, tzinfo=UTC)
ROOT = Path(__file__).parents[2]
HOLD = """
import sys, time
from pathlib import Path
from journal.records.keeping.surroundings import serving
with serving(Path(sys.argv[1])) as alone:
    print(alone, flush=True)
    time.sleep(60)
"""


@pytest.fixture
def folder(tmp_path):
    """A data folder with a file written now."""
    (tmp_path / "data").mkdir()
    (tmp_path / "data" / "journal.db").write_bytes(b"x")
    written(tmp_path / "data" / "journal.db", NOW)
    return tmp_path / "data"


def written(path, when):
    os.utime(path, (when.timestamp(), when.timestamp()))


def test_an_ordinary_folder_gives_no_reason_to_look(folder):
    assert warnings(folder, NOW) == ()


@pytest.mark.parametrize("name", ["MyCloud", "Sync", "One Drive", "Box", "Mobile Documents", "cloudstorage"])
def test_a_folder_below_one_that_is_copied_elsewhere_is_told(tmp_path, name):
    below = tmp_path / name / "shop"
    below.mkdir(parents=True)
    (told,) = warnings(below, NOW)
    assert f"copies to other computers ({name})" in told
    assert "copy its backups there instead" in told


@pytest.mark.parametrize("name", ["toolbox", "drive", "drives", "shop", "boxes", "benches"])
def test_a_folder_that_is_only_called_something_alike_is_not(tmp_path, name):
    below = tmp_path / name / "shop"
    below.mkdir(parents=True)
    assert warnings(below, NOW) == ()


def test_the_hidden_mark_of_such_a_program_above_it_is_told(folder):
    (folder.parent / ".sync-state").write_text("")
    (told,) = warnings(folder, NOW)
    assert "(.sync-state)" in told


def test_a_hidden_file_in_the_users_own_folder_says_nothing(folder, monkeypatch):
    (folder.parent / ".syncrc").write_text("")
    monkeypatch.setenv("HOME", str(folder.parent))
    monkeypatch.setenv("USERPROFILE", str(folder.parent))
    assert warnings(folder, NOW) == ()


def test_a_second_file_that_such_a_program_left_is_told_by_name(folder):
    (folder / "journal (conflicted copy 2026-03-01).db").write_bytes(b"x")
    (told,) = warnings(folder, NOW)
    assert told.startswith("journal (conflicted copy 2026-03-01).db lies beside the journal")


def test_a_clock_set_back_is_told_and_the_hours_between_time_zones_are_not(folder):
    written(folder / "journal.db", NOW + timedelta(hours=20))
    assert warnings(folder, NOW) == ()
    written(folder / "journal.db", NOW + timedelta(days=3))
    (told,) = warnings(folder, NOW)
    assert "says 2026-03-02, but the journal was written on 2026-03-05" in told


def test_a_clock_set_back_is_told_from_the_backups_alone(folder):
    (folder / "backups").mkdir()
    (folder / "backups" / "journal-20260401-060000-daily.zip").write_bytes(b"x")
    (told,) = warnings(folder, NOW)
    assert "written on 2026-04-01" in told


def test_of_two_servers_on_a_folder_the_second_is_told(folder):
    with serving(folder) as first, serving(folder) as second:
        assert (first, second) == (True, False)
    with serving(folder) as again:
        assert again


def test_the_mark_of_a_server_goes_with_it_however_it_ends(folder):
    command = [sys.executable, "-c", HOLD, str(folder)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT) as server:
        assert server.stdout.readline() == "True\n"
        with serving(folder) as alone:
            assert not alone
        server.kill()
    with serving(folder) as alone:
        assert alone
