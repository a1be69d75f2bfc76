"""How well this shop's paces would have guessed its own past projects."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from journal.desk import paces
from journal.pace.backtest import Backtest, LeftOut, Past, run
from journal.pace.model import Task
from journal.records.queries import log as log_records
from journal.records.queries.quoted import quoted_plans

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.desk.paces import Taught
    from journal.pace.design import Row
    from journal.records.queries.quoted import QuotedPlan


def backtest(session: Session, today: date, *, progress: Callable[[int, int], None] | None = None) -> Backtest:
    """Every finished project guessed as of the day it was agreed; the same journal is worked out once.

    Args:
        session: a reading session.
        today: logs after it are left out.
        progress: told (done, of how many) while it is worked out.
    """
    past, left_out = finished(session, today)
    if progress is None:
        return _run(past, left_out)
    return run(past, paces.book(), left_out=left_out, progress=progress)


def finished(
    session: Session, today: date, *, taught: Taught | None = None
) -> tuple[tuple[Past, ...], tuple[LeftOut, ...]]:
    """The finished projects as quoted and as they went, and those that cannot be tested with the reason.

    `taught` spares learning the paces when that was done already.
    """
    evidence = (taught or paces.learn(session, today)).evidence
    rows: dict[str, list[Row]] = {}
    for row in evidence.rows:
        rows.setdefault(row.project, []).append(row)
    spent: dict[str, float] = {}
    newest: dict[str, date] = {}
    for line in log_records.log_lines(session):
        if not line.rework and not line.set_aside and line.on_date <= today:
            spent[line.project_code] = spent.get(line.project_code, 0.0) + line.minutes
            newest[line.project_code] = line.on_date
    past: list[Past] = []
    left_out: list[LeftOut] = []
    for plan in quoted_plans(session):
        built = _past(plan, rows.get(plan.code, []), spent.get(plan.code, 0.0), newest.get(plan.code))
        if isinstance(built, Past):
            past.append(built)
        else:
            left_out.append(built)
    return tuple(past), tuple(left_out)


@lru_cache(maxsize=2)
def _run(past: tuple[Past, ...], left_out: tuple[LeftOut, ...]) -> Backtest:
    return run(past, paces.book(), left_out=left_out)


def _past(plan: QuotedPlan, rows: Sequence[Row], spent: float, newest: date | None) -> Past | LeftOut:
    quoted_on = plan.agreed_on or plan.started_on or plan.enquired_on
    finished_on = max((day for day in (plan.delivered_on, newest) if day), default=None)
    if quoted_on is None:
        return LeftOut(plan.code, "no day on which it was agreed, begun or asked for")
    if not rows or finished_on is None:
        return LeftOut(plan.code, "no time logged for what was planned")
    baseline = _baselines(plan)
    logged = {code for row in rows for code, _ in row.shares}
    tasks = tuple(Task(code, minutes) for code, minutes in baseline.items() if code in logged and minutes > 0)
    planned = sum(row.minutes * _grown(row, baseline) for row in rows)
    if not tasks or planned <= 0:
        return LeftOut(plan.code, "nothing that was quoted was logged")
    return Past(
        code=plan.code,
        title=plan.title,
        likeness=plan.design_word,
        benches=plan.benches,
        quoted_on=quoted_on,
        finished_on=max(finished_on, quoted_on),
        tasks=tasks,
        minutes=spent,
        planned_minutes=planned,
        rows=tuple(rows),
    )


def _baselines(plan: QuotedPlan) -> dict[str, float]:
    """Minutes by the book for what was quoted, but for rework; operations that left the book are left out."""
    book = paces.book()
    return {
        line.code: book[line.code].baseline_minutes(line.setups, line.quantity)
        for line in plan.operations
        if line.code in book and line.code != paces.REWORK
    }


def _grown(row: Row, quoted: Mapping[str, float]) -> float:
    """Minutes by the book as quoted ÷ as built, of one row; 0 for what nobody planned."""
    return sum(quoted.get(code, 0.0) for code, _ in row.shares) / row.baseline_minutes
