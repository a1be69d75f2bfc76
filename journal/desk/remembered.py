"""Things worked out once and kept for as long as what they were worked out from stays the same."""

from __future__ import annotations

from threading import Lock
from typing import TYPE_CHECKING, Generic, TypeVar

from journal.records.moment import moment

if TYPE_CHECKING:
    from collections.abc import Callable

    from sqlalchemy.orm import Session

Value = TypeVar("Value")


class Remembered(Generic[Value]):
    """The last few answers with what each was worked out from; values and answers never change.

    What an answer rests on is compared, not hashed: a hundred thousand rows that are the very same object compare at
    once, where their hash would be worked out row by row each time.
    """

    def __init__(self, most: int = 4) -> None:
        self._most = most
        self._held: list[tuple[object, Value]] = []
        self._lock = Lock()

    def get(self, rests_on: object, work: Callable[[], Value]) -> Value:
        """The answer for what it rests on; worked out when that is new. Two threads may both work it out."""
        with self._lock:
            held = list(self._held)
        for known, answer in held:
            if known == rests_on:
                return answer
        answer = work()
        with self._lock:
            self._held = [(rests_on, answer), *self._held][: self._most]
        return answer

    def of_journal(self, session: Session, rests_on: object, work: Callable[[], Value]) -> Value:
        """The answer for all that the journal holds, and for `rests_on` besides; in a writing session always anew."""
        seen = moment(session)
        return work() if seen is None else self.get((seen, rests_on), work)

    def forget(self) -> None:
        """Let go of all answers."""
        with self._lock:
            self._held = []
