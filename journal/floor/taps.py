"""A tap of the clock: who, on what, start or stop or pause or resume, and when; told apart by its device's own count."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, NamedTuple

from journal.errors import BadInput

if TYPE_CHECKING:
    from datetime import datetime


class What(StrEnum):
    """What a tap says happened."""

    START = "start"
    STOP = "stop"
    PAUSE = "pause"
    RESUME = "resume"


class Outcome(StrEnum):
    """What a tap did."""

    OPENED = "opened"  # a stretch begins with it
    ASKS = "asks"  # the same, but it went on too long to be believed: not logged until somebody says when it ended
    CLOSED = "closed"
    PAUSED = "paused"
    NOTHING = "nothing"


class Key(NamedTuple):
    """Tells a tap from every other: its device, and the device's own count."""

    device: int
    sequence: int


@dataclass(frozen=True, slots=True)
class Task:
    """What is worked on: an operation, or a stage as a whole; no project: the shop's own time."""

    project_id: int | None
    code: str
    by_stage: bool = False

    def __post_init__(self) -> None:
        if not self.code:
            raise BadInput("work", self.code, "an operation or a stage")


@dataclass(frozen=True, slots=True)
class Tap:
    """One tap.

    Attributes:
        key: its device and that device's count.
        person: whose clock it is; one tap speaks for one person, two who work together tap twice.
        what: start, stop, pause or resume; stop, pause and resume name the work they are about, as start does.
        task: the work.
        at: the moment by the device, with its zone.
    """

    key: Key
    person: int
    what: What
    task: Task
    at: datetime

    def __post_init__(self) -> None:
        if self.at.tzinfo is None:
            raise BadInput("moment", self.at.isoformat(), "a time with its zone, such as 2026-03-01T18:30+00:00")

    @property
    def order(self) -> tuple[datetime, Key]:
        """Its place among all taps: by the moment; within one moment by device and count."""
        return (self.at, self.key)
