"""Which stretches of work follow from the taps, and what did each tap do?

The rules, one person at a time, taps in the order of their moments:

- Starting something stops what the same person was doing. Starting what runs already does nothing.
- A stop, pause or resume is about the work it names. If that does not run (any more), it does nothing: of two stops, by
  whomever, the earlier counts, and a start of something else counts as a stop.
- Time in a pause is nobody's. Starting paused work resumes it.

So neither the order in which taps arrive nor a tap that arrives twice changes anything, and one person's stretches never
overlap.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.errors import BadInput
from journal.floor.taps import Outcome, What

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from datetime import datetime

    from journal.floor.taps import Key, Tap, Task


@dataclass(frozen=True, slots=True)
class Stretch:
    """Work without a break by one person.

    Attributes:
        person, task: who, on what.
        start: when it began.
        end: when it ended; None while it runs.
        opened_by, closed_by: the taps at its ends.
    """

    person: int
    task: Task
    start: datetime
    end: datetime | None
    opened_by: Key
    closed_by: Key | None

    def seconds(self, now: datetime) -> int:
        """Whole seconds that passed from its start to its end, or to now while it runs; never below 0."""
        return max(0, round(((self.end or now) - self.start).total_seconds()))


@dataclass(frozen=True, slots=True)
class Effect:
    """What a tap did; `why` is said where it did nothing. `since`: the moment that decided it, if there was one."""

    outcome: Outcome
    why: str = ""
    since: datetime | None = None


@dataclass(frozen=True, slots=True)
class Derived:
    """What follows from some taps.

    Attributes:
        stretches: by their start; a running one has no end.
        effects: what each tap did.
        paused: person → the work that waits to be resumed.
    """

    stretches: tuple[Stretch, ...]
    effects: Mapping[Key, Effect]
    paused: Mapping[int, Task]

    @property
    def running(self) -> tuple[Stretch, ...]:
        """The stretches that have not ended."""
        return tuple(one for one in self.stretches if one.end is None)


def derive(taps: Iterable[Tap]) -> Derived:
    """The stretches that follow from taps, by the rules above.

    Raises:
        BadInput: two different taps bear the same key.
    """
    clocks: dict[int, _Clock] = {}
    effects: dict[Key, Effect] = {}
    for tap in sorted(_once(taps).values(), key=lambda one: one.order):
        clock = clocks.setdefault(tap.person, _Clock())
        effects[tap.key] = clock.take(tap)
    stretches = [one for clock in clocks.values() for one in clock.all()]
    paused = {person: clock.paused for person, clock in clocks.items() if clock.paused is not None}
    return Derived(tuple(sorted(stretches, key=lambda one: (one.start, one.opened_by))), effects, paused)


def _once(taps: Iterable[Tap]) -> dict[Key, Tap]:
    found: dict[Key, Tap] = {}
    for tap in taps:
        if found.setdefault(tap.key, tap) != tap:
            raise BadInput("tap", f"{tap.key.sequence} of device {tap.key.device}", "each count of a device once")
    return found


class _Clock:
    """One person's clock, tap by tap."""

    def __init__(self) -> None:
        self.closed: list[Stretch] = []
        self.running: Stretch | None = None
        self.paused: Task | None = None
        self.ended: dict[Task, tuple[datetime, str]] = {}  # when work last ended, and how

    def all(self) -> list[Stretch]:
        return [*self.closed, *([self.running] if self.running else [])]

    def take(self, tap: Tap) -> Effect:
        if tap.what is What.START:
            return self._start(tap)
        if tap.what is What.RESUME:
            return self._open(tap) if self.paused == tap.task else self._nothing(tap)
        if tap.what is What.PAUSE:
            return self._pause(tap)
        return self._stop(tap)

    def _start(self, tap: Tap) -> Effect:
        if self.running and self.running.task == tap.task:
            return Effect(Outcome.NOTHING, "it was running already", self.running.start)
        return self._open(tap)

    def _open(self, tap: Tap) -> Effect:
        self._close(tap, "something else was started")
        if self.paused is not None and self.paused != tap.task:
            self.ended[self.paused] = (tap.at, "something else was started")
        self.paused = None
        self.running = Stretch(tap.person, tap.task, tap.at, None, tap.key, None)
        return Effect(Outcome.OPENED)

    def _pause(self, tap: Tap) -> Effect:
        if self.running is None or self.running.task != tap.task:
            return self._nothing(tap)
        self._close(tap, "it was paused")
        self.paused = tap.task
        return Effect(Outcome.PAUSED)

    def _stop(self, tap: Tap) -> Effect:
        if self.running and self.running.task == tap.task:
            self._close(tap, "it was stopped")
            return Effect(Outcome.CLOSED)
        if self.paused == tap.task:
            self.paused = None
            self.ended[tap.task] = (tap.at, "it was stopped")
            return Effect(Outcome.CLOSED)
        return self._nothing(tap)

    def _close(self, tap: Tap, how: str) -> None:
        if self.running is None:
            return
        ran = self.running
        self.closed.append(Stretch(ran.person, ran.task, ran.start, tap.at, ran.opened_by, tap.key))
        self.ended[ran.task] = (tap.at, how)
        self.running = None

    def _nothing(self, tap: Tap) -> Effect:
        if self.running and self.running.task == tap.task:
            return Effect(Outcome.NOTHING, "it was running already", self.running.start)
        at, how = self.ended.get(tap.task, (None, "it was not running"))
        return Effect(Outcome.NOTHING, how, at)
