"""How the shop's level against the book moved over the years, with its band."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

import numpy as np

from journal.pace.design import half_year
from journal.pace.model import fit
from journal.pace.normal import mixture_quantile
from journal.pace.priors import DEFAULT
from journal.working import Spread

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal.pace.design import Row
    from journal.pace.model import Book, Calibration
    from journal.pace.priors import Priors


@dataclass(frozen=True, slots=True)
class LevelAt:
    """The shop's level in one half-year.

    Attributes:
        since: its first day, 1 January or 1 July.
        ratio: minutes here over minutes by the book, all stages together; eight times in ten between p10 and p90.
        logs: log lines that fell into it; 0 only for today's half-year.
    """

    since: date
    ratio: Spread
    logs: int


def over_time(rows: Sequence[Row], book: Book, *, today: date, priors: Priors = DEFAULT) -> tuple[LevelAt, ...]:
    """The level in every half-year with a log, and today; earlier ones as they look now, with all that came after.

    Args:
        rows: the evidence; may be empty, today is then answered from the prior.
        book: the operations known.
        today: the last day.
        priors: what is believed before.
    """
    found = fit(rows, book, today=today, priors=priors, levels=True)
    logs: Counter[int] = Counter()
    for row in rows:
        logs[half_year(row.on)] += row.logs
    halves = [int(code) for kind, code in found.names if kind == "level"]
    return tuple(LevelAt(_first_day(half), _ratio(found, half), logs[half]) for half in halves)


def _first_day(half: int) -> date:
    return date(half // 2, 7 if half % 2 else 1, 1)


def _ratio(found: Calibration, half: int) -> Spread:
    at = found.names.index(("level", str(half)))
    means, sds = found.means[:, [at]], np.sqrt(np.maximum(found.covariances([at])[:, :, 0], 0.0))
    return Spread(
        *(float(np.exp(mixture_quantile(found.settings.weights, means, sds, share)[0])) for share in (0.1, 0.5, 0.9))
    )
