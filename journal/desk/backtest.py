"""How well this shop's paces would have guessed its own past projects."""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal.desk import paces
from journal.desk.remembered import Remembered
from journal.pace.backtest import Backtest, LeftOut, Past, run
from journal.pace.model import Task
from journal.records.queries.quoted import built_plans, quoted_plans

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from journal.desk.paces import Taught
    from journal.pace.design import Row
    from journal.pace.model import Book
    from journal.records.queries.quoted import QuotedPlan

Tested = tuple[tuple[Past, ...], tuple[LeftOut, ...]]

_finished: Remembered[Tested] = Remembered()


def backtest(session: Session, today: date, *, progress: Callable[[int, int], None] | None = None) -> Backtest:
    """Every finished project guessed as of the day it was agreed.

    Args:
        session: a session.
        today: logs after it are left out.
        progress: told (done, of how many) while it is worked out.
    """
    past, left_out = finished(session, today)
    return run(past, paces.shop_book(session), left_out=left_out, progress=progress)


def finished(session: Session, today: date, *, taught: Taught | None = None) -> Tested:
    """The finished projects as quoted and as they went, and those that cannot be tested with the reason.

    Past jobs from a spreadsheet have no plan: the quantities they came with stand for those quoted. `taught` spares
    learning the paces when that was done already.
    """
    known = taught or paces.learn(session, today)
    rests_on = (today, known.evidence.rows, known.calibration.book)
    return _finished.of_journal(session, rests_on, lambda: _read(session, today, known))


def _read(session: Session, today: date, taught: Taught) -> Tested:
    rows: dict[str, list[Row]] = {}
    for row in taught.evidence.rows:
        rows.setdefault(row.project, []).append(row)
    spent: dict[str, float] = {}
    newest: dict[str, date] = {}
    for line in paces.logged(session):
        if not line.rework and not line.set_aside and line.on_date <= today:
            spent[line.project_code] = spent.get(line.project_code, 0.0) + line.minutes
            newest[line.project_code] = line.on_date
    book = taught.calibration.book
    quoted = (_past(plan, rows, spent, newest, book) for plan in quoted_plans(session))
    built = (_past(plan, rows, spent, newest, book, as_built=True) for plan in built_plans(session))
    return _sorted_out([*quoted, *built])


def _sorted_out(found: Iterable[Past | LeftOut]) -> Tested:
    past: list[Past] = []
    left_out: list[LeftOut] = []
    for one in found:
        if isinstance(one, Past):
            past.append(one)
        else:
            left_out.append(one)
    return tuple(past), tuple(left_out)


def _past(
    plan: QuotedPlan,
    all_rows: Mapping[str, Sequence[Row]],
    all_spent: Mapping[str, float],
    all_newest: Mapping[str, date],
    book: Book,
    *,
    as_built: bool = False,
) -> Past | LeftOut:
    rows, newest = all_rows.get(plan.code, ()), all_newest.get(plan.code)
    quoted_on = plan.agreed_on or plan.started_on or plan.enquired_on
    finished_on = max((day for day in (plan.delivered_on, newest) if day), default=None)
    if quoted_on is None:
        return LeftOut(plan.code, "no day on which it was agreed, begun or asked for")
    if not rows or finished_on is None:
        return LeftOut(plan.code, "no time logged for what was planned")
    baseline = _baselines(plan, book)
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
        # What nobody planned cannot be told apart without a plan: only what was counted is guessed then.
        minutes=planned if as_built else all_spent.get(plan.code, 0.0),
        planned_minutes=planned,
        rows=tuple(rows),
        as_built=as_built,
    )


def _baselines(plan: QuotedPlan, book: Book) -> dict[str, float]:
    """Minutes by the book for what was quoted, but for rework; operations that left the book are left out."""
    return {
        line.code: book[line.code].baseline_minutes(line.setups, line.quantity)
        for line in plan.operations
        if line.code in book and line.code != paces.REWORK
    }


def _grown(row: Row, quoted: Mapping[str, float]) -> float:
    """Minutes by the book as quoted ÷ as built, of one row; 0 for what nobody planned."""
    return sum(quoted.get(code, 0.0) for code, _ in row.shares) / row.baseline_minutes
