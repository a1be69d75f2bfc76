"""What each operation of a commission is expected to take."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from journal import reference
from journal.pace.explain import sentence
from journal.quote.risk import spread_share
from journal.working import Spread

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from journal.build.steps import Task
    from journal.quote.costing import Rates
    from journal.quote.throws import Throws

    Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class OperationForecast:
    """What one operation is expected to take.

    Attributes:
        code, name, stage, unit: of the operation.
        quantity, setups: from the parts.
        minutes: range of person-minutes in this project.
        mean_minutes: their mean.
        book_minutes: by the starting book.
        logs: log lines of this operation with minutes of its own; stage_logs: logged within its stage.
        share: part of the variance of the total hours that it brings.
        working: where the quantity came from.
        moved: what moved the minutes: the book, this shop, its logs.
    """

    code: str
    name: str
    stage: str
    unit: str
    quantity: float
    setups: int
    minutes: Spread
    mean_minutes: float
    book_minutes: float
    logs: int
    stage_logs: int
    share: float
    working: str
    moved: str = ""


def forecasts(tasks: Sequence[Task], minutes: Floats, throws: Throws, rates: Rates) -> tuple[OperationForecast, ...]:
    """One for each task; minutes has shape (draws, tasks), of one person."""
    book = reference.operations()
    quantiles = np.quantile(minutes, (0.1, 0.5, 0.9), axis=0)
    shares = spread_share(list(minutes.T))
    found = []
    for column, task in enumerate(tasks):
        belief = throws.beliefs[task.code]
        operation = book[task.code]
        found.append(
            OperationForecast(
                code=task.code,
                name=operation.name,
                stage=operation.stage,
                unit=operation.unit,
                quantity=task.quantity,
                setups=task.setups,
                minutes=Spread(*(float(q) for q in quantiles[:, column])),
                mean_minutes=float(minutes[:, column].mean()),
                book_minutes=task.baseline_minutes,
                logs=belief.logs,
                stage_logs=belief.stage_logs,
                share=shares[column],
                working=task.working,
                moved=sentence(belief, throws.calibration.book[task.code], throws.calibration.today, shown=rates.shown),
            )
        )
    return tuple(found)
