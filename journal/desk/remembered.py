"""Things worked out once and kept for as long as what they were worked out from stays the same."""

from __future__ import annotations

from dataclasses import dataclass, replace
from threading import Lock
from typing import TYPE_CHECKING, Generic, TypeVar

from journal.records.changes import Seen, note, noting, seen, unchanged

if TYPE_CHECKING:
    from collections.abc import Callable

    from sqlalchemy.orm import Session

Value = TypeVar("Value")


@dataclass(frozen=True, slots=True)
class _Drawn(Generic[Value]):
    """An answer drawn from the journal: when that was, and from which tables."""

    rests_on: object
    answer: Value
    at: Seen
    tables: frozenset[str]


class Remembered(Generic[Value]):
    """The last few answers with what each was worked out from; values and answers never change.

    What an answer rests on is compared, not hashed: a hundred thousand rows that are the very same object compare at
    once, where their hash would be worked out row by row each time.
    """

    def __init__(self, most: int = 4) -> None:
        self._most = most
        self._held: list[tuple[object, Value]] = []
        self._drawn: list[_Drawn[Value]] = []
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
        """The answer for what the work reads of the journal, and for `rests_on` besides; in a writing session always anew.

        It stays as long as nothing is written to a table that was read for it. What was read of the journal before the
        work and goes into it must be in `rests_on`.
        """
        now = seen(session)
        if now is None:
            return work()
        known = self._standing(session, rests_on, now)
        if known is not None:
            return known.answer
        with noting(session) as tables:
            answer = work()
        self._keep(_Drawn(rests_on, answer, now, frozenset(tables)))
        return answer

    def known(self, session: Session, rests_on: object) -> Value | None:
        """The answer if it was worked out before and still holds; nothing is worked out."""
        now = seen(session)
        found = self._standing(session, rests_on, now) if now is not None else None
        return None if found is None else found.answer

    def _standing(self, session: Session, rests_on: object, now: Seen) -> _Drawn[Value] | None:
        with self._lock:
            drawn = list(self._drawn)
        for one in drawn:
            if one.rests_on == rests_on and unchanged(one.at, now, one.tables):
                note(session, one.tables)
                if one.at != now:
                    self._keep(replace(one, at=now))  # the way back from the next write is then a short one
                return one
        return None

    def _keep(self, drawn: _Drawn[Value]) -> None:
        with self._lock:
            others = [
                one for one in self._drawn if one.rests_on is not drawn.rests_on and one.rests_on != drawn.rests_on
            ]
            self._drawn = [drawn, *others][: self._most]

    def forget(self) -> None:
        """Let go of all answers."""
        with self._lock:
            self._held, self._drawn = [], []
