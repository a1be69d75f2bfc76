"""The back-test beside the pages: worked out in a thread, looked at as far as it is, begun anew when the logs change."""

from __future__ import annotations

import logging
from dataclasses import dataclass, field
from threading import Event, Lock, Thread
from typing import TYPE_CHECKING

from journal.desk import paces
from journal.pace.backtest import Backtest, Guess, judge, walk

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from journal.desk.backtest import Tested
    from journal.pace.backtest import Past
    from journal.pace.model import Book

    Walk = Callable[[tuple[Past, ...], Book], Iterator[Guess]]

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Standing:
    """How far the back-test is.

    Attributes:
        found: judged over the projects guessed so far, the oldest first.
        done, of: how many projects that is, and how many there are.
        running: there is more to come.
        failed: it broke off; the log of the server says why.
        stopped: somebody stopped it before the end.
    """

    found: Backtest
    done: int
    of: int
    running: bool
    failed: bool
    stopped: bool = False


@dataclass(slots=True)
class _Walk:
    tested: Tested
    book: Book
    guesses: list[Guess] = field(default_factory=list)
    stop: Event = field(default_factory=Event)
    ended: Event = field(default_factory=Event)
    failed: bool = False


class Walks:
    """The one back-test of a journal: the last one worked out, or the one under way."""

    def __init__(self, walk_through: Walk = walk) -> None:
        self._walk_through = walk_through
        self._lock = Lock()
        self._last: _Walk | None = None

    def look(self, tested: Tested, *, wait_seconds: float, book: Book | None = None) -> Standing:
        """How far the back-test of these projects is, after waiting a moment for it; begins it if it is another.

        Args:
            tested: of `journal.desk.backtest.finished`.
            book: the operations known; the starting book unless it is told.
            wait_seconds: at most so long; most shops are through by then.
        """
        current = self._current(tested, book or paces.book())
        current.ended.wait(wait_seconds)
        running = not current.ended.is_set()  # asked first: what ends meanwhile is then only called unfinished
        guesses = tuple(current.guesses)
        found = judge(guesses, tested[1])
        stopped = current.stop.is_set() and len(guesses) < len(tested[0])
        return Standing(found, len(guesses), len(tested[0]), running and not stopped, current.failed, stopped)

    def stop(self) -> None:
        """Guess no more projects after the one under way; what was guessed stays to be looked at."""
        with self._lock:
            if self._last is not None:
                self._last.stop.set()

    def begin_again(self) -> None:
        """Forget a back-test that was stopped, so that the next look begins it anew."""
        with self._lock:
            if self._last is not None and self._last.stop.is_set():
                self._last = None

    def _current(self, tested: Tested, book: Book) -> _Walk:
        with self._lock:
            last = self._last
            if last is not None and last.tested == tested and last.book == book:
                return last
            if last is not None:
                last.stop.set()  # it guesses from logs that are no more
            self._last = begun = _Walk(tested, book)
            Thread(target=self._run, args=(begun,), name="back-test", daemon=True).start()
            return begun

    def _run(self, current: _Walk) -> None:
        try:
            for guess in self._walk_through(current.tested[0], current.book):
                current.guesses.append(guess)
                if current.stop.is_set():
                    break
        except Exception:  # noqa: BLE001 - whatever it is, the page must be told
            current.failed = True
            _log.exception("the back-test broke off after %s guesses", len(current.guesses))
        finally:
            current.ended.set()
