"""Which operations bring the doubt about a project's hours, and how much of it more logs would take away.

The doubt an operation brings is its share of the variance of the total: cov(minutes of it, total) ÷ var(total). A part
of it is luck, of the project and of the entry, which stays however much is logged. The rest is that the shop's own pace
is not known yet: the same covariance of the minutes one would expect if the pace were known (law of total variance).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal.pace.model import Calibration, Task
    from journal.pace.normal import Floats

_DRAWS = 6_000


@dataclass(frozen=True, slots=True)
class Doubt:
    """What one operation brings.

    Attributes:
        code: which.
        share: of the variance of the total; those of a project add up to 1.
        to_learn: the part of it that would go if the shop's own pace were known, from 0 to the share.
    """

    code: str
    share: float
    to_learn: float


def doubts(calibration: Calibration, tasks: Sequence[Task], *, draws: int = _DRAWS, seed: int = 0) -> tuple[Doubt, ...]:
    """What each operation of a project to come brings, the most first.

    Args:
        calibration: of `journal.pace.model.fit`.
        tasks: the work, each operation once; none gives none.
        draws: ≥ 2.
        seed: of them.

    Raises:
        MissingReference: an operation not in the book.
        BadInput: an operation twice.
    """
    if not tasks:
        return ()
    minutes = calibration.draw(tasks, draws, seed).minutes
    expected = _expected(calibration, tasks, draws, seed) * minutes.mean(axis=0)
    variance = float(minutes.sum(axis=1).var())
    whole, known = (_with_total(table) / variance for table in (minutes, expected))
    found = [
        Doubt(task.code, float(share), float(np.clip(to_learn, 0.0, max(share, 0.0))))
        for task, share, to_learn in zip(tasks, whole, known, strict=True)
    ]
    return tuple(sorted(found, key=lambda one: one.share, reverse=True))


def _expected(calibration: Calibration, tasks: Sequence[Task], draws: int, seed: int) -> Floats:
    """Draws of the shop's own pace of each operation, their mean 1, shape (draws, tasks)."""
    rng = np.random.default_rng([seed, 1])
    course = calibration.courses([task.code for task in tasks], draws, rng, with_project=False)
    ratio = np.exp(course.log_ratio)
    return np.asarray(ratio / ratio.mean(axis=0))


def _with_total(table: Floats) -> Floats:
    """Covariance of each column with the sum of all, shape (columns,)."""
    apart = table - table.mean(axis=0)
    return np.asarray(apart.T @ apart.sum(axis=1) / len(table))
