"""Writers of one program take turns in the order they came.

SQLite lets a waiting writer in when it happens to ask at the right moment: among twenty, one can ask in vain for many
seconds (measured: 5 of 4,000 waited over 5 s). So only one of this program's writers asks SQLite at a time, and the others
stand in line here.
"""

from __future__ import annotations

import threading
from collections import deque
from contextlib import contextmanager
from typing import TYPE_CHECKING

from journal.errors import Unavailable

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

LONGEST_WAIT = 30.0  # seconds; a writer holds its turn for some milliseconds

_lines: dict[Path, Line] = {}
_lines_guard = threading.Lock()


class Line:
    """First come, first served."""

    def __init__(self) -> None:
        self._guard = threading.Lock()
        self._waiting: deque[threading.Event] = deque()
        self._taken = False

    def wait(self, seconds: float) -> bool:
        """Wait for the turn; False when it did not come in time."""
        with self._guard:
            if not self._taken:
                self._taken = True
                return True
            called = threading.Event()
            self._waiting.append(called)
        if called.wait(seconds):
            return True
        with self._guard:
            if called.is_set():  # called in the very moment it gave up
                return True
            self._waiting.remove(called)
            return False

    def leave(self) -> None:
        """Call the next."""
        with self._guard:
            if self._waiting:
                self._waiting.popleft().set()
            else:
                self._taken = False


@contextmanager
def turn(path: Path | None) -> Iterator[None]:
    """This program's turn to write to a file; None, a database on a server, which keeps the order itself.

    Raises:
        Unavailable: it did not come within half a minute.
    """
    if path is None:
        yield
        return
    with _lines_guard:
        line = _lines.setdefault(path.absolute(), Line())
    if not line.wait(LONGEST_WAIT):
        raise Unavailable("the journal is busy with another change; nothing was changed, try again")
    try:
        yield
    finally:
        line.leave()
