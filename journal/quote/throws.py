"""The dice of an estimate, thrown once for every operation of the book, so that two estimates share their luck.

An operation has the same throws whatever else is planned beside it: the difference between two options is then theirs
alone, and an option taken as the project has the price it had as an option.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from journal.errors import MissingReference
from journal.quote.risk import DRAWS

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from journal.build.steps import Task
    from journal.pace.model import Calibration, PaceBelief

    Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Throws:
    """Throws of a whole book, in the order of equally likely projects.

    Attributes:
        calibration: they were thrown for.
        beliefs: operation → the shop's own pace of it.
        columns: operation → its column.
        log_ratio: ln(minutes ÷ book minutes) of the project, without an entry's scatter; shape (draws, operations).
        scatter: standard normals for that scatter, same shape.
        entry_sd: its standard deviation in each draw, shape (draws,).
        seed: they were thrown with.
    """

    calibration: Calibration
    beliefs: Mapping[str, PaceBelief]
    columns: Mapping[str, int]
    log_ratio: Floats
    scatter: Floats
    entry_sd: Floats
    seed: int

    @property
    def draws(self) -> int:
        """How many."""
        return len(self.entry_sd)

    def minutes(self, tasks: Sequence[Task]) -> Floats:
        """Person-minutes of each task in each draw, shape (draws, tasks).

        ln(minutes ÷ baseline) = ratio + σ √(1 + m₀ ÷ baseline) × scatter, as `journal.pace.model` has it: small tasks
        scatter more.

        Raises:
            MissingReference: an operation not in the book.
        """
        for task in tasks:
            if task.code not in self.columns:
                raise MissingReference("operation", task.code, list(self.columns))
        at = [self.columns[task.code] for task in tasks]
        baseline = np.array([task.baseline_minutes for task in tasks])
        scatter = (
            np.sqrt(1.0 + self.calibration.priors.small_task_minutes / baseline)
            * self.entry_sd[:, None]
            * self.scatter[:, at]
        )
        return np.asarray(baseline * np.exp(self.log_ratio[:, at] + scatter))


def throw(calibration: Calibration, *, seed: int, draws: int = DRAWS) -> Throws:
    """Throw for every operation of the calibration's starting book; the same for the same seed.

    The shop's own operations are no part of a plan, and one more of them must not change anybody's luck.
    """
    codes = [code for code, entry in calibration.book.items() if not entry.own]
    dice = np.random.default_rng(seed)
    found = calibration.courses(codes, draws, dice)
    # They come setting after setting; any run of them shall be as good as any other.
    order = dice.permutation(draws)
    return Throws(
        calibration=calibration,
        beliefs={belief.code: belief for belief in calibration.paces()},
        columns={code: column for column, code in enumerate(codes)},
        log_ratio=found.log_ratio[order],
        scatter=dice.standard_normal((draws, len(codes))),
        entry_sd=found.entry_sd[order],
        seed=seed,
    )
