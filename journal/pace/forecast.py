"""A plan's minutes with their range, and the summary other programs read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from journal.errors import BadRows, Problem
from journal.pace.evidence import Words
from journal.pace.model import Task

if TYPE_CHECKING:
    from collections.abc import Sequence

    from journal.pace.evidence import PlanLine
    from journal.pace.model import Book, Calibration, PaceBelief
    from journal.pace.normal import Floats
    from journal.working import Spread

SHARES = (5, 10, 25, 50, 75, 80, 90, 95)  # the percentiles of a forecast
_DRAWS = 20_000


@dataclass(frozen=True, slots=True)
class TaskForecast:
    """One operation of a plan.

    Attributes:
        code: which.
        book_minutes: by the book.
        p10, p50, p90: minutes it may take.
    """

    code: str
    book_minutes: float
    p10: float
    p50: float
    p90: float


@dataclass(frozen=True, slots=True)
class Forecast:
    """A plan's minutes.

    Attributes:
        tasks: operation by operation, in the plan's order.
        book_minutes: the whole plan by the book.
        total_minutes: percentile → minutes of the whole plan. Percentiles of parts do not add up to these.
        mean_minutes: the average of the draws.
        draws: equally likely totals, shape (n,).
    """

    tasks: tuple[TaskForecast, ...]
    book_minutes: float
    total_minutes: dict[int, float]
    mean_minutes: float
    draws: Floats


def find_problems(plan: Sequence[PlanLine], book: Book) -> list[Problem]:
    """What in a plan cannot be used, line by line."""
    return _read(plan, book)[1]


def plan_tasks(plan: Sequence[PlanLine], book: Book, source: str = "plan") -> tuple[Task, ...]:
    """A plan's lines added up by operation.

    Raises:
        BadRows: an unknown operation, a stage, or nothing to do; all named.
    """
    baseline, problems = _read(plan, book)
    if problems:
        raise BadRows(source, problems)
    return tuple(Task(code, minutes) for code, minutes in baseline.items())


def predict(calibration: Calibration, plan: Sequence[PlanLine], *, n: int = _DRAWS, seed: int = 0) -> Forecast:
    """What a new project of this plan would take.

    Args:
        calibration: of `journal.pace.model.fit`.
        plan: lines of operations of its book.
        n: draws.
        seed: of the draws; the same seed gives the same forecast.

    Raises:
        BadRows: see `plan_tasks`.
    """
    tasks = plan_tasks(plan, calibration.book)
    draws = calibration.draw(tasks, n, seed)
    total = draws.total
    each = np.quantile(draws.minutes, (0.1, 0.5, 0.9), axis=0).T
    return Forecast(
        tuple(
            TaskForecast(task.code, task.baseline_minutes, *map(float, row))
            for task, row in zip(tasks, each, strict=True)
        ),
        sum(task.baseline_minutes for task in tasks),
        dict(zip(SHARES, (float(value) for value in np.quantile(total, np.array(SHARES) / 100)), strict=True)),
        float(total.mean()),
        total,
    )


def summary(calibration: Calibration, forecast: Forecast | None = None) -> dict[str, Any]:
    """The calibration, and a forecast if given, as plain values for JSON.

    Keys: version; operations, in book order, each with code, stage, unit, logs (log lines with minutes of its own),
    stage_logs (log lines of its stage that held it), newest (day or null), book_minutes_per_unit, minutes_per_unit and
    setup_minutes (p10, p50, p90); spread (posterior medians of the standard deviations of ln minutes); rows, projects,
    today; with a forecast total_minutes (p05 … p95), book_total_minutes and mean_total_minutes.
    """
    spreads = calibration.spreads
    out: dict[str, Any] = {
        "version": 1,
        "today": calibration.today.isoformat(),
        "projects": calibration.projects,
        "rows": calibration.rows,
        "operations": [_operation(belief, calibration.book) for belief in calibration.paces()],
        "spread": {
            "drift": spreads.drift.p50,
            "stage": spreads.stage.p50,
            "operation": spreads.operation.p50,
            "project": spreads.project.p50,
            "entry": spreads.entry.p50,
        },
    }
    if forecast is not None:
        out["total_minutes"] = {f"p{share:02d}": minutes for share, minutes in forecast.total_minutes.items()}
        out["book_total_minutes"] = forecast.book_minutes
        out["mean_total_minutes"] = forecast.mean_minutes
    return out


def _operation(belief: PaceBelief, book: Book) -> dict[str, Any]:
    entry = book[belief.code]
    return {
        "code": belief.code,
        "stage": belief.stage,
        "unit": entry.unit,
        "logs": belief.logs,
        "stage_logs": belief.stage_logs,
        "newest": belief.newest.isoformat() if belief.newest else None,
        "book_minutes_per_unit": entry.pace_minutes,
        "minutes_per_unit": _range(belief.minutes_per_unit),
        "setup_minutes": _range(belief.setup_minutes),
    }


def _range(spread: Spread) -> dict[str, float]:
    return {"p10": spread.p10, "p50": spread.p50, "p90": spread.p90}


def _read(plan: Sequence[PlanLine], book: Book) -> tuple[dict[str, float], list[Problem]]:
    words = Words(book)
    baseline: dict[str, float] = {}
    problems = []
    for place, line in enumerate(plan, start=1):
        code, minutes, problem = _line(line, line.line or place, words)
        if problem:
            problems.append(problem)
        else:
            baseline[code] = baseline.get(code, 0.0) + minutes
    if not plan:
        problems.append(Problem(1, "", "no line; add an operation with its quantity"))
    return baseline, problems


def _line(line: PlanLine, place: int, words: Words) -> tuple[str, float, Problem | None]:
    kind, code = words.find(line.what)
    if kind == "stage":
        return "", 0.0, Problem(place, "operation", f"“{line.what}” is a stage; a plan lists its operations")
    if not kind:
        hint = f"; near it: {code}" if code else "; `journal paces` lists them"
        return "", 0.0, Problem(place, "operation", f"no operation called “{line.what[:60]}”{hint}")
    entry = words.book[code]
    if not (0 < line.quantity < float("inf")):
        unit = f" in {entry.unit}" if entry.unit else ""
        return "", 0.0, Problem(place, "quantity", f"read “{line.quantity:g}”, expected how much{unit}, above zero")
    if not (0 <= line.setups < float("inf")):
        return "", 0.0, Problem(place, "setups", f"read “{line.setups:g}”, expected zero or more")
    minutes = entry.baseline_minutes(line.setups, line.quantity)
    if minutes <= 0:
        return "", 0.0, Problem(place, "setups", "expected 1 or more: the book counts this operation by its set-ups")
    return code, minutes, None
