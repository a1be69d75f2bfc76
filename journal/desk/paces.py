"""What the logs teach: from the journal's finished projects, or from a log file alone."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from journal import reference
from journal.desk.remembered import Remembered
from journal.errors import BadRows, Problem
from journal.pace.evidence import Evidence, LogLine, gather
from journal.pace.forecast import predict, summary
from journal.pace.model import BookPace, Calibration, fit
from journal.pace.own import with_own
from journal.records.queries import log as log_records
from journal.records.queries import own_work
from journal.records.words import FINISHED

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date
    from pathlib import Path

    from sqlalchemy.orm import Session

    from journal.pace.design import Row
    from journal.pace.model import Book, PaceBelief
    from journal.records.queries.log import LoggedRow, QuantityRow
    from journal.records.words import ProjectState

# A log may be dated a little ahead (another time zone, a planned evening); further is a slip of the keyboard.
FURTHEST_AHEAD = timedelta(days=366)
# Planned as an allowance, logged by a mark on any entry: never minutes of a stage.
REWORK = "rework"


@cache
def book() -> Book:
    """The starting book as the pace room reads it."""
    return MappingProxyType(
        {
            code: BookPace(
                code,
                operation.stage,
                operation.setup_minutes,
                operation.minutes_per_unit,
                operation.name,
                operation.unit,
            )
            for code, operation in reference.operations().items()
        }
    )


_books: Remembered[Book] = Remembered(1)
_with_own: Remembered[Book] = Remembered(2)


def shop_book(session: Session) -> Book:
    """The starting book and the shop's own operations after it; the very same object while those are the same."""
    return _books.of_journal(session, None, lambda: _read_book(session))


def _read_book(session: Session) -> Book:
    own = tuple(row.work for row in own_work.own_operations(session))
    return _with_own.get(own, lambda: with_own(book(), own)) if own else book()


@dataclass(frozen=True, slots=True)
class Unused:
    """Logged time that could teach nothing: whose, when, what it was, and why."""

    project: str
    on: date
    what: str
    why: str


@dataclass(frozen=True, slots=True)
class Taught:
    """What was learnt, and from what."""

    calibration: Calibration
    evidence: Evidence
    warnings: tuple[str, ...] = ()
    unused: tuple[Unused, ...] = ()

    @classmethod
    def of_the_book(cls, today: date) -> Taught:
        """What is believed before any log."""
        return cls(untaught(today), gather((), book()))


_learnt: Remembered[Taught] = Remembered(2)  # by the whole journal
_gathered: Remembered[Taught] = Remembered(
    2
)  # by the log of finished projects alone: most writing leaves that as it is
_fits: Remembered[Calibration] = Remembered(2)
_beliefs: Remembered[tuple[PaceBelief, ...]] = Remembered()


_logged: Remembered[tuple[LoggedRow, ...]] = Remembered(1)


def logged(session: Session) -> tuple[LoggedRow, ...]:
    """All time of all projects by project, day and work, as `log_lines` has it; the same journal is read once."""
    return _logged.of_journal(session, None, lambda: log_records.log_lines(session))


_quantities: Remembered[tuple[QuantityRow, ...]] = Remembered(2)


def quantities(session: Session, states: Sequence[ProjectState] = FINISHED) -> tuple[QuantityRow, ...]:
    """Of projects in these states, as `operation_quantities` has them; logging time does not have them read anew."""
    return _quantities.of_journal(session, states, lambda: log_records.operation_quantities(session, states=states))


def learn(session: Session, today: date) -> Taught:
    """The paces of this shop, from its delivered and closed projects; the same logs are read and fitted once."""
    return _learnt.of_journal(session, today, lambda: _read(session, today))


def _read(session: Session, today: date) -> Taught:
    amounts = quantities(session)
    finished = {row.project_code for row in amounts}
    rows = tuple(row for row in logged(session) if row.project_code in finished)
    known = shop_book(session)
    return _gathered.get((today, amounts, rows, known), lambda: _gather(rows, amounts, today, known))


def _gather(rows: Sequence[LoggedRow], quantities: Sequence[QuantityRow], today: date, known: Book) -> Taught:
    lines = lines_of(rows, quantities)
    evidence = _shared(gather(lines, known, today=today))
    return Taught(_fitted(evidence.rows, today, known), evidence, unused=unused(lines, evidence.problems))


_rows: dict[str, dict[Row, Row]] = {}  # of the newest evidence


def _shared(evidence: Evidence) -> Evidence:
    """The evidence, in which rows that were there before are the same objects as then.

    A dozen places remember what they worked out and from which rows. Each entry written makes ten thousand rows anew, all
    but one of them like the old: as the same objects they are compared at once, and are there but once.
    """
    known = _rows.get("newest", {})
    rows = tuple(known.get(row, row) for row in evidence.rows)
    _rows["newest"] = {row: row for row in rows}
    return replace(evidence, rows=rows)


def beliefs(taught: Taught) -> tuple[PaceBelief, ...]:
    """The shop's own pace of every operation, in the order of the book; the same logs are worked out once."""
    rests_on = (taught.calibration.today, taught.evidence.rows, taught.calibration.book)
    return _beliefs.get(rests_on, taught.calibration.paces)


@cache
def untaught(today: date) -> Calibration:
    """The starting book alone, with how far it may be off."""
    return fit((), book(), today=today)


def _fitted(rows: tuple[Row, ...], today: date, known: Book) -> Calibration:
    return _fits.get((today, rows, known), lambda: fit(rows, known, today=today))


def unused(lines: Sequence[LogLine], problems: Sequence[Problem]) -> tuple[Unused, ...]:
    """The lines that could not be used: a problem's line is its place among them."""
    bad = [(lines[problem.line - 1], problem) for problem in problems]
    return tuple(Unused(line.project, line.on, line.what, f"{why.column}: {why.message}") for line, why in bad)


def lines_of(rows: Sequence[LoggedRow], quantities: Sequence[QuantityRow]) -> list[LogLine]:
    """Time and quantities as log lines: minutes as logged, quantities as built or else as planned.

    Time of projects without any quantity is left out.

    A quantity belongs to the whole project; it is shared over the days an operation was logged, by their minutes. Time
    that is set aside has no share in it: what was done was done in the rest. An operation of the plan without time of
    its own was logged within its stage; but for rework, which is kept apart wherever it happened.
    """
    planned = {(row.project_code, row.operation): row for row in quantities}
    finished = {project for project, _ in planned}
    logged = [row for row in rows if row.project_code in finished]
    totals: dict[tuple[str, str], float] = {}
    newest: dict[str, date] = {}
    for row in logged:
        newest[row.project_code] = max(row.on_date, newest.get(row.project_code, row.on_date))
        if not row.rework and not row.set_aside:
            key = (row.project_code, row.what)
            totals[key] = totals.get(key, 0.0) + row.minutes
    singly_logged = {(row.project_code, row.what) for row in logged if not row.rework}
    singly = [_line(row, planned.get((row.project_code, row.what)), totals) for row in logged]
    within = [
        LogLine(project, newest[project], code, quantity.quantity, quantity.setups)
        for (project, code), quantity in planned.items()
        if code != REWORK and (project, code) not in singly_logged and project in newest
    ]
    return [*singly, *within]


def _line(row: LoggedRow, planned: QuantityRow | None, totals: dict[tuple[str, str], float]) -> LogLine:
    counted = planned is not None and not (row.by_stage or row.rework or row.set_aside)
    share = row.minutes / totals[row.project_code, row.what] if counted and row.minutes else 0.0
    return LogLine(
        project=row.project_code,
        on=row.on_date,
        what=row.what,
        quantity=planned.quantity * share if planned and counted else None,
        setups=planned.setups * share if planned and counted else 0.0,
        minutes=row.minutes,
        rework=row.rework,
        set_aside=row.set_aside,
    )


def from_file(path: Path, today: date) -> Taught:
    """The paces that one log teaches, nothing else.

    Raises:
        BadInput, BadRows: naming every place that cannot be used.
    """
    from journal.pace.log_file import read_log_file  # noqa: PLC0415 - pandas is slow to import

    evidence = read_log_file(path, book(), today=today + FURTHEST_AHEAD)
    newest = max((row.on for row in evidence.rows), default=today)
    warnings = (f"the log goes on to {newest}, after today ({today})",) if newest > today else ()
    return Taught(fit(evidence.rows, book(), today=max(today, newest)), evidence, warnings)


def as_json(taught: Taught, plan: Path | None = None) -> dict[str, Any]:
    """The paces, and a plan's minutes if one is given, as documented in DEVELOPERS.md."""
    if plan is None:
        return summary(taught.calibration)
    return summary(taught.calibration, predict(taught.calibration, _plan_lines(plan)))


def _plan_lines(path: Path) -> list[Any]:
    from journal.pace.log_file import read_plan_file  # noqa: PLC0415 - as above

    lines = read_plan_file(path, book())
    if not lines:
        raise BadRows(path.name, [Problem(1, "", "no operations; add a row an operation with its quantity")])
    return list(lines)
