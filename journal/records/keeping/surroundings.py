"""What around a journal may harm it without being wrong in it: told at each start, and by `journal check`.

A folder that another program copies to other computers, a second server on the same folder, a clock set back. None of
them stops the journal; each is a reason to look.
"""

from __future__ import annotations

import re
import sqlite3
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from journal.records.engine import FILE_NAME
from journal.records.keeping.backup import FOLDER, listed, made_at

if TYPE_CHECKING:
    from collections.abc import Iterator

SERVING = "serving.lock"
# Folders that are kept alike on several computers are mostly called so, and so are the hidden marks left in them.
_COPIED = re.compile(r"cloud|sync|drop.?box|\w ?drive\b|^box$|^mobile documents$|^\.stfolder$", re.IGNORECASE)
_RIVAL = re.compile(r"journal.*conflict.*\.db", re.IGNORECASE)
_SLACK = timedelta(hours=26)  # clocks of two time zones


def warnings(folder: Path, now: datetime) -> tuple[str, ...]:
    """What is to be looked at around the journal in a folder, each as a sentence."""
    return (*_copied_elsewhere(folder), *_clock(folder, now))


@contextmanager
def serving(folder: Path) -> Iterator[bool]:
    """Hold the mark of a server on a folder; False when another one has it. It goes with the program, however that ends.

    Two servers do no harm, as each write takes its turn in the file; but one of them is mostly a forgotten one.
    """
    connection = sqlite3.connect(folder / SERVING, timeout=0, isolation_level=None)
    try:
        yield _is_alone(connection)
    finally:
        connection.close()


def _is_alone(connection: sqlite3.Connection) -> bool:
    try:
        connection.execute("BEGIN EXCLUSIVE")
    except sqlite3.OperationalError as error:
        if error.sqlite_errorname != "SQLITE_BUSY":
            raise
        return False
    return True


def _copied_elsewhere(folder: Path) -> Iterator[str]:
    rivals = sorted(path.name for path in folder.iterdir() if _RIVAL.fullmatch(path.name))
    if rivals:
        yield (
            f"{rivals[0]} lies beside the journal: two computers have written to it apart. Open both with --data, keep "
            "the one that is right, and move the journal to a folder that stays on this computer"
        )
    if mark := _mark_of_copier(folder.absolute()):
        yield (
            f"{folder} looks like a folder that another program copies to other computers ({mark}). Such a program takes "
            "a database apart while it is written to: keep the journal in a folder of this computer, and copy its "
            f"{FOLDER} there instead"
        )


def _mark_of_copier(folder: Path) -> str:
    """The name that gives it away; above the user's own folder and in it, hidden files say nothing about this one."""
    home = Path.home()
    for place in (folder, *folder.parents):
        if _COPIED.search(place.name):
            return place.name
        below_home = home in place.parents or home not in folder.parents
        if found := next(filter(_COPIED.search, _hidden_in(place) if below_home else ()), ""):
            return found
    return ""


def _hidden_in(place: Path) -> list[str]:
    try:
        return sorted(path.name for path in place.iterdir() if path.name.startswith("."))
    except OSError:
        return []  # a folder above that may not be looked into tells nothing


def _clock(folder: Path, now: datetime) -> Iterator[str]:
    newest = max((*_written(folder), *(made_at(path) for path in listed(folder / FOLDER))), default=now)
    if newest > now + _SLACK:
        yield (
            f"the clock of this computer says {now:%Y-%m-%d}, but the journal was written on {newest:%Y-%m-%d}: set the "
            "clock right, for every entry gets its day from it"
        )


def _written(folder: Path) -> Iterator[datetime]:
    for name in (FILE_NAME, f"{FILE_NAME}-wal"):
        path = folder / name
        if path.exists():
            yield datetime.fromtimestamp(path.stat().st_mtime, UTC)
