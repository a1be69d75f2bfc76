"""How long to wait after wrong passphrases: twice as long each time, for each address and for all of them together.

Kept in memory: a start of the server forgets it, and only who sits at the computer can start the server.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from dataclasses import dataclass, field
from datetime import datetime, timedelta

FREE = 4  # wrong ones from one address before it has to wait; a slip of the finger is no attack
FREE_TOGETHER = 40  # from all addresses
FIRST = timedelta(seconds=2)
LONGEST = timedelta(minutes=15)
_MOST_ADDRESSES = 1_000
_EVERYBODY = ""


@dataclass
class _Count:
    wrong: int = 0
    until: datetime | None = None


@dataclass
class Backoff:
    """Counts wrong passphrases. Safe to share between threads."""

    _counts: OrderedDict[str, _Count] = field(default_factory=OrderedDict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def wait(self, address: str, now: datetime) -> timedelta:
        """How long an address must still wait; zero when it may try."""
        with self._lock:
            return max(self._left(address, now), self._left(_EVERYBODY, now))

    def wrong(self, address: str, now: datetime) -> None:
        """Another wrong one."""
        with self._lock:
            self._add(address, FREE, now)
            self._add(_EVERYBODY, FREE_TOGETHER, now)

    def right(self, address: str) -> None:
        """The right one: the address starts anew."""
        with self._lock:
            self._counts.pop(address, None)

    def _left(self, address: str, now: datetime) -> timedelta:
        until = self._counts[address].until if address in self._counts else None
        return max(until - now, timedelta()) if until else timedelta()

    def _add(self, address: str, free: int, now: datetime) -> None:
        count = self._counts.setdefault(address, _Count())
        self._counts.move_to_end(address)
        count.wrong += 1
        if count.wrong >= free:
            doubled = min(count.wrong - free, 20)
            count.until = now + min(FIRST * 2**doubled, LONGEST)
        while len(self._counts) > _MOST_ADDRESSES:
            oldest = next(key for key in self._counts if key != _EVERYBODY)
            del self._counts[oldest]
