"""The values the model takes and gives: the book, tasks to come, beliefs, draws."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from journal.errors import BadInput

if TYPE_CHECKING:
    from datetime import date

    from journal.pace.normal import Floats
    from journal.working import Spread


@dataclass(frozen=True, slots=True)
class BookPace:
    """An operation in the starting book.

    Args:
        code: its name in logs.
        stage: the stage it belongs to.
        setup_minutes: ≥ 0, a set-up.
        pace_minutes: ≥ 0, a unit; not both zero.
        name: as people say it.
        unit: what is counted.
        own: the shop's own, not the book's.
    """

    code: str
    stage: str
    setup_minutes: float
    pace_minutes: float
    name: str = ""
    unit: str = ""
    own: bool = False

    def __post_init__(self) -> None:
        for what, value in (("set-up minutes", self.setup_minutes), ("pace minutes", self.pace_minutes)):
            if not (math.isfinite(value) and value >= 0):
                raise BadInput(f"{self.code} {what}", value, "a finite number, zero or more")
        if self.setup_minutes == 0 and self.pace_minutes == 0:
            raise BadInput(f"{self.code} pace minutes", 0, "set-up minutes or a pace above zero")

    def baseline_minutes(self, setups: float, quantity: float) -> float:
        """Minutes by the book."""
        return setups * self.setup_minutes + quantity * self.pace_minutes


Book = Mapping[str, BookPace]


@dataclass(frozen=True, slots=True)
class Task:
    """One operation of a project to come: all its work, once.

    Args:
        code: in the book.
        baseline_minutes: by the book, > 0.
    """

    code: str
    baseline_minutes: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.baseline_minutes) and self.baseline_minutes > 0):
            raise BadInput(f"{self.code} baseline minutes", self.baseline_minutes, "a finite number above zero")


@dataclass(frozen=True, slots=True)
class PaceBelief:
    """The shop's own pace of one operation, without a project's luck or an entry's scatter.

    Attributes:
        code, stage: which.
        logs: log lines with minutes of its own.
        stage_logs: log lines of its stage that held it.
        newest: the last day of either.
        ratio: times the book.
        minutes_per_unit: book pace × ratio.
        setup_minutes: book set-up × ratio.
    """

    code: str
    stage: str
    logs: int
    stage_logs: int
    newest: date | None
    ratio: Spread
    minutes_per_unit: Spread
    setup_minutes: Spread


@dataclass(frozen=True, slots=True)
class Belief:
    """The posterior of one standard deviation: p50 is its median."""

    p10: float
    p50: float
    p90: float


@dataclass(frozen=True, slots=True)
class Spreads:
    """How far things lie apart, as standard deviations of ln(minutes / book minutes)."""

    drift: Belief
    stage: Belief
    operation: Belief
    project: Belief
    entry: Belief


@dataclass(frozen=True, slots=True)
class Draws:
    """Equally likely courses of a project.

    Attributes:
        minutes: shape (n, tasks).
    """

    minutes: Floats

    @property
    def total(self) -> Floats:
        """Minutes of the whole project, shape (n,)."""
        return np.asarray(self.minutes.sum(axis=1))


@dataclass(frozen=True, slots=True)
class Courses:
    """Equally likely states of a project, before the scatter of its entries.

    Attributes:
        log_ratio: ln(minutes / book minutes) of each operation, shape (n, operations).
        entry_sd: the standard deviation of a large task's scatter, shape (n,).
    """

    log_ratio: Floats
    entry_sd: Floats
