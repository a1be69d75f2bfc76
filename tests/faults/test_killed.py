"""The program killed at any moment while it writes: what it said was saved is there, and the next start needs no help.

A few rounds each time; `make faults` does two hundred.
"""

import os
import random
import shutil
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest
from journal.records import migrate
from journal.records.engine import FILE_NAME, open_engine, reading
from journal.records.keeping.check import check
from journal.records.queries import log, projects

ROUNDS = int(os.environ.get("JOURNAL_FAULT_ROUNDS", "6"))
ROOT = Path(__file__).parents[2]


@pytest.mark.slow
def test_whatever_was_acknowledged_before_a_kill_is_there_after_it(tmp_path, empty_file):
    shutil.copyfile(empty_file, tmp_path / FILE_NAME)
    dice = random.Random(2026)  # noqa: S311 - moments, not secrets
    acknowledged = []
    for number in range(ROUNDS):
        acknowledged += _killed_after(dice.uniform(0.0, 0.35), tmp_path, f"run{number:03d}")
        engine = open_engine(tmp_path / FILE_NAME)
        migrate.ensure_current(engine)
        assert check(engine, tmp_path) == ()
        with reading(engine) as session:
            there = {counted.project.code: counted.entries for counted in projects.list_projects(session)}
            assert len(log.log_lines(session)) == len(there)
        engine.dispose()
        assert set(acknowledged) <= set(there)
        assert set(there.values()) <= {1}  # a project never without its entry: both or neither
        # At most one was saved in each round without there being time to say so.
        assert len(there) <= len(acknowledged) + number + 1
    assert len(acknowledged) > 5 * ROUNDS


def _killed_after(seconds, folder, run):
    """Start the writer, kill it so long after its first word; what it said was saved."""
    command = [sys.executable, "-m", "tests.faults.writer", str(folder), run]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT) as writer:
        first = writer.stdout.readline()
        time.sleep(seconds)
        writer.kill()
        rest = writer.stdout.read()
    return (first + rest).split()


def test_power_cut_anywhere_in_the_write_ahead_log_keeps_a_whole_beginning(tmp_path, empty_file):
    """The log cut at each frame's edge and between edges: the commits before the cut are there, those after are not."""
    folder = tmp_path / "running"
    folder.mkdir()
    shutil.copyfile(empty_file, folder / FILE_NAME)
    commits = 12
    with closing(sqlite3.connect(folder / FILE_NAME, isolation_level=None)) as held:
        held.execute("PRAGMA journal_mode=WAL")
        held.execute("PRAGMA wal_autocheckpoint=0")
        for number in range(commits):
            held.execute("BEGIN IMMEDIATE")
            held.execute("INSERT INTO settings VALUES (?, '1', 'in')", (f"first {number:02d}",))
            held.execute("INSERT INTO settings VALUES (?, '1', 'in')", (f"second {number:02d}",))
            held.execute("COMMIT")
        log_bytes = (folder / f"{FILE_NAME}-wal").read_bytes()
        base = (folder / FILE_NAME).read_bytes()
    page = int.from_bytes(base[16:18], "big")
    frame = page + 24
    edges = range(32, len(log_bytes) + 1, frame)
    kept = [_kept_after_cut(tmp_path / "after", base, log_bytes[:cut]) for edge in edges for cut in (edge, edge + 7)]
    assert kept == sorted(kept)
    assert kept[-1] == commits
    assert kept[0] == 0


def _kept_after_cut(folder, base, log_bytes):
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    (folder / FILE_NAME).write_bytes(base)
    (folder / f"{FILE_NAME}-wal").write_bytes(log_bytes)
    with closing(sqlite3.connect(folder / FILE_NAME)) as found:
        assert found.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        keys = [key for (key,) in found.execute("SELECT key FROM settings ORDER BY key")]
    firsts = [key for key in keys if key.startswith("first")]
    seconds = [key for key in keys if key.startswith("second")]
    assert firsts == [f"first {number:02d}" for number in range(len(firsts))]
    assert len(firsts) == len(seconds)
    return len(firsts)
