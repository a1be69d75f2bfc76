"""A backup a day, made beside the server while it runs."""

from __future__ import annotations

import threading
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from journal.errors import JournalError
from journal.records.keeping import backup, rotation

if TYPE_CHECKING:
    from collections.abc import Callable
    from logging import Logger
    from pathlib import Path

    from sqlalchemy import Engine

_LOOK_EVERY = 600.0  # seconds


def start(engine: Engine, data: Path, log: Logger) -> Callable[[], None]:
    """Look at once and then every ten minutes whether a backup is due; answers what ends it."""
    ended = threading.Event()

    def watch() -> None:
        look(engine, data, log, datetime.now(UTC))
        while not ended.wait(_LOOK_EVERY):
            look(engine, data, log, datetime.now(UTC))

    thread = threading.Thread(target=watch, name="daily backup", daemon=True)
    thread.start()

    def end() -> None:
        ended.set()
        thread.join(timeout=30)

    return end


def look(engine: Engine, data: Path, log: Logger, now: datetime) -> None:
    """Make the day's backup if it is due, and remove those that have had their time."""
    folder = data / backup.FOLDER
    if not rotation.is_due(folder, now):
        return
    try:
        made = backup.make(engine, data, now=now, reason=rotation.DAILY)
        gone = rotation.remove_outdated(folder, but=made.path)
    except (JournalError, OSError):
        log.exception("the daily backup could not be made; the journal itself goes on")
        return
    log.info("backup %s made and checked, %d older ones removed", made.path.name, len(gone))
